package chemistry

import "fmt"

// Suspect is a cause that a strip's pattern points to.
type Suspect struct {
	Cause      string
	CheckFirst string
	Source     Source
}

var (
	cis254          = Source{Published, "Kodak CIS-254, p. 6"}
	patternPractice = Source{FromMemory, "pattern reading; compare with your supplier's manual"}
)

// replaceContrast is how far HD − LD may be off, in density, before the
// developer is replaced rather than corrected (Kodak CIS-254, p. 6).
const replaceContrast = 0.15

// patternRule names the suspects for a parameter that is off to one side.
type patternRule struct {
	parameter StripParameter
	high      bool
	suspects  []Suspect
}

var patternRules = []patternRule{
	{ParameterContrast, false, []Suspect{
		{"the developer is under-agitated", "agitation: gas burst, pumps, rotation", cis254},
		{"the developer is too dilute", "the mix, and water or wash getting into the tank", cis254},
		{"the developer is oxidised", "how little film ran lately, and the replenishment since", cis254},
	}},
	{ParameterContrast, true, []Suspect{
		{"the developer is over-concentrated", "the mix and evaporation: add water, 5 % of the tank", cis254},
		{"the developer is contaminated", "splashes of bleach or fixer, and the order in which tanks were filled", cis254},
	}},
	{ParameterSpeed, true, []Suspect{
		{"the developer time is too long", "the time in the developer, with a stopwatch", cis254},
		{"the developer is too warm", "the developer's temperature, with a checked thermometer", cis254},
		{"the developer is over-replenished", "the replenishment rate and the area run", cis254},
	}},
	{ParameterSpeed, false, []Suspect{
		{"the developer time is too short", "the time in the developer, with a stopwatch", cis254},
		{"the developer is too cool", "the developer's temperature, with a checked thermometer", cis254},
		{"the developer is under-replenished", "the replenishment rate and the area run", cis254},
	}},
	{ParameterDMin, true, []Suspect{
		{"the developer is contaminated or the strip fogged", "a second strip from the freezer, handled in full dark", patternPractice},
	}},
	{ParameterSilver, true, []Suspect{
		{"silver is retained", "the bleach: its time, aeration and replenishment; then the fixer", patternPractice},
	}},
	{ParameterSpread, true, []Suspect{
		{"the three layers develop unevenly", "the developer's mix and contamination", patternPractice},
	}},
}

// suspects reads the pattern of the signals; each cause is named once.
func suspects(result StripResult) []Suspect {
	var found []Suspect
	for _, rule := range patternRules {
		for _, signal := range result.Signals {
			if signal.Parameter == rule.parameter && signal.Deviation > 0 == rule.high {
				found = append(found, rule.suspects...)
				break
			}
		}
	}
	return found
}

// ReplaceDeveloper tells whether HD − LD is off by more than correcting the
// developer can mend: more than 0.15 in any layer (Kodak CIS-254, p. 6).
func (r StripResult) ReplaceDeveloper() bool {
	for _, deviation := range r.Contrast {
		if deviation > replaceContrast+readingError || deviation < -replaceContrast-readingError {
			return true
		}
	}
	return false
}

// ConfirmStep is what to do about any strip past a limit that is the first.
const ConfirmStep = "Run a second strip at once to confirm (NAVEDTRA 14208)."

// nextSteps says what to do about a strip, in order.
func nextSteps(result StripResult) []string {
	if result.Verdict == InControl {
		return nil
	}
	var steps []string
	if result.Verdict == PastControl {
		steps = append(steps, "Stop customer film on this line.")
	}
	steps = append(steps, ConfirmStep)
	if result.Verdict == PastAction {
		steps = append(steps, "An early warning: film may still run while the cause is found.")
	}
	if result.ReplaceDeveloper() {
		return append(steps, fmt.Sprintf("HD − LD is off by more than %.2f: when confirmed, replace the developer (Kodak CIS-254).", replaceContrast))
	}
	for _, suspect := range result.Suspects {
		steps = append(steps, "Check "+suspect.CheckFirst+".")
	}
	return steps
}

// WithoutPattern returns the result without what its pattern suggests, for a
// process that the published patterns, which are those of C-41, do not speak of.
func (r StripResult) WithoutPattern() StripResult {
	r.Suspects, r.Next = nil, nil
	if r.Verdict != InControl {
		plain := StripResult{Verdict: r.Verdict}
		r.Next = append(nextSteps(plain), "Look for the cause in the manual of the process: no pattern is published here.")
	}
	return r
}

// ConfirmStrip compares a strip with the second one run at once, and returns the
// signals of the second that the first gave as well, in the same parameter,
// layer and direction. None means that the first strip itself is suspect.
func ConfirmStrip(first, second StripResult) []StripSignal {
	var confirmed []StripSignal
	for _, again := range second.Signals {
		for _, before := range first.Signals {
			if again.Parameter == before.Parameter && again.Layer == before.Layer &&
				(again.Deviation > 0) == (before.Deviation > 0) {
				confirmed = append(confirmed, again)
			}
		}
	}
	return confirmed
}

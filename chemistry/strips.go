package chemistry

import (
	"fmt"
	"math"
	"time"
)

// Layers of a strip, in the order in which a densitometer prints them.
const (
	Red = iota
	Green
	Blue
)

var layerNames = [3]string{"red", "green", "blue"}

// StripReading holds the status M densities read from a control strip, each
// three in the order red, green, blue; or, as the result of [StripReading.From],
// how far they lie from the aim.
type StripReading struct {
	DMin, LD, HD [3]float64
	// DMaxBlue and YellowBlue are the blue densities of the darkest and the
	// yellow patch; what the first gains on the second is retained silver.
	DMaxBlue, YellowBlue float64
}

// Aim is what a box of strips should read: the reading of its reference strip
// with the box's correction factors applied.
func (s StripReading) Aim(correction StripReading) StripReading {
	return s.combine(correction, 1)
}

// From returns the deviations of a reading from the aim.
func (s StripReading) From(aim StripReading) StripReading { return s.combine(aim, -1) }

func (s StripReading) combine(other StripReading, sign float64) StripReading {
	for layer := range s.LD {
		s.DMin[layer] += sign * other.DMin[layer]
		s.LD[layer] += sign * other.LD[layer]
		s.HD[layer] += sign * other.HD[layer]
	}
	s.DMaxBlue += sign * other.DMaxBlue
	s.YellowBlue += sign * other.YellowBlue
	return s
}

// Contrast returns HD − LD of the three layers.
func (s StripReading) Contrast() [3]float64 {
	var contrast [3]float64
	for layer := range contrast {
		contrast[layer] = s.HD[layer] - s.LD[layer]
	}
	return contrast
}

// RetainedSilver returns blue D-max less blue yellow.
func (s StripReading) RetainedSilver() float64 { return s.DMaxBlue - s.YellowBlue }

// check refuses densities that no densitometer reads.
func (s StripReading) check(what string) error {
	for layer, name := range layerNames {
		for _, density := range []struct {
			patch string
			value float64
		}{{"D-min", s.DMin[layer]}, {"LD", s.LD[layer]}, {"HD", s.HD[layer]}} {
			err := within(what+" "+density.patch+" "+name, density.value, -5, 5)
			if err != nil {
				return err
			}
		}
	}
	return firstFault(within(what+" D-max blue", s.DMaxBlue, -5, 5), within(what+" yellow blue", s.YellowBlue, -5, 5))
}

// StripParameter is one quantity that a strip is judged by.
type StripParameter string

// The parameters of a control strip.
const (
	ParameterDMin     StripParameter = "D-min"
	ParameterSpeed    StripParameter = "LD"
	ParameterContrast StripParameter = "HD − LD"
	ParameterSilver   StripParameter = "D-max blue − yellow blue"
	ParameterSpread   StripParameter = "spread of HD − LD between the colours"
)

// StripLimit bounds the deviation of a parameter in density. An action limit
// of zero means that there is none.
type StripLimit struct {
	Action, Control float64
	HighOnly        bool // a low deviation is no fault
}

// StripLimits holds the limits of a process and where they come from.
type StripLimits struct {
	Limits map[StripParameter]StripLimit
	Source Source
}

// C41StripLimits are the published limits for colour negative.
var C41StripLimits = StripLimits{
	Limits: map[StripParameter]StripLimit{
		ParameterDMin:     {0.03, 0.05, true},
		ParameterSpeed:    {0.06, 0.08, false},
		ParameterContrast: {0.07, 0.09, false},
		ParameterSilver:   {0.10, 0.12, true},
		ParameterSpread:   {0, 0.09, true},
	},
	Source: Source{Published, "Kodak Z-131, table 5-1, status M"},
}

// StripVerdict says what may run after a strip.
type StripVerdict string

// The verdicts, the best first.
const (
	InControl   StripVerdict = "in control"
	PastAction  StripVerdict = "past the action limit"  // find the cause; film may still run
	PastControl StripVerdict = "past the control limit" // customer film stops
)

// MayRun tells whether customer film may run.
func (v StripVerdict) MayRun() bool { return v != PastControl }

// StripSignal is one deviation past a limit.
type StripSignal struct {
	Parameter StripParameter
	Layer     string // red, green or blue; empty where a parameter has no layers
	Deviation float64
	Limit     float64
	Verdict   StripVerdict
}

// String writes the signal for the person at the machine.
func (s StripSignal) String() string {
	layer := s.Layer
	if layer != "" {
		layer = " " + layer
	}
	return fmt.Sprintf("%s%s is off by %+.2f, %s of %.2f", s.Parameter, layer, s.Deviation, s.Verdict, s.Limit)
}

// StripResult is what a strip says.
type StripResult struct {
	Deviations StripReading
	Contrast   [3]float64 // deviations of HD − LD
	Spread     float64    // between the colours' deviations of HD − LD
	Silver     float64    // deviation of D-max blue − yellow blue
	Verdict    StripVerdict
	Signals    []StripSignal
	Suspects   []Suspect
	Next       []string // what to do, in order
	Source     Source   // of the limits
}

// JudgeStrip compares a strip's reading with the aim of its box.
func JudgeStrip(reading, aim StripReading, limits StripLimits) (StripResult, error) {
	if err := firstFault(reading.check("strip"), aim.check("aim")); err != nil {
		return StripResult{}, err
	}
	deviations := reading.From(aim)
	contrast := deviations.Contrast()
	result := StripResult{
		Deviations: deviations, Contrast: contrast,
		Spread:  max(contrast[Red], contrast[Green], contrast[Blue]) - min(contrast[Red], contrast[Green], contrast[Blue]),
		Silver:  deviations.RetainedSilver(),
		Verdict: InControl, Source: limits.Source,
	}
	for layer, name := range layerNames {
		result.note(limits, ParameterDMin, name, deviations.DMin[layer])
		result.note(limits, ParameterSpeed, name, deviations.LD[layer])
		result.note(limits, ParameterContrast, name, contrast[layer])
	}
	result.note(limits, ParameterSilver, "", result.Silver)
	result.note(limits, ParameterSpread, "", result.Spread)
	result.Suspects = suspects(result)
	result.Next = nextSteps(result)
	return result, nil
}

// readingError is far below what a densitometer resolves, so that a deviation
// of exactly a limit is not past it for want of binary digits.
const readingError = 1e-6

// note records a deviation that is past a limit of its parameter.
func (r *StripResult) note(limits StripLimits, parameter StripParameter, layer string, deviation float64) {
	limit, judged := limits.Limits[parameter]
	size := deviation
	if !limit.HighOnly {
		size = math.Abs(deviation)
	}
	signal := StripSignal{Parameter: parameter, Layer: layer, Deviation: deviation}
	switch {
	case !judged:
		return
	case limit.Control > 0 && size > limit.Control+readingError:
		signal.Limit, signal.Verdict = limit.Control, PastControl
		r.Verdict = PastControl
	case limit.Action > 0 && size > limit.Action+readingError:
		signal.Limit, signal.Verdict = limit.Action, PastAction
		if r.Verdict == InControl {
			r.Verdict = PastAction
		}
	default:
		return
	}
	r.Signals = append(r.Signals, signal)
}

// StripDue tells whether a strip must run before the next customer film: one
// runs before the first film of each day (NAVEDTRA 14208). Days are those of
// now's location; no strip yet is a zero time.
func StripDue(last, now time.Time) bool {
	last = last.In(now.Location())
	return last.Year() != now.Year() || last.YearDay() != now.YearDay()
}

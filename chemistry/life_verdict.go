package chemistry

import "fmt"

// Verdict is the state of a fill in one word.
type Verdict string

// The verdicts, the best first.
const (
	Fresh     Verdict = "fresh"     // no film went through
	InUse     Verdict = "in use"    // good to run
	DueSoon   Verdict = "due soon"  // runs, but have the next fill ready
	Exhausted Verdict = "exhausted" // no more film
)

// verdicts orders the verdicts from best to worst.
var verdicts = []Verdict{Fresh, InUse, DueSoon, Exhausted}

// Worse tells whether a verdict is worse than another.
func (v Verdict) Worse(other Verdict) bool { return v.rank() > other.rank() }

func (v Verdict) rank() int {
	for i, verdict := range verdicts {
		if v == verdict {
			return i
		}
	}
	return -1
}

// A limit warns when four fifths of it are used. A hair of tolerance keeps sums
// of areas from missing a limit that they reach exactly.
const (
	warnShare  = 0.8
	shareError = 1e-9
)

// Reason is one thing that speaks for the verdict on a fill.
type Reason struct {
	Verdict Verdict // the verdict if there were no other reason
	Text    string
}

// judged gives a reason for a limit of which a share, 1 being all, is used.
func judged(used float64, base Verdict, text string) Reason {
	switch {
	case used >= 1-shareError:
		return Reason{Exhausted, text}
	case used >= warnShare-shareError:
		return Reason{DueSoon, text}
	}
	return Reason{base, text}
}

// reasons lists everything that speaks for a verdict, the limits first.
func (s State) reasons(solution Solution, fill Fill) []Reason {
	base := InUse
	if s.AreaM2 == 0 {
		base = Fresh
	}
	var reasons []Reason
	if fill.Fouled != "" {
		reasons = append(reasons, Reason{Exhausted, "fouled: " + fill.Fouled})
	}
	switch {
	case s.AreaM2 == 0:
		reasons = append(reasons, Reason{base, "no film went through"})
	case solution.Use == OneShot:
		reasons = append(reasons, Reason{Exhausted, "used once: a one-shot solution is dumped after use"})
	default:
		reasons = append(reasons, Reason{base, fmt.Sprintf("%s m² of film went through, %s rolls of 80 in²", FormatAmount(s.AreaM2), FormatAmount(s.AreaM2/FilmUnitArea))})
	}
	if s.CapacityM2 > 0 {
		what := "its capacity"
		if solution.Use == Replenished {
			what = "what it takes without replenisher"
		}
		reasons = append(reasons, judged(s.CapacityUsed, base, fmt.Sprintf("%s %% of %s used, %s m²", FormatAmount(100*s.CapacityUsed), what, FormatAmount(s.CapacityM2))))
	}
	if !s.KeepsUntil.IsZero() {
		reasons = append(reasons, judged(s.KeepingUsed, base, fmt.Sprintf("%.3g %% of its keeping time used, it keeps until %s", 100*s.KeepingUsed, s.KeepsUntil.Format("2006-01-02"))))
	}
	if fill.Clearing != nil {
		reasons = append(reasons, clearingReason(*fill.Clearing, base, fill.TwoBath))
	}
	return append(reasons, s.upkeep(base, solution)...)
}

func clearingReason(test ClearingTest, base Verdict, twoBath bool) Reason {
	text := fmt.Sprintf("clears in %.4g s, fresh in %.4g s; discard at twice that (%s)", test.NowS, test.FreshS, ClearingSource)
	if twoBath && test.Spent() {
		text += ": " + TwoBathRule
	}
	return judged(test.Used(), base, text)
}

// upkeep says what the fill wants, which does not make it worse by itself.
func (s State) upkeep(base Verdict, solution Solution) []Reason {
	var reasons []Reason
	if s.ReplenisherDueML > 0 {
		reasons = append(reasons, Reason{base, fmt.Sprintf("add %s mL of replenisher for film that went through", FormatAmount(s.ReplenisherDueML))})
	}
	if s.IdleTopUpML > 0 {
		reasons = append(reasons, Reason{base, fmt.Sprintf("stood idle: add %s mL of replenisher (%s)", FormatAmount(s.IdleTopUpML), IdleSource)})
	}
	if s.LowUse {
		reasons = append(reasons, Reason{base, "little film runs: watch for low HD − LD, a sign of oxidation (Kodak CIS-254)"})
	}
	if s.TimePercent > 0 {
		reasons = append(reasons, Reason{base, fmt.Sprintf("lengthen the next time by %.4g %%, %.4g %% for each roll through a litre before", s.TimePercent, solution.TimePercentPerRoll)})
	}
	return reasons
}

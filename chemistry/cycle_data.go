package chemistry

// Where the shipped steps come from.
var (
	fromZ131    = Source{Published, "Kodak Z-131, table 2-1"}
	fromRapid   = Source{Published, "Kodak Z-131, table 4-1"}
	fromH24     = Source{Published, "Kodak H-24, module 7"}
	fromSixBath = Source{Published, "encyclopaedia, six-bath table; tolerance from memory"}
	sixBathRest = Source{FromMemory, "six-bath cycle, a starting point"}
	byTheTrade  = Source{CommonPractice, "a starting point"}
)

// How a line moves and drains film where no publication fixes it.
const (
	agitatedSteadily = "as the line does it, the same in every run"
	drainedInTime    = "drain within the step's time (common practice)"
	agitatedByHand   = "the first 30 s, then 5 s in every 30 s (common practice)"
	agitatedFirst    = "the first 30 s, then now and then (common practice)"
	notOver60        = "Dry at no more than 60 °C."
)

// shippedCycles makes every cycle anew, so that no caller can change another's.
func shippedCycles() []Cycle {
	return []Cycle{
		{C41, "", "C-41", c41Steps()},
		{C41, VariantRapid, "C-41 rapid access", c41RapidSteps()},
		{E6, "", "E-6 six-bath", e6Steps()},
		{ECN2, "", "ECN-2", ecn2Steps("ferricyanide", 180)},
		{ECN2, VariantPersulfate, "ECN-2 with persulfate bleach", ecn2Steps("persulfate", 60)},
		{BW, "", "black and white by hand", bwSteps()},
	}
}

// wetStep is a step in a bath of a colour cycle, between two temperatures.
func wetStep(name, solution string, seconds int, low, high float64, source Source) Step {
	return Step{Name: name, Solution: solution, Seconds: seconds, LowC: low, HighC: high,
		Agitation: agitatedSteadily, Drain: drainedInTime, Source: source}
}

// held is a step held at a temperature, give or take a tolerance.
func (s Step) held(temp, tolerance float64) Step {
	s.TempC, s.LowC, s.HighC = temp, temp-tolerance, temp+tolerance
	return s
}

// developing marks the step that takes the batch's time, held as the process's
// developer must be.
func (s Step) developing(process Process) Step {
	s.Develop, s.Exact = true, true
	aim := developerAims[process]
	return s.held(aim.temp, aim.tolerance)
}

// upTo lets the step take longer.
func (s Step) upTo(seconds int) Step {
	s.MaxSeconds = seconds
	return s
}

// minding adds a caution.
func (s Step) minding(caution string) Step {
	s.Cautions = append(s.Cautions, caution)
	return s
}

// drying ends a cycle.
func drying(source Source) Step {
	return Step{Name: "dry", HighC: MaxDryingC, Source: source, Cautions: []string{notOver60}}
}

func c41Steps() []Step {
	return []Step{
		wetStep("developer", "colour developer", 195, 0, 0, fromZ131).developing(C41),
		wetStep("bleach", "bleach", 260, 0, 0, fromZ131).held(38, 3).upTo(390),
		wetStep("wash after bleach", "water", 65, 24, 41, fromZ131),
		wetStep("fixer", "fixer", 260, 0, 0, fromZ131).held(38, 3),
		wetStep("wash after fixer", "water", 195, 24, 41, fromZ131),
		wetStep("final rinse", "final rinse", 65, 24, 41, fromZ131),
		drying(fromZ131),
	}
}

// c41RapidSteps is the rapid-access cycle; all times but the developer's are
// minima.
func c41RapidSteps() []Step {
	const minimum = "The time is a minimum."
	return []Step{
		wetStep("developer", "colour developer", 195, 0, 0, fromRapid).developing(C41),
		wetStep("bleach", "bleach", 60, 0, 0, fromRapid).held(38, 3).minding(minimum),
		wetStep("fixer", "fixer", 90, 0, 0, fromRapid).held(38, 3).minding(minimum + " Two tanks share it."),
		wetStep("final rinse", "final rinse", 60, 0, 0, fromRapid).held(38, 3).minding(minimum + " Three tanks share it."),
		drying(fromRapid),
	}
}

func e6Steps() []Step {
	return []Step{
		wetStep("first developer", "first developer", 360, 0, 0, fromSixBath).developing(E6),
		wetStep("first wash", "water", 120, 33, 39, sixBathRest).
			minding("Hold this wash at its temperature too: it ends the first development (US Army SS0514)."),
		wetStep("reversal bath", "reversal bath", 120, 24, 39, sixBathRest).
			minding("No wash after this bath."),
		wetStep("colour developer", "colour developer", 360, 0, 0, sixBathRest).held(38, 0.6),
		wetStep("pre-bleach", "pre-bleach", 120, 24, 39, sixBathRest),
		wetStep("bleach", "bleach", 360, 33, 39, sixBathRest),
		wetStep("fixer", "fixer", 240, 33, 39, sixBathRest),
		wetStep("final wash", "water", 240, 33, 39, sixBathRest),
		wetStep("final rinse", "final rinse", 60, 0, 0, sixBathRest),
		drying(byTheTrade),
	}
}

func ecn2Steps(bleach string, bleachSeconds int) []Step {
	return []Step{
		wetStep("prebath", "prebath", 10, 0, 0, fromH24).held(27, 1),
		wetStep("backing removal and rinse", "water", 0, 27, 38, fromH24).
			minding("As long as the machine takes; look at the back of the film: no black may be left."),
		wetStep("developer", "colour developer", 180, 0, 0, fromH24).developing(ECN2),
		wetStep("stop", "stop bath", 30, 27, 38, fromH24),
		wetStep("wash after stop", "water", 30, 27, 38, fromH24),
		wetStep("bleach", bleach+" bleach", bleachSeconds, 0, 0, fromH24).held(38, 1),
		wetStep("wash after bleach", "water", 60, 27, 38, fromH24),
		wetStep("fixer", "fixer", 120, 0, 0, fromH24).held(38, 1),
		wetStep("wash after fixer", "water", 120, 27, 38, fromH24),
		wetStep("final rinse", "final rinse", 10, 27, 38, fromH24),
		drying(byTheTrade),
	}
}

// bwSteps is development by hand; the developer's time is the batch's own.
func bwSteps() []Step {
	hand := func(name, solution string, seconds int, agitation string) Step {
		return Step{Name: name, Solution: solution, Seconds: seconds, LowC: bwLowC, HighC: bwHighC,
			Agitation: agitation, Drain: drainedInTime, Source: byTheTrade}
	}
	developer := hand("developer", "developer", 0, agitatedByHand).
		minding("No pre-rinse, unless the developer's maker asks for one (HARMAN, processing chart, August 2004).")
	developer.Develop, developer.Exact, developer.TempC = true, true, bwUsualC
	return []Step{
		developer,
		hand("stop", "stop bath", 30, "steadily (common practice)"),
		hand("fixer", "fixer", 300, agitatedFirst).
			minding("At least twice the time in which the film clears (NAVEDTRA 14209)."),
		hand("wash", "water", 600, "running water (common practice)"),
		hand("wetting agent", "wetting agent", 60, "none"),
		drying(byTheTrade),
	}
}

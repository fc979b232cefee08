package server

import (
	"fmt"
	"math"
	"strconv"

	"wetside/chemistry"
	"wetside/jobs"
	"wetside/web"
)

// entryWords name what happened to a fill.
var entryWords = map[jobs.EntryKind]string{
	jobs.EntryFilled: "Filled", jobs.EntryFilm: "Film", jobs.EntryReplenished: "Replenished", jobs.EntryToppedUp: "Topped up",
	jobs.EntrySpilled: "Spilled", jobs.EntryFouled: "Fouled", jobs.EntryDumped: "Dumped",
}

// ledgerLines writes the ledger of a fill, the oldest entry first, with what
// the fill holds and what went through it after each.
func (d desk) ledgerLines(ledger []jobs.Entry) []web.LedgerLine {
	lines := make([]web.LedgerLine, len(ledger))
	called := map[int64]float64{}
	holds, area := 0.0, 0.0
	for i, e := range ledger {
		holds, area = holds+e.Amount, area+e.AreaM2
		line := web.LedgerLine{
			At: d.moment(e.At), What: entryWords[e.Kind], Batch: int64(e.Batch), Holds: mlWords(holds), Total: squareMetres(area), By: e.By, Why: e.Why,
		}
		switch {
		case e.Kind == jobs.EntryFilm:
			called[e.ID] = e.CalledML
			line.Film = counted(e.Rolls, "roll", "rolls") + ", " + squareMetres(e.AreaM2)
			if e.Push != 0 {
				line.Film += ", " + pushWords(e.Push)
			}
			if e.CalledML > 0 {
				line.Called = mlWords(e.CalledML)
			}
		case e.Amount < 0 && e.Kind != jobs.EntrySpilled && e.Kind != jobs.EntryDumped:
			line.What, line.Change = "Flowed over", changeWords(e.Amount)
		default:
			line.Change = changeWords(e.Amount)
		}
		if e.Answers != 0 {
			line.Off = offWords(called[e.Answers] - e.Amount)
		}
		lines[i] = line
	}
	return lines
}

// changeWords writes what came in or went out.
func changeWords(ml float64) string {
	switch {
	case ml < 0:
		return "−" + mlWords(-ml)
	case ml > 0:
		return "+" + mlWords(ml)
	}
	return "0 mL"
}

// mlWords writes a volume that may not be whole, in litres from one litre on.
func mlWords(ml float64) string {
	if math.Round(ml*10)/10 < 1000 {
		return strconv.FormatFloat(math.Round(ml*10)/10, 'f', -1, 64) + " mL"
	}
	return strconv.FormatFloat(math.Round(ml)/1000, 'f', -1, 64) + " L"
}

// secondsWords writes a clearing time.
func secondsWords(s float64) string { return strconv.FormatFloat(s, 'f', -1, 64) + " s" }

// fillFigures are the numbers that say how a fill stands.
func fillFigures(fill jobs.Fill, solution jobs.Solution, state chemistry.State) []web.Figure {
	var figures []web.Figure
	add := func(label, format string, args ...any) {
		figures = append(figures, web.Figure{Label: label, Value: fmt.Sprintf(format, args...)})
	}
	if solution.Use == chemistry.Replenished {
		add("Film called for", "%s of replenisher", mlWords(state.ReplenisherCalledML))
		add("Was added", "%s, %.2f turnovers of the tank", mlWords(state.ReplenisherAddedML), state.Turnovers)
		if state.ReplenisherDueML > 0 {
			add("Still due", "%s", mlWords(state.ReplenisherDueML))
		}
	}
	if state.BromideKnown {
		words := fmt.Sprintf("%.2f g/L", state.BromideGPerL)
		if state.BromideSteadyGPerL > 0 {
			words += fmt.Sprintf(", on its way to %.2f g/L (%.0f %%)", state.BromideSteadyGPerL, 100*state.BromideSteadyShare)
		}
		add("Bromide, as KBr", "%s", words)
	}
	if !state.KeepsUntil.IsZero() {
		add("Keeps until", "%s (%.0f %% used)", state.KeepsUntil.Format("Mon 2 January 2006"), 100*state.KeepingUsed)
	}
	if state.FixAtLeastS > 0 {
		add("Fix for at least", "%s, twice the clearing time", chemistry.FormatClock(int(math.Ceil(state.FixAtLeastS))))
	}
	if state.LowUse {
		add("Use", "low: watch for oxidation")
	}
	if fill.Mix != 0 {
		add("Poured from", "a mix of %s", fill.MixedAt.Format("2 January 2006"))
	}
	return figures
}

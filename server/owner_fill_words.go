package server

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"

	"wetside/chemistry"
	"wetside/jobs"
	"wetside/web"
)

// verdictWords say what a verdict asks of whoever runs the line.
var verdictWords = map[chemistry.Verdict]struct {
	chip web.Chip
	say  string
}{
	chemistry.Fresh:     {web.Chip{Class: "done", Word: "Fresh"}, "Ready for film."},
	chemistry.InUse:     {web.Chip{Class: "work", Word: "In use"}, "Good to run."},
	chemistry.DueSoon:   {web.Chip{Class: "hold", Word: "Due soon"}, "Still good to run. Have the next fill mixed."},
	chemistry.Exhausted: {web.Chip{Class: "bad", Word: "Exhausted"}, "No more film: dump it and pour a fresh fill."},
}

// wanting are the verdicts that somebody has to see to.
var wanting = map[web.Chip]bool{
	verdictWords[chemistry.DueSoon].chip:   true,
	verdictWords[chemistry.Exhausted].chip: true,
}

// fillCard puts a fill and how it stands into words. Strips tell whether its
// line is watched by control strips.
func fillCard(fill jobs.Fill, solution jobs.Solution, ledger []jobs.Entry, strips bool, d desk) web.FillCard {
	card := web.FillCard{
		ID:       int64(fill.ID),
		Solution: fill.SolutionName,
		Kind:     solutionKind(solution),
		Line:     fill.LineName,
		Volume:   volumeWords(fill.VolumeML),
		Filled:   d.moment(fill.FilledAt),
		Rolls:    fill.Rolls,
		Area:     squareMetres(fill.AreaM2),
	}
	if !fill.DumpedAt.IsZero() {
		card.Verdict = web.Chip{Word: "Dumped"}
		card.Dumped, card.DumpReason = d.moment(fill.DumpedAt), fill.DumpReason
		card.Age = ageWords(fill.FilledAt, fill.DumpedAt)
		return card
	}
	card.Age = ageWords(fill.FilledAt, d.now)
	if fill.NowML != float64(fill.VolumeML) {
		card.Holds = mlWords(fill.NowML) + " in it"
	}
	card.Unrecorded = fill.Unrecorded(solution, strips)
	state, err := fill.State(solution, ledger, d.now.In(d.zone))
	if err != nil {
		// A clock that was set back must not take the page away.
		card.Verdict, card.Say = web.Chip{Class: "hold", Word: "Not known"}, sentence(err.Error())+"."
		return card
	}
	words := verdictWords[state.Verdict]
	card.Verdict, card.Say = words.chip, words.say
	if state.Verdict == chemistry.InUse && state.CapacityM2 == 0 {
		card.Say = "Nothing on record speaks against running it."
	}
	if dueML, waits := fill.WaitsForPours(solution, ledger, d.now.In(d.zone)); waits {
		card.Say = "No more film until " + mlWords(math.Round(dueML)) + " of replenisher are poured and confirmed."
	}
	addState(&card, state)
	return card
}

// addState puts the figures of a state on a fill's card.
func addState(card *web.FillCard, state chemistry.State) {
	for _, reason := range state.Reasons {
		class := ""
		if reason.Verdict == chemistry.DueSoon || reason.Verdict == chemistry.Exhausted {
			class = verdictWords[reason.Verdict].chip.Class
		}
		card.Reasons = append(card.Reasons, web.FillReason{Class: class, Text: sentence(reason.Text) + "."})
	}
	if state.CapacityM2 > 0 {
		// Rounded down, so that 100 % is all of it.
		percent := int(100*state.CapacityUsed + 1e-6)
		card.Use = web.Gauge{
			Known: true, Percent: min(percent, 100), Class: card.Verdict.Class,
			Figure: fmt.Sprintf("%d %% of %s", percent, squareMetres(state.CapacityM2)),
		}
		card.RollsLeft = "less than a roll of 80 in²"
		if left := state.RollsLeft(); left > 0 {
			card.RollsLeft = counted(left, "roll", "rolls") + " of 80 in²"
		}
		if state.Verdict == chemistry.Exhausted {
			card.RollsLeft = "nothing more"
		}
	}
	if state.TimePercent > 0 {
		card.Longer = fmt.Sprintf("%.0f %% longer than fresh", state.TimePercent)
	}
	card.RunsOut = runsOutWords(state.RunsOut)
	if due := math.Round(state.ReplenisherDueML); due > 0 {
		card.Add = append(card.Add, "Add "+mlWords(due)+" of replenisher for film that went through.")
	}
	if idle := math.Round(state.IdleTopUpML); idle > 0 {
		card.Add = append(card.Add, "Top up with "+mlWords(idle)+" of replenisher after idle days.")
	}
}

// runsOutWords tells a forecast with its range; "" where none is told.
func runsOutWords(f chemistry.Forecast) string {
	const day = "Mon 2 January 2006"
	switch {
	case f.Date.IsZero():
		return ""
	case f.Earliest.Equal(f.Date) && f.Latest.Equal(f.Date):
		return f.Date.Format(day)
	case f.Earliest.IsZero() || f.Latest.IsZero():
		return "about " + f.Date.Format(day)
	}
	return fmt.Sprintf("about %s (%s to %s)", f.Date.Format(day), f.Earliest.Format("2 Jan"), f.Latest.Format("2 Jan"))
}

// volumeWords writes a volume in litres from one litre on.
func volumeWords(ml int) string {
	if ml < 1000 {
		return fmt.Sprintf("%d mL", ml)
	}
	return strconv.FormatFloat(float64(ml)/1000, 'f', -1, 64) + " L"
}

// squareMetres writes an area to a thousandth of a m², a fiftieth of a roll.
func squareMetres(m2 float64) string {
	return strconv.FormatFloat(math.Round(m2*1000)/1000, 'f', -1, 64) + " m²"
}

// ageWords writes how long a fill stood, in days from one day on.
func ageWords(from, to time.Time) string {
	switch hours := int(to.Sub(from).Hours()); {
	case hours < 1:
		return "less than an hour"
	case hours == 1:
		return "1 hour"
	case hours < 24:
		return fmt.Sprintf("%d hours", hours)
	case hours < 48:
		return "1 day"
	default:
		return fmt.Sprintf("%d days", hours/24)
	}
}

// runsWords lists the processes of a line.
func runsWords(line jobs.Line) string {
	names := make([]string, len(line.Runs))
	for i, run := range line.Runs {
		names[i] = string(run.Process)
		if run.Variant != "" {
			names[i] += " (" + run.Variant + ")"
		}
	}
	return strings.Join(names, ", ")
}

// solutionKind says what a solution does, where, and how it is used.
func solutionKind(s jobs.Solution) string {
	return fmt.Sprintf("%s, %s, %s", s.Process, s.Family, s.Use)
}

package main

import (
	"fmt"
	"math"
	"strings"
	"time"

	"wetside/chemistry"
)

// bathReport is the state of a fill as wetside bath prints it; nil stands for
// what is not known or does not apply.
type bathReport struct {
	Verdict                 chemistry.Verdict `json:"verdict"`
	Reasons                 []reasonReport    `json:"reasons"`
	AreaM2                  float64           `json:"area_m2"`
	Rolls                   float64           `json:"rolls"`
	CapacityM2              *float64          `json:"capacity_m2"`
	CapacityUsedPercent     *float64          `json:"capacity_used_percent"`
	AreaLeftM2              *float64          `json:"area_left_m2"`
	RollsLeft               *int              `json:"rolls_left"`
	TimeCompensationPercent float64           `json:"time_compensation_percent"`
	Turnovers               float64           `json:"turnovers"`
	BromideGPerL            *float64          `json:"bromide_g_per_l"`
	BromideSteadyGPerL      *float64          `json:"bromide_steady_g_per_l"`
	BromideSteadyPercent    *float64          `json:"bromide_steady_percent"`
	KeepsUntil              *string           `json:"keeps_until"`
	FixAtLeastS             *float64          `json:"fix_at_least_s"`
	Replenish               replenishReport   `json:"replenish"`
	LowUse                  bool              `json:"low_use"`
	RunsOut                 runsOutReport     `json:"runs_out"`
	Next                    *nextReport       `json:"next"`
	Cautions                []string          `json:"cautions"`
}

type reasonReport struct {
	Verdict chemistry.Verdict `json:"verdict"`
	Text    string            `json:"text"`
}

type replenishReport struct {
	CalledForML float64 `json:"called_for_ml"`
	AddedML     float64 `json:"added_ml"`
	DueML       float64 `json:"due_ml"`
	IdleTopUpML float64 `json:"idle_top_up_ml"`
	Assumed     bool    `json:"assumed"` // film without replenisher_ml was taken as replenished
}

type runsOutReport struct {
	Date     *string `json:"date"`
	Earliest *string `json:"earliest"`
	Latest   *string `json:"latest"`
}

type nextReport struct {
	ReplenishML    float64 `json:"replenish_ml"`
	MinimumML      float64 `json:"minimum_ml"`
	EnoughSolution bool    `json:"enough_solution"` // the fill holds minimum_ml
	Fits           bool    `json:"fits"`            // not exhausted, and the capacity left takes it
}

func newBathReport(bath bathQuestion, state chemistry.State) bathReport {
	report := bathReport{
		Verdict: state.Verdict, AreaM2: rounded(state.AreaM2), Rolls: rounded(state.AreaM2 / chemistry.FilmUnitArea),
		TimeCompensationPercent: rounded(state.TimePercent), Turnovers: rounded(state.Turnovers),
		Replenish: replenishReport{
			rounded(state.ReplenisherCalledML), rounded(state.ReplenisherAddedML),
			rounded(state.ReplenisherDueML), rounded(state.IdleTopUpML), bath.assumed,
		},
		LowUse: state.LowUse, Cautions: state.Cautions,
		RunsOut: runsOutReport{day(state.RunsOut.Date), day(state.RunsOut.Earliest), day(state.RunsOut.Latest)},
	}
	for _, reason := range state.Reasons {
		report.Reasons = append(report.Reasons, reasonReport(reason))
	}
	if state.CapacityM2 > 0 {
		left := state.RollsLeft()
		report.CapacityM2, report.CapacityUsedPercent = known(state.CapacityM2), known(100*state.CapacityUsed)
		report.AreaLeftM2, report.RollsLeft = known(state.AreaLeftM2), &left
	}
	if state.BromideKnown {
		report.BromideGPerL = known(state.BromideGPerL)
		if bath.solution.Use == chemistry.Replenished {
			report.BromideSteadyGPerL = known(state.BromideSteadyGPerL)
			report.BromideSteadyPercent = known(100 * state.BromideSteadyShare)
		}
	}
	if !state.KeepsUntil.IsZero() {
		until := state.KeepsUntil.Format(time.RFC3339)
		report.KeepsUntil = &until
	}
	if state.FixAtLeastS > 0 {
		report.FixAtLeastS = known(state.FixAtLeastS)
	}
	if bath.next != nil {
		report.Next = newNextReport(bath, state)
	}
	return report
}

// newNextReport says what film about to run needs.
func newNextReport(bath bathQuestion, state chemistry.State) *nextReport {
	minimum := bath.solution.MinimumML(bath.next.areaM2)
	return &nextReport{
		ReplenishML:    rounded(bath.solution.CalledForML(bath.next.areaM2, bath.next.push)),
		MinimumML:      rounded(minimum),
		EnoughSolution: minimum <= bath.fill.VolumeML*(1+1e-9),
		Fits: state.Verdict != chemistry.Exhausted &&
			(state.CapacityM2 == 0 || bath.next.areaM2 <= state.AreaLeftM2+1e-9),
	}
}

// rounded drops the digits that no measurement carries.
func rounded(value float64) float64 { return math.Round(value*1e6) / 1e6 }

func known(value float64) *float64 {
	value = rounded(value)
	return &value
}

func day(date time.Time) *string {
	if date.IsZero() {
		return nil
	}
	text := date.Format(time.DateOnly)
	return &text
}

// text writes the report for people.
func (b bathReport) text(name string) string {
	var text strings.Builder
	if name != "" {
		fmt.Fprintf(&text, "%s: ", name)
	}
	fmt.Fprintf(&text, "%s\n", b.Verdict)
	for _, reason := range b.Reasons {
		fmt.Fprintf(&text, "  %-9s  %s\n", reason.Verdict, reason.Text)
	}
	if b.RollsLeft != nil {
		fmt.Fprintf(&text, "takes %d more rolls of 80 in²\n", *b.RollsLeft)
	}
	if b.Turnovers > 0 {
		fmt.Fprintf(&text, "%.2f tank turnovers\n", b.Turnovers)
	}
	if b.BromideGPerL != nil {
		fmt.Fprintf(&text, "bromide %.2f g/L", *b.BromideGPerL)
		if b.BromideSteadyGPerL != nil {
			fmt.Fprintf(&text, ", tends to %.2f g/L", *b.BromideSteadyGPerL)
		}
		fmt.Fprintln(&text)
	}
	if b.FixAtLeastS != nil {
		fmt.Fprintf(&text, "fix for %.0f s at least\n", *b.FixAtLeastS)
	}
	fmt.Fprintln(&text, b.RunsOut.text())
	if b.Replenish.Assumed {
		fmt.Fprintln(&text, "replenisher that was not noted is taken as added")
	}
	if b.Next != nil {
		fmt.Fprintln(&text, b.Next.text())
	}
	for _, caution := range b.Cautions {
		fmt.Fprintf(&text, "! %s\n", caution)
	}
	return text.String()
}

func (r runsOutReport) text() string {
	if r.Date == nil {
		return "no date on which it runs out can be told"
	}
	latest := "later than two years"
	if r.Latest != nil {
		latest = *r.Latest
	}
	return fmt.Sprintf("runs out on %s (at least eight times in ten from %s to %s)", *r.Date, *r.Earliest, latest)
}

func (n nextReport) text() string {
	text := fmt.Sprintf("next: %.0f mL of replenisher, at least %.0f mL of solution", n.ReplenishML, n.MinimumML)
	if !n.EnoughSolution {
		text += ", more than the fill holds"
	}
	if !n.Fits {
		text += "; it does not fit what is left"
	}
	return text
}

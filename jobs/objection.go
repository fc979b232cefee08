package jobs

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"

	"wetside/chemistry"
)

// Objection is one thing that speaks against putting film in.
type Objection struct {
	Field string // of the start that it is about: "developer_c", "fills" or "strips"
	Text  string
	Final bool // it stands whatever an owner says
}

// Objections gathers everything that speaks against putting a load in now, in
// any tank that it goes through: a fill that is missing, exhausted, fouled, too
// old, lost or too little for the film, and what the control strips say. Ledgers and
// controls of the line must be there.
func (w WetSide) Objections(b Batch, load Load, now time.Time) []Objection {
	var against []Objection
	missing := func(solution Solution, final bool) {
		against = append(against, Objection{"fills", fmt.Sprintf("there is no %s in %s: pour a fill and record it before film goes in",
			solution.Name, load.Tank.Line.Name), final})
	}
	if load.Tank.needsFill() && load.Tank.Fill.ID == 0 {
		missing(load.Tank.Developer, true)
	}
	for _, solution := range w.emptyTanks(b) {
		missing(solution, false)
	}
	for _, fill := range w.Fills {
		if solution := w.Solutions[fill.Solution]; b.GoesThrough(fill, solution) {
			against = append(against, fill.against(solution, w.Ledgers[fill.ID], areaOf(load.Rolls), now.In(w.Lab.Zone()))...)
		}
	}
	if says := w.Controls[ControlKey{b.Line, b.Process}].Objection; says != "" {
		against = append(against, Objection{Field: "strips", Text: says})
	}
	return against
}

// emptyTanks lists the solutions that a line has a tank of, which a batch goes
// through and of which no fill is poured. What is used once is mixed for its
// load, water runs through a wash, and where a fill of the same kind stands in
// the line film goes through that one. Of the developer of a black-and-white
// batch see [Tank.needsFill].
func (w WetSide) emptyTanks(b Batch) []Solution {
	poured := map[chemistry.SolutionFamily]bool{chemistry.BWDeveloper: true, chemistry.Wash: true}
	for _, fill := range w.Fills {
		if solution := w.Solutions[fill.Solution]; b.GoesThrough(fill, solution) {
			poured[solution.Family] = true
		}
	}
	var empty []Solution
	for _, id := range slices.Sorted(maps.Keys(w.Lines[b.Line].Tanks)) {
		solution := w.Solutions[id]
		passed := b.GoesThrough(Fill{Line: b.Line, Solution: id}, solution)
		if passed && solution.Active && solution.Use != chemistry.OneShot && !poured[solution.Family] {
			poured[solution.Family] = true
			empty = append(empty, solution)
		}
	}
	return empty
}

// against gathers what speaks against an area of film in m² going through.
func (f Fill) against(solution Solution, ledger []Entry, areaM2 float64, now time.Time) []Objection {
	var against []Objection
	object := func(format string, args ...any) {
		against = append(against, Objection{Field: "fills", Text: fmt.Sprintf(format, args...)})
	}
	state, err := f.State(solution, ledger, now)
	if err != nil {
		object("how %s stands cannot be told: %v", f.name(), err)
	}
	if state.Verdict == chemistry.Exhausted {
		var reasons []string
		for _, reason := range state.Reasons {
			if reason.Verdict == chemistry.Exhausted {
				reasons = append(reasons, reason.Text)
			}
		}
		remedy := ""
		if openML, waits := f.WaitsForPours(solution, ledger, now); waits {
			remedy = fmt.Sprintf("; %.0f mL of replenisher are due: pour them and confirm it", openML)
		}
		object("%s takes no more film: %s%s", f.name(), strings.Join(reasons, ", "), remedy)
	}
	switch needs := solution.life().MinimumML(areaM2); {
	case f.NowML <= 0:
		object("nothing is left in %s: top it up, or dump it and pour a fresh fill", f.name())
	case needs > f.NowML:
		object("%s is too little: this film needs %.0f mL, there are %.0f mL", f.name(), needs, f.NowML)
	}
	return against
}

// name is what a fill is called.
func (f Fill) name() string { return f.SolutionName + " in " + f.LineName }

// areaOf is the film of some rolls, in m².
func areaOf(rolls []RollView) float64 {
	area := 0.0
	for _, roll := range rolls {
		area += roll.Area()
	}
	return area
}

// texts are objections in words.
func texts(against []Objection) []string {
	words := make([]string, len(against))
	for i, objection := range against {
		words[i] = objection.Text
	}
	return words
}

// refusal is Refused with everything that speaks against a start.
func refusal(against []Objection) error {
	refused := Errorf(Refused, "%s", strings.Join(texts(against), "; "))
	for _, objection := range against {
		refused.Fields = append(refused.Fields, FieldError{objection.Field, objection.Text})
	}
	return refused
}

// settle decides whether objections keep film out, and returns why an owner
// lets it in all the same; "" where nothing had to be overridden.
func settle(against []Objection, override string) (string, error) {
	if len(against) == 0 {
		return "", nil
	}
	final := slices.ContainsFunc(against, func(o Objection) bool { return o.Final })
	if override == "" || final {
		return "", refusal(against)
	}
	var wrong fieldErrors
	reason := wrong.reason("override", override)
	return reason, wrong.err("it cannot start like this")
}

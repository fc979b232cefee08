package jobs

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"

	"wetside/chemistry"
)

// tankLeft is what a developer still takes, as planned film goes through it.
type tankLeft struct {
	developer Solution
	poured    bool
	known     bool    // the capacity is known
	renewed   bool    // replenisher makes up for every load before the next one
	leftM2    float64 // of the fill that is in by then
	wholeM2   float64 // of a fresh fill of the same volume
}

// freshFills walks through the open and the proposed batches in the order in
// which they are to run, and says of each what fresh fill it needs first: one
// that finds no fill where it needs one, and one that brings a fill past its
// capacity. After such a batch the fresh fill is counted on. What the control
// strips say against film in its line comes before that.
func (p *proposer) freshFills(open []Batch) error {
	tanks, err := p.developers()
	if err != nil {
		return err
	}
	type planned struct {
		batch  Batch
		begins time.Time
		said   func(string)
	}
	var all []planned
	p.out.First = map[BatchID]string{}
	for i, slot := range p.Slots(open, p.now) {
		if b := open[i]; b.State.Open() {
			all = append(all, planned{b, slot.From, func(first string) { p.out.First[b.ID] = first }})
		}
	}
	for i := range p.out.Batches {
		proposed := &p.out.Batches[i]
		all = append(all, planned{proposed.Batch, proposed.PlannedStart, func(first string) { proposed.First = first }})
	}
	slices.SortStableFunc(all, func(a, b planned) int { return a.begins.Compare(b.begins) })
	for _, one := range all {
		first := p.firstFor(one.batch, tanks)
		if says := p.Controls[ControlKey{one.batch.Line, one.batch.Process}].Objection; says != "" {
			first = strings.TrimSuffix(says+"; "+first, "; ")
		}
		if first != "" && one.batch.State != BatchDeveloping {
			one.said(first)
		}
	}
	return nil
}

// developers lists the developers in the lines with what they still take. A
// tank that needs a fill and has none is listed when a batch asks for it.
func (p *proposer) developers() (map[TankKey]*tankLeft, error) {
	tanks := map[TankKey]*tankLeft{}
	for _, fill := range p.Fills {
		solution := p.Solutions[fill.Solution]
		if !fill.DumpedAt.IsZero() || !solution.Family.IsDeveloper() {
			continue
		}
		state, err := fill.State(solution, fill.whole(), later(p.now, fill.FilledAt))
		if err != nil {
			return nil, fmt.Errorf("fill %d: %w", fill.ID, err)
		}
		tank := &tankLeft{
			developer: solution, poured: true, known: state.CapacityM2 > 0, leftM2: state.AreaLeftM2, wholeM2: state.CapacityM2,
			renewed: solution.Use == chemistry.Replenished && solution.Replenisher.MLPerM2 > 0,
		}
		if tank.renewed {
			tank.leftM2 = tank.wholeM2
		}
		tanks[TankKey{fill.Line, fill.Solution}] = tank
	}
	return tanks, nil
}

// whole is the ledger of a fill in short, for what only asks how much film went
// through it.
func (f Fill) whole() []Entry {
	if f.AreaM2 == 0 {
		return nil
	}
	return []Entry{{ID: 1, Kind: EntryFilm, At: f.FilledAt, Rolls: f.Rolls, AreaM2: f.AreaM2}}
}

func later(a, b time.Time) time.Time {
	if a.After(b) {
		return a
	}
	return b
}

// firstFor takes the film of a batch off what its developers still take, and
// says what it needs first.
func (p *proposer) firstFor(b Batch, tanks map[TankKey]*tankLeft) string {
	if b.Process == chemistry.BW && p.Solutions[b.Solution].Use != chemistry.OneShot && tanks[TankKey{b.Line, b.Solution}] == nil {
		tanks[TankKey{b.Line, b.Solution}] = &tankLeft{developer: p.Solutions[b.Solution]}
	}
	for _, solution := range p.emptyTanks(b) {
		if key := (TankKey{b.Line, solution.ID}); tanks[key] == nil {
			tanks[key] = &tankLeft{developer: solution}
		}
	}
	area := areaOf(b.Rolls)
	var through []*tankLeft
	for key, tank := range tanks {
		if b.GoesThrough(Fill{Line: key.Line, Solution: key.Solution}, tank.developer) {
			through = append(through, tank)
		}
	}
	slices.SortFunc(through, func(a, b *tankLeft) int { return cmp.Compare(a.developer.ID, b.developer.ID) })
	first := ""
	for _, tank := range through {
		if b.State == BatchDeveloping {
			tank.use(area) // whatever it still took
		} else if said := tank.take(area, b.LineName); first == "" {
			first = said
		}
	}
	return first
}

// areaSlack is what figures of area may differ by without meaning anything, in
// m²; the smallest piece of film is a hundred times as large.
const areaSlack = 1e-4

// take lets film into the developer and says what it needs first.
func (t *tankLeft) take(areaM2 float64, line string) string {
	name := fmt.Sprintf("%s on %s", t.developer.Name, line)
	switch {
	case !t.poured:
		t.poured = true
		return "needs a fill of " + name + " first"
	case !t.known:
		return ""
	case areaM2 <= t.leftM2+areaSlack:
		t.use(areaM2)
		return ""
	case areaM2 > t.wholeM2+areaSlack:
		t.use(t.leftM2)
		return "is more film than a whole fill of " + name + " takes; make it smaller"
	}
	t.leftM2 = t.wholeM2 - areaM2
	return "needs a fresh fill of " + name + " first"
}

// use takes film off what is left.
func (t *tankLeft) use(areaM2 float64) {
	if !t.renewed {
		t.leftM2 = max(0, t.leftM2-areaM2)
	}
}

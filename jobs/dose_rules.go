package jobs

import (
	"math"
	"strings"

	"wetside/chemistry"
)

// freeShare is how far, as a share of what is called for, a dose may be off
// without a word.
const freeShare = 0.2

// Confirm decides whether a dose may be confirmed, given its solution, the fill
// as it is now, the mix that was named and the containers, and returns what it
// does to the ledger. What a full tank cannot hold flows over into the first
// container of its kind, or, of a one-shot solution, is all of it waste.
func (d Dose) Confirm(c Confirmation, solution Solution, fill Fill, from Mix, containers Containers) ([]Entry, error) {
	if d.Given != nil {
		return nil, Errorf(WrongState, "%s for batch %d was confirmed already by %s", d.SolutionName, d.Batch, d.Given.By)
	}
	why, err := d.check(c)
	if err != nil {
		return nil, err
	}
	if c.ML > 0 && !d.DumpedAt.IsZero() {
		return nil, Errorf(WrongState, "the fill of %s in %s that this film went through was dumped, so nothing goes into it any more: "+
			"confirm 0 mL with a note; what went into the fresh fill is a top-up of that one", d.SolutionName, d.LineName)
	}
	if c.Mix != 0 {
		if err := from.gives(d.Solution, d.Preparation(), float64(c.ML)); err != nil {
			return nil, err
		}
	}
	poured := Entry{Kind: EntryReplenished, Fill: d.Fill, Amount: float64(c.ML), Batch: d.Batch, Push: d.Push, Recipe: d.Recipe, Answers: int64(d.ID), Why: why}
	if d.Fill != 0 {
		return fill.pourIn(poured, c.Mix, solution.Family.Waste(), containers)
	}
	into, err := containers.First(solution.Family.Waste())
	if err != nil {
		return nil, err
	}
	poured.Kind, poured.Container = EntryUsedOnce, into.ID
	return append([]Entry{poured}, poured.from(c.Mix)...), nil
}

// check checks what somebody says of a dose and returns the note as it is kept.
func (d Dose) check(c Confirmation) (string, error) {
	var wrong fieldErrors
	// Nobody pours more than a tank of it, or twice what is called for.
	wrong.volume("ml", c.ML, 0, max(d.FillML, int(math.Ceil(2*d.CalledML)), 1))
	why := strings.TrimSpace(c.Why)
	wrong.line("why", why, MaxReason)
	if off := math.Abs(float64(c.ML) - d.CalledML); why == "" && (c.ML == 0 || off > freeShare*d.CalledML && c.ML != d.RoundedML()) {
		wrong.add("why", "%d mL were poured, %.0f mL are called for: say why", c.ML, d.CalledML)
	}
	return why, wrong.err("this cannot be confirmed")
}

// volume checks whole millilitres.
func (f *fieldErrors) volume(field string, ml, low, high int) {
	if ml < low || ml > high {
		f.add(field, "%d mL is outside what is allowed, %d to %d mL", ml, low, high)
	}
}

// pourIn is what something poured into the fill does: it comes out of its mix,
// and what the fill does not hold flows over.
func (f Fill) pourIn(poured Entry, mix MixID, kind chemistry.WasteKind, containers Containers) ([]Entry, error) {
	entries := append([]Entry{poured}, poured.from(mix)...)
	over := f.NowML + poured.Amount - float64(f.VolumeML)
	if over <= 0 || poured.Amount == 0 {
		return entries, nil
	}
	into, err := containers.First(kind)
	if err != nil {
		return nil, err
	}
	return append(entries,
		Entry{Kind: poured.Kind, Fill: f.ID, Amount: -over, Why: poured.Why},
		Entry{Kind: poured.Kind, Container: into.ID, Amount: over, Why: poured.Why},
	), nil
}

// from is the other side of something that was poured from a mix; nothing where
// no mix is named, or nothing was poured.
func (e Entry) from(mix MixID) []Entry {
	if mix == 0 || e.Amount == 0 {
		return nil
	}
	return []Entry{{Kind: e.Kind, Mix: mix, Amount: -e.Amount, Batch: e.Batch, Why: e.Why}}
}

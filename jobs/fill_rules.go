package jobs

import (
	"maps"
	"slices"

	"wetside/chemistry"
)

// The volumes a fill has, in mL.
const (
	MinVolumeML = 1
	MaxVolumeML = 1_000_000
)

// CheckPour decides whether a fill may be poured, from a mix where one is named:
// Invalid for an unknown solution or line and for an impossible volume, Refused
// where they do not belong together.
func (c Catalogue) CheckPour(pour Pour, from Mix) error {
	var wrong fieldErrors
	poured, ok := c.Solutions[pour.Solution]
	if !ok {
		wrong.add("solution", "there is no such solution")
	}
	into, ok := c.Lines[pour.Line]
	if !ok {
		wrong.add("line", "there is no such line")
	}
	if pour.VolumeML < MinVolumeML || pour.VolumeML > MaxVolumeML {
		wrong.add("volume_ml", "%d mL is no volume of a fill, allowed are %d to %d mL", pour.VolumeML, MinVolumeML, MaxVolumeML)
	} else if tank := into.Tanks[pour.Solution]; tank.VolumeML > 0 && pour.VolumeML > tank.VolumeML {
		wrong.add("volume_ml", "%d mL is more than the tank of %s in %s holds, %d mL", pour.VolumeML, poured.Name, into.Name, tank.VolumeML)
	}
	switch {
	case len(wrong) > 0:
		return wrong.err("this fill cannot be recorded")
	case !poured.Active:
		return Errorf(Refused, "%s is out of use", poured.Name)
	case !into.Active:
		return Errorf(Refused, "%s is out of use", into.Name)
	case !into.RunsProcess(poured.Process):
		return Errorf(Refused, "%s is for %s, which %s does not run", poured.Name, poured.Process, into.Name)
	case pour.Mix != 0:
		return from.gives(pour.Solution, Working, float64(pour.VolumeML))
	}
	return nil
}

// gives decides whether a mix is the right one and has enough left, in mL.
func (m Mix) gives(solution SolutionID, preparation Preparation, ml float64) error {
	switch {
	case m.Solution != solution:
		return Errorf(Refused, "%s is another solution", m.Name())
	case m.Preparation != preparation:
		return Errorf(Refused, "%s is a %s mixture, a %s mixture is asked for", m.Name(), m.Preparation, preparation)
	case m.LeftML < ml:
		return Errorf(Refused, "%.0f mL are left of %s, %.0f mL are asked for", m.LeftML, m.Name(), ml)
	}
	return nil
}

// Entries are what a fresh fill does to the ledger.
func (p Pour) Entries(fill FillID) []Entry {
	ml := float64(p.VolumeML)
	entries := []Entry{{Kind: EntryFilled, Fill: fill, Amount: ml}}
	if p.Mix != 0 {
		entries = append(entries, Entry{Kind: EntryFilled, Mix: p.Mix, Amount: -ml})
	}
	return entries
}

// CheckDump decides whether a fill may be dumped, given the open batches and
// the containers, and returns what that does to the ledger.
func (c Catalogue) CheckDump(fill Fill, open []Batch, containers Containers, dump Dump) ([]Entry, error) {
	if !fill.DumpedAt.IsZero() {
		return nil, Errorf(WrongState, "this fill of %s was dumped already", fill.SolutionName)
	}
	solution := c.Solutions[fill.Solution]
	for _, b := range open {
		if b.State == BatchDeveloping && b.GoesThrough(fill, solution) {
			return nil, Errorf(WrongState, "%s is running in this fill of %s; finish or stop it first", b.name(), fill.SolutionName)
		}
	}
	var wrong fieldErrors
	reason := wrong.reason("reason", dump.Reason)
	if err := wrong.err("the fill cannot be dumped like this"); err != nil {
		return nil, err
	}
	if fill.NowML == 0 {
		// All of it was spilled: there is nothing left to put anywhere.
		return []Entry{{Kind: EntryDumped, Fill: fill.ID, Why: reason}}, nil
	}
	into, err := containers.For(solution.Family.Waste(), dump.Container, fill.NowML)
	if err != nil {
		return nil, err
	}
	return []Entry{
		{Kind: EntryDumped, Fill: fill.ID, Amount: -fill.NowML, Why: reason},
		{Kind: EntryDumped, Container: into.ID, Amount: fill.NowML, Why: reason},
	}, nil
}

// GoesThrough reports whether the film of a batch passes a fill of a solution:
// one in its line, of its process and, where it is a black-and-white developer,
// the one that the batch was put together for.
func (b Batch) GoesThrough(fill Fill, solution Solution) bool {
	if fill.Line != b.Line || solution.Process != b.Process || !fill.DumpedAt.IsZero() {
		return false
	}
	return solution.Family != chemistry.BWDeveloper || solution.ID == b.Solution
}

// Post works out what the ended batch brought into every fill it went through:
// the rolls that got wet, whatever became of them, an entry for each push level.
// Nothing is posted where none did.
func (w WetSide) Post(b Batch, moves []*RollMove) []Entry {
	levels := map[chemistry.Stops]Entry{}
	for _, move := range moves {
		if move.Roll.State != Queued {
			level := levels[move.Roll.Push]
			level.Rolls++
			level.AreaM2 += move.Roll.Area()
			levels[move.Roll.Push] = level
		}
	}
	var entries []Entry
	for _, fill := range w.Fills {
		solution := w.Solutions[fill.Solution]
		if !b.GoesThrough(fill, solution) {
			continue
		}
		for _, push := range slices.Sorted(maps.Keys(levels)) {
			film := levels[push]
			film.Kind, film.Fill, film.Batch, film.Push = EntryFilm, fill.ID, b.ID, push
			film.CalledML, film.Recipe = solution.life().CalledForML(film.AreaM2, push), solution.Version
			entries = append(entries, film)
		}
	}
	return entries
}

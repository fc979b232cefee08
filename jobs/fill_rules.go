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

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

// Post works out what the ended batch brought into every bath it went through:
// the rolls that got wet, whatever became of them. Nothing is posted where none
// did.
func (w WetSide) Post(b Batch, moves []*RollMove) []Entry {
	var wet []Roll
	for _, move := range moves {
		if move.Roll.State != Queued {
			wet = append(wet, move.Roll)
		}
	}
	return w.film(b, wet)
}

// film is what rolls of a batch bring into the baths that they go through: an
// entry for each push level in every fill, and in every one-shot solution that
// was mixed for them.
func (w WetSide) film(b Batch, rolls []Roll) []Entry {
	levels := map[chemistry.Stops]Entry{}
	for _, roll := range rolls {
		level := levels[roll.Push]
		level.Kind, level.Batch, level.Push = EntryFilm, b.ID, roll.Push
		level.Rolls++
		level.AreaM2 += roll.Area()
		levels[roll.Push] = level
	}
	pushes := slices.Sorted(maps.Keys(levels))
	var entries []Entry
	for _, fill := range w.Fills {
		solution := w.Solutions[fill.Solution]
		if !b.GoesThrough(fill, solution) {
			continue
		}
		for _, push := range pushes {
			film := levels[push]
			film.Fill, film.Recipe, film.CalledML = fill.ID, solution.Version, solution.life().CalledForML(film.AreaM2, push)
			entries = append(entries, film)
		}
	}
	for _, solution := range w.oneShots(b) {
		for _, push := range pushes {
			film := levels[push]
			film.Solution, film.Recipe, film.CalledML = solution.ID, solution.Version, solution.life().MinimumML(film.AreaM2)
			entries = append(entries, film)
		}
	}
	return entries
}

// oneShots lists the one-shot solutions that are mixed for a batch: its
// developer, and whatever else its line has a tank for. One that stands in the
// line as a fill is not mixed, and of one without a least amount nobody can say
// how much.
func (w WetSide) oneShots(b Batch) []Solution {
	stands := map[SolutionID]bool{}
	for _, fill := range w.Fills {
		stands[fill.Solution] = stands[fill.Solution] || fill.Line == b.Line && fill.DumpedAt.IsZero()
	}
	var found []Solution
	for _, id := range slices.Sorted(maps.Keys(w.Solutions)) {
		solution := w.Solutions[id]
		if solution.Use != chemistry.OneShot || solution.MinimumMLPerRoll == 0 || stands[id] {
			continue
		}
		_, tank := w.Lines[b.Line].Tanks[id]
		passed := tank && b.GoesThrough(Fill{Line: b.Line, Solution: id}, solution)
		if id == b.Solution || passed {
			found = append(found, solution)
		}
	}
	return found
}

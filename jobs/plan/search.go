package plan

import (
	"math"
	"slices"
	"sort"
)

// solver goes through the aims in their order, for a section of a day. For each
// it asks a model of the section for something better than the best draft so far.
// The model rounds due times up to a few breaks, so that an answer of "nothing
// better" holds for the day, and a better answer is tried in full; where the
// rounding hid a broken promise, that due time becomes a break and the question
// is put again.
type solver struct {
	d       *day
	effort  effort
	given   effort // at the beginning
	best    draft
	score   score
	breaks  []int
	packing map[[2]int]int // see fewest
	levels  []level
	proven  bool
	mended  bool
	ending  bool // whether this is the last question, for which nothing is kept
	least   int  // batches that can hold what must be planned
	lost    int  // rolls that no line could develop in time, were they the only ones
	floor   floor
}

// floor is what no draft is better than: in rolls that are late, in batches
// with that many late, and in the end of drafts as good by all earlier aims.
type floor struct{ late, batches, finish int }

// level says how many of the riders are due by a moment.
type level struct{ due, riders int }

// verdict is what came of a stage.
type verdict int

const (
	settled verdict = iota // the best draft is as good as any by this aim
	again                  // a break was added
	unsure                 // the effort was spent before an answer
)

// How the effort is shared out.
const (
	quick        = 5_000_000 // for a question before the best draft has been mended
	mendShare    = 20        // the part that mending may take of what is left
	mendMost     = 300       // rolls; with more, mending is no use
	keepShare    = 3         // the part that a question leaves to later ones
	packingShare = 20        // the part that one question of packing may take
	giveUpShare  = 6         // the part of all for the rest, once no proof can come of it
)

// unless takes back that a stage is settled where the best draft falls short of
// what the model said.
func (v verdict) unless(short bool) verdict {
	if v == settled && short {
		return unsure
	}
	return v
}

func newSolver(d *day, e effort) *solver {
	s := &solver{d: d, effort: e, given: e, packing: map[[2]int]int{}, best: greedy(d)}
	s.mended = len(d.rolls) > mendMost
	s.score = s.best.score(d)
	for f := range d.families {
		s.least += s.fewest(f, math.MaxInt)
	}
	s.lost = newModel(d, scope{breaks: []int{math.MaxInt32}}, false).lost
	s.floor = floor{late: s.lost, batches: s.least}
	s.breaks = s.firstBreaks()
	return s
}

// rounds goes through all aims but the last, again for as long as that adds
// breaks.
func (s *solver) rounds() {
	before := s.score
	for s.round() {
	}
	before.finish = s.score.finish
	if s.score.compare(before) != 0 {
		s.floor.finish = 0 // it was that of other drafts
	}
}

// round goes through all aims but the last once and says whether to go again.
func (s *solver) round() bool {
	s.proven = true
	s.levels = nil
	for _, stage := range []func() verdict{s.fewestLate, s.fewestBatches, s.mostRiders, s.earliestRiders} {
		if s.effort.left < leastEffort {
			s.giveUp()
			return false
		}
		switch stage() {
		case again:
			return true
		case unsure:
			s.giveUp()
		}
	}
	return false
}

// giveUp notes that the best draft will not be proven: later aims are worth
// little effort then.
func (s *solver) giveUp() {
	s.proven = false
	s.effort.left = min(s.effort.left, s.given.left/giveUpShare)
}

// firstBreaks is the last due time that matters, so that the first model only
// looks at how much can be done in the day.
func (s *solver) firstBreaks() []int {
	for _, r := range slices.Backward(s.d.rolls) {
		if r.early {
			return []int{r.due}
		}
	}
	return nil
}

// model makes the model of the present breaks for drafts with no more late
// rolls and batches than the best has.
func (s *solver) model(riders bool, late int) *model {
	m := newModel(s.d, scope{breaks: s.breaks, riders: riders}, late > s.lost)
	if len(m.late) > 0 {
		m.atMost(float64(late-m.lost), m.late...)
	}
	s.cut(m)
	return m
}

// cut adds what packing alone says about each family: the rolls due by a break
// need so many loads by then, one fewer for each of them that is late.
func (s *solver) cut(m *model) {
	for _, fm := range m.fams {
		for class := 0; class <= len(s.breaks); class++ {
			if class < len(s.breaks) && !fm.has(class) {
				continue
			}
			var terms []term
			for _, c := range fm.cols {
				if c.class <= class {
					terms = append(terms, term{c.col, 1})
				}
			}
			need := 0
			if class == len(s.breaks) {
				need = s.fewest(fm.f, math.MaxInt)
			} else {
				need = s.fewest(fm.f, s.breaks[class])
				for i, k := range fm.kinds {
					need -= len(k.lost)
					for _, col := range fm.cells[i].missed[:class+1] {
						if col >= 0 {
							terms = append(terms, term{col, 1})
						}
					}
				}
			}
			if need > 0 {
				m.atLeast(float64(need), terms...)
			}
		}
	}
}

// fewest is the fewest loads that hold the early rolls of a family due by a
// moment, or a bound below it where that is too hard to say.
func (s *solver) fewest(f, by int) int {
	early := 0
	for _, r := range s.d.families[f].rolls {
		if s.d.rolls[r].early && s.d.rolls[r].due <= by {
			early++
		}
	}
	if early <= 1 {
		return early
	}
	key := [2]int{f, early}
	if n, ok := s.packing[key]; ok {
		return n
	}
	m := newModel(s.d, scope{only: func(r *roll) bool { return r.family == f && r.due <= by }}, false)
	for _, t := range m.loads {
		m.cols[t.col].cost = 1
	}
	part := effort{s.effort.left / packingShare}
	answer := minimise(&m.program, math.Inf(1), nil, nil, &part)
	s.effort.left -= s.effort.left/packingShare - part.left
	// Without an answer there may be no bound at all; two rolls need a load.
	n := int(max(1, math.Ceil(answer.bound-1e-6)))
	s.packing[key] = n
	return n
}

// try looks for a draft that costs less than the cutoff in the model and keeps
// the number of late rolls, or, where that is negative, as many as it costs. It
// takes every draft on the way that is better than the best, and stops at one
// that breaks a promise of which the model did not know.
func (s *solver) try(m *model, cutoff float64, late int) (answer, verdict) {
	result := settled
	found := func(x []float64) bool {
		p := m.draft(x)
		if p == nil {
			result = unsure
			return true
		}
		score := p.score(s.d)
		if score.compare(s.score) < 0 {
			s.best, s.score = p, score
		}
		may := late
		if may < 0 {
			may = m.lost + int(math.Round(m.value(x)))
		}
		if score.late <= may {
			result = settled
			return true
		}
		result = unsure
		if s.refine(p) {
			result = again
		}
		return result == unsure
	}
	part := s.effort
	if !s.ending {
		part.left -= part.left / keepShare
	}
	if !s.mended {
		part.left = min(part.left, quick)
	}
	before := part.left
	a := minimise(&m.program, cutoff, m.known(s.best), found, &part)
	s.effort.left -= before - part.left
	if !a.proven && result == settled {
		result = unsure
	}
	if result == unsure && !s.mended {
		s.mended = true
		work := s.effort.left / mendShare
		s.best, s.score = s.d.mend(s.best, work)
		s.effort.left -= work
		return a, again
	}
	return a, result
}

// refine makes breaks of due times that the draft misses, and says whether
// there were any that were not breaks yet.
func (s *solver) refine(p draft) bool {
	var missed []int
	for _, load := range p {
		for _, r := range load.rolls {
			roll := s.d.rolls[r]
			if at := sort.SearchInts(s.breaks, roll.due); roll.early && load.end > roll.due &&
				at < len(s.breaks) && s.breaks[at] != roll.due {
				missed = append(missed, roll.due)
			}
		}
	}
	slices.Sort(missed)
	missed = slices.Compact(missed)
	const few = 3
	for len(missed) > few {
		missed = slices.Delete(missed, len(missed)/2, len(missed)/2+1)
	}
	s.breaks = append(s.breaks, missed...)
	slices.Sort(s.breaks)
	return len(missed) > 0
}

package plan

import (
	"cmp"
	"slices"
)

// effortFor is what a day with some rolls may take: two seconds or so where there
// are as many as a lab develops in a day, less than one where there are far
// more than that.
func effortFor(rolls int) effort {
	const most, least = 1_000_000_000, 150_000_000
	return effort{max(most/max(rolls, usualRolls)*usualRolls, least)}
}

// thoroughEffortFor is five times as much up to that many rolls, and no more than
// that with thousands, for which it would be no use.
func thoroughEffortFor(rolls int) effort {
	usual := effortFor(rolls)
	over := float64(max(rolls, usualRolls)) / usualRolls
	return effort{max(usual.left, int(5*float64(effortFor(0).left)/(over*over)))}
}

// usualRolls is about the most that a small lab develops in a day.
const usualRolls = 300

// leastEffort is what is worth beginning anything with.
const leastEffort = 3_000_000

// search finds the best draft it can, says whether it is proven, and the
// fewest batches that can hold what must be planned.
func search(d *day, e effort) (draft, bool, int) {
	sections := d.sections()
	// The small ones first leave what they do not need to the large.
	slices.SortStableFunc(sections, func(a, b section) int { return cmp.Compare(len(a.rolls), len(b.rolls)) })
	waiting := 0
	for _, p := range sections {
		waiting += len(p.rolls)
	}
	var solvers []*solver
	for _, p := range sections {
		share := effort{int(float64(e.left) / float64(waiting) * float64(len(p.rolls)))}
		s := newSolver(p.day, share)
		s.rounds()
		e.left -= share.left - s.effort.left
		waiting -= len(p.rolls)
		solvers = append(solvers, s)
	}
	// What is left over goes to those that had too little.
	for _, s := range solvers {
		if !s.proven && e.left >= leastEffort {
			s.effort, s.given = e, e
			s.rounds()
			e = s.effort
		}
	}
	proven := finishEarly(solvers, e)
	var best draft
	least, batches := 0, 0
	for i, s := range solvers {
		best = append(best, sections[i].inDay(d, s.best)...)
		least, batches, proven = least+s.least, batches+s.score.batches, proven && s.proven
	}
	best.time(d)
	if proven {
		least = batches
	}
	return best, proven, least
}

// finishEarly settles the last aim, on the section of the day that ends last for
// as long as it can be made to end earlier, and says whether it is proven.
func finishEarly(solvers []*solver, e effort) bool {
	if len(solvers) == 0 {
		return true
	}
	for {
		last := slices.MaxFunc(solvers, func(a, b *solver) int { return cmp.Compare(a.score.finish, b.score.finish) })
		if last.score.finish <= last.floor.finish {
			return true
		}
		if e.left < leastEffort {
			return false
		}
		last.effort, last.ending = e, true
		v := last.earliestFinish()
		last.ending = false
		if v == again {
			last.rounds()
		}
		if v == unsure {
			return false
		}
		e = last.effort
	}
}

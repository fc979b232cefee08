package plan_test

import (
	"cmp"
	"math"
	"slices"
	"time"

	"wetside/jobs/plan"
)

// worth is a plan's standing by the aims, in seconds from the start.
type worth struct {
	late, batches, riders int
	dues                  []int // of the riders, ascending
	finish                int
}

func (w worth) compare(other worth) int {
	return cmp.Or(cmp.Compare(w.late, other.late), cmp.Compare(w.batches, other.batches),
		cmp.Compare(other.riders, w.riders), slices.Compare(w.dues, other.dues), cmp.Compare(w.finish, other.finish))
}

// brute finds the best worth of a small day by trying every partition of the
// rolls into batches, every line for each batch and every order on each line.
// It shares nothing with the planner.
type brute struct {
	in      plan.Input
	rolls   []plan.Roll // those that some line can take, early ones first
	early   int
	batches [][]int
	best    worth
}

func bruteForce(in plan.Input) worth {
	b := &brute{in: in, best: worth{late: math.MaxInt}}
	for _, r := range in.Rolls {
		if slices.ContainsFunc(in.Lines, func(l plan.Line) bool { return fits(l, r) }) {
			b.rolls = append(b.rolls, r)
		}
	}
	slices.SortStableFunc(b.rolls, func(x, y plan.Roll) int { return x.Due.Compare(y.Due) })
	for b.early < len(b.rolls) && !b.rolls[b.early].Due.After(in.Until) {
		b.early++
	}
	b.place(0)
	return b.best
}

func fits(l plan.Line, r plan.Roll) bool {
	room, ok := l.Takes[r.Format]
	return ok && room <= l.Capacity && slices.Contains(l.Processes, r.Process)
}

// place puts roll i into every batch it can be in.
func (b *brute) place(i int) {
	if i == len(b.rolls) {
		b.assign(0, make([]int, len(b.batches)))
		return
	}
	for k := range b.batches {
		if b.together(append(slices.Clone(b.batches[k]), i)) {
			b.batches[k] = append(b.batches[k], i)
			b.place(i + 1)
			b.batches[k] = b.batches[k][:len(b.batches[k])-1]
		}
	}
	if i >= b.early {
		b.place(i + 1) // found no room
		return
	}
	b.batches = append(b.batches, []int{i})
	b.place(i + 1)
	b.batches = b.batches[:len(b.batches)-1]
}

func (b *brute) together(rolls []int) bool {
	first := b.rolls[rolls[0]]
	window := first.DevelopS
	for _, i := range rolls[1:] {
		r := b.rolls[i]
		if r.Process != first.Process || r.Solution != first.Solution ||
			r.Push != first.Push && !slices.Contains(b.in.Combine, r.Process) {
			return false
		}
		window = plan.Window{max(window[0], r.DevelopS[0]), min(window[1], r.DevelopS[1])}
	}
	return window[0] <= window[1]
}

// assign gives batch k every line that can run it.
func (b *brute) assign(k int, lines []int) {
	if k == len(b.batches) {
		b.measure(lines)
		return
	}
	for l, line := range b.in.Lines {
		used, ok := 0, true
		for _, i := range b.batches[k] {
			ok = ok && fits(line, b.rolls[i])
			used += line.Takes[b.rolls[i].Format]
		}
		if ok && used <= line.Capacity {
			lines[k] = l
			b.assign(k+1, lines)
		}
	}
}

// measure finds the best order on each line by a table over sets of batches.
func (b *brute) measure(lines []int) {
	w := worth{batches: len(b.batches)}
	for l, line := range b.in.Lines {
		var mine []int
		for k, of := range lines {
			if of == l {
				mine = append(mine, k)
			}
		}
		length := make([]int, len(mine))
		for n, k := range mine {
			length[n] = line.TurnaroundS
			develop := 0
			for _, i := range b.batches[k] {
				develop = max(develop, b.rolls[i].DevelopS[0])
			}
			length[n] += develop
		}
		fewest := make([]int, 1<<len(mine))
		for set := 1; set < len(fewest); set++ {
			end := 0
			for n := range mine {
				if set>>n&1 == 1 {
					end += length[n]
				}
			}
			fewest[set] = math.MaxInt
			for n, k := range mine {
				if set>>n&1 == 1 {
					fewest[set] = min(fewest[set], fewest[set&^(1<<n)]+b.lateAt(k, end))
				}
			}
			w.finish = max(w.finish, end)
		}
		w.late += fewest[len(fewest)-1]
	}
	for _, batch := range b.batches {
		for _, i := range batch {
			if i >= b.early {
				w.riders++
				w.dues = append(w.dues, int(b.rolls[i].Due.Sub(b.in.Start)/time.Second))
			}
		}
	}
	slices.Sort(w.dues)
	if w.compare(b.best) < 0 {
		b.best = w
	}
}

func (b *brute) lateAt(k, end int) int {
	late := 0
	for _, i := range b.batches[k] {
		if i < b.early && b.in.Start.Add(time.Duration(end)*time.Second).After(b.rolls[i].Due) {
			late++
		}
	}
	return late
}

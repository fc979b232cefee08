package plan

import (
	"math"
	"slices"
)

// implied works out what the ends of some columns say about those of others,
// row by row: where all other terms of a row stand at their least, what is left
// of it bounds a column. In whole numbers that sees much that the continuous
// program does not.
type implied struct {
	rows  []row // of the program, and its cost, which must be below the best, as the last
	byCol sparse
	queue []int
	isIn  []bool // whether a row is in the queue
}

// mostVisits is how many times the rows are gone through at once at most,
// because large ends can creep.
const mostVisits = 3

func newImplied(p *program, rows int) implied {
	cost := row{lo: math.Inf(-1)}
	for j, c := range p.cols {
		if c.cost != 0 {
			cost.terms = append(cost.terms, term{j, c.cost})
		}
	}
	im := implied{rows: append(slices.Clone(p.rows[:rows]), cost)}
	im.byCol = newSparse(len(p.cols), im.rows, true)
	im.isIn = make([]bool, len(im.rows))
	return im
}

func (im *implied) enqueue(row int) {
	if !im.isIn[row] {
		im.isIn[row] = true
		im.queue = append(im.queue, row)
	}
}

// confine moves the ends of a column and brings in those of others as far as
// that implies. It adds the ends of before to those given, and says whether
// every column has a whole number left. Nothing is moved off its place: see
// simplex.rest.
func (b *branching) confine(before []ends, v int, lo, up float64) ([]ends, bool) {
	return b.imply(b.end(before, v, lo, up))
}

// end moves the ends of a column and queues its rows.
func (b *branching) end(before []ends, v int, lo, up float64) []ends {
	before = append(before, ends{v, b.s.lo[v], b.s.up[v]})
	b.s.lo[v], b.s.up[v] = lo, up
	for k := b.implied.byCol.start[v]; k < b.implied.byCol.start[v+1]; k++ {
		b.implied.enqueue(int(b.implied.byCol.index[k]))
	}
	return before
}

// undo takes back ends, the last first, all but so many.
func (b *branching) undo(before []ends, but int) []ends {
	for _, e := range slices.Backward(before[but:]) {
		b.s.lo[e.v], b.s.up[e.v] = e.lo, e.up
	}
	return before[:but]
}

// imply goes through the rows in the queue.
func (b *branching) imply(before []ends) ([]ends, bool) {
	im, ok := &b.implied, true
	im.rows[len(im.rows)-1].up = math.Round(b.best.value) - 1
	for at := 0; at < len(im.queue); at++ {
		i := im.queue[at]
		im.isIn[i] = false
		if ok && at < mostVisits*len(im.rows) {
			before, ok = b.implyRow(before, &im.rows[i])
		}
	}
	im.queue = im.queue[:0]
	return before, ok
}

// implyRow brings in the ends of columns as far as one row says.
func (b *branching) implyRow(before []ends, r *row) ([]ends, bool) {
	const slip = 1e-6
	least, most := 0.0, 0.0
	for _, t := range r.terms {
		lo, up := t.coef*b.s.lo[t.col], t.coef*b.s.up[t.col]
		least += min(lo, up)
		most += max(lo, up)
	}
	b.s.work += len(r.terms)
	if least > r.up+slip || most < r.lo-slip {
		return before, false
	}
	if most <= r.up && least >= r.lo {
		return before, true
	}
	b.s.work += len(r.terms)
	for _, t := range r.terms {
		lo, up := b.s.lo[t.col], b.s.up[t.col]
		rise := math.Floor((r.up-least)/math.Abs(t.coef) + slip)
		fall := math.Floor((most-r.lo)/math.Abs(t.coef) + slip)
		if t.coef < 0 {
			rise, fall = fall, rise
		}
		if lo+rise < up || up-fall > lo {
			before = b.end(before, t.col, max(lo, up-fall), min(up, lo+rise))
		}
	}
	return before, true
}

// What is probed: the part of the effort for it, and how far apart the ends of a
// column may be, because a step from one of many says little.
const (
	probeShare = 20
	probeMost  = 3
)

// probe brings in the ends of columns for good by trying each at its lower end
// and above it: what both sides imply holds, and where one side has nothing
// left, what the other implies. It says whether both never had nothing left.
func (b *branching) probe(allowed int) bool {
	for i := range b.implied.rows {
		b.implied.enqueue(i)
	}
	if _, ok := b.imply(nil); !ok {
		return false
	}
	until := b.s.work + (allowed-b.s.work)/probeShare
	for won := true; won; {
		won = false
		for v, c := range b.p.cols {
			if c.rank == 0 || b.s.lo[v] == b.s.up[v] || b.s.up[v] > b.s.lo[v]+probeMost {
				continue
			}
			if b.s.work > until {
				return true
			}
			tighter, ok := b.probeColumn(v)
			if !ok {
				return false
			}
			won = won || tighter
		}
	}
	return true
}

// probeColumn probes one column and says whether that brought in any ends and
// whether anything is left.
func (b *branching) probeColumn(v int) (tighter, ok bool) {
	lo, up := b.s.lo[v], b.s.up[v]
	below, belowOK := b.side(v, lo, lo)
	above, aboveOK := b.side(v, lo+1, up)
	switch {
	case !belowOK && !aboveOK:
		return false, false
	case !aboveOK:
		_, ok = b.confine(nil, v, lo, lo)
		return true, ok
	case !belowOK:
		_, ok = b.confine(nil, v, lo+1, up)
		return true, ok
	}
	for at, a := range above {
		if c, both := below[at]; both {
			lo, up := min(a.lo, c.lo), max(a.up, c.up)
			if lo > b.s.lo[at] || up < b.s.up[at] {
				b.s.lo[at], b.s.up[at] = max(lo, b.s.lo[at]), min(up, b.s.up[at])
				tighter = true
			}
		}
	}
	return tighter, true
}

// side returns the ends that follow from those of a column.
func (b *branching) side(v int, lo, up float64) (map[int]ends, bool) {
	before, ok := b.confine(b.before[:0], v, lo, up)
	after := make(map[int]ends, len(before))
	for _, e := range before {
		after[e.v] = ends{e.v, b.s.lo[e.v], b.s.up[e.v]}
	}
	b.before = b.undo(before, 0)
	return after, ok
}

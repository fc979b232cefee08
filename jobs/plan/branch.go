package plan

import "math"

// nudgeTotal bounds what the nudges of all costs together can add to the cost
// of a solution.
const nudgeTotal = 0.02

// nudge is a small cost of a column's own, so that the simplex method never
// stands before a choice of equals. It only depends on where the column stands.
func nudge(c column, j int) float64 {
	if c.nudge == 0 {
		return 0
	}
	spread := float64((uint32(j)+1)*2654435761>>8) / (1 << 24)
	return c.nudge * (0.5 + spread/2)
}

// effort is the work that a search may still spend. It counts entries of
// tableaux, not time, so that a plan never depends on the machine.
type effort struct{ left int }

// answer is what a search has found.
type answer struct {
	x      []float64 // nil where nothing better than the cutoff was found
	value  float64
	proven bool // that nothing costs less, or less than the cutoff
	bound  float64
}

// branching is a depth-first branch and bound.
type branching struct {
	s      *simplex
	p      *program
	best   answer
	effort *effort
}

// minimise finds the least cost below the cutoff in whole numbers. The costs of
// whole solutions must be whole numbers themselves.
func minimise(p *program, cutoff float64, e *effort) answer {
	b := &branching{s: newSimplex(p), p: p, effort: e}
	b.best = answer{value: cutoff, proven: true, bound: math.Inf(-1)}
	before := b.s.work
	allowed := e.left
	b.node(before + allowed)
	e.left -= b.s.work - before
	if b.best.proven {
		b.best.bound = b.best.value
	}
	return b.best
}

// limit is the cost at which a branch holds nothing better than the best.
func (b *branching) limit() float64 { return b.best.value - 1 + nudgeTotal }

// node settles the branch within the present ends.
func (b *branching) node(allowed int) {
	switch b.s.solve(b.limit()+1e-6, allowed) {
	case impossible:
		return
	case spent:
		b.best.proven = false
		return
	}
	value := b.s.value()
	if math.IsInf(b.best.bound, -1) {
		b.best.bound = value - nudgeTotal
	}
	if value > b.limit()+1e-6 {
		return
	}
	v := b.fraction()
	if v < 0 {
		b.take()
		return
	}
	lo, up, x := b.s.lo[v], b.s.up[v], b.s.x[v]
	down := math.Floor(x + 1e-6)
	b.s.bound(v, down+1, up)
	b.node(allowed)
	if !b.best.proven {
		return
	}
	b.s.bound(v, lo, down)
	b.node(allowed)
	b.s.bound(v, lo, up)
}

// fraction picks the column to branch on: of the lowest rank that is not
// whole, the one furthest from it.
func (b *branching) fraction() int {
	best, bestRank, most := -1, 0, 0.0
	for j, c := range b.p.cols {
		if c.rank == 0 || best >= 0 && c.rank > bestRank {
			continue
		}
		off := math.Abs(b.s.x[j] - math.Round(b.s.x[j]))
		if off > 1e-6 && (best < 0 || c.rank < bestRank || off > most+1e-9) {
			best, bestRank, most = j, c.rank, off
		}
	}
	return best
}

// take keeps the present point, whole as it is, as the best.
func (b *branching) take() {
	x := make([]float64, len(b.p.cols))
	for j, c := range b.p.cols {
		x[j] = b.s.x[j]
		if c.rank > 0 {
			x[j] = math.Round(x[j])
		}
	}
	if !b.p.holds(x) {
		b.best.proven = false
		return
	}
	if value := b.p.value(x); value < b.best.value {
		b.best.x, b.best.value = x, value
	}
}

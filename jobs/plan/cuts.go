package plan

import (
	"cmp"
	"math"
	"slices"
)

// Limits of the cuts made before branching.
const (
	cutRounds   = 60
	cutPatience = 5  // rounds without a gain
	cutShare    = 20 // of the effort
	cutsARound  = 25
	coefSpread  = 1e5  // the largest coefficient of a cut to the smallest
	cutSlack    = 1e-7 // given away, so that no rounding cuts off a solution
)

// tighten adds rows that every whole solution keeps and the present point does
// not, for as long as that raises the cost now and then. Rows that no longer
// matter are dropped on the way.
func (b *branching) tighten(allowed int) outcome {
	until := b.s.work + (allowed-b.s.work)/cutShare
	value, stale := b.s.value(), 0
	if out := b.addMore(allowed); out != solved {
		return out
	}
	for round := 1; round <= cutRounds && stale < cutPatience && b.s.work < until; round++ {
		if b.fraction() < 0 || b.addCuts() == 0 {
			break
		}
		if out := b.s.solve(b.limit()+1e-6, allowed); out != solved {
			return out
		}
		stale++
		if now := b.s.value(); now > value+1e-3 {
			value, stale = now, 0
		}
		if round%3 == 0 {
			if out := b.dropCuts(allowed); out != solved {
				return out
			}
		}
	}
	return b.dropCuts(allowed)
}

// addMore adds the rows that the program knows more of, and keeps those by which
// the present point is held in the end.
func (b *branching) addMore(allowed int) outcome {
	if b.p.more == nil {
		return solved
	}
	for {
		more := b.p.more(b.s.x[:b.s.n])
		if len(more) == 0 {
			break
		}
		for _, r := range more {
			b.s.work += 5 * len(r.terms)
		}
		b.p.rows = append(b.p.rows, more...)
		b.s.extend()
		if out := b.s.solve(b.limit()+1e-6, allowed); out != solved {
			return out
		}
	}
	out := b.dropCuts(allowed)
	b.rows = len(b.p.rows)
	b.implied = newImplied(b.p, b.rows)
	return out
}

// dropCuts leaves only the cuts that the present point is held by.
func (b *branching) dropCuts(allowed int) outcome {
	kept := slices.Clone(b.p.rows[:b.rows])
	for i, r := range b.p.rows[b.rows:] {
		if b.s.at[b.s.n+b.rows+i] < 0 {
			kept = append(kept, r)
		}
	}
	if len(kept) == len(b.p.rows) {
		return solved
	}
	b.p.rows = kept
	work := b.s.work
	b.s = newSimplex(b.p)
	b.s.work += work
	return b.s.solve(b.limit()+1e-6, allowed)
}

// cut is a row with a lower end alone.
type cut struct {
	terms []term
	lo    float64
	depth float64 // how far the present point is beyond it
}

// addCuts adds the deepest cuts at the present point.
func (b *branching) addCuts() int {
	var cuts []cut
	keep := func(e equation, times []float64) {
		if r, ok := e.deepest(times); ok {
			if c, ok := b.cut(e, r); ok {
				cuts = append(cuts, c)
			}
		}
		b.s.work += 20 * len(e.parts)
	}
	for r, v := range b.s.basic {
		x := b.s.x[v]
		if (v < b.s.n || b.wholeRow(v-b.s.n)) && math.Abs(x-math.Round(x)) > fractionMin/2 {
			keep(b.tableauEquation(r), []float64{1, 2, 3, 4, 5, 6})
		}
	}
	for i := range b.rows {
		if e, times := b.rowEquation(i); len(times) > 0 {
			keep(e, times)
		}
	}
	slices.SortStableFunc(cuts, func(a, c cut) int { return cmp.Compare(c.depth, a.depth) })
	cuts = cuts[:min(len(cuts), cutsARound)]
	for _, c := range cuts {
		b.p.atLeast(c.lo, c.terms...)
	}
	b.s.extend()
	return len(cuts)
}

// wholeRow says whether the sum of a row is a whole number in every whole
// solution: all are but the cuts.
func (b *branching) wholeRow(i int) bool { return i < b.rows }

// tableauEquation is what a row of the tableau says about the nonbasic
// variables, which all stand at zero when counted from the end they rest on.
// The basic variable, whole itself, is left out.
func (b *branching) tableauEquation(r int) equation {
	s := b.s
	s.pivotRow(r)
	e := equation{sum: s.x[s.basic[r]]}
	for _, v := range s.touched {
		if s.lo[v] == s.up[v] || math.Abs(s.alpha[v]) < nothing {
			continue
		}
		p := part{v: v, a: -s.alpha[v], whole: v < s.n || b.wholeRow(v-s.n), fromUp: s.atUp(v)}
		if p.fromUp {
			p.a = -p.a
		}
		e.parts = append(e.parts, p)
	}
	return e
}

// rowEquation is what a row of the program says, with its own sum as one more
// variable and every column counted from its nearer end, and by what it is
// worth dividing it: the coefficients of columns that are not whole.
func (b *branching) rowEquation(i int) (equation, []float64) {
	s := b.s
	var times []float64
	e := equation{}
	for _, t := range b.p.rows[i].terms {
		v := t.col
		if s.lo[v] == s.up[v] {
			e.sum -= t.coef * s.lo[v]
			continue
		}
		p := part{v: v, a: t.coef, whole: true, fromUp: s.x[v]-s.lo[v] > s.up[v]-s.x[v], at: s.x[v] - s.lo[v]}
		e.sum -= t.coef * s.lo[v]
		if p.fromUp {
			e.sum -= t.coef * (s.up[v] - s.lo[v])
			p.a, p.at = -p.a, s.up[v]-s.x[v]
		}
		if f := math.Abs(s.x[v] - math.Round(s.x[v])); f > 1e-5 && math.Abs(t.coef) > 1 && len(times) < 8 &&
			!slices.Contains(times, 1/math.Abs(t.coef)) {
			times = append(times, 1/math.Abs(t.coef))
		}
		e.parts = append(e.parts, p)
	}
	v := s.n + i
	switch up := s.up[v]; {
	case s.lo[v] == up:
		e.sum += up
	case math.IsInf(s.lo[v], -1) || up-s.x[v] < s.x[v]-s.lo[v]:
		e.sum += up
		e.parts = append(e.parts, part{v: v, a: 1, whole: true, fromUp: true, at: up - s.x[v]})
	default:
		e.sum += s.lo[v]
		e.parts = append(e.parts, part{v: v, a: -1, whole: true, at: s.x[v] - s.lo[v]})
	}
	return e, times
}

// cut turns a rounding of an equation into a row over the columns.
func (b *branching) cut(e equation, r rounding) (cut, bool) {
	s := b.s
	dense := make([]float64, s.n)
	lo := 1.0
	for i := range e.parts {
		p := &e.parts[i]
		g := r.weight(p)
		if g < 1e-12 {
			continue
		}
		if p.fromUp {
			lo -= g * s.up[p.v]
			g = -g
		} else {
			lo += g * s.lo[p.v]
		}
		if p.v < s.n {
			dense[p.v] += g
			continue
		}
		for _, t := range b.p.rows[p.v-s.n].terms {
			dense[t.col] += g * t.coef
		}
	}
	return b.tidy(dense, lo)
}

// tidy drops coefficients that are next to nothing, giving away what they
// could add, and refuses a cut that is hardly deeper than the point.
func (b *branching) tidy(dense []float64, lo float64) (cut, bool) {
	largest := 0.0
	for _, g := range dense {
		largest = max(largest, math.Abs(g))
	}
	if largest == 0 {
		return cut{}, false
	}
	c := cut{}
	lo /= largest
	norm, sum := 0.0, 0.0
	for j, g := range dense {
		g /= largest
		if g == 0 {
			continue
		}
		if math.Abs(g) < 1/coefSpread {
			lo -= max(g*b.s.lo[j], g*b.s.up[j])
			continue
		}
		c.terms = append(c.terms, term{j, g})
		norm += g * g
		sum += g * b.s.x[j]
	}
	if norm == 0 {
		return cut{}, false
	}
	c.lo = lo - cutSlack*(1+math.Abs(lo))
	c.depth = (c.lo - sum) / math.Sqrt(norm)
	return c, c.depth > 1e-3
}

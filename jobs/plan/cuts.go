package plan

import (
	"cmp"
	"math"
	"slices"
)

// Limits of the cuts made before branching.
const (
	cutRounds   = 12
	cutsARound  = 14
	coefSpread  = 1e5  // the largest coefficient of a cut to the smallest
	cutSlack    = 1e-7 // given away, so that no rounding cuts off a solution
	fractionMin = 0.02
)

// tighten adds rows that every whole solution keeps and the present point does
// not (Gomory's mixed-integer cuts), for as long as that raises the cost or
// brings more columns to whole numbers. It leaves a fresh simplex with those
// rows only that matter.
func (b *branching) tighten(allowed int) outcome {
	first := len(b.p.rows)
	value := b.s.value()
	stale := 0
	for range cutRounds {
		if b.fraction() < 0 || b.s.work > allowed {
			break
		}
		if b.addCuts() == 0 {
			break
		}
		if out := b.s.solve(b.limit()+1e-6, allowed); out != solved {
			return out
		}
		now := b.s.value()
		if now < value+1e-4 {
			if stale++; stale > 3 {
				break
			}
		} else {
			stale = 0
		}
		value = now
	}
	if len(b.p.rows) == first {
		return solved
	}
	kept := b.p.rows[:first]
	for i := first; i < len(b.p.rows); i++ {
		if v := b.s.n + i; b.s.at[v] < 0 || b.s.x[v] < b.s.lo[v]+1e-6 {
			kept = append(kept, b.p.rows[i])
		}
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
	for r, v := range b.s.basic {
		if v >= b.s.n && !b.wholeRow(v-b.s.n) {
			continue
		}
		if f := b.s.x[v] - math.Floor(b.s.x[v]); f > fractionMin && f < 1-fractionMin {
			if c, ok := b.gomory(r, f); ok {
				cuts = append(cuts, c)
			}
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

// gomory makes the cut of a row of the tableau whose basic variable has the
// fraction f. It counts every nonbasic variable from the end it rests on.
func (b *branching) gomory(r int, f float64) (cut, bool) {
	s := b.s
	dense := make([]float64, s.n)
	lo := 1.0
	s.pivotRow(r)
	for _, v := range s.touched {
		if s.lo[v] == s.up[v] || math.Abs(s.alpha[v]) < nothing {
			continue
		}
		atUp := s.atUp(v)
		a := -s.alpha[v]
		if atUp {
			a = -a
		}
		g := gomoryCoef(a, f, v < s.n || b.wholeRow(v-s.n))
		if g < 1e-12 {
			continue
		}
		// The variable less its lower end, or its upper end less it.
		if atUp {
			lo -= g * s.up[v]
			g = -g
		} else {
			lo += g * s.lo[v]
		}
		if v < s.n {
			dense[v] += g
			continue
		}
		for _, t := range b.p.rows[v-s.n].terms {
			dense[t.col] += g * t.coef
		}
	}
	return b.tidy(dense, lo)
}

// gomoryCoef is the weight in the cut of a nonbasic variable with coefficient
// a, where the basic one has the fraction f.
func gomoryCoef(a, f float64, whole bool) float64 {
	if !whole {
		if a > 0 {
			return a / f
		}
		return -a / (1 - f)
	}
	fraction := a - math.Floor(a)
	if fraction < 1e-9 || fraction > 1-1e-9 {
		return 0
	}
	if fraction <= f {
		return fraction / f
	}
	return (1 - fraction) / (1 - f)
}

// tidy drops coefficients that are next to nothing, giving away what they
// could add, and refuses a cut whose coefficients spread too far.
func (b *branching) tidy(dense []float64, lo float64) (cut, bool) {
	largest := 0.0
	for _, g := range dense {
		largest = max(largest, math.Abs(g))
	}
	if largest == 0 {
		return cut{}, false
	}
	scale := 1 / largest
	c := cut{}
	lo *= scale
	norm, sum := 0.0, 0.0
	for j, g := range dense {
		g *= scale
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
	return c, c.depth > 1e-4
}

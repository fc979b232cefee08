package plan

import (
	"cmp"
	"math"
	"slices"
)

// Tolerances of the arithmetic. Coefficients are small whole numbers and hours,
// so that these are far from both noise and meaning.
const (
	feasible   = 1e-7 // how far beyond an end still counts as on it
	smallPivot = 1e-7
	nothing    = 1e-11
)

// simplex solves the continuous form of a program by the dual simplex method
// on a full tableau. Every column has two finite ends, so any basis can be made
// dual feasible, and moving the ends, as branching does, keeps it so: the next
// solution starts from the last one.
type simplex struct {
	p       *program
	n, m    int
	cost    []float64   // of columns, nudged so that no two ways cost the same
	lo, up  []float64   // ends of columns, then rows
	rows    [][]float64 // each basic variable as a sum of the nonbasic ones
	reduced []float64   // cost of one unit of each nonbasic variable
	basic   []int       // variable of each row of the tableau
	outside []int       // variable of each column of the tableau
	at      []int       // column of the tableau of each variable, -1-row when basic
	x       []float64   // values of all variables
	weight  []float64   // devex weight of each row
	pivots  int         // since the tableau was last made afresh
	work    int         // entries touched, the measure of effort
	full    []int       // scratch: the nonzero entries of the pivot row
	ratios  []ratio     // scratch
}

type ratio struct {
	column      int
	step, alpha float64
}

func newSimplex(p *program) *simplex {
	n, m := len(p.cols), len(p.rows)
	s := &simplex{
		p: p, n: n, m: m, cost: make([]float64, n), lo: make([]float64, n+m), up: make([]float64, n+m), reduced: make([]float64, n),
		basic: make([]int, m), outside: make([]int, n), at: make([]int, n+m), x: make([]float64, n+m),
		weight: make([]float64, m), rows: make([][]float64, m),
	}
	for j, c := range p.cols {
		s.lo[j], s.up[j], s.cost[j] = c.lo, c.up, c.cost+nudge(c, j)
	}
	entries := make([]float64, n*m)
	for i, r := range p.rows {
		s.lo[n+i], s.up[n+i] = r.lo, r.up
		s.rows[i] = entries[i*n : (i+1)*n]
	}
	s.begin()
	return s
}

// begin writes the tableau in which every row's sum is basic.
func (s *simplex) begin() {
	for j := range s.p.cols {
		s.outside[j], s.at[j], s.reduced[j] = j, j, s.cost[j]
	}
	for i, r := range s.p.rows {
		clear(s.rows[i])
		for _, t := range r.terms {
			s.rows[i][t.col] += t.coef
		}
		s.basic[i], s.at[s.n+i], s.weight[i] = s.n+i, -1-i, 1
	}
	s.pivots = 0
	s.settle()
}

// settle puts every nonbasic variable on the end that its cost asks for and
// works out the basic ones.
func (s *simplex) settle() {
	for j, v := range s.outside {
		s.x[v] = s.end(v, s.reduced[j])
	}
	for i, v := range s.basic {
		sum := 0.0
		for j, a := range s.rows[i] {
			if a != 0 {
				sum += a * s.x[s.outside[j]]
			}
		}
		s.x[v] = sum
	}
	s.work += s.m * s.n / 4
}

// end is the end on which a nonbasic variable rests: the lower where more of
// it costs, the other way round where it saves.
func (s *simplex) end(v int, cost float64) float64 {
	if math.IsInf(s.up[v], 1) || cost >= 0 && !math.IsInf(s.lo[v], -1) {
		return s.lo[v]
	}
	return s.up[v]
}

// bound moves the ends of a variable.
func (s *simplex) bound(v int, lo, up float64) {
	s.lo[v], s.up[v] = lo, up
	if j := s.at[v]; j >= 0 {
		s.shift(j, s.end(v, s.reduced[j]))
	}
}

// shift moves a nonbasic variable, and with it what follows from it.
func (s *simplex) shift(column int, to float64) {
	by := to - s.x[s.outside[column]]
	s.x[s.outside[column]] = to
	if by == 0 {
		return
	}
	for i, v := range s.basic {
		if a := s.rows[i][column]; a != 0 {
			s.x[v] += a * by
		}
	}
	s.work += s.m
}

// value is the cost at the present point.
func (s *simplex) value() float64 {
	sum := 0.0
	for j, c := range s.cost {
		sum += c * s.x[j]
	}
	return sum
}

// Outcomes of a solution.
type outcome int

const (
	solved     outcome = iota
	impossible         // nothing keeps every end, or only at more than the cutoff
	spent              // the effort allowed was used up
)

// solve goes to the least cost. It stops early when that cost is sure to be
// beyond the cutoff, or the work beyond the limit.
func (s *simplex) solve(cutoff float64, limit int) outcome {
	return s.solvePivots(cutoff, limit, math.MaxInt)
}

// solvePivots goes no further than some pivots; it is spent then.
func (s *simplex) solvePivots(cutoff float64, limit, pivots int) outcome {
	for afresh := false; ; pivots-- {
		if s.work > limit || pivots < 0 {
			return spent
		}
		if s.pivots > 150+s.m {
			s.refresh()
		}
		r, gap := s.leaving()
		if r < 0 {
			if s.pivots > 0 && !afresh && !s.exact() {
				s.refresh()
				afresh = true
				continue
			}
			return solved
		}
		j := s.entering(r, gap)
		if j < 0 {
			// A verdict for good is only given on figures made afresh.
			if s.pivots > 50 && !s.exact() {
				s.refresh()
				continue
			}
			return impossible
		}
		v := s.basic[r]
		to := s.lo[v]
		if gap < 0 {
			to = s.up[v]
		}
		in := s.outside[j]
		s.shift(j, s.x[in]+(to-s.x[v])/s.rows[r][j])
		s.x[v] = to
		s.pivot(r, j)
		if s.pivots%8 == 0 && s.value() > cutoff {
			return impossible
		}
	}
}

// leaving picks the basic variable that is furthest beyond an end, by its
// weight, and how far it must rise (or, negative, fall).
func (s *simplex) leaving() (int, float64) {
	best, bestGap, most := -1, 0.0, 0.0
	for i, v := range s.basic {
		gap := 0.0
		if s.x[v] < s.lo[v]-feasible {
			gap = s.lo[v] - s.x[v]
		} else if s.x[v] > s.up[v]+feasible {
			gap = s.up[v] - s.x[v]
		}
		if gap != 0 && gap*gap > most*s.weight[i] {
			best, bestGap, most = i, gap, gap*gap/s.weight[i]
		}
	}
	return best, bestGap
}

// entering picks the nonbasic variable to take the place of the basic one in
// row r. Variables that would pass their cost of zero before the gap is closed
// go over to their other end on the way. It returns -1 where nothing closes
// the gap.
func (s *simplex) entering(r int, gap float64) int {
	sign := math.Copysign(1, gap)
	s.ratios = s.ratios[:0]
	for j, a := range s.rows[r] {
		v := s.outside[j]
		if math.Abs(a) < smallPivot || s.lo[v] == s.up[v] {
			continue
		}
		atUp := s.x[v] == s.up[v] && !math.IsInf(s.up[v], 1)
		if a*sign > 0 && atUp || a*sign < 0 && !atUp {
			continue
		}
		s.ratios = append(s.ratios, ratio{j, math.Abs(s.reduced[j] / a), math.Abs(a)})
	}
	slices.SortFunc(s.ratios, func(a, b ratio) int {
		return cmp.Or(cmp.Compare(a.step, b.step), cmp.Compare(b.alpha, a.alpha), cmp.Compare(a.column, b.column))
	})
	left := math.Abs(gap)
	for i, c := range s.ratios {
		v := s.outside[c.column]
		left -= c.alpha * (s.up[v] - s.lo[v])
		if left > feasible {
			continue
		}
		// Among near ties a large pivot keeps the figures clean.
		chosen := c
		for _, other := range s.ratios[i+1:] {
			if other.step > c.step+1e-10 {
				break
			}
			if other.alpha > 8*chosen.alpha {
				chosen = other
			}
		}
		for _, passed := range s.ratios[:i] {
			if v := s.outside[passed.column]; s.x[v] == s.lo[v] {
				s.shift(passed.column, s.up[v])
			} else {
				s.shift(passed.column, s.lo[v])
			}
		}
		return chosen.column
	}
	return -1
}

// pivot swaps the variable of row r with that of column j.
func (s *simplex) pivot(r, j int) {
	in, out := s.outside[j], s.basic[r]
	pivotRow := s.rows[r]
	p := pivotRow[j]
	s.full = s.full[:0]
	for k, a := range pivotRow {
		if k == j || a == 0 {
			continue
		}
		if a = -a / p; math.Abs(a) < nothing {
			pivotRow[k] = 0
			continue
		}
		pivotRow[k] = a
		s.full = append(s.full, k)
	}
	pivotRow[j] = 1 / p
	w := s.weight[r]
	for i, other := range s.rows {
		a := other[j]
		if i == r || a == 0 {
			continue
		}
		for _, k := range s.full {
			other[k] += a * pivotRow[k]
		}
		other[j] = a / p
		s.weight[i] = max(s.weight[i], a/p*a/p*w)
		s.work += len(s.full)
	}
	s.weight[r] = max(w/(p*p), 1)
	if a := s.reduced[j]; a != 0 {
		for _, k := range s.full {
			s.reduced[k] += a * pivotRow[k]
		}
		s.reduced[j] = a / p
	}
	s.outside[j], s.basic[r] = out, in
	s.at[out], s.at[in] = j, -1-r
	s.pivots++
	s.work += s.m + s.n
}

// exact says whether the rows still add up.
func (s *simplex) exact() bool {
	for i, r := range s.p.rows {
		sum := 0.0
		for _, t := range r.terms {
			sum += t.coef * s.x[t.col]
		}
		if math.Abs(sum-s.x[s.n+i]) > feasible {
			return false
		}
	}
	return true
}

// refresh makes the tableau of the present basis again from the program, so
// that errors do not pile up.
func (s *simplex) refresh() {
	wanted := make([]bool, s.n+s.m)
	for _, v := range s.basic {
		wanted[v] = true
	}
	s.begin()
	for j := range s.n {
		if !wanted[j] {
			continue
		}
		best := -1
		for i, v := range s.basic {
			if !wanted[v] && (best < 0 || math.Abs(s.rows[i][s.at[j]]) > math.Abs(s.rows[best][s.at[j]])) {
				best = i
			}
		}
		if best >= 0 && math.Abs(s.rows[best][s.at[j]]) > smallPivot {
			s.pivot(best, s.at[j])
		}
	}
	s.pivots = 0
	s.settle()
}

// copyFrom makes s what other is, in memory of its own.
func (s *simplex) copyFrom(other *simplex) {
	rows := s.rows
	floats := func(to *[]float64, from []float64) { *to = append((*to)[:0], from...) }
	ints := func(to *[]int, from []int) { *to = append((*to)[:0], from...) }
	s.p, s.n, s.m, s.cost, s.pivots, s.work = other.p, other.n, other.m, other.cost, other.pivots, other.work
	floats(&s.lo, other.lo)
	floats(&s.up, other.up)
	floats(&s.reduced, other.reduced)
	floats(&s.x, other.x)
	floats(&s.weight, other.weight)
	ints(&s.basic, other.basic)
	ints(&s.outside, other.outside)
	ints(&s.at, other.at)
	for len(rows) < other.m {
		rows = append(rows, make([]float64, other.n))
	}
	s.rows = rows[:other.m]
	for i, row := range other.rows {
		copy(s.rows[i], row)
	}
}

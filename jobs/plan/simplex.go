package plan

import "math"

// Tolerances of the arithmetic. Coefficients are whole numbers of modest size,
// so that these are far from both noise and meaning.
const (
	feasible   = 1e-7 // how far beyond an end still counts as on it
	smallPivot = 1e-7
	nothing    = 1e-12
)

// simplex solves the continuous form of a program by the dual simplex method.
// Every column has two finite ends, so any basis can be made dual feasible, and
// moving the ends, as branching does, keeps it so: the next solution starts
// from the last one. Variables are the columns and, after them, the sums of the
// rows.
type simplex struct {
	p       *program
	n, m    int
	cost    []float64 // of columns, nudged so that no two ways cost the same
	lo, up  []float64
	x       []float64
	reduced []float64 // cost of one unit more of each nonbasic variable
	at      []int     // row in which a variable is basic, or -1
	basic   []int     // variable that is basic in each row
	weight  []float64 // devex weight of each row
	byCol   sparse
	byRow   sparse
	inverse factors
	work    int  // the measure of effort
	stopped bool // from outside: nothing more is wanted

	rho, w  []float64 // scratch by row
	alpha   []float64 // scratch by variable: the pivot row
	touched []int     // where alpha may not be zero
	seen    []bool    // scratch by variable: whether it is touched
	ratios  []ratio   // scratch
	passed  []ratio   // scratch
}

func newSimplex(p *program) *simplex {
	n := len(p.cols)
	s := &simplex{p: p, n: n, cost: make([]float64, n)}
	for j, c := range p.cols {
		s.cost[j] = c.cost + nudge(c, j)
		s.lo, s.up = append(s.lo, c.lo), append(s.up, c.up)
	}
	s.x, s.reduced, s.at = make([]float64, n), make([]float64, n), make([]int, n)
	for j := range s.at {
		s.at[j] = -1
	}
	s.extend()
	return s
}

// extend takes up rows that were added to the program.
func (s *simplex) extend() {
	for i := s.m; i < len(s.p.rows); i++ {
		r := s.p.rows[i]
		s.lo, s.up = append(s.lo, r.lo), append(s.up, r.up)
		s.x, s.reduced = append(s.x, 0), append(s.reduced, 0)
		s.at, s.basic = append(s.at, i), append(s.basic, s.n+i)
		s.weight = append(s.weight, 1)
	}
	s.m = len(s.p.rows)
	s.rho, s.w = make([]float64, s.m), make([]float64, s.m)
	s.alpha, s.seen, s.touched = make([]float64, s.n+s.m), make([]bool, s.n+s.m), nil
	s.byRow = newSparse(s.m, s.p.rows, false)
	s.byCol = newSparse(s.n, s.p.rows, true)
	s.refresh()
}

// refresh works everything out again from the basis, so that errors do not
// pile up.
func (s *simplex) refresh() {
	s.factor()
	// Reduced costs: the cost of each variable less what its rows are worth.
	clear(s.rho)
	for i, v := range s.basic {
		if v < s.n {
			s.rho[i] = s.cost[v]
		}
	}
	s.inverse.backward(s.rho)
	for j := range s.n {
		s.reduced[j] = s.cost[j]
	}
	for i, worth := range s.rho {
		s.reduced[s.n+i] = worth
		if worth != 0 {
			for k := s.byRow.start[i]; k < s.byRow.start[i+1]; k++ {
				s.reduced[s.byRow.index[k]] -= worth * s.byRow.value[k]
			}
		}
	}
	for _, v := range s.basic {
		s.reduced[v] = 0
	}
	s.work += 2*len(s.byRow.index) + s.n + 2*s.m + len(s.inverse.index)
	s.settle()
}

// settle puts every nonbasic variable on the end that its cost asks for and
// works out the basic ones.
func (s *simplex) settle() {
	clear(s.w)
	for v := range s.x {
		if s.at[v] < 0 {
			s.x[v] = s.end(v)
			s.spread(v, -s.x[v])
		}
	}
	s.inverse.forward(s.w)
	for i, v := range s.basic {
		s.x[v] = s.w[i]
	}
	s.work += len(s.byCol.index) + s.n + 2*s.m
}

// spread adds some times a variable's column to w.
func (s *simplex) spread(v int, times float64) {
	if times == 0 {
		return
	}
	if v >= s.n {
		s.w[v-s.n] -= times
		return
	}
	for k := s.byCol.start[v]; k < s.byCol.start[v+1]; k++ {
		s.w[s.byCol.index[k]] += times * s.byCol.value[k]
	}
}

// end is the end on which a nonbasic variable rests: the lower where more of
// it costs, the other way round where it saves.
func (s *simplex) end(v int) float64 {
	if math.IsInf(s.up[v], 1) || s.reduced[v] >= 0 && !math.IsInf(s.lo[v], -1) {
		return s.lo[v]
	}
	return s.up[v]
}

// rest puts nonbasic columns of which the ends were moved on an end again.
func (s *simplex) rest(moved []ends) {
	clear(s.w)
	any := false
	for _, e := range moved {
		if s.at[e.v] >= 0 {
			continue
		}
		if to := s.end(e.v); to != s.x[e.v] {
			s.spread(e.v, s.x[e.v]-to)
			s.x[e.v], any = to, true
		}
	}
	if any {
		s.follow()
	}
}

// follow moves the basic variables by what w, a move of others, asks for.
func (s *simplex) follow() {
	s.inverse.forward(s.w)
	for i, v := range s.basic {
		if s.w[i] != 0 {
			s.x[v] += s.w[i]
		}
	}
	s.work += 3 * s.m
}

// value is the cost at the present point.
func (s *simplex) value() float64 {
	sum := 0.0
	for j, c := range s.cost {
		sum += c * s.x[j]
	}
	return sum
}

// outcome is what came of a solution.
type outcome int

const (
	solved     outcome = iota
	impossible         // nothing keeps every end, or only at more than the cutoff
	spent              // the effort allowed was used up
)

// solve goes to the least cost. It stops early when that cost is sure to be
// beyond the cutoff, or the work beyond the limit.
func (s *simplex) solve(cutoff float64, limit int) outcome {
	out := s.run(cutoff, limit, math.MaxInt)
	// A verdict for good is only given on figures that are good.
	if out == solved && !s.exact() || out == impossible && s.inverse.updates() > 25 && s.value() <= cutoff {
		s.refresh()
		out = s.run(cutoff, limit, math.MaxInt)
	}
	return out
}

// exact says whether the rows still add up.
func (s *simplex) exact() bool {
	for i := range s.m {
		sum := -s.x[s.n+i]
		for k := s.byRow.start[i]; k < s.byRow.start[i+1]; k++ {
			sum += s.byRow.value[k] * s.x[s.byRow.index[k]]
		}
		if math.Abs(sum) > feasible {
			return false
		}
	}
	s.work += len(s.byRow.index)
	return true
}

// run makes so many pivots at most; it is spent then.
func (s *simplex) run(cutoff float64, limit, pivots int) outcome {
	for n := 0; ; n++ {
		if s.work > limit || n >= pivots || s.stopped {
			return spent
		}
		if pivots == math.MaxInt && s.inverse.worn() {
			s.refresh()
		}
		r, gap := s.leaving()
		if r < 0 {
			return solved
		}
		s.pivotRow(r)
		in := s.entering(gap)
		if in < 0 {
			return impossible
		}
		if !s.pivot(r, in, gap) {
			if pivots != math.MaxInt {
				return spent
			}
			s.refresh()
			continue
		}
		if n%8 == 7 && s.value() > cutoff {
			return impossible
		}
	}
}

// leaving picks the row whose basic variable is furthest beyond an end, by its
// weight, and how far it must rise (or, negative, fall).
func (s *simplex) leaving() (int, float64) {
	best, bestGap, most := -1, 0.0, 0.0
	for i, v := range s.basic {
		gap := 0.0
		if x := s.x[v]; x < s.lo[v]-feasible {
			gap = s.lo[v] - x
		} else if x > s.up[v]+feasible {
			gap = s.up[v] - x
		}
		if gap != 0 && gap*gap > most*s.weight[i] {
			best, bestGap, most = i, gap, gap*gap/s.weight[i]
		}
	}
	s.work += s.m
	return best, bestGap
}

// pivotRow fills alpha with the basic variable of a row as a sum of the
// nonbasic ones.
func (s *simplex) pivotRow(r int) {
	for _, v := range s.touched {
		s.alpha[v], s.seen[v] = 0, false
	}
	s.touched = s.touched[:0]
	clear(s.rho)
	s.rho[r] = 1
	s.inverse.backward(s.rho)
	s.work += len(s.inverse.index) + s.m
	for i, a := range s.rho {
		if math.Abs(a) < nothing {
			continue
		}
		if v := s.n + i; s.at[v] < 0 {
			s.alpha[v], s.seen[v] = a, true
			s.touched = append(s.touched, v)
		}
		first, last := s.byRow.start[i], s.byRow.start[i+1]
		value := s.byRow.value[first:last]
		for k, column := range s.byRow.index[first:last] {
			v := int(column)
			if s.at[v] >= 0 {
				continue
			}
			if !s.seen[v] {
				s.seen[v] = true
				s.touched = append(s.touched, v)
			}
			s.alpha[v] -= a * value[k]
		}
		s.work += last - first
	}
}

// atUp says whether a nonbasic variable rests on its upper end.
func (s *simplex) atUp(v int) bool { return s.x[v] == s.up[v] }

// flip moves nonbasic variables to their other ends.
func (s *simplex) flip(passed []ratio) {
	if len(passed) == 0 {
		return
	}
	clear(s.w)
	for _, c := range passed {
		to := s.up[c.v]
		if s.atUp(c.v) {
			to = s.lo[c.v]
		}
		s.spread(c.v, s.x[c.v]-to)
		s.x[c.v] = to
	}
	s.follow()
}

// pivot makes a nonbasic variable basic in row r. It says false, having
// changed nothing of the basis, where the figures have become too inexact.
func (s *simplex) pivot(r, in int, gap float64) bool {
	clear(s.w)
	s.spread(in, 1)
	s.inverse.forward(s.w)
	p := -s.w[r]
	if math.Abs(p-s.alpha[in]) > 1e-6*(1+math.Abs(p)) || math.Abs(p) < smallPivot/2 {
		return false
	}
	out := s.basic[r]
	to := s.lo[out]
	if gap < 0 {
		to = s.up[out]
	}
	step := (to - s.x[out]) / p
	weight := s.weight[r]
	for i, a := range s.w {
		if a == 0 {
			continue
		}
		s.x[s.basic[i]] -= a * step
		s.weight[i] = max(s.weight[i], a*a/(p*p)*weight)
	}
	s.weight[r] = max(weight/(p*p), 1)
	s.x[in] += step
	s.x[out] = to
	if d := s.reduced[in]; d != 0 {
		for _, v := range s.touched {
			s.reduced[v] -= d * s.alpha[v] / p
		}
		s.reduced[out] = d / p
	} else {
		s.reduced[out] = 0
	}
	s.reduced[in] = 0
	s.at[in], s.at[out], s.basic[r] = r, -1, in
	s.inverse.add(r, s.w)
	s.work += 6*s.m + len(s.touched)
	return true
}

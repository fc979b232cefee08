package plan

import (
	"cmp"
	"math"
	"slices"
)

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
	value  float64   // of x, or the cutoff
	proven bool      // that nothing costs less than value
	bound  float64   // nothing costs less than this
}

// branching is a depth-first branch and bound. Every column and every row of
// its program is a whole number in a whole solution.
type branching struct {
	s     *simplex
	p     *program
	rows  int // before cuts
	best  answer
	found func(x []float64) bool
	gains [2][]gain // of moving a column down and up
	mark  mark      // scratch
	nodes int

	implied implied
	before  []ends // scratch
}

// gain is what branching on a column one way has done to the cost so far, for
// each unit by which the column moved.
type gain struct {
	sum   float64
	times int
}

// minimise finds the least cost below the cutoff in whole numbers. The costs of
// whole solutions must be whole numbers themselves. Known is a solution, or
// something close to one, to look around; it may be nil. Found, where it is not
// nil, is told every better solution and says whether to go on.
func minimise(p *program, cutoff float64, known []float64, found func(x []float64) bool, e *effort) answer {
	b := &branching{s: newSimplex(p), p: p, rows: len(p.rows), found: found}
	b.gains = [2][]gain{make([]gain, len(p.cols)), make([]gain, len(p.cols))}
	b.best = answer{value: cutoff, proven: true, bound: math.Inf(-1)}
	b.implied = newImplied(p, b.rows)
	rows, ends := b.rows, slices.Clone(p.cols)
	out := b.s.solve(b.limit()+1e-6, e.left)
	if out == solved && b.fraction() >= 0 {
		out = b.sharpen(e.left)
	}
	switch out {
	case solved:
		b.best.bound = b.s.value() - nudgeTotal
		b.settle(known, e.left)
	case spent:
		b.best.proven = false
	}
	e.left -= b.s.work
	b.best.proven = b.best.proven && !b.s.stopped
	p.rows, p.cols = p.rows[:rows], ends
	if b.best.proven {
		b.best.bound = b.best.value
	}
	return b.best
}

// sharpen brings the continuous program closer to whole numbers.
func (b *branching) sharpen(allowed int) outcome {
	if !b.probe(allowed) {
		return impossible
	}
	for j := range b.p.cols {
		b.p.cols[j].lo, b.p.cols[j].up = b.s.lo[j], b.s.up[j]
	}
	b.s.settle()
	if out := b.s.solve(b.limit()+1e-6, allowed); out != solved {
		return out
	}
	return b.tighten(allowed)
}

// settle searches from the solved continuous program: dives, then branching for
// some of the effort, then around the best solution, then branching for good.
// Where only the very next better cost is open there is likely nothing to find,
// so that branching comes first.
func (b *branching) settle(known []float64, allowed int) {
	share := openShare
	if b.best.value-math.Ceil(b.best.bound-1e-6) <= 1 {
		share = closeShare
	}
	for sort := range dives {
		if b.s.value() <= b.limit() && b.s.work < allowed && !b.s.stopped && (share == openShare || sort == nearest) {
			b.dive(sort, allowed)
		}
	}
	basic := slices.Clone(b.s.basic)
	if b.node(b.s.work + (allowed-b.s.work)/share); b.best.proven || b.s.stopped {
		return
	}
	b.best.proven = true
	b.s.restart(basic)
	b.s.solve(math.Inf(1), math.MaxInt)
	if known != nil || b.best.x != nil {
		b.lookAround(known, b.s.work+(allowed-b.s.work)/aroundShare)
	}
	b.node(allowed)
}

// limit is the cost at which a branch holds nothing better than the best.
func (b *branching) limit() float64 { return b.best.value - 1 + nudgeTotal }

// node settles the branch within the present ends, from a solved simplex.
func (b *branching) node(allowed int) {
	fixed := []ends{}
	defer func() {
		b.undo(fixed, 0)
		b.s.rest(fixed)
	}()
	for b.s.value() <= b.limit()+1e-6 && !b.s.stopped {
		ok, cutOff := true, false
		from := len(fixed)
		if fixed, ok = b.imply(b.narrow(fixed)); !ok {
			return
		}
		for _, e := range fixed[from:] {
			cutOff = cutOff || b.s.x[e.v] < b.s.lo[e.v]-feasible || b.s.x[e.v] > b.s.up[e.v]+feasible
		}
		b.s.rest(fixed[from:])
		if cutOff {
			if out := b.s.solve(b.limit()+1e-6, allowed); out != solved {
				b.best.proven = b.best.proven && out == impossible
				return
			}
			continue
		}
		if b.fraction() < 0 {
			b.take()
			return
		}
		if b.nodes++; b.nodes%diveEvery == 0 {
			b.dive(dive(b.nodes/diveEvery%int(dives)), allowed)
			if b.s.value() > b.limit() {
				return
			}
		}
		c := b.choose(allowed)
		if c.closed[0] && c.closed[1] {
			return
		}
		if c.closed[0] || c.closed[1] {
			// One way leads nowhere, so the other is no choice.
			var out outcome
			if fixed, out = b.move(fixed, c.v, c.x, c.closed[0], allowed); out != solved {
				b.best.proven = b.best.proven && out == impossible
				return
			}
			continue
		}
		basic := slices.Clone(b.s.basic)
		for turn, up := range []bool{c.upFirst, !c.upFirst} {
			if turn > 0 {
				b.s.restart(basic)
			}
			from := len(fixed)
			var out outcome
			switch fixed, out = b.move(fixed, c.v, c.x, up, allowed); out {
			case solved:
				b.node(allowed)
			case spent:
				b.best.proven = false
			}
			moved := fixed[from:]
			fixed = b.undo(fixed, from)
			b.s.rest(moved)
			if !b.best.proven {
				return
			}
		}
		return
	}
}

// narrow brings in the far end of every column that rests on an end and costs
// too much to go all the way: what is better than the best lies within. It adds
// the ends of before to those given, and leaves it to imply what follows.
func (b *branching) narrow(before []ends) []ends {
	slack := b.limit() + 1e-6 - b.s.value()
	for j, c := range b.p.cols {
		lo, up := b.s.lo[j], b.s.up[j]
		cost := math.Abs(b.s.reduced[j])
		if c.rank == 0 || b.s.at[j] >= 0 || lo == up || (up-lo)*cost <= slack {
			continue
		}
		far := math.Floor(slack/cost + 1e-6)
		if b.s.atUp(j) {
			before = b.end(before, j, up-far, up)
		} else {
			before = b.end(before, j, lo, lo+far)
		}
	}
	return before
}

// ends are those of a column before it was moved.
type ends struct {
	v      int
	lo, up float64
}

// aside is confine to whole numbers above or below x.
func (b *branching) aside(before []ends, v int, x float64, up bool) ([]ends, bool) {
	if up {
		return b.confine(before, v, math.Floor(x+1e-6)+1, b.s.up[v])
	}
	return b.confine(before, v, b.s.lo[v], math.Floor(x+1e-6))
}

// move goes to the best point with a column above or below x.
func (b *branching) move(before []ends, v int, x float64, up bool, allowed int) ([]ends, outcome) {
	from := len(before)
	before, ok := b.aside(before, v, x, up)
	if !ok {
		return before, impossible
	}
	b.s.rest(before[from:])
	return before, b.s.solve(b.limit()+1e-6, allowed)
}

// choice is a column to branch on.
type choice struct {
	v       int
	x       float64
	rank    int
	closed  [2]bool // whether going down, or up, leads nowhere
	score   float64
	upFirst bool
}

// How the search goes on: the part of the effort that is spent on branching
// before it looks around, where much or little is open, what is spent on that,
// and after how many nodes it dives.
const (
	openShare   = 16
	closeShare  = 2
	aroundShare = 4
	diveEvery   = 20
)

// favoured is the score with sums of loads before what they are sums of.
func (c choice) favoured() float64 {
	if c.rank <= rankByLine {
		return 3 * c.score
	}
	return c.score
}

// Limits of looking ahead before a choice.
const (
	lookAhead = 3 // columns tried at a node at most
	reliable  = 1 // tries after which a column's gains are believed
	tryPivots = 60
	gainAtAll = 1e-6
)

// choose picks the column to branch on: the one that raises the cost the most
// both ways. It tries columns of which it knows too little.
func (b *branching) choose(allowed int) choice {
	var all []choice
	for j, c := range b.p.cols {
		if c.rank == 0 {
			continue
		}
		x := b.s.x[j]
		if off := math.Abs(x - math.Round(x)); off > 1e-6 {
			down, up := b.expect(j, x)
			all = append(all, choice{v: j, x: x, rank: c.rank, score: product(down, up) * (0.5 + off), upFirst: true})
		}
	}
	slices.SortStableFunc(all, func(a, c choice) int {
		return cmp.Or(cmp.Compare(c.favoured(), a.favoured()), cmp.Compare(a.rank, c.rank))
	})
	best := choice{v: -1, score: -1}
	tried := 0
	for _, c := range all {
		if min(b.gains[0][c.v].times, b.gains[1][c.v].times) < reliable && tried < lookAhead {
			tried++
			b.try(&c, allowed)
			if c.closed[0] || c.closed[1] {
				return c
			}
		}
		if c.favoured() > best.favoured()*1.0001 {
			best = c
		}
	}
	return best
}

// product weighs two gains such that both count.
func product(down, up float64) float64 { return max(down, gainAtAll) * max(up, gainAtAll) }

// expect is what earlier gains promise for a column at x.
func (b *branching) expect(v int, x float64) (down, up float64) {
	f := x - math.Floor(x)
	if g := b.gains[0][v]; g.times > 0 {
		down = g.sum / float64(g.times) * f
	}
	if g := b.gains[1][v]; g.times > 0 {
		up = g.sum / float64(g.times) * (1 - f)
	}
	return down, up
}

// try goes a little way down and up a column and comes back.
func (b *branching) try(c *choice, allowed int) {
	b.s.keep(&b.mark)
	value := b.s.value()
	gained := [2]float64{}
	for way, upward := range []bool{false, true} {
		out := impossible
		before, ok := b.aside(b.before[:0], c.v, c.x, upward)
		if ok {
			b.s.rest(before)
			out = b.s.run(b.limit()+1e-6, allowed, tryPivots)
			gained[way] = max(b.s.value()-value, 0)
		}
		b.before = b.undo(before, 0)
		b.s.back(&b.mark)
		if out == impossible || out == solved && value+gained[way] > b.limit()+1e-6 {
			c.closed[way] = true
			return
		}
		distance := c.x - math.Floor(c.x)
		if upward {
			distance = 1 - distance
		}
		b.gains[way][c.v].sum += gained[way] / distance
		b.gains[way][c.v].times++
	}
	c.score = product(gained[0], gained[1])
}

// fraction returns a column that ought to be whole and is not, or -1.
func (b *branching) fraction() int {
	for j, c := range b.p.cols {
		if c.rank > 0 && math.Abs(b.s.x[j]-math.Round(b.s.x[j])) > 1e-6 {
			return j
		}
	}
	return -1
}

// take keeps the present point, whole as it is, as the best.
func (b *branching) take() {
	x := make([]float64, len(b.p.cols))
	for j := range x {
		x[j] = math.Round(b.s.x[j])
	}
	if !b.p.holds(x, b.rows) {
		b.best.proven = false
		return
	}
	if value := b.p.value(x); value < b.best.value {
		b.best.x, b.best.value = x, value
		b.s.stopped = b.found != nil && !b.found(x)
	}
}

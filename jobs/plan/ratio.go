package plan

import "math"

// ratio is a nonbasic variable that could take the place of a basic one: how far
// the costs may move until its own is zero, and the size of its pivot.
type ratio struct {
	v           int
	step, alpha float64
}

// entering picks the nonbasic variable to take the place of a basic one that
// lacks gap. Variables that would pass a cost of zero before the gap is closed
// go over to their other end on the way. It returns -1 where nothing closes
// the gap.
func (s *simplex) entering(gap float64) int {
	sign := math.Copysign(1, gap)
	s.ratios = s.ratios[:0]
	for _, v := range s.touched {
		a := s.alpha[v]
		if math.Abs(a) < smallPivot || s.lo[v] == s.up[v] {
			continue
		}
		if rises := a*sign > 0; rises == s.atUp(v) {
			continue
		}
		s.ratios = append(s.ratios, ratio{v, math.Abs(s.reduced[v] / a), math.Abs(a)})
	}
	s.work += len(s.touched) + 2*len(s.ratios)
	heapify(s.ratios)
	left := math.Abs(gap)
	s.passed = s.passed[:0]
	for rest := s.ratios; len(rest) > 0; {
		var c ratio
		c, rest = popLeast(rest)
		left -= c.alpha * (s.up[c.v] - s.lo[c.v])
		if left > feasible {
			s.passed = append(s.passed, c)
			continue
		}
		// Among near ties a large pivot keeps the figures clean.
		chosen := c
		for len(rest) > 0 && rest[0].step <= c.step+1e-10 {
			var other ratio
			if other, rest = popLeast(rest); other.alpha > 8*chosen.alpha {
				chosen = other
			}
		}
		s.flip(s.passed)
		return chosen.v
	}
	return -1
}

// before orders ratios: the smaller step first, then the larger pivot.
func (a ratio) before(b ratio) bool {
	if a.step != b.step {
		return a.step < b.step
	}
	if a.alpha != b.alpha {
		return a.alpha > b.alpha
	}
	return a.v < b.v
}

// heapify makes a heap of which the first ratio comes before all others.
func heapify(h []ratio) {
	for i := len(h)/2 - 1; i >= 0; i-- {
		siftDown(h, i)
	}
}

// popLeast takes the first ratio off a heap.
func popLeast(h []ratio) (ratio, []ratio) {
	least, last := h[0], len(h)-1
	h[0] = h[last]
	siftDown(h[:last], 0)
	return least, h[:last]
}

func siftDown(h []ratio, i int) {
	for {
		child := 2*i + 1
		if child >= len(h) {
			return
		}
		if child+1 < len(h) && h[child+1].before(h[child]) {
			child++
		}
		if !h[child].before(h[i]) {
			return
		}
		h[i], h[child] = h[child], h[i]
		i = child
	}
}

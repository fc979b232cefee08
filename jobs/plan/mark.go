package plan

// mark is a point to come back to.
type mark struct {
	x, reduced, weight []float64
	at, basic          []int
	factors            int
}

// keep fills a mark with the present point.
func (s *simplex) keep(m *mark) {
	m.x, m.reduced = append(m.x[:0], s.x...), append(m.reduced[:0], s.reduced...)
	m.weight = append(m.weight[:0], s.weight...)
	m.at, m.basic = append(m.at[:0], s.at...), append(m.basic[:0], s.basic...)
	m.factors = len(s.inverse.row)
	s.work += s.n + 2*s.m
}

// back returns to a mark. The ends must be those of then, and the inverse not
// made again since.
func (s *simplex) back(m *mark) {
	copy(s.x, m.x)
	copy(s.reduced, m.reduced)
	copy(s.weight, m.weight)
	copy(s.at, m.at)
	copy(s.basic, m.basic)
	s.inverse.truncate(m.factors)
	s.work += s.n + 2*s.m
}

// restart goes to a basis of before.
func (s *simplex) restart(basic []int) {
	for i := range s.at {
		s.at[i] = -1
	}
	copy(s.basic, basic)
	for i, v := range s.basic {
		s.at[v] = i
		s.weight[i] = 1
	}
	s.refresh()
}

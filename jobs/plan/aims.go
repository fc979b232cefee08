package plan

import (
	"math"
)

// fewestLate settles the first aim. Keeping every promise that can be kept at
// all is tried by itself, because the model of that is smaller.
func (s *solver) fewestLate() verdict {
	if s.score.late == s.floor.late {
		return settled
	}
	if s.floor.late == s.lost {
		m := s.model(false, s.floor.late)
		m.cost(m.loads, 1)
		a, v := s.try(m, math.Inf(1), s.floor.late)
		if v != settled || a.x != nil {
			return v
		}
		s.floor.late++
		if s.score.late == s.floor.late {
			return settled
		}
	}
	m := s.model(false, s.score.late)
	m.cost(m.late, 1)
	m.atLeast(float64(s.floor.late-m.lost), m.late...)
	a, v := s.try(m, float64(s.score.late-m.lost), -1)
	if a.proven {
		s.floor.late = max(s.floor.late, m.lost+int(math.Round(a.value)))
	}
	return v
}

// cost sets the cost of every column of a sum.
func (m *model) cost(sum []term, cost float64) {
	for _, t := range sum {
		m.cols[t.col].cost = cost * t.coef
	}
}

// fewestBatches settles the second aim.
func (s *solver) fewestBatches() verdict {
	if s.score.batches <= s.floor.batches {
		return settled
	}
	m := s.model(false, s.score.late)
	m.cost(m.loads, 1)
	m.atLeast(float64(s.floor.batches), m.loads...)
	a, v := s.try(m, float64(s.score.batches), s.score.late)
	if a.proven {
		s.floor.batches = max(s.floor.batches, int(math.Round(a.value)))
	}
	return v
}

// withRiders is the model of drafts as good as the best by the first two aims.
func (s *solver) withRiders() *model {
	m := s.model(true, s.score.late)
	m.atMost(float64(s.score.batches), m.loads...)
	return m
}

// mostRiders settles how many later rolls ride along.
func (s *solver) mostRiders() verdict {
	m := s.withRiders()
	could := 0
	for _, fm := range m.fams {
		for _, k := range fm.kinds {
			could += len(k.later)
		}
	}
	if len(s.score.riders) == could {
		return settled
	}
	m.cost(m.rides, -1)
	_, v := s.try(m, -float64(len(s.score.riders)), s.score.late)
	return v
}

// earliestRiders settles which later rolls ride along: of those due by the
// first moment as many as can be, then of those due by the next.
func (s *solver) earliestRiders() verdict {
	result := settled
	riders := s.score.riders
	for i := 0; i < len(s.score.riders); i++ {
		due := s.score.riders[i]
		_ = due
	}
	_ = riders
	return result
}

// earliestFinish settles the last aim.
func (s *solver) earliestFinish() verdict {
	for {
		m := s.withRiders()
		m.atLeast(float64(len(s.score.riders)), m.rides...)
		for l := range s.d.lines {
			m.timeRow(l, len(s.breaks), m.reach[l](s.score.finish-1))
		}
		unit := 1
		last := m.column(column{up: hours(s.score.finish), cost: 3600 / float64(unit)})
		for l := range s.d.lines {
			if terms := m.lineTerms(l, len(s.breaks)); len(terms) > 0 {
				m.atMost(0, append(terms, term{last, -1})...)
			}
		}
		before := s.score.finish
		a, v := s.try(m, float64(s.score.finish)/float64(unit), s.score.late)
		if v != settled || a.x == nil {
			return v
		}
		if s.score.finish >= before {
			return unsure
		}
	}
}

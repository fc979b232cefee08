package plan

import (
	"math"
	"slices"
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
		if a.x != nil && a.proven {
			s.floor.batches = max(s.floor.batches, int(math.Round(a.value)))
		}
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
	return v.unless(float64(s.score.batches) > a.value)
}

// withRiders is the model of drafts as good as the best by the first two aims,
// and by what is settled of the third.
func (s *solver) withRiders() *model {
	m := s.model(true, s.score.late)
	m.atMost(float64(s.score.batches), m.loads...)
	for _, l := range s.levels {
		m.atLeast(float64(l.riders), m.ridesBy(l.due)...)
	}
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
	a, v := s.try(m, -float64(len(s.score.riders)), s.score.late)
	return v.unless(len(s.score.riders) < int(math.Round(-a.value)))
}

// earliestRiders settles which later rolls ride along: of those due by the
// first moment as many as can be, then of those due by the next, and so on.
func (s *solver) earliestRiders() verdict {
	moments := s.moments()
	for i := 0; i < len(moments) && s.score.ridersBy(moments[max(i-1, 0)]) < len(s.score.riders); i++ {
		if i == mostMoments {
			return unsure
		}
		last, v := s.ridersFrom(moments, i)
		if v != settled {
			return v
		}
		if s.score.ridersBy(moments[i]) == s.couldRide(moments[i]) {
			s.levels = nil // all of them ride, which says all about earlier moments
		}
		s.levels = append(s.levels, level{moments[i], s.score.ridersBy(moments[i])})
		i = last
	}
	return settled
}

// ridersFrom settles how many later rolls due by a moment ride along and
// returns the last moment for which that holds as well. Where no more of the
// best ride by some moments than by the first of them, the last of them is
// asked first: what cannot be then cannot be before. What can be then need not
// be better, because fewer may ride by the first.
func (s *solver) ridersFrom(moments []int, first int) (int, verdict) {
	now := s.score.ridersBy(moments[first])
	last := first
	for last+1 < len(moments) && s.score.ridersBy(moments[last+1]) == now {
		last++
	}
	if last > first {
		v := s.ridersBy(moments[last])
		if v == again || v == settled && s.score.ridersBy(moments[last]) == now {
			return last, v
		}
	}
	return first, s.ridersBy(moments[first])
}

// mostMoments is how many due times of later rolls are told apart.
const mostMoments = 200

// moments lists the due times of later rolls that a batch may take along.
func (s *solver) moments() []int {
	var dues []int
	for _, r := range s.d.rolls {
		if !r.early {
			dues = append(dues, r.due)
		}
	}
	slices.Sort(dues)
	return slices.Compact(dues)
}

// ridersBy settles how many later rolls due by a moment ride along.
func (s *solver) ridersBy(due int) verdict {
	now := s.score.ridersBy(due)
	if now == min(len(s.score.riders), s.couldRide(due)) {
		return settled
	}
	m := s.withRiders()
	m.atLeast(float64(len(s.score.riders)), m.rides...)
	m.cost(m.ridesBy(due), -1)
	a, v := s.try(m, -float64(now), s.score.late)
	return v.unless(s.score.ridersBy(due) < int(math.Round(-a.value)))
}

// ridersBy counts the riders due by a moment.
func (s score) ridersBy(due int) int {
	n, _ := slices.BinarySearch(s.riders, due+1)
	return n
}

// couldRide counts the later rolls due by a moment.
func (s *solver) couldRide(due int) int {
	n := 0
	for _, r := range s.d.rolls {
		if !r.early && r.due <= due {
			n++
		}
	}
	return n
}

// ridesBy adds columns that count the riders due by a moment: of a kind those
// due first ride first.
func (m *model) ridesBy(due int) []term {
	var sum []term
	for _, fm := range m.fams {
		for i, k := range fm.kinds {
			n := 0
			for n < len(k.later) && m.d.rolls[k.later[n]].due <= due {
				n++
			}
			if n == 0 {
				continue
			}
			col := m.column(column{up: float64(n), rank: rankFlow})
			terms := []term{{col, 1}}
			for _, ride := range fm.cells[i].ride {
				terms = append(terms, term{ride, -1})
			}
			m.atMost(0, terms...)
			sum = append(sum, term{col, 1})
		}
	}
	return sum
}

// earliestFinish makes the last batch end earlier or settles that none can.
func (s *solver) earliestFinish() verdict {
	m := s.withRiders()
	m.atLeast(float64(len(s.score.riders)), m.rides...)
	for l := range s.d.lines {
		m.timeRow(l, len(s.breaks), m.reach[l](s.score.finish-1))
	}
	finish := (s.score.finish + m.unit - 1) / m.unit
	last := m.column(column{lo: float64(s.floor.finish / m.unit), up: float64(finish), cost: 1})
	for l := range s.d.lines {
		if terms := m.lineTerms(l, len(s.breaks)); len(terms) > 0 {
			m.atMost(0, append(terms, term{last, -1})...)
		}
	}
	m.countTimes()
	before := s.score.finish
	a, v := s.try(m, float64(finish), s.score.late)
	if a.proven {
		s.floor.finish = max(s.floor.finish, int(math.Round(a.value))*m.unit)
	}
	return v.unless(s.score.finish == before && s.floor.finish < before)
}

package plan

import (
	"math"
	"math/rand/v2"
	"slices"
)

// mender betters a layout: it takes some rolls out, puts them back where they
// cost least, and keeps what is better or, at first, not much worse. Its draws
// come from a fixed seed.
type mender struct {
	d    *day
	draw *rand.Rand
	now  *layout // what it works on
	out  []int   // rolls taken out
	work int
}

// What things cost while mending. A late roll can be traded for batches on the
// way to a better plan, which only the score decides.
const (
	costLate   = 10.0
	costBatch  = 6.0
	costFilled = 0.5 // saved for the square of how full a batch is
	costFinish = 2.0 // for the length of a batch
)

// cost is what a layout costs while mending.
func (m *mender) cost(lay *layout) float64 {
	cost := costLate*float64(lay.late) + costBatch*float64(lay.batches)
	for l, line := range lay.lines {
		room := float64(m.d.lines[l].Capacity)
		for _, s := range line {
			full := float64(s.used) / room
			cost -= costFilled * full * full
		}
	}
	return cost + costFinish*float64(lay.finish)/(float64(m.d.longest)+1)
}

// mend betters a draft with so much work.
func (d *day) mend(p draft, all int) (draft, score) {
	best := p
	bestScore := p.score(d)
	m := &mender{d: d, draw: rand.New(rand.NewPCG(2, uint64(len(d.rolls)))), now: &layout{}}
	kept := newLayout(d, p)
	cost := m.cost(kept)
	for m.work < all {
		m.now.copyFrom(kept)
		m.takeOut()
		m.putBack()
		m.now.measure(d)
		m.work += 20 * len(d.rolls)
		heat := 2 * (1 - float64(m.work)/float64(all))
		after := m.cost(m.now)
		if after > cost-heat*math.Log(m.draw.Float64()) {
			continue
		}
		cost = after
		kept, m.now = m.now, kept
		if kept.late < bestScore.late || kept.late == bestScore.late && kept.batches <= bestScore.batches {
			p := kept.draft(d)
			m.work += 5 * len(d.rolls) * len(p)
			if score := p.score(d); score.compare(bestScore) < 0 {
				best, bestScore = p, score
			}
		}
	}
	return best, bestScore
}

// takeOut takes some rolls out of the layout.
func (m *mender) takeOut() {
	m.out = m.out[:0]
	switch m.draw.IntN(5) {
	case 0: // batches anywhere
		for range 1 + m.draw.IntN(3) {
			if l, i, ok := m.any(); ok {
				m.takeStack(l, i)
			}
		}
	case 1: // batches of one family
		l, i, ok := m.any()
		if !ok {
			return
		}
		family := m.now.lines[l][i].family
		m.takeStack(l, i)
		m.eachOf(family, 0.4)
	case 2: // neighbours on a line
		if l, i, ok := m.any(); ok {
			for range 2 + m.draw.IntN(2) {
				if i < len(m.now.lines[l]) {
					m.takeStack(l, i)
				}
			}
		}
	case 3: // late rolls and a batch
		m.takeRolls(func(s *stack, r int) bool { return s.end > m.d.rolls[r].due && m.draw.IntN(2) == 0 })
		if l, i, ok := m.any(); ok {
			m.takeStack(l, i)
		}
	default: // rolls here and there
		share := 0.05 + 0.2*m.draw.Float64()
		m.takeRolls(func(*stack, int) bool { return m.draw.Float64() < share })
	}
}

// any draws a stack.
func (m *mender) any() (line, at int, ok bool) {
	n := 0
	for _, stacks := range m.now.lines {
		n += len(stacks)
	}
	if n == 0 {
		return 0, 0, false
	}
	n = m.draw.IntN(n)
	for l, stacks := range m.now.lines {
		if n < len(stacks) {
			return l, n, true
		}
		n -= len(stacks)
	}
	return 0, 0, false
}

func (m *mender) takeStack(line, at int) {
	m.out = append(m.out, m.now.lines[line][at].rolls...)
	m.now.take(line, at)
}

// eachOf takes out a share of the stacks of a family.
func (m *mender) eachOf(family int, share float64) {
	for l := range m.now.lines {
		for i := len(m.now.lines[l]) - 1; i >= 0; i-- {
			if m.now.lines[l][i].family == family && m.draw.Float64() < share {
				m.takeStack(l, i)
			}
		}
	}
}

// takeRolls takes out rolls.
func (m *mender) takeRolls(which func(s *stack, r int) bool) {
	for l := range m.now.lines {
		for i := len(m.now.lines[l]) - 1; i >= 0; i-- {
			s := &m.now.lines[l][i]
			stay := s.rolls[:0]
			for _, r := range s.rolls {
				if which(s, r) {
					m.out = append(m.out, r)
				} else {
					stay = append(stay, r)
				}
			}
			if len(stay) == len(s.rolls) {
				continue
			}
			if s.rolls = stay; len(stay) == 0 {
				m.now.take(l, i)
			} else {
				s.measure(m.d, l)
			}
		}
	}
}

// putBack puts the rolls back, each where it costs least as things stand.
func (m *mender) putBack() {
	m.now.measure(m.d)
	size := func(r int) int {
		roll := &m.d.rolls[r]
		most := 0
		for _, on := range m.d.families[roll.family].lines {
			most = max(most, on.use[roll.format])
		}
		return most
	}
	slices.Sort(m.out)
	switch m.draw.IntN(3) {
	case 0: // the most pressing first
	case 1:
		slices.SortStableFunc(m.out, func(a, b int) int { return size(b) - size(a) })
	default:
		m.draw.Shuffle(len(m.out), func(i, j int) { m.out[i], m.out[j] = m.out[j], m.out[i] })
	}
	for _, r := range m.out {
		m.insert(r)
	}
}

// insertion is a place for a roll.
type insertion struct {
	line, at int
	fresh    bool // a stack of its own before the one at the place
	cost     float64
}

// insert puts a roll where it costs least.
func (m *mender) insert(r int) {
	best := insertion{line: -1, cost: math.Inf(1)}
	consider := func(i insertion) {
		if i.cost += 0.3 * m.draw.Float64(); i.cost < best.cost {
			best = i
		}
	}
	roll := &m.d.rolls[r]
	for _, on := range m.d.families[roll.family].lines {
		need := on.use[roll.format]
		if need == 0 {
			continue
		}
		stacks, line := m.now.lines[on.line], &m.d.lines[on.line]
		before := 0
		length := line.TurnaroundS + roll.DevelopS[0]
		for at := 0; at <= len(stacks); at++ {
			end := before + length
			if end <= roll.due || at == len(stacks) {
				late := m.lateBy(stacks[at:], length)
				if end > roll.due {
					late++
				}
				consider(insertion{on.line, at, true, costLate*float64(late) + costBatch})
			}
			if at == len(stacks) {
				break
			}
			s := &stacks[at]
			before = s.end
			both := s.window.and(roll.DevelopS)
			if s.family != roll.family || s.used+need > line.Capacity || both[0] > both[1] {
				continue
			}
			late, longer := 0, both[0]-s.window[0]
			if s.end+longer > roll.due {
				late++
			}
			if longer > 0 {
				late += m.lateBy(stacks[at:], longer)
			}
			full := float64(s.used+need) / float64(line.Capacity)
			consider(insertion{on.line, at, false, costLate*float64(late) - costFilled*full})
		}
		m.work += 10 * len(stacks)
	}
	m.place(r, best)
}

// lateBy counts the rolls that become late when stacks end later by some
// seconds.
func (m *mender) lateBy(stacks []stack, seconds int) int {
	late := 0
	for i := range stacks {
		s := &stacks[i]
		late += s.lateAt(m.d, s.end+seconds) - s.lateAt(m.d, s.end)
	}
	m.work += 10 * len(stacks)
	return late
}

// place puts a roll where an insertion says and moves what comes after it.
func (m *mender) place(r int, i insertion) {
	roll := &m.d.rolls[r]
	longer := 0
	if i.fresh {
		m.now.put(i.line, i.at, roll.family)
		longer = m.d.lines[i.line].TurnaroundS
	}
	stacks := m.now.lines[i.line]
	s := &stacks[i.at]
	if i.fresh && i.at > 0 {
		s.end = stacks[i.at-1].end
	}
	was := s.window[0]
	s.window = s.window.and(roll.DevelopS)
	longer += s.window[0] - was
	s.used += m.d.families[roll.family].on(i.line).use[roll.format]
	at, _ := slices.BinarySearch(s.rolls, r)
	s.rolls = slices.Insert(s.rolls, at, r)
	for k := i.at; k < len(stacks); k++ {
		stacks[k].end += longer
	}
}

package plan

import "slices"

// addRolls adds the columns that say where rolls go, and the rows that keep
// each roll in one place and every place within its room.
func (m *model) addRolls(fm *famModel, lateAllowed bool) {
	classes := len(m.scope.breaks)
	for _, k := range fm.kinds {
		c := cells{}
		flow := func(most int) int {
			return m.column(column{up: float64(most), rank: rankFlow, nudge: m.nudge})
		}
		due := 0
		below := make([]int, classes) // rolls of a class and those above
		for class := classes - 1; class >= 0; class-- {
			due += len(k.class[class])
			below[class] = due
		}
		m.lost += len(k.lost)
		for _, t := range k.times {
			row := make([]int, classes)
			for class := range row {
				row[class] = -1
				if below[class] > 0 && len(fm.supply[t][class][k.format]) > 0 {
					row[class] = flow(below[class])
				}
			}
			c.onTime = append(c.onTime, row)
			c.late = append(c.late, -1)
			if lateAllowed && due > 0 || len(k.lost) > 0 {
				c.late[len(c.late)-1] = flow(due + len(k.lost))
			}
			c.ride = append(c.ride, -1)
			if len(k.later) > 0 {
				c.ride[len(c.ride)-1] = flow(len(k.later))
			}
		}
		c.missed = make([]int, classes)
		for class := range c.missed {
			c.missed[class] = -1
			if n := len(k.class[class]); lateAllowed && n > 0 {
				c.missed[class] = flow(n)
				m.late = append(m.late, term{c.missed[class], 1})
			}
		}
		m.keepRolls(k, c, below)
		fm.cells = append(fm.cells, c)
	}
	m.keepRoom(fm)
}

// keepRolls sends every roll of a kind somewhere. A roll of a class may be in
// loads of that class or an earlier one, so what is left of a class moves down,
// past classes that have no rolls of the kind and no loads for them.
func (m *model) keepRolls(k *kind, c cells, below []int) {
	down := -1 // rolls moving down from the class above
	var late []term
	for class := len(below) - 1; class >= 0; class-- {
		terms := c.inLoads(class)
		if len(terms) == 0 && len(k.class[class]) == 0 {
			continue
		}
		if down >= 0 {
			terms = append(terms, term{down, -1})
		}
		down = -1
		if below[class] > 0 && c.anyBelow(class) {
			down = m.column(column{up: float64(below[class])})
			terms = append(terms, term{down, 1})
		}
		if col := c.missed[class]; col >= 0 {
			terms = append(terms, term{col, 1})
			late = append(late, term{col, 1})
		}
		if n := float64(len(k.class[class])); len(terms) > 0 || n > 0 {
			m.row(n, n, terms...)
		}
	}
	var rides []term
	for i := range k.times {
		if c.late[i] >= 0 {
			late = append(late, term{c.late[i], -1})
		}
		if c.ride[i] >= 0 {
			rides = append(rides, term{c.ride[i], 1})
		}
	}
	if len(late) > 0 {
		n := -float64(len(k.lost))
		m.row(n, n, late...)
	}
	if len(rides) > 0 {
		m.atMost(float64(len(k.later)), rides...)
		m.rides = append(m.rides, rides...)
	}
}

// inLoads sums the rolls of a kind in loads of a class that keep their promise.
func (c cells) inLoads(class int) []term {
	var terms []term
	for _, row := range c.onTime {
		if col := row[class]; col >= 0 {
			terms = append(terms, term{col, 1})
		}
	}
	return terms
}

// anyBelow says whether loads of a lower class may hold rolls of a kind.
func (c cells) anyBelow(class int) bool {
	for class--; class >= 0; class-- {
		if len(c.inLoads(class)) > 0 {
			return true
		}
	}
	return false
}

// keepRoom keeps the rolls of each format within the room of the loads of a
// time: those on time class by class, all of them over all classes.
func (m *model) keepRoom(fm *famModel) {
	for t := range fm.times {
		for format := range m.d.formats {
			var all, room []term
			for class, supply := range fm.supply[t] {
				var here []term
				for i, k := range fm.kinds {
					at := indexOf(k.times, t)
					if k.format != format || at < 0 {
						continue
					}
					if class == len(m.scope.breaks) {
						for _, col := range []int{fm.cells[i].late[at], fm.cells[i].ride[at]} {
							if col >= 0 {
								all = append(all, term{col, 1})
							}
						}
					} else if col := fm.cells[i].onTime[at][class]; col >= 0 {
						here = append(here, term{col, 1})
					}
				}
				for _, s := range supply[format] {
					room = append(room, term{s.col, -s.coef})
				}
				if len(here) > 0 {
					all = append(all, here...)
					m.atMost(0, append(here, room[len(room)-len(supply[format]):]...)...)
				}
			}
			if len(all) > 0 {
				m.atMost(0, append(all, room...)...)
			}
		}
	}
}

func indexOf(list []int, v int) int {
	for i, w := range list {
		if w == v {
			return i
		}
	}
	return -1
}

// addCounts adds whole columns for sums of loads. They change no answer but
// let the search settle what matters most first.
func (m *model) addCounts(fm *famModel) {
	classes := len(m.scope.breaks)
	for class := classes; class >= 0; class-- {
		rank := rankByBreak
		if class == classes {
			rank = rankFamily
		} else if !slices.ContainsFunc(fm.cols, func(c loadColumn) bool { return c.class == class }) {
			continue // it would be that of the class before
		}
		m.count(rank, fm, func(c loadColumn) bool { return c.class <= class })
	}
	for _, on := range m.d.families[fm.f].lines {
		m.count(rankByLine, fm, func(c loadColumn) bool { return c.line == on.line })
	}
}

// countTimes adds whole columns for the loads of each time on each line, from
// which it follows when the line is done.
func (m *model) countTimes() {
	for _, fm := range m.fams {
		for t := range fm.times {
			for _, on := range m.d.families[fm.f].lines {
				if len(fm.times) > 1 {
					m.count(rankByLine, fm, func(c loadColumn) bool { return c.time == t && c.line == on.line })
				}
			}
		}
	}
}

// count adds a column for the sum of some loads of a family.
func (m *model) count(rank int, fm *famModel, which func(loadColumn) bool) int {
	var terms []term
	most := 0.0
	for _, c := range fm.cols {
		if which(c) {
			terms = append(terms, term{c.col, 1})
			most += m.cols[c.col].up
		}
	}
	col := m.column(column{up: most, rank: rank})
	m.row(0, 0, append(terms, term{col, -1})...)
	return col
}

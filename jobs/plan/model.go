package plan

import (
	"math"
	"slices"
)

// ranks of columns: the order in which the search settles them.
const (
	rankFamily  = 1 + iota // batches of a family
	rankByBreak            // batches of a family due by a break
	rankByLine             // batches of a family on a line
	rankLoads              // batches of one pattern
	rankFlow               // rolls
)

// mostPatterns is how many patterns of one load are listed. Where a large line
// has more, room is counted by totals instead.
const mostPatterns = 200

// model is a day as a program in whole numbers. Loads with the same line,
// family, development time, break and pattern are counted, not told apart, and
// so are rolls of a kind: however many rolls, the program stays small.
type model struct {
	program
	d     *day
	scope scope
	fams  []*famModel
	lost  int    // rolls that are late whatever is done
	late  []term // further late rolls
	loads []term // batches
	rides []term // later rolls that ride along
	nudge float64
	reach []func(int) int
	unit  int // seconds that divide the length of every load
}

// famModel is the part of a family. Loads of class c end by break c; those of
// the last class, one beyond the breaks, have no promise to keep.
type famModel struct {
	f     int
	times []int
	kinds []*kind
	cols  []loadColumn
	// supply is the room for a format in loads of a time and class.
	supply [][][][]term // [time][class][format]
	cells  []cells      // of each kind
}

// loadColumn counts the loads that are alike.
type loadColumn struct {
	col, line, time, class int
	pattern                []int // rolls of each format
	// totals are columns that count rolls of each format over all of these
	// loads, where patterns were too many to list; pattern is nil then.
	totals []int
}

// cells are the columns that say where rolls of a kind go; a column that is
// not there is -1.
type cells struct {
	onTime [][]int // [index into kind.times][class]: in loads that keep the promise
	missed []int   // [class]: rolls that become late
	late   []int   // [index into kind.times]: late rolls in any load
	ride   []int   // [index into kind.times]: later rolls in any load
}

// newModel writes the columns and rows that every question about the day
// needs. With lateAllowed false only lost rolls are late.
func newModel(d *day, s scope, lateAllowed bool) *model {
	m := &model{d: d, scope: s}
	m.nudge = nudgeTotal / float64(4*len(d.rolls)+4)
	for f := range d.families {
		rolls := s.chosen(d, f)
		early := 0
		for _, r := range rolls {
			if d.rolls[r].early {
				early++
			}
		}
		if early == 0 {
			continue
		}
		fm := &famModel{f: f, times: times(d, rolls)}
		fm.kinds = s.kinds(d, f, rolls, fm.times)
		m.fams = append(m.fams, fm)
	}
	m.findReach()
	m.more = m.owed
	for _, fm := range m.fams {
		m.addLoads(fm, lateAllowed)
		m.addRolls(fm, lateAllowed)
		m.addCounts(fm)
	}
	for l := range d.lines {
		for class, at := range s.breaks {
			if m.anyOn(l, class) {
				m.timeRow(l, class, m.reach[l](at))
				m.countLine(l, class)
			}
		}
		if before := d.twin(l); before >= 0 {
			// Twins can change places, so one may as well run the fewer loads.
			m.atLeast(0, append(m.loadsOn(before, 1), m.loadsOn(l, -1)...)...)
		}
	}
	return m
}

// loadsOn is the number of loads on a line, some times.
func (m *model) loadsOn(line int, times float64) []term {
	var terms []term
	for _, fm := range m.fams {
		for _, c := range fm.cols {
			if c.line == line {
				terms = append(terms, term{c.col, times})
			}
		}
	}
	return terms
}

// findReach works out, for every line, which sums of batches end by a moment.
func (m *model) findReach() {
	last := 0
	if n := len(m.scope.breaks); n > 0 {
		last = m.scope.breaks[n-1]
	}
	for l, line := range m.d.lines {
		var lengths []int
		for _, fm := range m.fams {
			if m.d.families[fm.f].on(l) != nil {
				for _, t := range fm.times {
					lengths = append(lengths, line.TurnaroundS+t)
					m.unit = gcd(m.unit, line.TurnaroundS+t)
				}
			}
		}
		m.reach = append(m.reach, newReach(lengths, last))
	}
}

// timeRow keeps the loads of a line up to a class within some seconds.
func (m *model) timeRow(line, class, seconds int) {
	if terms := m.lineTerms(line, class); len(terms) > 0 {
		m.atMost(float64(seconds/m.unit), terms...)
	}
}

// anyOn says whether there may be loads of a class on a line.
func (m *model) anyOn(line, class int) bool {
	for _, fm := range m.fams {
		if slices.ContainsFunc(fm.cols, func(c loadColumn) bool { return c.line == line && c.class == class }) {
			return true
		}
	}
	return false
}

// countLine adds a whole column for the loads of a line up to a class: no more
// of them than of the shortest.
func (m *model) countLine(line, class int) {
	var terms []term
	shortest, most := math.MaxInt, 0.0
	for _, fm := range m.fams {
		for _, c := range fm.cols {
			if c.line == line && c.class <= class {
				terms = append(terms, term{c.col, 1})
				shortest = min(shortest, m.length(fm, c))
				most += m.cols[c.col].up
			}
		}
	}
	most = min(most, float64(m.reach[line](m.scope.breaks[class])/shortest))
	col := m.column(column{up: most, rank: rankByLine})
	m.row(0, 0, append(terms, term{col, -1})...)
}

// lineTerms is the time, in units of the model, that loads up to a class take
// on a line.
func (m *model) lineTerms(line, class int) []term {
	var terms []term
	for _, fm := range m.fams {
		for _, c := range fm.cols {
			if c.line == line && c.class <= class {
				terms = append(terms, term{c.col, float64(m.length(fm, c) / m.unit)})
			}
		}
	}
	return terms
}

// length is how long a load takes, in seconds.
func (m *model) length(fm *famModel, c loadColumn) int {
	return m.d.lines[c.line].TurnaroundS + fm.times[c.time]
}

// addLoads adds the columns that count loads.
func (m *model) addLoads(fm *famModel, lateAllowed bool) {
	family, classes := &m.d.families[fm.f], len(m.scope.breaks)
	for t := range fm.times {
		fm.supply = append(fm.supply, make([][][]term, classes+1))
		for class := 0; class <= classes; class++ {
			fm.supply[t][class] = make([][]term, len(m.d.formats))
			have, any := m.have(fm, t, class, lateAllowed)
			if !any {
				continue
			}
			for _, on := range family.lines {
				c := loadColumn{line: on.line, time: t, class: class}
				most := math.Inf(1)
				if class < classes {
					most = float64(m.reach[on.line](m.scope.breaks[class]) / m.length(fm, c))
				}
				if most >= 1 {
					m.addPatterns(fm, c, on.use, have, most)
				}
			}
		}
	}
}

// have counts the rolls of each format that loads of a time and class may
// hold, and says whether any of them gives such a load a reason to be: a load
// that keeps a promise keeps one of its very class, or it might as well be of
// the next.
func (m *model) have(fm *famModel, t, class int, lateAllowed bool) ([]int, bool) {
	have, reason := make([]int, len(m.d.formats)), false
	for _, k := range fm.kinds {
		if indexOf(k.times, t) < 0 {
			continue
		}
		have[k.format] += len(k.lost) + len(k.later)
		if class == len(k.class) {
			reason = reason || len(k.lost) > 0
		}
		for c, rolls := range k.class {
			if c >= class || lateAllowed {
				have[k.format] += len(rolls)
				reason = reason || len(rolls) > 0 && (c == class || class == len(k.class))
			}
		}
	}
	return have, reason
}

// addPatterns adds a column for every pattern of one sort of load, or one for
// all where they are too many.
func (m *model) addPatterns(fm *famModel, c loadColumn, use, have []int, most float64) {
	capacity := m.d.lines[c.line].Capacity
	supply := fm.supply[c.time][c.class]
	total := 0
	for _, n := range have {
		total += n
	}
	most = min(most, float64(total))
	list := patterns(use, have, capacity, mostPatterns)
	for _, pattern := range list {
		c.pattern = pattern
		c.col = m.column(column{up: most, rank: rankLoads, nudge: m.nudge, spot: spot{fm.f, c.line, c.class}})
		fm.cols = append(fm.cols, c)
		m.loads = append(m.loads, term{c.col, 1})
		for format, n := range pattern {
			if n > 0 {
				supply[format] = append(supply[format], term{c.col, float64(n)})
			}
		}
	}
	if list != nil {
		return
	}
	c.pattern, c.totals = nil, make([]int, len(use))
	c.col = m.column(column{up: most, rank: rankLoads, nudge: m.nudge, spot: spot{fm.f, c.line, c.class}})
	fm.cols = append(fm.cols, c)
	m.loads = append(m.loads, term{c.col, 1})
	m.addTotals(c, use, have, capacity, supply)
}

// addTotals says how many rolls of each format fit into some loads together:
// for every size, what is at least that large may fill no more of each load
// than such sizes can. Where every size divides the next this is exact.
func (m *model) addTotals(c loadColumn, use, have []int, capacity int, supply [][]term) {
	for format, size := range use {
		c.totals[format] = -1
		if size > 0 && have[format] > 0 {
			c.totals[format] = m.column(column{up: float64(have[format]), rank: rankFlow})
			supply[format] = append(supply[format], term{c.totals[format], 1})
			m.atMost(0, term{c.totals[format], 1}, term{c.col, -float64(min(have[format], capacity/size))})
		}
	}
	for _, size := range use {
		if size == 0 {
			continue
		}
		var terms []term
		var sizes []int
		for format, other := range use {
			if other >= size && c.totals[format] >= 0 {
				terms = append(terms, term{c.totals[format], float64(other)})
				sizes = append(sizes, other)
			}
		}
		m.atMost(0, append(terms, term{c.col, -float64(newReach(sizes, capacity)(capacity))})...)
	}
}

// newReach returns, for a set of lengths, the largest sum of them (each as
// often as one likes) that is no more than its argument. For arguments beyond
// most, or where that would take long to work out, the argument itself.
func newReach(lengths []int, most int) func(int) int {
	unit := 0
	for _, length := range lengths {
		unit = gcd(unit, length)
	}
	if unit == 0 || most/unit > 100_000 {
		return func(at int) int { return max(at, 0) }
	}
	largest := make([]int, max(most/unit, 0)+1)
	for at := range largest {
		if at > 0 {
			largest[at] = largest[at-1]
		}
		for _, length := range lengths {
			if rest := at - length/unit; rest >= 0 && largest[rest] == rest {
				largest[at] = at
				break
			}
		}
	}
	return func(at int) int {
		if at <= 0 {
			return 0
		}
		if at/unit >= len(largest) {
			return at
		}
		return largest[at/unit] * unit
	}
}

func gcd(a, b int) int {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}

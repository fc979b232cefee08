package plan

import "slices"

// known counts the loads of a draft in the columns of the model. A load that
// the model has no column for is left out.
func (m *model) known(p draft) []float64 {
	x := make([]float64, len(m.cols))
	for _, load := range p {
		for _, fm := range m.fams {
			if fm.f != load.family {
				continue
			}
			if col := m.columnOf(fm, load); col >= 0 {
				x[col]++
			}
		}
	}
	return x
}

// columnOf is the column of the loads like one of a draft: its line, a time
// that suits its rolls, the first break that it must not pass, and a pattern
// with room for it.
func (m *model) columnOf(fm *famModel, load load) int {
	class := len(m.scope.breaks)
	count := make([]int, len(m.d.formats))
	suits := func(t int) bool { return true }
	for _, r := range load.rolls {
		roll := &m.d.rolls[r]
		if !roll.early && !m.scope.riders {
			continue
		}
		count[roll.format]++
		others := suits
		suits = func(t int) bool { return others(t) && roll.DevelopS[0] <= t && t <= roll.DevelopS[1] }
		if roll.early && load.end <= roll.due {
			at, _ := slices.BinarySearch(m.scope.breaks, roll.due)
			class = min(class, at)
		}
	}
	for _, c := range fm.cols {
		if c.line != load.line || c.class != class || !suits(fm.times[c.time]) {
			continue
		}
		if c.pattern == nil || holds(c.pattern, count) {
			return c.col
		}
	}
	return -1
}

// holds says whether a pattern has room for so many rolls of each format.
func holds(pattern, count []int) bool {
	for format, n := range count {
		if n > pattern[format] {
			return false
		}
	}
	return true
}

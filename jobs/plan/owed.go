package plan

import (
	"math"
	"slices"
)

// owed makes rows about promises that the present point does not keep, of all
// that hold in every whole solution: of some rolls of a family that are due by
// a break, those that no load of the family by then has room for are missed. A
// load of a class only counts as many as are due between that class and the
// break, however many of others it could hold: in parts of loads, which are
// all that the continuous program has, this is what keeps one half load from
// being a whole load of half as many rolls.
func (m *model) owed(x []float64) []row {
	var rows []row
	for _, fm := range m.fams {
		for _, group := range fm.groups(len(m.d.formats)) {
			for class := range m.scope.breaks {
				for _, r := range m.owedBy(fm, group, class) {
					if sum := r.at(x); sum < r.lo-owedAtLeast {
						rows = append(rows, r)
					}
				}
			}
		}
	}
	return rows
}

// owedAtLeast is by how much a row must be broken to be worth it.
const owedAtLeast = 0.01

// groups are the sets of kinds to make rows of: every kind, all of a format,
// all of the family.
func (fm *famModel) groups(formats int) [][]int {
	var groups [][]int
	add := func(has func(k *kind) bool) {
		var group []int
		for i, k := range fm.kinds {
			if has(k) {
				group = append(group, i)
			}
		}
		if len(group) > 0 && !slices.ContainsFunc(groups, func(g []int) bool { return slices.Equal(g, group) }) {
			groups = append(groups, group)
		}
	}
	for _, k := range fm.kinds {
		add(func(other *kind) bool { return other == k })
	}
	for format := range formats {
		add(func(k *kind) bool { return k.format == format })
	}
	add(func(*kind) bool { return true })
	return groups
}

// has says whether any rolls of the family are of a class.
func (fm *famModel) has(class int) bool {
	return slices.ContainsFunc(fm.kinds, func(k *kind) bool { return len(k.class[class]) > 0 })
}

// owedBy makes the rows of some kinds and a break: one that counts rolls, and
// where one load is not enough its rounding, which counts the loads.
func (m *model) owedBy(fm *famModel, group []int, class int) []row {
	var terms []term
	owed, most := 0, 0
	if !slices.ContainsFunc(group, func(i int) bool { return len(fm.kinds[i].class[class]) > 0 }) {
		return nil // it is that of the class before
	}
	for _, i := range group {
		for c := range class + 1 {
			owed += len(fm.kinds[i].class[c])
		}
		for _, col := range fm.cells[i].missed[:class+1] {
			if col >= 0 {
				terms = append(terms, term{col, 1})
			}
		}
	}
	missed := len(terms)
	for _, c := range fm.cols {
		if c.class <= class {
			if n := m.holdsOf(fm, group, c, class); n > 0 {
				terms = append(terms, term{c.col, float64(n)})
				most = max(most, n)
			}
		}
	}
	rows := []row{{terms: terms, lo: float64(owed), up: math.Inf(1)}}
	if most == 0 {
		return rows
	}
	loads := (owed + most - 1) / most
	if rest := owed - (loads-1)*most; loads > 1 && rest < most {
		rounded := slices.Clone(terms)
		for i := missed; i < len(rounded); i++ {
			rounded[i].coef = min(rounded[i].coef, float64(rest))
		}
		rows = append(rows, row{terms: rounded, lo: float64(rest * loads), up: math.Inf(1)})
	}
	return rows
}

// holdsOf is how many rolls of some kinds, due by a break, a load can keep the
// promise of.
func (m *model) holdsOf(fm *famModel, group []int, c loadColumn, class int) int {
	sum := 0
	for format := range m.d.formats {
		n := 0
		for _, i := range group {
			if k := fm.kinds[i]; k.format == format && indexOf(k.times, c.time) >= 0 {
				for at := c.class; at <= class; at++ {
					n += len(k.class[at])
				}
			}
		}
		if n == 0 {
			continue
		}
		if c.pattern != nil {
			n = min(n, c.pattern[format])
		} else if use := m.d.families[fm.f].on(c.line).use[format]; use > 0 {
			n = min(n, m.d.lines[c.line].Capacity/use)
		} else {
			n = 0
		}
		sum += n
	}
	return sum
}

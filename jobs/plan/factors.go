package plan

import (
	"cmp"
	"math"
	"slices"
)

// sparse is a matrix by its rows or by its columns.
type sparse struct {
	start []int // of each row or column, and one more
	index []int32
	value []float64
}

// newSparse collects the terms of rows, by column where that is wanted.
func newSparse(size int, rows []row, byColumn bool) sparse {
	m := sparse{start: make([]int, size+1)}
	place := func(i int, t term) (int, int) {
		if byColumn {
			return t.col, i
		}
		return i, t.col
	}
	total := 0
	for i, r := range rows {
		for _, t := range r.terms {
			at, _ := place(i, t)
			m.start[at+1]++
			total++
		}
	}
	for i := range size {
		m.start[i+1] += m.start[i]
	}
	m.index, m.value = make([]int32, total), make([]float64, total)
	next := append([]int(nil), m.start...)
	for i, r := range rows {
		for _, t := range r.terms {
			at, index := place(i, t)
			m.index[next[at]], m.value[next[at]] = int32(index), t.coef
			next[at]++
		}
	}
	return m
}

// factors is the inverse of a basis as a product of matrices that differ from
// the identity in one column each.
type factors struct {
	row   []int     // the column that differs, which is that of a row
	pivot []float64 // its entry on the diagonal
	start []int     // its other entries
	index []int32
	value []float64
	made  int // how many came from the basis itself; the others are updates
	size  int // entries then
}

func (f *factors) reset() {
	f.row, f.pivot, f.start = f.row[:0], f.pivot[:0], append(f.start[:0], 0)
	f.index, f.value = f.index[:0], f.value[:0]
}

// updates counts the pivots since the inverse was made.
func (f *factors) updates() int { return len(f.row) - f.made }

// worn says when making the inverse again is worth it.
func (f *factors) worn() bool {
	return f.updates() > 100 || f.updates() > 20 && len(f.index) > 3*f.size+20*f.made
}

// add takes up a column w that becomes the unit column of row r.
func (f *factors) add(r int, w []float64) {
	f.row, f.pivot = append(f.row, r), append(f.pivot, w[r])
	for i, a := range w {
		if i != r && math.Abs(a) > nothing {
			f.index, f.value = append(f.index, int32(i)), append(f.value, a)
		}
	}
	f.start = append(f.start, len(f.index))
}

// truncate forgets all but the first of the factors.
func (f *factors) truncate(count int) {
	f.row, f.pivot, f.start = f.row[:count], f.pivot[:count], f.start[:count+1]
	f.index, f.value = f.index[:f.start[count]], f.value[:f.start[count]]
}

// forward multiplies the inverse with a column.
func (f *factors) forward(v []float64) {
	for k, r := range f.row {
		a := v[r]
		if a == 0 {
			continue
		}
		if math.Abs(a) < nothing {
			v[r] = 0
			continue
		}
		a /= f.pivot[k]
		v[r] = a
		first, last := f.start[k], f.start[k+1]
		value := f.value[first:last]
		for e, i := range f.index[first:last] {
			v[i] -= a * value[e]
		}
	}
}

// backward multiplies a row with the inverse.
func (f *factors) backward(v []float64) {
	for k := len(f.row) - 1; k >= 0; k-- {
		a := v[f.row[k]]
		first, last := f.start[k], f.start[k+1]
		value := f.value[first:last]
		for e, i := range f.index[first:last] {
			a -= v[i] * value[e]
		}
		if a != 0 {
			v[f.row[k]] = a / f.pivot[k]
		} else {
			v[f.row[k]] = 0
		}
	}
}

// factor makes the inverse of the basis. Columns that are alone in a row come
// first and those alone in a column last, the last found first: neither then
// brings new entries, and no factor changes the other. A column that depends on
// others gives way to a row's own sum.
func (s *simplex) factor() {
	s.inverse.reset()
	f := newFactoring(s)
	f.peel()
	for _, c := range f.first {
		f.placeAsIs(c)
	}
	var loose []int
	for _, v := range f.middle() {
		if !f.place(v) {
			loose = append(loose, v)
		}
	}
	for _, c := range slices.Backward(f.last) {
		f.placeAsIs(c)
	}
	for _, v := range loose {
		s.at[v] = -1
	}
	for i, done := range f.filled {
		if !done {
			f.placeAsIs(pairing{s.n + i, i})
		}
	}
	for i, v := range s.basic {
		s.at[v] = i
	}
	s.inverse.made, s.inverse.size = s.m, len(s.inverse.index)
	s.work += 3*s.m + 2*len(s.inverse.index)
}

// factoring is the making of an inverse.
type factoring struct {
	s        *simplex
	vars     []int
	inRow    [][]int // positions in vars of the columns with an entry in a row
	rowCount []int   // entries of each row in columns not taken yet
	colCount []int   // entries of each column in rows not taken yet
	rowTaken []bool
	colTaken []bool
	filled   []bool // rows with their basic variable in place
	first    []pairing
	last     []pairing
}

type pairing struct{ variable, row int }

func newFactoring(s *simplex) *factoring {
	f := &factoring{
		s: s, vars: append([]int(nil), s.basic...), inRow: make([][]int, s.m), rowCount: make([]int, s.m),
		colCount: make([]int, s.m), rowTaken: make([]bool, s.m), colTaken: make([]bool, s.m), filled: make([]bool, s.m),
	}
	for k, v := range f.vars {
		f.entries(v, func(row int) {
			f.inRow[row] = append(f.inRow[row], k)
			f.rowCount[row]++
			f.colCount[k]++
		})
	}
	return f
}

// entries visits the rows in which a variable's column has an entry.
func (f *factoring) entries(v int, visit func(row int)) {
	if v >= f.s.n {
		visit(v - f.s.n)
		return
	}
	for k := f.s.byCol.start[v]; k < f.s.byCol.start[v+1]; k++ {
		visit(int(f.s.byCol.index[k]))
	}
}

// peel takes columns that are alone in a row or have one row alone, over and
// over.
func (f *factoring) peel() {
	var rows, cols []int
	for i := range f.s.m {
		if f.rowCount[i] == 1 {
			rows = append(rows, i)
		}
		if f.colCount[i] == 1 {
			cols = append(cols, i)
		}
	}
	take := func(k, row int) {
		f.colTaken[k], f.rowTaken[row] = true, true
		f.entries(f.vars[k], func(i int) {
			if f.rowCount[i]--; f.rowCount[i] == 1 && !f.rowTaken[i] {
				rows = append(rows, i)
			}
		})
		for _, other := range f.inRow[row] {
			if f.colCount[other]--; f.colCount[other] == 1 && !f.colTaken[other] {
				cols = append(cols, other)
			}
		}
	}
	for len(rows)+len(cols) > 0 {
		if len(cols) > 0 {
			k := cols[len(cols)-1]
			cols = cols[:len(cols)-1]
			if f.colTaken[k] || f.colCount[k] != 1 {
				continue
			}
			f.entries(f.vars[k], func(i int) {
				if !f.rowTaken[i] && !f.colTaken[k] {
					f.last = append(f.last, pairing{f.vars[k], i})
					take(k, i)
				}
			})
			continue
		}
		row := rows[len(rows)-1]
		rows = rows[:len(rows)-1]
		if f.rowTaken[row] || f.rowCount[row] != 1 {
			continue
		}
		for _, k := range f.inRow[row] {
			if !f.colTaken[k] {
				f.first = append(f.first, pairing{f.vars[k], row})
				take(k, row)
				break
			}
		}
	}
}

// middle lists the variables that peel has left, those with few entries first.
func (f *factoring) middle() []int {
	var left []int
	for k := range f.vars {
		if !f.colTaken[k] {
			left = append(left, k)
		}
	}
	slices.SortStableFunc(left, func(a, b int) int { return cmp.Compare(f.colCount[a], f.colCount[b]) })
	for i, k := range left {
		left[i] = f.vars[k]
	}
	return left
}

// placeAsIs adds a column that no factor before it changes.
func (f *factoring) placeAsIs(c pairing) {
	s := f.s
	if c.variable >= s.n {
		s.inverse.row, s.inverse.pivot = append(s.inverse.row, c.row), append(s.inverse.pivot, -1)
	} else {
		for k := s.byCol.start[c.variable]; k < s.byCol.start[c.variable+1]; k++ {
			if i, a := s.byCol.index[k], s.byCol.value[k]; int(i) == c.row {
				s.inverse.row, s.inverse.pivot = append(s.inverse.row, c.row), append(s.inverse.pivot, a)
			} else {
				s.inverse.index, s.inverse.value = append(s.inverse.index, i), append(s.inverse.value, a)
			}
		}
	}
	s.inverse.start = append(s.inverse.start, len(s.inverse.index))
	f.filled[c.row], s.basic[c.row] = true, c.variable
}

// place adds any other column, in the row of a large entry that few other
// columns share, and says whether there was one.
func (f *factoring) place(v int) bool {
	s := f.s
	clear(s.w)
	s.spread(v, 1)
	s.inverse.forward(s.w)
	largest := 1e-8
	for i, a := range s.w {
		if !f.filled[i] && !f.rowTaken[i] {
			largest = max(largest, math.Abs(a))
		}
	}
	row := -1
	for i, a := range s.w {
		if !f.filled[i] && !f.rowTaken[i] && math.Abs(a) >= largest/10 && a != 0 &&
			(row < 0 || f.rowCount[i] < f.rowCount[row]) {
			row = i
		}
	}
	s.work += 3 * s.m
	if row < 0 || math.Abs(s.w[row]) < 1e-8 {
		return false
	}
	f.filled[row], s.basic[row] = true, v
	s.inverse.add(row, s.w)
	return true
}

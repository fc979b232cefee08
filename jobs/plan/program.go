package plan

import "math"

// program is a linear program in whole numbers: the least cost with every
// column and every row between its ends. Coefficients and ends are whole, so
// that the sum of every row is too.
type program struct {
	cols []column
	rows []row
	// more, where it is not nil, makes rows that every whole solution keeps and
	// the given point does not.
	more func(x []float64) []row
}

// column is a quantity to be decided. Both ends are finite.
type column struct {
	cost, lo, up float64
	nudge        float64 // the most that may be added to the cost, see nudge
	// rank says which columns the search settles first, the lowest where it
	// knows no better; 0 leaves the column to follow from the others.
	rank int
	spot spot
}

// row is a sum that must stay between its ends, either of which may be
// infinite.
type row struct {
	terms  []term
	lo, up float64
}

// at is the sum of a row at a point.
func (r row) at(x []float64) float64 {
	sum := 0.0
	for _, t := range r.terms {
		sum += t.coef * x[t.col]
	}
	return sum
}

type term struct {
	col  int
	coef float64
}

func (p *program) column(c column) int {
	p.cols = append(p.cols, c)
	return len(p.cols) - 1
}

func (p *program) row(lo, up float64, terms ...term) {
	p.rows = append(p.rows, row{terms, lo, up})
}

// atMost adds a row with an upper end alone.
func (p *program) atMost(up float64, terms ...term) { p.row(math.Inf(-1), up, terms...) }

// atLeast adds a row with a lower end alone.
func (p *program) atLeast(lo float64, terms ...term) { p.row(lo, math.Inf(1), terms...) }

// value is the cost of a solution.
func (p *program) value(x []float64) float64 {
	sum := 0.0
	for j, c := range p.cols {
		sum += c.cost * x[j]
	}
	return sum
}

// holds says whether a solution keeps every end of the columns and of the
// first rows; what the arithmetic of the
// search lost would show here.
func (p *program) holds(x []float64, rows int) bool {
	const slip = 1e-6
	for j, c := range p.cols {
		if x[j] < c.lo-slip || x[j] > c.up+slip {
			return false
		}
	}
	for _, r := range p.rows[:rows] {
		sum := r.at(x)
		if sum < r.lo-slip || sum > r.up+slip {
			return false
		}
	}
	return true
}

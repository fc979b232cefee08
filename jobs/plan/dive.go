package plan

import "math"

// A dive goes straight down from a point, settling one column after another
// without looking ahead, to come upon a whole solution soon.
type dive int

const (
	nearest dive = iota // the column closest to a whole number, to that number
	fullest             // the column that lacks least of the next one up, to that
	guided              // the column closest to the best solution, to that solution
	dives
)

// dive tries one sort of dive and comes back to where it began.
func (b *branching) dive(sort dive, allowed int) {
	if sort == guided && b.best.x == nil {
		sort = nearest
	}
	basic := append([]int(nil), b.s.basic...)
	var moved []ends
	for turned := false; ; {
		v, up := b.plunge(sort)
		if v < 0 {
			b.take()
			break
		}
		x, from := b.s.x[v], len(moved)
		var out outcome
		moved, out = b.move(moved, v, x, up, allowed)
		if out == impossible && !turned {
			turned = true
			wrong := moved[from:]
			moved = b.undo(moved, from)
			b.s.rest(wrong)
			moved, out = b.move(moved, v, x, !up, allowed)
		} else if out == solved {
			turned = false
		}
		if out != solved || b.s.value() > b.limit()+1e-6 {
			break
		}
	}
	b.undo(moved, 0)
	b.s.restart(basic)
	b.s.solve(math.Inf(1), math.MaxInt)
}

// plunge picks the next column of a dive and its way; -1 when all are whole.
func (b *branching) plunge(sort dive) (int, bool) {
	best, least, way := -1, math.Inf(1), false
	for j, c := range b.p.cols {
		if c.rank == 0 {
			continue
		}
		x := b.s.x[j]
		f := x - math.Floor(x)
		if f < 1e-6 || f > 1-1e-6 {
			continue
		}
		distance, up := min(f, 1-f), f >= 0.5
		switch sort {
		case fullest:
			distance, up = 1-f, true
		case guided:
			distance, up = math.Abs(x-b.best.x[j]), b.best.x[j] > x
		}
		if distance += 0.1 * float64(c.rank); distance < least-1e-9 {
			best, least, way = j, distance, up
		}
	}
	return best, way
}

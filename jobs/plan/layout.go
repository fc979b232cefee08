package plan

import "slices"

// layout is a plan while it is being mended: the loads of each line in order,
// with the rolls due by the end of the day alone.
type layout struct {
	lines   [][]stack
	late    int
	batches int
	finish  int
}

// stack is a load of a layout.
type stack struct {
	family int
	window Window // the development times that suit all its rolls
	used   int
	end    int
	rolls  []int // ascending, and so in order of due
}

// newLayout lays out a draft.
func newLayout(d *day, p draft) *layout {
	lay := &layout{lines: make([][]stack, len(d.lines))}
	for _, load := range p {
		s := stack{family: load.family}
		for _, r := range load.rolls {
			if d.rolls[r].early {
				s.rolls = append(s.rolls, r)
			}
		}
		slices.Sort(s.rolls)
		if len(s.rolls) > 0 {
			s.measure(d, load.line)
			lay.lines[load.line] = append(lay.lines[load.line], s)
		}
	}
	lay.measure(d)
	return lay
}

// copyFrom makes a layout the copy of another and uses its memory again.
func (lay *layout) copyFrom(other *layout) {
	lay.late, lay.batches, lay.finish = other.late, other.batches, other.finish
	for len(lay.lines) < len(other.lines) {
		lay.lines = append(lay.lines, nil)
	}
	for l, from := range other.lines {
		to := lay.lines[l]
		for len(to) < len(from) {
			if len(to) < cap(to) {
				to = to[:len(to)+1]
				continue
			}
			to = append(to, stack{})
		}
		to = to[:len(from)]
		for i, s := range from {
			rolls := append(to[i].rolls[:0], s.rolls...)
			to[i] = s
			to[i].rolls = rolls
		}
		lay.lines[l] = to
	}
}

// measure works out what a stack is from its rolls.
func (s *stack) measure(d *day, line int) {
	use := d.families[s.family].on(line).use
	s.window, s.used = Window{0, maxSeconds}, 0
	for _, r := range s.rolls {
		roll := &d.rolls[r]
		s.window = s.window.and(roll.DevelopS)
		s.used += use[roll.format]
	}
}

// and is what two windows share, upside down where they share nothing.
func (w Window) and(other Window) Window {
	return Window{max(w[0], other[0]), min(w[1], other[1])}
}

// measure works out every end and what the layout is worth.
func (lay *layout) measure(d *day) {
	lay.late, lay.batches, lay.finish = 0, 0, 0
	for l, line := range lay.lines {
		free := 0
		for i := range line {
			free += d.lines[l].TurnaroundS + line[i].window[0]
			line[i].end = free
			lay.late += line[i].lateAt(d, free)
		}
		lay.batches += len(line)
		lay.finish = max(lay.finish, free)
	}
}

// lateAt counts the rolls that are late when the stack ends at a moment.
func (s *stack) lateAt(d *day, end int) int {
	for i, r := range s.rolls {
		if d.rolls[r].due >= end {
			return i
		}
	}
	return len(s.rolls)
}

// take removes a stack from its line.
func (lay *layout) take(line, at int) {
	from := lay.lines[line]
	gone := from[at]
	copy(from[at:], from[at+1:])
	from[len(from)-1] = stack{rolls: gone.rolls[:0]} // keeps its memory
	lay.lines[line] = from[:len(from)-1]
}

// put makes room for a new stack at a place of a line.
func (lay *layout) put(line, at int, family int) *stack {
	to := lay.lines[line]
	if len(to) < cap(to) {
		to = to[:len(to)+1]
	} else {
		to = append(to, stack{})
	}
	memory := to[len(to)-1].rolls[:0]
	copy(to[at+1:], to[at:])
	to[at] = stack{family: family, window: Window{0, maxSeconds}, rolls: memory}
	lay.lines[line] = to
	return &to[at]
}

// draft turns a layout into a timed draft, with later rolls, those due first
// first, where they fit without longer development.
func (lay *layout) draft(d *day) draft {
	var p draft
	g := &packer{d: d}
	for l, line := range lay.lines {
		for _, s := range line {
			p = append(p, load{line: l, family: s.family, develop: s.window[0], rolls: slices.Clone(s.rolls)})
			g.room = append(g.room, d.lines[l].Capacity-s.used)
		}
	}
	g.loads = p
	for r := range d.rolls {
		if !d.rolls[r].early {
			g.join(r)
		}
	}
	g.loads.time(d)
	return g.loads
}

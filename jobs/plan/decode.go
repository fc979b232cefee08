package plan

import (
	"cmp"
	"math"
	"slices"
)

// place is a load while the counts of a model are turned into rolls.
type place struct {
	load
	class int
	fam   int   // index into the model's families
	time  int   // index into the family's times
	room  []int // rolls of each format it may hold
	press int   // due of the most pressing roll that it is to keep the promise of
}

// draft turns a solution of the model into loads with rolls in them. It
// returns nil where room that was counted by totals cannot be split into
// loads.
func (m *model) draft(x []float64) draft {
	var places []*place
	count := func(col int) int {
		if col < 0 {
			return 0
		}
		return int(math.Round(x[col]))
	}
	for i, fm := range m.fams {
		for _, c := range fm.cols {
			rooms := m.split(c, count)
			if rooms == nil && count(c.col) > 0 {
				return nil
			}
			for _, room := range rooms {
				places = append(places, &place{
					load:  load{line: c.line, family: fm.f},
					class: c.class, fam: i, time: c.time, room: room,
				})
			}
		}
	}
	var best draft
	m.order(places)
	for range 3 {
		m.fill(places, count)
		for _, byBreak := range []bool{true, false} {
			p := m.inOrder(places, byBreak)
			if best == nil || p.score(m.d).compare(best.score(m.d)) < 0 {
				best = p
			}
		}
		m.order(places)
	}
	return best
}

// split lists the room of each of the loads that a column counts.
func (m *model) split(c loadColumn, count func(int) int) [][]int {
	n := count(c.col)
	if c.totals == nil {
		return slices.Repeat([][]int{c.pattern}, n)
	}
	line := m.d.lines[c.line]
	rooms, left := make([][]int, n), make([]int, n)
	for i := range rooms {
		rooms[i], left[i] = make([]int, len(m.d.formats)), line.Capacity
	}
	formats := make([]int, len(m.d.formats))
	for format := range formats {
		formats[format] = format
	}
	size := func(format int) int { return line.Takes[m.d.formats[format]] }
	slices.SortStableFunc(formats, func(a, b int) int { return cmp.Compare(size(b), size(a)) })
	for _, format := range formats {
		for range count(c.totals[format]) {
			at := slices.IndexFunc(left, func(room int) bool { return room >= size(format) })
			if at < 0 {
				return nil
			}
			rooms[at][format]++
			left[at] -= size(format)
		}
	}
	return rooms
}

// order sorts the loads by break and then by their most pressing roll, and
// sets when each would end.
func (m *model) order(places []*place) {
	slices.SortStableFunc(places, func(a, b *place) int {
		return cmp.Or(cmp.Compare(a.class, b.class), cmp.Compare(a.press, b.press))
	})
	free := make([]int, len(m.d.lines))
	for _, p := range places {
		free[p.line] += m.d.lines[p.line].TurnaroundS + m.fams[p.fam].times[p.time]
		p.end = free[p.line]
	}
}

// inOrder makes a timed draft, with the loads of each line sorted by break or
// by their most pressing rolls alone.
func (m *model) inOrder(places []*place, byBreak bool) draft {
	sorted := slices.Clone(places)
	if !byBreak {
		slices.SortStableFunc(sorted, func(a, b *place) int { return cmp.Compare(a.press, b.press) })
	}
	var p draft
	for _, place := range sorted {
		if len(place.rolls) > 0 {
			p = append(p, load{line: place.line, family: place.family, rolls: slices.Clone(place.rolls)})
		}
	}
	p.time(m.d)
	return p
}

// fill puts the rolls into the loads as the solution counts them.
func (m *model) fill(places []*place, count func(int) int) {
	for _, p := range places {
		p.rolls, p.press = nil, math.MaxInt
	}
	for i, fm := range m.fams {
		var mine []*place
		for _, p := range places {
			if p.fam == i {
				mine = append(mine, p)
			}
		}
		slices.SortStableFunc(mine, func(a, b *place) int { return cmp.Compare(a.end, b.end) })
		room := newRooms(mine)
		late := make([][]int, len(fm.kinds))
		for at, k := range fm.kinds {
			missed := m.fillOnTime(k, fm.cells[at], room, count)
			late[at] = slices.Concat(k.lost, missed)
		}
		for at, k := range fm.kinds {
			m.fillRest(k, fm.cells[at], late[at], room, count)
		}
	}
}

// rooms is what is left in the loads of a family, in the order of their ends.
type rooms struct {
	places []*place
	left   [][]int
}

func newRooms(places []*place) *rooms {
	r := &rooms{places: places}
	for _, p := range places {
		r.left = append(r.left, slices.Clone(p.room))
	}
	return r
}

// put puts a roll of a format into the first load of a time that has room,
// only of the class where that is not negative.
func (r *rooms) put(d *day, roll, format, time, class int) {
	for i, p := range r.places {
		if p.time == time && (class < 0 || p.class == class) && r.left[i][format] > 0 {
			r.left[i][format]--
			p.rolls = append(p.rolls, roll)
			if class >= 0 {
				p.press = min(p.press, d.rolls[roll].due)
			}
			return
		}
	}
}

// fillOnTime puts the rolls of a kind whose promises are kept into their
// loads, the most pressing into the earliest, and returns the others.
func (m *model) fillOnTime(k *kind, c cells, room *rooms, count func(int) int) []int {
	type slot struct{ class, time int }
	var slots []slot
	var waiting, chosen []int
	for class := len(k.class) - 1; class >= 0; class-- {
		// The least pressing are kept, so that who must be late is whoever
		// would be the hardest to keep.
		waiting = append(slices.Clone(k.class[class]), waiting...)
		for i, t := range k.times {
			for range count(c.onTime[i][class]) {
				slots = append(slots, slot{class, t})
				chosen = append(chosen, waiting[len(waiting)-1])
				waiting = waiting[:len(waiting)-1]
			}
		}
	}
	slices.Sort(chosen)
	slices.SortStableFunc(slots, func(a, b slot) int { return cmp.Compare(a.class, b.class) })
	for i, s := range slots {
		room.put(m.d, chosen[i], k.format, s.time, s.class)
	}
	return waiting
}

// fillRest puts late and later rolls of a kind wherever their time has room.
func (m *model) fillRest(k *kind, c cells, late []int, room *rooms, count func(int) int) {
	later := k.later
	for i, t := range k.times {
		for range count(c.late[i]) {
			room.put(m.d, late[0], k.format, t, -1)
			late = late[1:]
		}
	}
	for i, t := range k.times {
		for range count(c.ride[i]) {
			room.put(m.d, later[0], k.format, t, -1)
			later = later[1:]
		}
	}
}

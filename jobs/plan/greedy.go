package plan

import (
	"cmp"
	"slices"
)

// greedy makes a valid plan at once, without looking for the best: the most
// pressing roll next, on the line that ends soonest, and with it whatever fits
// in the order of due. It is where the search begins.
func greedy(d *day) draft {
	g := &packer{d: d, free: make([]int, len(d.lines))}
	waiting := make([][]int, len(d.families))
	for f, family := range d.families {
		for _, r := range family.rolls {
			if d.rolls[r].early {
				waiting[f] = append(waiting[f], r)
			}
		}
	}
	var missed []int
	for {
		next := -1
		for f := range waiting {
			if len(waiting[f]) > 0 && (next < 0 || waiting[f][0] < waiting[next][0]) {
				next = f
			}
		}
		if next < 0 {
			break
		}
		rest, ok := g.open(waiting[next], true)
		if !ok {
			missed = append(missed, waiting[next][0])
			rest = waiting[next][1:]
		}
		waiting[next] = rest
	}
	g.placeLate(missed)
	for r := range d.rolls {
		if !d.rolls[r].early {
			g.join(r)
		}
	}
	g.loads.time(d)
	return g.loads
}

// packer fills loads one after another.
type packer struct {
	d     *day
	loads draft
	room  []int // what is left in each load
	free  []int // when each line is free, in seconds from the start
}

// placeLate puts rolls whose promise is lost where there is room, and then
// into loads of their own.
func (g *packer) placeLate(missed []int) {
	waiting := make([][]int, len(g.d.families))
	for _, r := range missed {
		if !g.join(r) {
			f := g.d.rolls[r].family
			waiting[f] = append(waiting[f], r)
		}
	}
	for f := range waiting {
		// The largest first pack best, and nobody waits for these.
		size := func(r int) int {
			most := 0
			for _, on := range g.d.families[f].lines {
				most = max(most, on.use[g.d.rolls[r].format])
			}
			return most
		}
		slices.SortStableFunc(waiting[f], func(a, b int) int { return cmp.Compare(size(b), size(a)) })
		for len(waiting[f]) > 0 {
			waiting[f], _ = g.open(waiting[f], false)
		}
	}
}

// open starts a load with the first of the waiting rolls of a family, on the
// line where it ends soonest, fills it in order, and returns the rolls that
// are still waiting. With onTime it opens none that would miss a promise.
func (g *packer) open(waiting []int, onTime bool) ([]int, bool) {
	first := g.d.rolls[waiting[0]]
	best, bestEnd := -1, 0
	for i, on := range g.d.families[first.family].lines {
		end := g.free[on.line] + g.d.lines[on.line].TurnaroundS + first.DevelopS[0]
		if on.use[first.format] > 0 && (best < 0 || end < bestEnd) {
			best, bestEnd = i, end
		}
	}
	if onTime && bestEnd > first.due {
		return waiting, false
	}
	on := g.d.families[first.family].lines[best]
	line := g.d.lines[on.line]
	room, window := line.Capacity, Window{0, maxSeconds}
	var in, rest []int
	for _, r := range waiting {
		roll := g.d.rolls[r]
		both := Window{max(window[0], roll.DevelopS[0]), min(window[1], roll.DevelopS[1])}
		need := on.use[roll.format]
		end := g.free[on.line] + line.TurnaroundS + both[0]
		if need == 0 || need > room || both[0] > both[1] || onTime && end > first.due {
			rest = append(rest, r)
			continue
		}
		in, room, window = append(in, r), room-need, both
	}
	g.free[on.line] += line.TurnaroundS + window[0]
	g.loads = append(g.loads, load{line: on.line, family: first.family, develop: window[0], rolls: in})
	g.room = append(g.room, room)
	return rest, true
}

// join puts a roll into a load that has room for it and need not develop
// longer for it, and says whether there was one.
func (g *packer) join(r int) bool {
	roll := g.d.rolls[r]
	for i := range g.loads {
		load := &g.loads[i]
		if load.family != roll.family || load.develop < roll.DevelopS[0] || load.develop > roll.DevelopS[1] {
			continue
		}
		need := g.d.families[load.family].on(load.line).use[roll.format]
		if need > 0 && need <= g.room[i] {
			load.rolls = append(load.rolls, r)
			g.room[i] -= need
			return true
		}
	}
	return false
}

package plan

import (
	"cmp"
	"math"
	"slices"
)

// kind is a set of rolls of a family that are alike to the search: the same
// format, and windows that hold the same ones of the family's times.
type kind struct {
	format int
	times  []int   // indices into the family's times, ascending
	class  [][]int // the rolls due by each break, by the first that holds them; in order of due
	lost   []int   // rolls that no line can develop by when they are due
	later  []int   // rolls due after the end of the day
}

// scope says what a model looks at.
type scope struct {
	// breaks are the moments, ascending, to which due times are rounded up.
	// Rounding up can only make a day easier, so that what is impossible in
	// the model is impossible in the day.
	breaks []int
	riders bool // whether later rolls are in it
	// only, where it is not nil, picks the rolls to look at.
	only func(r *roll) bool
}

// times returns the development times worth considering for rolls of a family:
// shortest times of windows, without those for which a shorter time suits all
// of the same rolls.
func times(d *day, rolls []int) []int {
	var windows []Window
	for _, r := range rolls {
		windows = append(windows, d.rolls[r].DevelopS)
	}
	slices.SortFunc(windows, func(a, b Window) int { return cmp.Or(cmp.Compare(a[0], b[0]), cmp.Compare(a[1], b[1])) })
	windows = slices.Compact(windows)
	var kept []int
	for i, w := range windows {
		if i > 0 && windows[i-1][0] == w[0] {
			continue
		}
		if !slices.ContainsFunc(kept, func(t int) bool { return coversAll(windows, t, w[0]) }) {
			kept = append(kept, w[0])
		}
	}
	return kept
}

// coversAll says whether every window that holds the time b holds a too.
func coversAll(windows []Window, a, b int) bool {
	for _, w := range windows {
		if w[0] <= b && b <= w[1] && (a < w[0] || a > w[1]) {
			return false
		}
	}
	return true
}

// chosen returns the rolls of a family that are in the scope.
func (s scope) chosen(d *day, f int) []int {
	var rolls []int
	for _, r := range d.families[f].rolls {
		roll := &d.rolls[r]
		if (roll.early || s.riders) && (s.only == nil || s.only(roll)) {
			rolls = append(rolls, r)
		}
	}
	return rolls
}

// kinds sorts rolls of a family into kinds.
func (s scope) kinds(d *day, f int, rolls, times []int) []*kind {
	var kinds []*kind
	ofWindow := map[[3]int]*kind{}
	for _, r := range rolls {
		roll := &d.rolls[r]
		key := [3]int{roll.format, roll.DevelopS[0], roll.DevelopS[1]}
		k := ofWindow[key]
		if k == nil {
			var suits []int
			for i, t := range times {
				if roll.DevelopS[0] <= t && t <= roll.DevelopS[1] {
					suits = append(suits, i)
				}
			}
			at := slices.IndexFunc(kinds, func(k *kind) bool { return k.format == roll.format && slices.Equal(k.times, suits) })
			if at < 0 {
				at = len(kinds)
				kinds = append(kinds, &kind{format: roll.format, times: suits, class: make([][]int, len(s.breaks))})
			}
			k = kinds[at]
			ofWindow[key] = k
		}
		s.file(d, f, k, r)
	}
	return kinds
}

// file puts a roll into its place within its kind.
func (s scope) file(d *day, f int, k *kind, r int) {
	roll := &d.rolls[r]
	if !roll.early {
		k.later = append(k.later, r)
		return
	}
	soonest := math.MaxInt
	for _, on := range d.families[f].lines {
		if on.use[roll.format] > 0 {
			soonest = min(soonest, d.lines[on.line].TurnaroundS+roll.DevelopS[0])
		}
	}
	class, _ := slices.BinarySearch(s.breaks, roll.due)
	if soonest > roll.due || class == len(s.breaks) {
		k.lost = append(k.lost, r)
		return
	}
	k.class[class] = append(k.class[class], r)
}

// patterns lists the fullest loads of a line: how many rolls of each format,
// such that not one more fits, and no more of a format than there are. It
// returns nil when there are more than most.
func patterns(use, have []int, capacity, most int) [][]int {
	var all [][]int
	count := make([]int, len(use))
	var fill func(format, room int) bool
	fill = func(format, room int) bool {
		if format == len(use) {
			full, empty := true, true
			for i, n := range count {
				full = full && (use[i] == 0 || n == have[i] || use[i] > room)
				empty = empty && n == 0
			}
			if full && !empty {
				all = append(all, slices.Clone(count))
			}
			return len(all) <= most
		}
		top := 0
		if use[format] > 0 {
			top = min(have[format], room/use[format])
		}
		for n := top; n >= 0; n-- {
			count[format] = n
			if !fill(format+1, room-n*use[format]) {
				return false
			}
		}
		count[format] = 0
		return true
	}
	if !fill(0, capacity) {
		return nil
	}
	return all
}

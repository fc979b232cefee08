package plan

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"time"

	"wetside/chemistry"
)

// day is the input made ready to plan: sorted, counted in whole seconds from
// the start, without the rolls that no line can take.
type day struct {
	in       Input
	lines    []Line // sorted by id
	rolls    []roll // sorted by due, then id
	families []family
	formats  []chemistry.Format
	longest  int // seconds that a batch can take at most, were its time the shortest for its rolls
}

// roll is a roll that some line can develop.
type roll struct {
	Roll
	family, format int
	due            int  // whole seconds from the start; may be negative
	early          bool // due by the end of the day, so that it must be planned
}

// family is a set of rolls that may share batches: the same process, solution
// and push (or combined), with windows that hang together. Rolls of different
// families never meet.
type family struct {
	process  chemistry.Process
	solution string
	lines    []lineOf // the lines that can take a roll of it, in order
	rolls    []int    // indices of the rolls, in order
}

// lineOf is a line as a family sees it: the room that each format needs there,
// 0 for a format that does not fit.
type lineOf struct {
	line int
	use  []int
}

// on returns how the family sees a line, nil where it cannot run there.
func (f *family) on(line int) *lineOf {
	for i := range f.lines {
		if f.lines[i].line == line {
			return &f.lines[i]
		}
	}
	return nil
}

// twin returns the last line before another that is like it in all that matters
// to the families, or -1.
func (d *day) twin(line int) int {
	alike := func(other int) bool {
		if d.lines[other].Capacity != d.lines[line].Capacity || d.lines[other].TurnaroundS != d.lines[line].TurnaroundS {
			return false
		}
		for i := range d.families {
			a, b := d.families[i].on(line), d.families[i].on(other)
			if (a == nil) != (b == nil) || a != nil && !slices.Equal(a.use, b.use) {
				return false
			}
		}
		return true
	}
	for other := line - 1; other >= 0; other-- {
		if alike(other) {
			return other
		}
	}
	return -1
}

// newDay sorts a checked input and sets aside what no line can take.
func newDay(in Input) (*day, []Unplaced) {
	d := &day{in: in, lines: slices.Clone(in.Lines)}
	slices.SortFunc(d.lines, func(a, b Line) int { return cmp.Compare(a.ID, b.ID) })
	unplaced := []Unplaced{}
	seen := map[chemistry.Format]bool{}
	reasons := map[[2]string]string{}
	for _, r := range in.Rolls {
		key := [2]string{string(r.Process), string(r.Format)}
		reason, known := reasons[key]
		if !known {
			reason = d.misfit(r)
			reasons[key] = reason
		}
		if reason != "" {
			unplaced = append(unplaced, Unplaced{r.ID, reason})
			continue
		}
		d.rolls = append(d.rolls, roll{Roll: r, due: secondsBetween(in.Start, r.Due), early: !r.Due.After(in.Until)})
		seen[r.Format] = true
	}
	for format := range seen {
		d.formats = append(d.formats, format)
	}
	slices.Sort(d.formats)
	slices.SortFunc(unplaced, func(a, b Unplaced) int { return cmp.Compare(a.Roll, b.Roll) })
	slices.SortFunc(d.rolls, func(a, b roll) int { return cmp.Or(a.Due.Compare(b.Due), cmp.Compare(a.ID, b.ID)) })
	d.trim()
	d.makeFamilies()
	return d, unplaced
}

// trim brings due times forward to when all is done at the latest, were every
// roll a batch of its own and all on one line. That changes nothing and keeps
// the figures small.
func (d *day) trim() {
	early, turnaround, develop := 0, 0, 0
	for _, r := range d.rolls {
		if r.early {
			early++
		}
		develop = max(develop, r.DevelopS[0])
	}
	for _, line := range d.lines {
		turnaround = max(turnaround, line.TurnaroundS)
	}
	d.longest = turnaround + develop
	for i := range d.rolls {
		if d.rolls[i].early {
			d.rolls[i].due = min(d.rolls[i].due, early*d.longest)
		}
	}
}

// secondsBetween counts whole seconds, rounded down: a batch ends on a whole
// second, so it is in time for the due time exactly when it is for the second.
func secondsBetween(start, due time.Time) int {
	seconds := due.Unix() - start.Unix()
	if due.Nanosecond() < start.Nanosecond() {
		seconds--
	}
	return int(min(max(seconds, -math.MaxInt32), math.MaxInt32))
}

// misfit says why no line can take a roll, or nothing when one can.
func (d *day) misfit(r Roll) string {
	runs, takes := false, false
	for _, line := range d.lines {
		if !slices.Contains(line.Processes, r.Process) {
			continue
		}
		runs = true
		if room, ok := line.Takes[r.Format]; ok {
			takes = true
			if room <= line.Capacity {
				return ""
			}
		}
	}
	switch {
	case !runs:
		return fmt.Sprintf("no line runs %s", r.Process)
	case !takes:
		return fmt.Sprintf("no line takes %s in %s", string(r.Format), r.Process)
	}
	return fmt.Sprintf("%s needs more room than any line has in %s", string(r.Format), r.Process)
}

// makeFamilies puts the rolls into families, in an order that depends on what
// the families are and not on how they were given.
func (d *day) makeFamilies() {
	type key struct {
		process  chemistry.Process
		solution string
		push     chemistry.Stops
	}
	groups := map[key][]int{}
	keys := []key{}
	for i, r := range d.rolls {
		k := key{r.Process, r.Solution, r.Push}
		if slices.Contains(d.in.Combine, r.Process) {
			k.push = 0
		}
		if groups[k] == nil {
			keys = append(keys, k)
		}
		groups[k] = append(groups[k], i)
		d.rolls[i].format, _ = slices.BinarySearch(d.formats, r.Format)
	}
	slices.SortFunc(keys, func(a, b key) int {
		return cmp.Or(cmp.Compare(a.process, b.process), cmp.Compare(a.solution, b.solution), cmp.Compare(a.push, b.push))
	})
	for _, k := range keys {
		for _, rolls := range d.hangTogether(groups[k]) {
			for _, i := range rolls {
				d.rolls[i].family = len(d.families)
			}
			d.families = append(d.families, family{k.process, k.solution, d.linesFor(k.process, rolls), rolls})
		}
	}
}

// hangTogether splits rolls where no window spans the gap, because such rolls
// cannot meet in any batch.
func (d *day) hangTogether(rolls []int) [][]int {
	byWindow := slices.Clone(rolls)
	slices.SortStableFunc(byWindow, func(a, b int) int {
		return cmp.Compare(d.rolls[a].DevelopS[0], d.rolls[b].DevelopS[0])
	})
	var parts [][]int
	reach := 0
	for _, i := range byWindow {
		window := d.rolls[i].DevelopS
		if window[0] > reach {
			parts = append(parts, nil)
		}
		reach = max(reach, window[1])
		parts[len(parts)-1] = append(parts[len(parts)-1], i)
	}
	for _, part := range parts {
		slices.Sort(part)
	}
	return parts
}

// linesFor returns the lines that can take one of the rolls at least.
func (d *day) linesFor(process chemistry.Process, rolls []int) []lineOf {
	var lines []lineOf
	for l, line := range d.lines {
		if !slices.Contains(line.Processes, process) {
			continue
		}
		use, any := make([]int, len(d.formats)), false
		for _, i := range rolls {
			if room := line.Takes[d.rolls[i].Format]; room <= line.Capacity {
				use[d.rolls[i].format] = room
				any = any || room > 0
			}
		}
		if any {
			lines = append(lines, lineOf{l, use})
		}
	}
	return lines
}

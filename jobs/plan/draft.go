package plan

import (
	"cmp"
	"slices"
	"time"
)

// load is a batch in the making.
type load struct {
	line, family int
	develop      int   // seconds
	rolls        []int // indices into the day's rolls
	end          int   // seconds from the start, set by time
}

// draft is a plan in the making. Loads of one line run in the order in which
// they stand, each as soon as the one before has ended: waiting never helps.
type draft []load

// time sets every development time to the shortest that suits the rolls, and
// every end.
func (p draft) time(d *day) {
	free := make([]int, len(d.lines))
	for i := range p {
		p[i].develop = 0
		for _, r := range p[i].rolls {
			p[i].develop = max(p[i].develop, d.rolls[r].DevelopS[0])
		}
		free[p[i].line] += d.lines[p[i].line].TurnaroundS + p[i].develop
		p[i].end = free[p[i].line]
	}
}

// score is how good a draft is by the four aims.
type score struct {
	late, batches int
	riders        []int // due of every later roll that rides along, ascending
	finish        int   // seconds from the start
}

// compare is negative when a is the better score.
func (a score) compare(b score) int {
	return cmp.Or(cmp.Compare(a.late, b.late), cmp.Compare(a.batches, b.batches),
		cmp.Compare(len(b.riders), len(a.riders)), slices.Compare(a.riders, b.riders), cmp.Compare(a.finish, b.finish))
}

// score measures a timed draft.
func (p draft) score(d *day) score {
	s := score{batches: len(p)}
	for _, load := range p {
		s.finish = max(s.finish, load.end)
		for _, r := range load.rolls {
			switch roll := d.rolls[r]; {
			case !roll.early:
				s.riders = append(s.riders, roll.due)
			case load.end > roll.due:
				s.late++
			}
		}
	}
	slices.Sort(s.riders)
	return s
}

// write turns a timed draft into the plan that is handed out.
func (d *day) write(p draft, unplaced []Unplaced) Plan {
	out := Plan{Batches: []Batch{}, Late: []string{}, Later: []string{}, Unplaced: unplaced}
	placed := make([]bool, len(d.rolls))
	for _, load := range p {
		slices.Sort(load.rolls)
		for _, r := range load.rolls {
			placed[r] = true
			if d.rolls[r].early && load.end > d.rolls[r].due {
				out.Late = append(out.Late, d.rolls[r].ID)
			}
		}
		out.Batches = append(out.Batches, d.batch(load))
	}
	for i, r := range d.rolls {
		if !placed[i] {
			out.Later = append(out.Later, r.ID)
		}
	}
	slices.Sort(out.Late)
	slices.Sort(out.Later)
	slices.SortFunc(out.Batches, func(a, b Batch) int {
		return cmp.Or(a.Start.Compare(b.Start), cmp.Compare(a.Line, b.Line))
	})
	return out
}

func (d *day) batch(load load) Batch {
	after := func(seconds int) time.Time { return d.in.Start.Add(time.Duration(seconds) * time.Second) }
	family := d.families[load.family]
	push := d.rolls[load.rolls[0]].Push
	b := Batch{
		Line: d.lines[load.line].ID, Process: family.process, Solution: family.solution,
		Push: &push, DevelopS: load.develop,
		Start: after(load.end - load.develop - d.lines[load.line].TurnaroundS), End: after(load.end),
	}
	for _, r := range load.rolls {
		b.Rolls = append(b.Rolls, d.rolls[r].ID)
		if d.rolls[r].Push != push {
			b.Push = nil
		}
	}
	return b
}

package jobs

import (
	"maps"
	"slices"
	"time"
)

// Promise is when an order will be ready, and what that rests on.
type Promise struct {
	Ready  time.Time
	HereBy time.Time // the film has to be here by then
}

// Promise works out when rolls that are ordered now can be ready: when the film
// is here, everything ordered before it is developed, and it has been through
// the dry side as slowly as one in ten. It is never earlier than the lab's
// usual hours.
//
// No day is solved for it, because an order is taken in within a few
// milliseconds. It rests on a schedule that any lab can keep: each kind of roll
// by itself, every line taking the next load that fits it as soon as it is
// free. The plan may do better and puts keeping promises first; where this
// schedule keeps them all, the best plan does.
func (c Catalogue) Promise(rolls []Roll, work Workload, now time.Time) Promise {
	pace := work.Pace.Known()
	promise := Promise{HereBy: c.Lab.openFrom(now.Add(pace.Arrival.Median))}
	own := map[WorkKind]int{}
	for _, roll := range rolls {
		own[roll.Kind()]++
	}
	developed := promise.HereBy
	backlog := c.backlog(work, own)
	from, here := c.Lab.calendar(now), c.Lab.calendar(promise.HereBy)
	for kind := range own {
		if at, ok := backlog.developed(kind, from, here); ok && at.After(developed) {
			developed = at
		}
	}
	promise.Ready = c.Lab.openFrom(c.Lab.afterOpen(developed, pace.DrySide.High))
	if least := c.Lab.DueFrom(now); promise.Ready.Before(least) {
		promise.Ready = least
	}
	promise.Ready, promise.HereBy = promise.Ready.UTC(), promise.HereBy.UTC()
	return promise
}

// maxWays is the most lines for one kind of roll among which the best set is
// looked for; a promise rests on the first of them where there are more.
const maxWays = 8

// backlog is the work before a promise, as the lines see it.
type backlog struct {
	lab   Lab
	lines []Line // in use, by key
	held  []int  // seconds that open batches hold each line
	kinds []load // what waits
}

// load is the rolls that can share loads: of one process, developer, push,
// format and time.
type load struct {
	kind                WorkKind // without the stock
	develop             int
	here, expected, own int
}

// backlog sorts the work and puts an order's own rolls behind it.
func (c Catalogue) backlog(work Workload, own map[WorkKind]int) backlog {
	b := backlog{lab: c.Lab}
	held := map[LineID]int{}
	for _, running := range work.Running {
		held[running.Line] += running.Seconds
	}
	for _, id := range slices.Sorted(maps.Keys(c.Lines)) {
		if line := c.Lines[id]; line.Active {
			b.lines = append(b.lines, line)
			b.held = append(b.held, held[id])
		}
	}
	known := map[WorkKind]int{} // working a time out takes longer than all the rest
	for _, waiting := range c.Timed(slices.Clone(work.Waiting)) {
		known[waiting.WorkKind] = waiting.Develop
		one := b.loadFor(waiting.WorkKind, waiting.Develop)
		one.here += waiting.Here
		one.expected += waiting.Expected
	}
	for kind, n := range own {
		develop, ok := known[kind]
		if !ok {
			develop = c.longestTime(kind)
		}
		one := b.loadFor(kind, develop)
		one.own += n
		one.expected += work.Unread
	}
	return b
}

func (b *backlog) loadFor(kind WorkKind, develop int) *load {
	kind.Stock = 0
	for i, one := range b.kinds {
		if one.kind == kind && one.develop == develop {
			return &b.kinds[i]
		}
	}
	b.kinds = append(b.kinds, load{kind: kind, develop: develop})
	return &b.kinds[len(b.kinds)-1]
}

// perLoad is how many rolls of a kind a line takes at once; 0 when it takes
// none.
func (l Line) perLoad(kind WorkKind) int {
	takes := l.Takes[kind.Format]
	if takes == 0 || !l.RunsProcess(kind.Process) {
		return 0
	}
	return l.Capacity / takes
}

// developed is the latest moment at which the last roll of a kind comes out of
// the chemistry when the work begins with one calendar, and film that is
// expected is here when the other one begins; false when no line takes the kind. Each set of lines gives a moment by which that is so whatever
// the other lines do, and the earliest of them counts: so more work never makes
// it earlier, and another line never later.
func (b backlog) developed(kind WorkKind, from, here *calendar) (best time.Time, ok bool) {
	kind.Stock = 0
	var ways []int
	for i, line := range b.lines {
		if line.perLoad(kind) > 0 && len(ways) < maxWays {
			ways = append(ways, i)
		}
	}
	for set := 1; set < 1<<len(ways); set++ {
		var lines []int
		for i, line := range ways {
			if set&(1<<i) != 0 {
				lines = append(lines, line)
			}
		}
		if at := b.developedOn(lines, kind, from, here); !ok || at.Before(best) {
			best, ok = at, true
		}
	}
	return best, ok
}

// amount is work in seconds of line time, with the longest and the shortest
// load in it.
type amount struct {
	here, coming, last int
	longest, shortest  int
}

// developedOn is developed for a set of lines that all take the kind. Until its
// last load goes in, none of them stands idle. Until the expected film is here
// at least one of them works on what is here as long as any of that is left.
func (b backlog) developedOn(lines []int, kind WorkKind, from, here *calendar) time.Time {
	a := b.amount(lines, kind)
	hereBy, left := here.day(0).opens, a.here
	for i := 0; left > 0 && i < mostDays && from.day(i).opens.Before(hereBy); i++ {
		day := from.day(i)
		if hereBy.Before(day.closes) {
			day.closes = hereBy
		}
		left -= a.sureSeconds(day)
	}
	begins := here.workUntil((max(left, 0)+a.coming)/len(lines), a)
	return b.lab.endOf(begins, time.Duration(a.last)*time.Second)
}

// amount sums the work that any of the lines may take: what is here, and what
// comes before the last load of a kind.
func (b backlog) amount(lines []int, kind WorkKind) amount {
	var a amount
	for _, line := range lines {
		a.here += b.held[line]
	}
	for _, one := range b.kinds {
		fewest, longest := 0, 0
		for _, i := range lines {
			line := b.lines[i]
			if takes := line.perLoad(one.kind); takes > 0 {
				if fewest == 0 || takes < fewest {
					fewest = takes
				}
				longest = max(longest, line.Turnaround+one.develop)
			}
		}
		if fewest == 0 {
			continue
		}
		loads := func(rolls int) int { return (rolls + fewest - 1) / fewest * longest }
		a.here += loads(one.here)
		a.coming += loads(one.expected) + loads(one.own)
		a.longest = max(a.longest, longest)
		if a.shortest == 0 || longest < a.shortest {
			a.shortest = longest
		}
		if one.kind == kind {
			a.last = max(a.last, longest)
		}
	}
	// The last load, whichever it is in, is not before itself.
	own := min(a.coming, a.last)
	a.coming -= own
	a.here = max(0, a.here-(a.last-own))
	return a
}

// sureSeconds is how long a line surely works in a working day or a part of it:
// at its end it may wait for the morning because a load no longer fits, but a
// whole day does at least one load.
func (a amount) sureSeconds(day openDay) int {
	open := int(day.closes.Sub(day.opens).Seconds())
	sure := max(0, open-a.longest)
	if day.whole {
		sure = max(sure, min(a.shortest, open))
	}
	return sure
}

// endOf is when a load ends that is put in at a moment, or when the lab opens next
// where it would not be through before the lab closes.
func (l Lab) endOf(from time.Time, takes time.Duration) time.Time {
	days := l.calendar(from)
	if first := days.day(0); first.whole || !first.opens.Add(takes).After(first.closes) {
		return first.opens.Add(takes)
	}
	return days.day(1).opens.Add(takes)
}

package jobs

import "time"

// openDay is a day on which the lab is open, or what is left of it.
type openDay struct {
	opens, closes time.Time
	whole         bool // it begins when the lab opens
}

// calendar is the days from a moment on, each worked out once.
type calendar struct {
	lab  Lab
	days []openDay
}

func (l Lab) calendar(from time.Time) *calendar {
	opens, closes := l.workingDay(from.In(l.Zone()))
	return &calendar{l, []openDay{{opens, closes, opens.Equal(l.hourOf(opens, 0, l.OpensAt))}}}
}

// day is the working day after so many others.
func (c *calendar) day(after int) openDay {
	for len(c.days) <= after {
		last := c.days[len(c.days)-1]
		c.days = append(c.days, openDay{c.next(last.opens, last.opens, c.lab.OpensAt), c.next(last.opens, last.closes, c.lab.ClosesAt), true})
	}
	return c.days[after]
}

// next is a full hour of the day after an opening, of which the last one is
// known: 24 hours later but for the few days on which the clocks change.
func (c *calendar) next(opening, last time.Time, hour int) time.Time {
	next := last.Add(24 * time.Hour)
	if h, m, s := next.Clock(); h == hour%24 && m == 0 && s == 0 && next.Nanosecond() == 0 {
		return next
	}
	return c.lab.hourOf(opening, 1, hour)
}

// mostDays is the furthest that a promise looks ahead.
const mostDays = 366

// workUntil is when so many seconds of work of one line are surely done.
func (c *calendar) workUntil(seconds int, a amount) time.Time {
	at := 0
	for sure := a.sureSeconds(c.day(at)); seconds > sure && at < mostDays; sure = a.sureSeconds(c.day(at)) {
		seconds -= sure
		at++
	}
	return c.day(at).opens.Add(time.Duration(seconds) * time.Second)
}

// openFrom is a moment itself while the lab is open, and when it next opens
// otherwise. Closing time is still open: film can be fetched until then.
func (l Lab) openFrom(at time.Time) time.Time {
	if opens, _ := l.workingDay(at.Add(-time.Nanosecond)); opens.After(at) {
		return opens
	}
	return at
}

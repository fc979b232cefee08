package jobs

import "time"

// openDay is a day on which the lab is open, or what is left of it.
type openDay struct {
	date          date
	opens, closes time.Time
	whole         bool // it begins when the lab opens
}

// calendar is the open days from a moment on, each worked out once.
type calendar struct {
	lab  Lab
	days []openDay
}

func (l Lab) calendar(from time.Time) *calendar {
	opens, closes := l.workingDay(from.In(l.Zone()))
	return &calendar{l, []openDay{{l.date(opens), opens, closes, opens.Equal(l.hourOf(opens, 0, l.OpensAt))}}}
}

// day is the working day after so many others.
func (c *calendar) day(after int) openDay {
	for len(c.days) <= after {
		c.days = append(c.days, c.later(c.days[len(c.days)-1], 1))
	}
	return c.days[after]
}

// next is a full hour of the day so many days after an opening, where that of
// the opening's day is known: as often 24 hours later, unless the clocks change.
func (c *calendar) next(opening, last time.Time, days, hour int) time.Time {
	next := last.Add(time.Duration(days) * 24 * time.Hour)
	if fullHour(next, hour) {
		return next
	}
	return c.lab.hourOf(opening, days, hour)
}

func fullHour(at time.Time, hour int) bool {
	h, m, s := at.Clock()
	return h == hour%24 && m == 0 && s == 0 && at.Nanosecond() == 0
}

// mostDays is the furthest that a promise looks ahead, in open days.
const mostDays = 366

// workUntil is when so many seconds of work of one line are surely done. Days
// that are alike are not gone through one by one: there are hundreds of them when
// much waits.
func (c *calendar) workUntil(seconds int, a amount) time.Time {
	day := c.day(0)
	for left := mostDays; left > 0; {
		sure := a.sureSeconds(day)
		if seconds <= sure {
			break
		}
		days := 1
		if sure > 0 {
			days = max(1, min((seconds-1)/sure, c.alike(day), left))
		}
		seconds -= days * sure
		left -= days
		day = c.later(day, days)
	}
	return day.opens.Add(time.Duration(seconds) * time.Second)
}

// alike is how many open days after a day are as long and at the same hours: as
// many as there are until the clocks change.
func (c *calendar) alike(day openDay) int {
	if !day.whole || !fullHour(day.opens, c.lab.OpensAt) || !fullHour(day.closes, c.lab.ClosesAt) {
		return 0
	}
	_, change := day.opens.ZoneBounds()
	if change.IsZero() {
		return mostDays
	}
	last := day.date + date((change.Sub(day.closes)-1)/(24*time.Hour))
	return c.lab.openDays(day.date+1, last+1)
}

// later is the open day so many of them after one, which are alike if they are
// several.
func (c *calendar) later(day openDay, open int) openDay {
	to := c.lab.openDate(day.date, open)
	days := int(to - day.date)
	if open == 1 {
		return openDay{to, c.next(day.opens, day.opens, days, c.lab.OpensAt), c.next(day.opens, day.closes, days, c.lab.ClosesAt), true}
	}
	shift := time.Duration(days) * 24 * time.Hour
	return openDay{to, day.opens.Add(shift), day.closes.Add(shift), true}
}

// openFrom is a moment itself while the lab is open, and when it next opens
// otherwise. Closing time is still open: film can be fetched until then, but not
// at the midnight with which a closed day begins.
func (l Lab) openFrom(at time.Time) time.Time {
	last := at
	if l.openOn(l.date(at)) {
		last = at.Add(-time.Nanosecond)
	}
	if opens, _ := l.workingDay(last); opens.After(at) {
		return opens
	}
	return at
}

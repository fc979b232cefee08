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
		c.days = append(c.days, c.later(c.days[len(c.days)-1], 1))
	}
	return c.days[after]
}

// next is a full hour of the day after an opening, of which the last one is
// known: 24 hours later but for the few days on which the clocks change.
func (c *calendar) next(opening, last time.Time, hour int) time.Time {
	next := last.Add(24 * time.Hour)
	if fullHour(next, hour) {
		return next
	}
	return c.lab.hourOf(opening, 1, hour)
}

func fullHour(at time.Time, hour int) bool {
	h, m, s := at.Clock()
	return h == hour%24 && m == 0 && s == 0 && at.Nanosecond() == 0
}

// mostDays is the furthest that a promise looks ahead.
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

// alike is how many days after a day are as long, each 24 hours after the one
// before: as many as there are until the clocks change.
func (c *calendar) alike(day openDay) int {
	if !day.whole || !fullHour(day.opens, c.lab.OpensAt) || !fullHour(day.closes, c.lab.ClosesAt) {
		return 0
	}
	_, change := day.opens.ZoneBounds()
	if change.IsZero() {
		return mostDays
	}
	return int((change.Sub(day.closes) - 1) / (24 * time.Hour))
}

// later is the day so many days after one, which are alike if they are several.
func (c *calendar) later(day openDay, days int) openDay {
	if days == 1 {
		return openDay{c.next(day.opens, day.opens, c.lab.OpensAt), c.next(day.opens, day.closes, c.lab.ClosesAt), true}
	}
	shift := time.Duration(days) * 24 * time.Hour
	return openDay{day.opens.Add(shift), day.closes.Add(shift), true}
}

// openFrom is a moment itself while the lab is open, and when it next opens
// otherwise. Closing time is still open: film can be fetched until then.
func (l Lab) openFrom(at time.Time) time.Time {
	if opens, _ := l.workingDay(at.Add(-time.Nanosecond)); opens.After(at) {
		return opens
	}
	return at
}

package jobs

import (
	"strings"
	"time"
)

const (
	// MostClosedDays is how many days in a row a lab may be closed: the next day on
	// which it is open is always near enough to be promised.
	MostClosedDays = 183
	// MostClosures is how many closures there may be that are not over.
	MostClosures = 100
	// ClosuresAhead is how many days ahead a closure may begin.
	ClosuresAhead = 730
	// ClosuresKept is for how many days a closure is kept that is over: for as
	// long as the lab's pace is learnt from the days about it.
	ClosuresKept = 7 * PaceWeeks
)

// ComingClosures are those that are not over, in their order.
func (l Lab) ComingClosures(now time.Time) []Closure {
	coming := []Closure{}
	for _, closure := range l.Closures {
		if !closure.To.Before(l.Today(now)) {
			coming = append(coming, closure)
		}
	}
	return coming
}

// CheckClosure decides whether the lab may be closed on some days more, and
// returns the closure as it is kept.
func (l Lab) CheckClosure(c Closure, now time.Time) (Closure, error) {
	var wrong fieldErrors
	c.Name = strings.TrimSpace(c.Name)
	wrong.name("name", c.Name)
	if wrong.span(c, l.Today(now)); len(wrong) == 0 {
		l.Closures = l.ComingClosures(now)
		wrong.beside(c, l)
	}
	return c, wrong.err("the lab cannot be closed on these days")
}

// span checks the first and the last day by themselves.
func (f *fieldErrors) span(c Closure, today time.Time) {
	latest := today.AddDate(0, 0, ClosuresAhead)
	switch {
	case c.From.IsZero() || c.To.IsZero():
		if c.From.IsZero() {
			f.add("from", "the first day is missing")
		}
		if c.To.IsZero() {
			f.add("to", "the last day is missing")
		}
	case c.To.Before(c.From):
		f.add("to", "the last day, %s, is before the first, %s", c.To.Format(dayFormat), c.From.Format(dayFormat))
	case c.To.Before(today):
		f.add("to", "%s is over; allowed are days from %s on", c.To.Format(dayFormat), today.Format(dayFormat))
	case c.From.After(latest):
		f.add("from", "%s is too far ahead, at most %s is allowed", c.From.Format(dayFormat), latest.Format(dayFormat))
	}
}

// beside checks a closure against the others and the weekdays of a lab.
func (f *fieldErrors) beside(c Closure, l Lab) {
	if len(l.Closures) >= MostClosures {
		f.add("from", "%d closures are to come already, at most %d are allowed: remove one, or write days in a row as one", len(l.Closures), MostClosures)
		return
	}
	for _, other := range l.Closures {
		if !c.To.Before(other.From) && !other.To.Before(c.From) {
			f.add("from", "the lab is closed on %s for %s already; remove that first", other.Days(), other.Name)
			return
		}
	}
	l.Closures = append(l.Closures, c)
	f.longClosed("to", l)
}

// longClosed checks that no closure, with the closed days about it, keeps the lab
// closed for longer than is allowed.
func (f *fieldErrors) longClosed(field string, l Lab) {
	for _, closure := range l.Closures {
		next := l.openDate(closure.first(), 1)
		before := closure.first() - 1
		for next-before-1 <= MostClosedDays && !l.openOn(before) {
			before--
		}
		if days := next - before - 1; days > MostClosedDays {
			f.add(field, "that leaves the lab closed until %s, for more than the %d days in a row that are allowed", next.day().Format(dayFormat), MostClosedDays)
			return
		}
	}
}

// Days says in words which days a closure takes in.
func (c Closure) Days() string {
	switch {
	case c.From.Equal(c.To):
		return c.From.Format(dayFormat)
	case c.From.Year() != c.To.Year():
		return c.From.Format(dayFormat) + " to " + c.To.Format(dayFormat)
	case c.From.Month() != c.To.Month():
		return c.From.Format("2 January") + " to " + c.To.Format(dayFormat)
	}
	return c.From.Format("2") + " to " + c.To.Format(dayFormat)
}

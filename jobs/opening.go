package jobs

import (
	"math/bits"
	"time"
)

// Weekdays is a set of weekdays. The empty set is that of a lab which is open on
// all of them.
type Weekdays uint8

// Week lists the weekdays in the order in which they are shown.
var Week = []time.Weekday{
	time.Monday, time.Tuesday, time.Wednesday, time.Thursday, time.Friday, time.Saturday, time.Sunday,
}

// WeekdaysOf is the set of some weekdays.
func WeekdaysOf(days ...time.Weekday) (set Weekdays) {
	for _, day := range days {
		set |= 1 << day
	}
	return set
}

// Has reports whether a weekday is in the set.
func (w Weekdays) Has(day time.Weekday) bool { return w&(1<<day) != 0 }

func (w Weekdays) count() int { return bits.OnesCount8(uint8(w)) }

// ClosureID is the key of a closure.
type ClosureID int64

// Closure is days in a row on which the lab is closed, whatever weekdays they
// are.
type Closure struct {
	ID       ClosureID
	From, To time.Time // the first and the last day, as midnight UTC
	Name     string
}

// first is the first date of the closure, and end that after the last.
func (c Closure) first() date { return date(c.From.Unix() / daySeconds) }
func (c Closure) end() date   { return date(c.To.Unix()/daySeconds) + 1 }

const daySeconds = 24 * 60 * 60

// date counts days where the lab is: those since 1 January 1970.
type date int

func dateOf(day time.Time) date { return date(dayOf(day).Unix() / daySeconds) }

func (l Lab) date(at time.Time) date { return dateOf(at.In(l.Zone())) }

func (d date) weekday() time.Weekday { return d.day().Weekday() }

// day is the date as midnight UTC.
func (d date) day() time.Time { return time.Unix(int64(d)*daySeconds, 0).UTC() }

// OpenOn reports whether the lab is open on a calendar day.
func (l Lab) OpenOn(day time.Time) bool { return l.openOn(dateOf(day)) }

func (l Lab) openOn(d date) bool { return l.openDays(d, d+1) == 1 }

// openDays counts the days on which the lab is open, from a date up to and
// without another.
func (l Lab) openDays(from, to date) int {
	open := l.openWeekdays(from, to)
	for _, closure := range l.Closures {
		first, end := max(from, closure.first()), min(to, closure.end())
		if first < end {
			open -= l.openWeekdays(first, end)
		}
	}
	return open
}

func (l Lab) openWeekdays(from, to date) int {
	if l.ClosedOn == 0 {
		return int(to - from)
	}
	weeks := (to - from) / 7
	open := int(weeks) * l.openPerWeek()
	for d := from + 7*weeks; d < to; d++ {
		if !l.ClosedOn.Has(d.weekday()) {
			open++
		}
	}
	return open
}

// openPerWeek is never zero, as [CheckLab] and the schema see to.
func (l Lab) openPerWeek() int { return len(Week) - l.ClosedOn.count() }

// ClosedDays lists the days on which the lab was closed, from one until another.
func (l Lab) ClosedDays(from, to time.Time) []time.Time {
	days := []time.Time{}
	for d := l.date(from); d <= l.date(to); d++ {
		if !l.openOn(d) {
			days = append(days, d.day())
		}
	}
	return days
}

// openDate is the date of the n-th day after another on which the lab is open.
func (l Lab) openDate(after date, n int) date {
	// As many whole weeks as surely end before it. From there each day is at most
	// one of those that are missing, so it is never passed.
	at := after + date((n-1)/l.openPerWeek()*7)
	for {
		at = l.closedUntil(at)
		missing := n - l.openDays(after+1, at+1)
		if missing == 0 {
			return at
		}
		at += date(missing)
	}
}

// closedUntil is the last date of the closure in which a date lies, or the date
// itself.
func (l Lab) closedUntil(d date) date {
	for _, closure := range l.Closures {
		if closure.first() <= d && d < closure.end() {
			return closure.end() - 1
		}
	}
	return d
}

// afterOpen is a moment so much later, where only the days count on which the
// lab is open, each with its night.
func (l Lab) afterOpen(at time.Time, takes time.Duration) time.Time {
	for today := l.date(at); ; {
		if l.openOn(today) {
			left := l.hourOf(at, 1, 0).Sub(at)
			if takes <= left {
				return at.Add(takes)
			}
			takes -= left
		}
		next := l.openDate(today, 1)
		at, today = l.hourOf(at, int(next-today), 0), next
	}
}

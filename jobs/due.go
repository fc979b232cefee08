package jobs

import "time"

// DueFrom is when an order that came in at a time should be ready: the lab's
// usual hours later and, where it is closed then, when it next opens.
func (l Lab) DueFrom(submitted time.Time) time.Time {
	zone := l.Zone()
	due := submitted.Add(time.Duration(l.ReadyHours) * time.Hour).In(zone)
	day := func(later, hour int) time.Time {
		return time.Date(due.Year(), due.Month(), due.Day()+later, hour, 0, 0, 0, zone)
	}
	switch {
	case due.Before(day(0, l.OpensAt)):
		due = day(0, l.OpensAt)
	case due.After(day(0, l.ClosesAt)):
		due = day(1, l.OpensAt)
	}
	return due.UTC()
}

// DayEnd is the midnight that ends the day in which a moment lies, in the lab's
// time zone.
func (l Lab) DayEnd(now time.Time) time.Time {
	zone := l.Zone()
	local := now.In(zone)
	return time.Date(local.Year(), local.Month(), local.Day()+1, 0, 0, 0, 0, zone)
}

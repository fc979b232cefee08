package jobs

import "time"

// DueFrom is the earliest that the lab promises an order that came in at a time:
// its usual hours later and, where it is closed then, when it next opens.
func (l Lab) DueFrom(submitted time.Time) time.Time {
	return l.openFrom(submitted.Add(time.Duration(l.ReadyHours) * time.Hour)).UTC()
}

// DayEnd is the midnight that ends the day in which a moment lies, in the lab's
// time zone.
func (l Lab) DayEnd(now time.Time) time.Time {
	zone := l.Zone()
	local := now.In(zone)
	return time.Date(local.Year(), local.Month(), local.Day()+1, 0, 0, 0, 0, zone)
}

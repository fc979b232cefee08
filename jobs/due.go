package jobs

import "time"

// DueFrom is the earliest that the lab promises an order that came in at a time:
// its usual hours later and, where it is closed then, when it next opens.
func (l Lab) DueFrom(submitted time.Time) time.Time {
	return l.openFrom(submitted.Add(time.Duration(l.ReadyHours) * time.Hour)).UTC()
}

// hourOf is a full hour by the lab's clock, so many days after a moment. In the
// night in which the clocks leave it out, it is the hour that follows; in that in
// which it comes twice, the first.
func (l Lab) hourOf(now time.Time, days, hour int) time.Time {
	local := now.In(l.Zone())
	at := time.Date(local.Year(), local.Month(), local.Day()+days, hour, 0, 0, 0, local.Location())
	if next := at.Add(time.Hour); at.Hour() != hour%24 && (at.Hour()+1)%24 == hour%24 && next.Hour() != hour%24 {
		return next
	}
	if first := at.Add(-time.Hour); first.Hour() == at.Hour() {
		return first
	}
	return at
}

// DayEnd is the midnight with which the next open day begins, in the lab's time
// zone: what is due before it is due today, because nobody is there later.
func (l Lab) DayEnd(now time.Time) time.Time {
	today := l.date(now)
	return l.hourOf(now, int(l.openDate(today, 1)-today), 0)
}

package jobs

import (
	"context"
	"time"

	"github.com/robfig/cron/v3"
)

// WorkName names work that is done on a schedule.
type WorkName string

// The work there is.
const (
	UpkeepWork      WorkName = "upkeep"       // forgets sessions that have expired and keys of orders sent long ago
	RecalculateWork WorkName = "recalculate"  // foretells every fill, warns, and ticks off the morning list
	MorningWork     WorkName = "morning list" // writes the day's list
)

// WorkNames lists all scheduled work.
var WorkNames = []WorkName{MorningWork, RecalculateWork, UpkeepWork}

// ScheduledWork is when work is done, and what came of it.
type ScheduledWork struct {
	Name     WorkName
	Cron     string // see [ParseSchedule]
	Active   bool
	Version  int
	LastDone time.Time // when the work was due that was done last; zero for never
	FailedAt time.Time // when it last failed; zero once it was done since
	Failure  string    // why it failed
}

// ScheduleService keeps when scheduled work is done.
type ScheduleService interface {
	// Schedules lists all scheduled work, in the order of [WorkNames].
	Schedules(ctx context.Context) ([]ScheduledWork, error)
	// SaveSchedule changes when work is done, at its version: NotFound for
	// unknown work, Invalid for a schedule that [ParseSchedule] refuses, Stale
	// when somebody changed it since. Every running server goes by it within a
	// minute; what fell due by it before is not caught up.
	SaveSchedule(ctx context.Context, by Actor, work ScheduledWork) (ScheduledWork, error)
}

// Schedule is a cron schedule by a clock on the wall: a time that the clocks
// leave out runs when they jump, one that they show twice runs the first time.
type Schedule struct {
	spec cron.Schedule // reads wall time as if it were UTC
	zone *time.Location
}

// Next is the first due time after a moment; the zero time where there is none
// within about five years.
func (s Schedule) Next(after time.Time) time.Time {
	wall := wallTime(after.In(s.zone))
	for {
		if wall = s.spec.Next(wall); wall.IsZero() {
			return wall
		}
		if due := atWall(wall, s.zone); due.After(after) {
			return due
		}
	}
}

// Coming lists the next due times after a moment.
func (s Schedule) Coming(after time.Time, n int) []time.Time {
	var times []time.Time
	for range n {
		if after = s.Next(after); after.IsZero() {
			break
		}
		times = append(times, after)
	}
	return times
}

// Last is the last due time after since and not after now; the zero time where
// there is none. It looks back further and further, so that a long sleep and a
// rare schedule are both found without walking through every due time between.
func (s Schedule) Last(since, now time.Time) time.Time {
	for back := time.Hour; ; back *= 8 {
		from := now.Add(-back)
		all := from.Before(since) || back > maxLookBack
		if all {
			from = since
		}
		var last time.Time
		for due := s.Next(from); !due.IsZero() && !due.After(now); due = s.Next(due) {
			last = due
		}
		if !last.IsZero() || all {
			return last
		}
	}
}

// maxLookBack keeps looking back from running past what a duration holds.
const maxLookBack = 10 * 365 * 24 * time.Hour

// Due is when work that is due now was due, looking no further back than what
// was done and when the schedule was changed; the zero time where none is.
func (w ScheduledWork) Due(schedule Schedule, changed, now time.Time) time.Time {
	since := w.LastDone
	if since.Before(changed) {
		since = changed
	}
	if !w.Active {
		return time.Time{}
	}
	return schedule.Last(since, now)
}

// wallTime is what the clock on the wall shows, as if it were UTC.
func wallTime(t time.Time) time.Time {
	return time.Date(t.Year(), t.Month(), t.Day(), t.Hour(), t.Minute(), t.Second(), t.Nanosecond(), time.UTC)
}

// atWall is the first moment at which the clock in a zone shows a wall time, or
// the one in which it jumps over it.
func atWall(wall time.Time, zone *time.Location) time.Time {
	const day = 24 * time.Hour // clocks change less often than this
	_, before := wall.Add(-day).In(zone).Zone()
	_, after := wall.Add(day).In(zone).Zone()
	// East of Greenwich the clock is ahead: the greater offset comes first.
	early := wall.Add(-time.Duration(max(before, after)) * time.Second)
	late := wall.Add(-time.Duration(min(before, after)) * time.Second)
	for _, at := range []time.Time{early, late} {
		if wallTime(at.In(zone)).Equal(wall) {
			return at
		}
	}
	_, jump := early.In(zone).ZoneBounds()
	return jump.UTC()
}

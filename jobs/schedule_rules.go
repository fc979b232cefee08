package jobs

import (
	"slices"
	"strings"
	"time"

	"github.com/robfig/cron/v3"
)

// LeastApart is the least time between two due times of a schedule.
const LeastApart = 5 * time.Minute

// maxSchedule is the longest schedule, in characters.
const maxSchedule = 100

var (
	cronParser = cron.NewParser(cron.Minute | cron.Hour | cron.Dom | cron.Month | cron.Dow | cron.Descriptor)
	// cronFields are the fields of a schedule with what each may hold.
	cronFields = []struct{ name, allowed string }{
		{"minute", "0 to 59"}, {"hour", "0 to 23"}, {"day of the month", "1 to 31"},
		{"month", "1 to 12 or JAN to DEC"}, {"day of the week", "0 (Sunday) to 6 or SUN to SAT"},
	}
	// cronWords are the schedules that have a name.
	cronWords = []string{"@hourly", "@daily", "@midnight", "@weekly", "@monthly", "@yearly", "@annually"}
)

// ScheduleHelp says how a schedule is written.
const ScheduleHelp = "Five fields: minute, hour, day of the month, month, day of the week; * is every, 1-5 a range, */2 every second, 1,15 two of them. Or one word: @hourly, @daily, @weekly, @monthly, @yearly."

// ParseSchedule reads a schedule by the clock of a zone. It refuses what it
// cannot read, what never comes, such as 30 February, and what comes more often
// than [LeastApart], each with what is allowed.
func ParseSchedule(text string, zone *time.Location) (Schedule, error) {
	refuse := func(format string, args ...any) (Schedule, error) {
		return Schedule{}, InvalidField("cron", format, args...)
	}
	text = strings.TrimSpace(text)
	fields := strings.Fields(text)
	switch {
	case text == "":
		return refuse("a schedule is missing; five fields are needed, as in 0 6 * * 1-5 for six o'clock on weekdays")
	case len(text) > maxSchedule:
		return refuse("the schedule is too long, at most %d characters", maxSchedule)
	case strings.Contains(strings.ToUpper(text), "TZ="):
		return refuse("times are those of the lab's clock, %s; leave the time zone out", zone)
	case strings.HasPrefix(text, "@") && !slices.Contains(cronWords, text):
		return refuse("%q is no schedule; allowed are %s, or five fields", text, strings.Join(cronWords, ", "))
	case !strings.HasPrefix(text, "@") && len(fields) != len(cronFields):
		return refuse("%q has %d fields, allowed are five: minute, hour, day of the month, month, day of the week", text, len(fields))
	}
	if !strings.HasPrefix(text, "@") {
		for i, field := range cronFields {
			alone := []string{"0", "0", "*", "*", "*"}
			alone[i] = fields[i]
			// A list of nothing is read as never.
			if _, err := cronParser.Parse(strings.Join(alone, " ")); err != nil || strings.Trim(fields[i], ",") == "" {
				return refuse("%q is no %s, allowed are %s, with * for every, ranges, lists and steps", fields[i], field.name, field.allowed)
			}
		}
	}
	spec, err := cronParser.Parse(text)
	if err != nil {
		return refuse("%q is no schedule; five fields are needed, as in 0 6 * * 1-5", text)
	}
	// A leap year, so that 29 February is found.
	start := time.Date(2000, 1, 1, 0, 0, 0, 0, time.UTC)
	first := spec.Next(start)
	if first.IsZero() {
		return refuse("%q never comes: no month it names has such a day", text)
	}
	if gap := leastGap(spec, first); gap < LeastApart {
		return refuse("%q comes %d minutes apart, allowed are %d and more", text, int(gap.Minutes()), int(LeastApart.Minutes()))
	}
	return Schedule{spec, zone}, nil
}

// leastGap is the shortest time between two due times. It walks through a year,
// or as many due times as the busiest allowed month has: by then every hour of
// the schedule has met every other one that may follow it.
func leastGap(spec cron.Schedule, first time.Time) time.Duration {
	const busiestMonth = 31 * 24 * int(time.Hour/LeastApart)
	gap := time.Duration(1<<63 - 1)
	for range busiestMonth {
		next := spec.Next(first)
		if next.IsZero() {
			break
		}
		if gap = min(gap, next.Sub(first)); gap < LeastApart || next.Year() > 2001 {
			break
		}
		first = next
	}
	return gap
}

// CheckSchedule decides whether scheduled work may be saved, and returns it as
// it is kept.
func (l Lab) CheckSchedule(work ScheduledWork) (ScheduledWork, error) {
	if !slices.Contains(WorkNames, work.Name) {
		return work, Errorf(NotFound, "there is no work called %q, there are %s", work.Name, strings.Join(names(WorkNames), ", "))
	}
	work.Cron = strings.Join(strings.Fields(work.Cron), " ")
	_, err := ParseSchedule(work.Cron, l.Zone())
	return work, err
}

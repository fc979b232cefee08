package jobs

import (
	"strings"
	"testing"
	"time"
	_ "time/tzdata" // a bare machine knows no time zones

	"pgregory.net/rapid"
)

func zoneOf(t testing.TB, name string) *time.Location {
	t.Helper()
	zone, err := time.LoadLocation(name)
	if err != nil {
		t.Fatal(err)
	}
	return zone
}

func schedule(t testing.TB, text string, zone *time.Location) Schedule {
	t.Helper()
	s, err := ParseSchedule(text, zone)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func TestScheduleRefusesWhatItCannotRead(t *testing.T) {
	t.Parallel()
	for text, says := range map[string]string{
		"":                                      "a schedule is missing",
		"   ":                                   "a schedule is missing",
		"at six":                                "has 2 fields, allowed are five",
		"0 6 * *":                               "has 4 fields",
		"0 0 6 * * *":                           "has 6 fields",
		"60 6 * * *":                            `"60" is no minute, allowed are 0 to 59`,
		"0 24 * * *":                            `"24" is no hour, allowed are 0 to 23`,
		"0 6 0 * *":                             `"0" is no day of the month, allowed are 1 to 31`,
		"0 6 * 13 *":                            `"13" is no month, allowed are 1 to 12`,
		"0 6 * * 7":                             `"7" is no day of the week, allowed are 0 (Sunday) to 6`,
		"0 6 * * monday":                        `"monday" is no day of the week`,
		"-5 6 * * *":                            "is no minute",
		"5-1 6 * * *":                           "is no minute",
		"*/0 6 * * *":                           "is no minute",
		", 6 * * *":                             "is no minute",
		"0 6 ,, * *":                            "is no day of the month",
		"@every 1h":                             "is no schedule; allowed are @hourly",
		"@reboot":                               "is no schedule; allowed are @hourly",
		"TZ=":                                   "leave the time zone out",
		"TZ=UTC 0 6 * * *":                      "times are those of the lab's clock, UTC",
		"CRON_TZ=Asia/Tokyo 0 6 * * *":          "leave the time zone out",
		"cron_tz=Asia/Tokyo 0 6 * * *":          "leave the time zone out",
		"0 6 30 2 *":                            "never comes",
		"0 6 31 4,6,9,11 *":                     "never comes",
		"* * * * *":                             "comes 1 minutes apart, allowed are 5 and more",
		"*/4 * * * *":                           "comes 4 minutes apart",
		"0,57 * * * *":                          "comes 3 minutes apart",
		"2,58 23,0 1,2 6 *":                     "comes 4 minutes apart",
		"0,4 6 29 2 *":                          "comes 4 minutes apart",
		"0 6 * * * " + strings.Repeat("0,", 60): "too long",
	} {
		_, err := ParseSchedule(text, time.UTC)
		if CodeOf(err) != Invalid || !strings.Contains(err.Error(), says) {
			t.Errorf("%q: %v, want %q", text, err, says)
		}
	}
}

func TestScheduleComes(t *testing.T) {
	t.Parallel()
	at := func(text string) time.Time {
		moment, err := time.Parse("2006-01-02 15:04", text)
		if err != nil {
			t.Fatal(err)
		}
		return moment
	}
	for text, test := range map[string]struct{ from, want string }{
		"0 6 * * *":         {"2026-03-02 06:00", "2026-03-03 06:00"},
		"0 6 * * 1-5":       {"2026-03-06 07:00", "2026-03-09 06:00"},
		"*/5 * * * *":       {"2026-03-02 23:57", "2026-03-03 00:00"},
		"0 0 29 2 *":        {"2026-03-02 00:00", "2028-02-29 00:00"},
		"@weekly":           {"2026-03-02 00:00", "2026-03-08 00:00"},
		"  0   6 * *   * ":  {"2026-03-02 00:00", "2026-03-02 06:00"},
		"0 6 1 JAN,jul *":   {"2026-03-02 00:00", "2026-07-01 06:00"},
		"30 6-20/2 * * SUN": {"2026-03-08 06:30", "2026-03-08 08:30"},
		"2,58 23,0 1 6 *":   {"2026-06-01 00:58", "2026-06-01 23:02"}, // 23:58 and 00:02 are of different days
		"0 0 31 12 *":       {"2026-12-31 00:00", "2027-12-31 00:00"},
		"0 6 ? * *":         {"2026-03-02 05:59", "2026-03-02 06:00"},
	} {
		if got := schedule(t, text, time.UTC).Next(at(test.from)); !got.Equal(at(test.want)) {
			t.Errorf("%q after %s: %s, want %s", text, test.from, got, test.want)
		}
	}
	if got := schedule(t, "0 6 * * *", time.UTC).Coming(at("2026-03-02 07:00"), 3); len(got) != 3 || !got[2].Equal(at("2026-03-05 06:00")) {
		t.Errorf("the next three are %v", got)
	}
}

// In Amsterdam the clocks jump from 2:00 to 3:00 on 29 March 2026 (at 1:00 UTC)
// and back from 3:00 to 2:00 on 25 October (at 1:00 UTC); on Lord Howe Island
// they change by half an hour, to 2:30 on 4 October 2026 (Saturday 15:30 UTC)
// and back to 1:30 on 5 April (Saturday 15:00 UTC).
func TestScheduleWhereTheClocksChange(t *testing.T) {
	t.Parallel()
	for name, test := range map[string]struct {
		text, zone, from string
		want             []string // in UTC
	}{
		"left out":           {"30 2 * * *", "Europe/Amsterdam", "2026-03-28T00:00:00Z", []string{"2026-03-28T01:30:00Z", "2026-03-29T01:00:00Z", "2026-03-30T00:30:00Z"}},
		"twice":              {"30 2 * * *", "Europe/Amsterdam", "2026-10-24T12:00:00Z", []string{"2026-10-25T00:30:00Z", "2026-10-26T01:30:00Z"}},
		"from within":        {"30 2 * * *", "Europe/Amsterdam", "2026-10-25T00:45:00Z", []string{"2026-10-26T01:30:00Z"}},
		"within the second":  {"30 2 * * *", "Europe/Amsterdam", "2026-10-25T01:15:00Z", []string{"2026-10-26T01:30:00Z"}},
		"after it":           {"30 3 * * *", "Europe/Amsterdam", "2026-03-29T00:59:00Z", []string{"2026-03-29T01:30:00Z"}},
		"several left out":   {"*/20 2,3 * * *", "Europe/Amsterdam", "2026-03-29T00:30:00Z", []string{"2026-03-29T01:00:00Z", "2026-03-29T01:20:00Z", "2026-03-29T01:40:00Z"}},
		"hourly in spring":   {"0 * * * *", "Europe/Amsterdam", "2026-03-29T00:00:00Z", []string{"2026-03-29T01:00:00Z", "2026-03-29T02:00:00Z"}},
		"hourly in autumn":   {"0 * * * *", "Europe/Amsterdam", "2026-10-24T23:30:00Z", []string{"2026-10-25T00:00:00Z", "2026-10-25T02:00:00Z"}},
		"half an hour out":   {"15 2 * * *", "Australia/Lord_Howe", "2026-10-03T15:00:00Z", []string{"2026-10-03T15:30:00Z", "2026-10-04T15:15:00Z"}},
		"half an hour twice": {"45 1 * * *", "Australia/Lord_Howe", "2026-04-04T12:00:00Z", []string{"2026-04-04T14:45:00Z", "2026-04-05T15:15:00Z"}},
	} {
		from, err := time.Parse(time.RFC3339, test.from)
		if err != nil {
			t.Fatal(err)
		}
		got := schedule(t, test.text, zoneOf(t, test.zone)).Coming(from, len(test.want))
		for i, due := range got {
			if due.UTC().Format(time.RFC3339) != test.want[i] {
				t.Errorf("%s: %d: %s, want %s", name, i, due.UTC().Format(time.RFC3339), test.want[i])
			}
		}
	}
}

func TestScheduleThatWasMissed(t *testing.T) {
	t.Parallel()
	now := time.Date(2026, 3, 2, 10, 0, 0, 0, time.UTC)
	for name, test := range map[string]struct {
		text        string
		since, want time.Time
	}{
		"due today":         {"0 6 * * *", now.AddDate(0, 0, -1), now.Add(-4 * time.Hour)},
		"due just now":      {"0 10 * * *", now.AddDate(0, 0, -1), now},
		"done":              {"0 6 * * *", now.Add(-4 * time.Hour), time.Time{}},
		"a minute too soon": {"1 10 * * *", now.Add(-time.Hour), time.Time{}},
		"ten sleepy years":  {"*/5 * * * *", now.AddDate(-10, 0, 0), now},
		"a rare one":        {"0 0 29 2 *", time.Unix(0, 0), time.Date(2024, 2, 29, 0, 0, 0, 0, time.UTC)},
		"only the last one": {"0 6 * * *", now.AddDate(0, -2, 0), now.Add(-4 * time.Hour)},
	} {
		s := schedule(t, test.text, time.UTC)
		if got := s.Last(test.since, now); !got.Equal(test.want) {
			t.Errorf("%s: %s, want %s", name, got, test.want)
		}
		work := ScheduledWork{LastDone: test.since, Active: true}
		if got := work.Due(s, time.Time{}, now); !got.Equal(test.want) {
			t.Errorf("%s: due %s, want %s", name, got, test.want)
		}
		if got := work.Due(s, now, now); !got.IsZero() {
			t.Errorf("%s: changed just now, and due %s", name, got)
		}
		work.Active = false
		if got := work.Due(s, time.Time{}, now); !got.IsZero() {
			t.Errorf("%s: out of use, and due %s", name, got)
		}
	}
}

// Due times come one after the other, each once, five minutes apart at least
// where the clocks do not jump; the last one before a moment is one of them.
func TestScheduleLaws(t *testing.T) {
	t.Parallel()
	zones := []*time.Location{time.UTC, zoneOf(t, "Europe/Amsterdam"), zoneOf(t, "America/St_Johns"), zoneOf(t, "Pacific/Apia"), zoneOf(t, "Australia/Lord_Howe")}
	rapid.Check(t, func(t *rapid.T) {
		part := func(name string, choices ...string) string { return rapid.SampledFrom(choices).Draw(t, name) }
		text := strings.Join([]string{
			part("minute", "0", "30", "*/5", "*/7", "2,58", "*/20"), part("hour", "*", "2", "1-3", "23,0", "*/6"),
			part("day", "*", "1", "29", "1,15", "31"), part("month", "*", "2", "3,10", "4"), part("weekday", "*", "0", "1-5"),
		}, " ")
		zone := rapid.SampledFrom(zones).Draw(t, "zone")
		s, err := ParseSchedule(text, zone)
		if err != nil {
			return // it never comes, or too often
		}
		from := time.Date(2026, 1, 1, 0, 0, 0, 0, time.UTC).Add(time.Duration(rapid.IntRange(0, 365*86400).Draw(t, "from")) * time.Second)
		before := from
		for _, due := range s.Coming(from, 40) {
			if !due.After(before) {
				t.Fatalf("%q: %s comes after %s", text, due, before)
			}
			if last := s.Last(before, due); !last.Equal(due) {
				t.Fatalf("%q: the last one until %s is %s", text, due, last)
			}
			if last := s.Last(before, due.Add(-time.Second)); !last.IsZero() && before != from {
				t.Fatalf("%q: between %s and %s lies %s", text, before, due, last)
			}
			before = due
		}
	})
}

func FuzzParseSchedule(f *testing.F) {
	for _, text := range []string{"0 6 * * *", "TZ=", "CRON_TZ= ", "@daily", "@every 5m", "0 0 30 2 *", "*/5 * * * *", "1-2-3 * * * *", "1/2/3 * * * *", "0 0 * * SUN-SAT"} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		s, err := ParseSchedule(text, time.UTC)
		if err != nil {
			if CodeOf(err) != Invalid {
				t.Errorf("%q: %v", text, err)
			}
			return
		}
		now := time.Date(2026, 3, 2, 0, 0, 0, 0, time.UTC)
		coming := s.Coming(now, 2)
		if len(coming) == 2 && coming[1].Sub(coming[0]) < LeastApart {
			t.Errorf("%q comes at %v", text, coming)
		}
	})
}

func TestCheckSchedule(t *testing.T) {
	t.Parallel()
	lab := Lab{TimeZone: "Europe/Amsterdam"}
	saved, err := lab.CheckSchedule(ScheduledWork{Name: MorningWork, Cron: " 0  6 * * 1-5 "})
	if err != nil || saved.Cron != "0 6 * * 1-5" {
		t.Errorf("%+v, %v", saved, err)
	}
	if _, err := lab.CheckSchedule(ScheduledWork{Name: "sleep", Cron: "0 6 * * *"}); CodeOf(err) != NotFound {
		t.Errorf("unknown work: %v", err)
	}
	if _, err := lab.CheckSchedule(ScheduledWork{Name: UpkeepWork, Cron: "TZ=UTC 0 6 * * *"}); CodeOf(err) != Invalid || !strings.Contains(err.Error(), "Europe/Amsterdam") {
		t.Errorf("a zone of its own: %v", err)
	}
}

package jobs

import (
	"testing"
	"time"

	"pgregory.net/rapid"
)

// closing closes the lab from one day to another.
func closing(from, to string) Closure {
	day := func(text string) time.Time {
		day, err := time.Parse(time.DateOnly, text)
		if err != nil {
			panic(err)
		}
		return day
	}
	return Closure{From: day(from), To: day(to), Name: "Holiday"}
}

// drawClosed draws on which days a lab is closed around a moment.
func drawClosed(t *rapid.T, lab *Lab, about time.Time) {
	lab.ClosedOn = Weekdays(rapid.IntRange(0, 126).Draw(t, "closed on"))
	from := dayOf(about).AddDate(0, 0, rapid.IntRange(-30, 30).Draw(t, "closures from"))
	for range rapid.IntRange(0, 4).Draw(t, "closures") {
		to := from.AddDate(0, 0, rapid.IntRange(0, 40).Draw(t, "length"))
		lab.Closures = append(lab.Closures, Closure{From: from, To: to})
		from = to.AddDate(0, 0, 1+rapid.IntRange(0, 90).Draw(t, "apart"))
	}
}

// Days that are counted together are as many as when each is looked at.
func TestOpenDaysAreCounted(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		var lab Lab
		drawClosed(t, &lab, monday)
		open := func(d date) bool {
			day := d.day()
			for _, closure := range lab.Closures {
				if !day.Before(closure.From) && !day.After(closure.To) {
					return false
				}
			}
			return !lab.ClosedOn.Has(day.Weekday())
		}
		from := dateOf(monday) + date(rapid.IntRange(-40, 40).Draw(t, "from"))
		if lab.openOn(from) != open(from) {
			t.Fatalf("%+v on %v: open %v", lab, from.day(), lab.openOn(from))
		}
		days, last := 0, from
		for n := rapid.IntRange(1, 300).Draw(t, "n"); days < n; {
			if last++; open(last) {
				days++
			}
		}
		if got := lab.openDate(from, days); got != last {
			t.Fatalf("%+v: open day %d after %v is %v, want %v", lab, days, from.day(), got.day(), last.day())
		}
		if got := lab.openDays(from+1, last+1); got != days {
			t.Fatalf("%+v: %d open days after %v up to %v, want %d", lab, got, from.day(), last.day(), days)
		}
	})
}

// 7 March 2026 is a Saturday.
func TestClosedDaysArePassedOver(t *testing.T) {
	t.Parallel()
	sundays := Lab{OpensAt: 8, ClosesAt: 18, TimeZone: "Europe/Lisbon", ClosedOn: WeekdaysOf(time.Sunday)}
	longer := sundays
	longer.Closures = []Closure{closing("2026-03-09", "2026-03-10"), closing("2026-04-03", "2026-04-06")}
	auckland := sundays
	auckland.TimeZone = "Pacific/Auckland"
	never := Lab{OpensAt: 0, ClosesAt: 24, TimeZone: "Europe/Lisbon", ClosedOn: WeekdaysOf(time.Sunday)}
	at := func(text string) time.Time {
		when, err := time.Parse(time.RFC3339, text)
		if err != nil {
			t.Fatal(err)
		}
		return when
	}
	for _, test := range []struct {
		name      string
		lab       Lab
		now, from string // when it is, and when the lab is open from then on
	}{
		{"Saturday at work", sundays, "2026-03-07T12:00:00Z", "2026-03-07T12:00:00Z"},
		{"Saturday at closing", sundays, "2026-03-07T18:00:00Z", "2026-03-07T18:00:00Z"},
		{"Saturday after closing", sundays, "2026-03-07T18:00:01Z", "2026-03-09T08:00:00Z"},
		{"Sunday at opening", sundays, "2026-03-08T08:00:00Z", "2026-03-09T08:00:00Z"},
		{"Sunday at noon", sundays, "2026-03-08T12:00:00Z", "2026-03-09T08:00:00Z"},
		{"Sunday at closing", sundays, "2026-03-08T18:00:00Z", "2026-03-09T08:00:00Z"},
		{"a closed Monday and Tuesday after it", longer, "2026-03-07T19:00:00Z", "2026-03-11T08:00:00Z"},
		{"within a closure", longer, "2026-03-09T12:00:00Z", "2026-03-11T08:00:00Z"},
		{"on its last evening", longer, "2026-03-10T23:00:00Z", "2026-03-11T08:00:00Z"},
		{"a closure over Sunday", longer, "2026-04-02T19:00:00Z", "2026-04-07T07:00:00Z"},
		// On Sunday, 29 March 2026, the clocks go forward.
		{"over the change of the clocks", sundays, "2026-03-28T19:00:00Z", "2026-03-30T07:00:00Z"},
		{"back in autumn", sundays, "2026-10-24T18:00:00Z", "2026-10-26T08:00:00Z"},
		// In Auckland it is Sunday before it is in Greenwich.
		{"the lab's Sunday", auckland, "2026-03-07T22:00:00Z", "2026-03-08T19:00:00Z"},
		{"the lab's Monday", auckland, "2026-03-08T20:00:00Z", "2026-03-08T20:00:00Z"},
		{"the midnight after Friday", never, "2026-03-07T00:00:00Z", "2026-03-07T00:00:00Z"},
		{"the midnight after Saturday", never, "2026-03-08T00:00:00Z", "2026-03-09T00:00:00Z"},
	} {
		if got := test.lab.openFrom(at(test.now)); !got.Equal(at(test.from)) {
			t.Errorf("%s: open from %v, want %s", test.name, got.UTC(), test.from)
		}
		if opens, closes := test.lab.workingDay(at(test.now)); opens.Before(at(test.now)) || !test.lab.openOn(test.lab.date(opens)) || !closes.After(opens) {
			t.Errorf("%s: a working day from %v to %v", test.name, opens, closes)
		}
	}
}

func TestTimeOfOpenDays(t *testing.T) {
	t.Parallel()
	lab := Lab{OpensAt: 8, ClosesAt: 18, TimeZone: "Europe/Lisbon", ClosedOn: WeekdaysOf(time.Sunday), Closures: []Closure{closing("2026-03-09", "2026-03-10")}}
	zone := lab.Zone()
	at := func(month time.Month, day, hour int) time.Time {
		return time.Date(2026, month, day, hour, 0, 0, 0, zone)
	}
	for _, test := range []struct {
		name     string
		at       time.Time
		takes    time.Duration
		want     time.Time
		dayEnds  time.Time
		watching time.Time // until when, 72 hours on
	}{
		{"over a night", at(3, 5, 17), 24 * time.Hour, at(3, 6, 17), at(3, 6, 0), at(3, 11, 17)},
		{"over closed days", at(3, 7, 17), 24 * time.Hour, at(3, 11, 17), at(3, 11, 0), at(3, 13, 17)},
		{"until midnight", at(3, 7, 17), 7 * time.Hour, at(3, 8, 0), at(3, 11, 0), at(3, 13, 17)},
		{"from a closed day on", at(3, 8, 12), 4 * time.Hour, at(3, 11, 4), at(3, 11, 0), at(3, 14, 0)},
		{"no time", at(3, 6, 12), 0, at(3, 6, 12), at(3, 7, 0), at(3, 12, 12)},
		// The day on which the clocks change is closed.
		{"over a change of the clocks", at(3, 28, 17), 24 * time.Hour, at(3, 30, 17), at(3, 30, 0), at(4, 1, 17)},
	} {
		if got := lab.afterOpen(test.at, test.takes); !got.Equal(test.want) {
			t.Errorf("%s: %v, want %v", test.name, got, test.want)
		}
		if got := lab.DayEnd(test.at); !got.Equal(test.dayEnds) {
			t.Errorf("%s: the day ends %v, want %v", test.name, got, test.dayEnds)
		}
		if got := lab.WatchUntil(test.at); !got.Equal(test.watching) {
			t.Errorf("%s: watched until %v, want %v", test.name, got, test.watching)
		}
	}
	// In a lab that is never closed, time passes as everywhere.
	rapid.Check(t, func(t *rapid.T) {
		lab := Lab{TimeZone: rapid.SampledFrom([]string{"UTC", "America/Sao_Paulo", "America/Havana", "Australia/Lord_Howe"}).Draw(t, "zone")}
		at := time.Unix(rapid.Int64Range(1e9, 2e9).Draw(t, "at"), 0)
		takes := time.Duration(rapid.IntRange(0, 2000).Draw(t, "hours")) * time.Hour
		if got := lab.afterOpen(at, takes); !got.Equal(at.Add(takes)) {
			t.Fatalf("%s: %v after %v is %v", lab.TimeZone, takes, at.UTC(), got.UTC())
		}
	})
}

// Film that lies before a closed door is still counted on.
func TestFilmIsExpectedOverClosedDays(t *testing.T) {
	t.Parallel()
	pace := known(24*time.Hour, time.Hour) // counted on for two days
	now := time.Date(2026, 3, 10, 12, 0, 0, 0, time.UTC)
	for _, test := range []struct {
		name   string
		closed []Closure
		want   time.Time
	}{
		{"open", nil, now.AddDate(0, 0, -2)},
		{"closed long ago", []Closure{closing("2026-03-01", "2026-03-06")}, now.AddDate(0, 0, -2)},
		{"closed yesterday", []Closure{closing("2026-03-09", "2026-03-09")}, now.AddDate(0, 0, -3)},
		{"closed for a fortnight", []Closure{closing("2026-02-24", "2026-03-09")}, now.AddDate(0, 0, -16)},
	} {
		if got := pace.ExpectedSince(Lab{TimeZone: "UTC", Closures: test.closed}, now); !got.Equal(test.want) {
			t.Errorf("%s: since %v, want %v", test.name, got, test.want)
		}
	}
}

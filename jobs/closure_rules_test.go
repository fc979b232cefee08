package jobs

import (
	"strings"
	"testing"
	"time"
)

func TestCheckClosure(t *testing.T) {
	t.Parallel()
	// It is Monday in Lisbon, and still in the last hour of Sunday in the Azores.
	now := time.Date(2026, 3, 2, 0, 30, 0, 0, time.UTC)
	lab := Lab{TimeZone: "Europe/Lisbon", ClosedOn: WeekdaysOf(time.Sunday), Closures: []Closure{
		closing("2025-12-24", "2026-01-01"), closing("2026-04-03", "2026-04-06"), closing("2026-12-24", "2026-12-31"),
	}}
	for _, test := range []struct {
		name     string
		from, to string
		field    string // "" where it is allowed
		says     string
	}{
		{"today", "2026-03-02", "2026-03-02", "", ""},
		{"since last week", "2026-02-25", "2026-03-02", "", ""},
		{"yesterday", "2026-03-01", "2026-03-01", "to", "allowed are days from 2 March 2026 on"},
		{"upside down", "2026-03-05", "2026-03-04", "to", "before the first"},
		{"up to another", "2026-03-20", "2026-04-02", "", ""},
		{"into another", "2026-03-20", "2026-04-03", "from", "closed on 3 to 6 April 2026 for Holiday already"},
		{"out of another", "2026-04-06", "2026-04-07", "from", "remove that first"},
		{"within another", "2026-04-04", "2026-04-04", "from", "remove that first"},
		{"around another", "2026-04-01", "2026-04-30", "from", "remove that first"},
		{"as a past one", "2026-01-01", "2026-03-02", "", ""},
		// Half a year from a Monday on ends on a Monday, 183 days later.
		{"half a year", "2026-05-04", "2026-11-02", "to", "closed until 3 November 2026, for more than the 183 days"}, // with the Sunday before
		{"a day less", "2026-05-05", "2026-11-02", "", ""},
		{"beside another", "2026-07-01", "2026-12-23", "to", "closed until 1 January 2027"},
		{"as far ahead as may be", "2028-03-01", "2028-03-02", "", ""},
		{"a day too far", "2028-03-02", "2028-03-02", "from", "at most 1 March 2028"},
	} {
		t.Run(test.name, func(t *testing.T) {
			_, err := lab.CheckClosure(closing(test.from, test.to), now)
			if test.field == "" {
				if err != nil {
					t.Error(err)
				}
				return
			}
			wantFields(t, err, test.field)
			if err != nil && !strings.Contains(err.Error(), test.says) {
				t.Errorf("%q, want %q", err, test.says)
			}
		})
	}
	wantField := func(c Closure, fields ...string) {
		t.Helper()
		_, err := lab.CheckClosure(c, now)
		wantFields(t, err, fields...)
	}
	wantField(Closure{Name: "Holiday"}, "from", "to")
	wantField(Closure{From: monday, To: monday, Name: "  "}, "name")
	wantField(Closure{From: monday, To: monday, Name: strings.Repeat("x", MaxName+1)}, "name")
	lab.Closures = nil
	for i := range MostClosures {
		day := dayOf(now).AddDate(0, 0, 2*i)
		lab.Closures = append(lab.Closures, Closure{From: day, To: day, Name: "Holiday"})
	}
	wantField(closing("2027-06-01", "2027-06-01"), "from")
}

func TestClosuresInWords(t *testing.T) {
	t.Parallel()
	for _, test := range []struct{ from, to, want string }{
		{"2026-12-24", "2026-12-24", "24 December 2026"},
		{"2026-12-24", "2026-12-26", "24 to 26 December 2026"},
		{"2026-11-30", "2026-12-01", "30 November to 1 December 2026"},
		{"2026-12-31", "2027-01-02", "31 December 2026 to 2 January 2027"},
	} {
		if got := closing(test.from, test.to).Days(); got != test.want {
			t.Errorf("%s, want %s", got, test.want)
		}
	}
}

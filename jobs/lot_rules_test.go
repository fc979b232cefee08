package jobs

import (
	"strings"
	"testing"
	"time"
)

// day is midnight UTC, as expiries are kept.
func day(year int, month time.Month, d int) time.Time {
	return time.Date(year, month, d, 0, 0, 0, 0, time.UTC)
}

func TestCheckReceipt(t *testing.T) {
	t.Parallel()
	good := Receipt{Part: " Part A ", Number: " 4411 ", Unit: Millilitres, Amount: 5000, ExpiresOn: day(2027, 3, 1)}
	got, err := CheckReceipt(good, monday)
	if err != nil || got.Part != "Part A" || got.Number != "4411" {
		t.Errorf("got %+v, %v", got, err)
	}
	for _, test := range []struct {
		name   string
		change func(*Receipt)
		field  string // "" where it is taken
	}{
		{"without an expiry", func(r *Receipt) { r.ExpiresOn = time.Time{} }, ""},
		{"last day today", func(r *Receipt) { r.ExpiresOn = day(2026, 3, 2) }, ""},
		{"expired yesterday", func(r *Receipt) { r.ExpiresOn = day(2026, 3, 1) }, "expires_on"},
		{"20 years", func(r *Receipt) { r.ExpiresOn = day(2046, 3, 2) }, ""},
		{"20 years and a day", func(r *Receipt) { r.ExpiresOn = day(2046, 3, 3) }, "expires_on"},
		{"a milligram", func(r *Receipt) { r.Amount, r.Unit = 0.001, Grams }, ""},
		{"nothing", func(r *Receipt) { r.Amount = 0 }, "amount"},
		{"less than nothing", func(r *Receipt) { r.Amount = -5 }, "amount"},
		{"finer than the ledger", func(r *Receipt) { r.Amount = 1.0005 }, "amount"},
		{"the most", func(r *Receipt) { r.Amount = 1_000_000 }, ""},
		{"more", func(r *Receipt) { r.Amount = 1_000_000.001 }, "amount"},
		{"an ounce", func(r *Receipt) { r.Unit = "oz" }, "unit"},
		{"no part", func(r *Receipt) { r.Part = " " }, "part"},
		{"no number", func(r *Receipt) { r.Number = " " }, "number"},
		{"40 characters", func(r *Receipt) { r.Number = strings.Repeat("4", 40) }, ""},
		{"41 characters", func(r *Receipt) { r.Number = strings.Repeat("4", 41) }, "number"},
	} {
		r := good
		test.change(&r)
		_, err := CheckReceipt(r, monday)
		if !blames(err, test.field) {
			t.Errorf("%s: got %v, want a fault in %q", test.name, err, test.field)
		}
	}
}

// blames reports whether an error is about a field; about none for "".
func blames(err error, field string) bool {
	if field == "" {
		return err == nil
	}
	e, ok := err.(*Error)
	return ok && len(e.Fields) == 1 && e.Fields[0].Field == field
}

func TestMoreOfALotAgreesWithIt(t *testing.T) {
	t.Parallel()
	there := Lot{Part: "Part A", Number: "4411", Unit: Millilitres, ExpiresOn: day(2027, 3, 1)}
	for _, test := range []struct {
		name    string
		receipt Receipt
		says    string
	}{
		{"the same", Receipt{Unit: Millilitres, ExpiresOn: day(2027, 3, 1)}, ""},
		{"a day later", Receipt{Unit: Millilitres, ExpiresOn: day(2027, 3, 2)}, "expiring on 1 March 2027; this one expiring on 2 March 2027"},
		{"undated", Receipt{Unit: Millilitres}, "this one without an expiry"},
		{"in g", Receipt{Unit: Grams, ExpiresOn: day(2027, 3, 1)}, "measured in mL"},
	} {
		err := test.receipt.CheckAgrees(there)
		if (err == nil) != (test.says == "") || err != nil && (CodeOf(err) != Refused || !strings.Contains(err.Error(), test.says)) {
			t.Errorf("%s: %v, want %q", test.name, err, test.says)
		}
	}
}

// The last day of a lot is the lab's, not that of Greenwich.
func TestALotExpiresOnTheLabsDay(t *testing.T) {
	t.Parallel()
	east := time.FixedZone("east", 10*3600)
	lot := Lot{ExpiresOn: day(2026, 3, 2)}
	for _, test := range []struct {
		now  time.Time
		want bool
	}{
		{time.Date(2026, 3, 2, 23, 59, 0, 0, time.UTC), false},
		{time.Date(2026, 3, 3, 0, 0, 0, 0, time.UTC), true},
		{time.Date(2026, 3, 2, 13, 59, 0, 0, time.UTC).In(east), false},
		{time.Date(2026, 3, 2, 14, 0, 0, 0, time.UTC).In(east), true},
	} {
		if got := lot.Expired(test.now); got != test.want {
			t.Errorf("at %s: expired %t", test.now, got)
		}
	}
	if !lot.Expiring(day(2026, 1, 31)) || lot.Expiring(day(2026, 1, 30)) {
		t.Error("a lot is marked as expiring 30 days before its last day, not earlier")
	}
	if undated := (Lot{}); undated.Expired(monday) || undated.Expiring(monday) {
		t.Error("a lot without an expiry expires")
	}
}

func TestLowParts(t *testing.T) {
	t.Parallel()
	c := Catalogue{Solutions: map[SolutionID]Solution{
		1: {Active: true, Parts: []Part{{Name: "Part A"}, {Name: "Part C"}}},
		2: {Parts: []Part{{Name: "Part D"}}},
	}}
	low := c.LowParts([]Lot{
		{Part: "part a", Left: 999, UsedLately: 2000}, // two weeks take 1000
		{Part: "Part B", Left: 600, UsedLately: 1000},
		{Part: "Part B", Left: 400, UsedLately: 1000},
		{Part: "Part E", Left: 400, UsedLately: 100, ExpiresOn: day(2026, 3, 1)},
		{Part: "Part F", Left: 1},
	}, monday)
	for part, want := range map[string]bool{"part a": true, "part b": false, "part c": true, "part d": false, "part e": true, "part f": false} {
		if low[part] != want {
			t.Errorf("%s is low: %t, want %t", part, low[part], want)
		}
	}
}

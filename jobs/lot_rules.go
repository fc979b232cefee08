package jobs

import (
	"math"
	"strings"
	"time"
)

// The amounts that one act moves, in mL or g.
const (
	MinAmount = 0.001
	MaxAmount = 1_000_000
)

// mostYears is how far ahead an expiry may lie: a later one is a slip of the
// pen.
const mostYears = 20

// maxNumber is how long a lot's number may be.
const maxNumber = 40

// amount checks an amount that the ledger can keep.
func (f *fieldErrors) amount(field string, value float64, unit Unit) {
	switch {
	case !(value >= MinAmount && value <= MaxAmount):
		f.add(field, "%g %s is no amount, allowed are %g to %d %s", value, unit, MinAmount, MaxAmount, unit)
	case !exact(value):
		f.add(field, "%g %s is finer than a thousandth of a %s", value, unit, unit)
	}
}

// exact reports whether the ledger keeps a number as it is, to a thousandth.
func exact(value float64) bool { return math.Abs(value*1000-math.Round(value*1000)) < 1e-6 }

// thousandths rounds an amount to what the ledger keeps.
func thousandths(value float64) float64 { return math.Round(value*1000) / 1000 }

// CheckReceipt checks what came in, now being in the lab's time zone, and
// returns it with its names trimmed.
func CheckReceipt(r Receipt, now time.Time) (Receipt, error) {
	var wrong fieldErrors
	r.Part, r.Number = strings.TrimSpace(r.Part), strings.TrimSpace(r.Number)
	wrong.name("part", r.Part)
	if r.Number == "" {
		wrong.add("number", "the number of the lot is missing: it is how rolls are traced to it")
	}
	wrong.line("number", r.Number, maxNumber)
	wrong.oneOf("unit", string(r.Unit), names(Units))
	wrong.amount("amount", r.Amount, r.Unit)
	if !r.ExpiresOn.IsZero() {
		r.ExpiresOn = calendarDay(r.ExpiresOn)
		switch {
		case r.ExpiresOn.Before(calendarDay(now)):
			wrong.add("expires_on", "it expired on %s: it may not be used, send it back or dump it", r.ExpiresOn.Format(dayFormat))
		case r.ExpiresOn.After(calendarDay(now).AddDate(mostYears, 0, 0)):
			wrong.add("expires_on", "%s is more than %d years away", r.ExpiresOn.Format(dayFormat), mostYears)
		}
	}
	return r, wrong.err("this cannot be taken into stock")
}

// dayFormat is how a day is written for people.
const dayFormat = "2 January 2006"

// CheckAgrees decides whether what came in is more of a lot that is there
// already.
func (r Receipt) CheckAgrees(there Lot) error {
	switch {
	case there.Unit != r.Unit:
		return Errorf(Refused, "%s is measured in %s, this came in as %s", there.Name(), there.Unit, r.Unit)
	case !there.ExpiresOn.Equal(r.ExpiresOn):
		return &Error{Code: Refused, Message: "the same number with another expiry is another lot", Fields: []FieldError{{"expires_on",
			there.Name() + " is in stock, " + expiryWords(there.ExpiresOn) + "; this one " + expiryWords(r.ExpiresOn) + ": look at both bottles"}}}
	}
	return nil
}

func expiryWords(day time.Time) string {
	if day.IsZero() {
		return "without an expiry"
	}
	return "expiring on " + day.Format(dayFormat)
}

package jobs

import (
	"context"
	"strings"
	"time"
)

// Lot is what came in of one part under one number, which is how it is traced.
type Lot struct {
	ID         LotID
	Part       string // as on its bottle
	Number     string
	Unit       Unit
	ExpiresOn  time.Time // the last day on which it may be used, at midnight UTC; zero where nobody has said
	ReceivedAt time.Time // when the first of it came in
	// Summed from the ledger, in Unit:
	Received   float64
	Left       float64
	UsedLately float64 // went into mixes in the last four weeks
}

// Name is what a lot is called.
func (l Lot) Name() string { return l.Part + ", lot " + l.Number }

// of reports whether the lot is of a part: a name is the same in capitals.
func (l Lot) of(part string) bool { return strings.EqualFold(l.Part, part) }

// ExpiresWithin is how long before its last day a lot is marked as expiring.
const ExpiresWithin = 30

// Expired reports whether a lot may no longer be used on the day of now, in
// now's time zone.
func (l Lot) Expired(now time.Time) bool {
	return !l.ExpiresOn.IsZero() && calendarDay(now).After(l.ExpiresOn)
}

// Expiring reports whether the last day of a lot is at most [ExpiresWithin]
// days away.
func (l Lot) Expiring(now time.Time) bool {
	return !l.ExpiresOn.IsZero() && !calendarDay(now).AddDate(0, 0, ExpiresWithin).Before(l.ExpiresOn)
}

// calendarDay is the day of a moment in its time zone, as midnight UTC.
func calendarDay(at time.Time) time.Time {
	year, month, day := at.Date()
	return time.Date(year, month, day, 0, 0, 0, 0, time.UTC)
}

// lowWeeks is how many weeks the stock of a part should last, at the pace of
// the last four, before it counts as low.
const lowWeeks = 2

// LowParts returns, by their names in small letters, the parts of which less is
// left in usable lots than two weeks take at the pace of the last four, and
// those that recipes in use ask for and nothing usable is left of.
func (c Catalogue) LowParts(lots []Lot, now time.Time) map[string]bool {
	left, used := map[string]float64{}, map[string]float64{}
	for _, lot := range lots {
		part := strings.ToLower(lot.Part)
		used[part] += lot.UsedLately
		if !lot.Expired(now) {
			left[part] += lot.Left
		}
	}
	low := map[string]bool{}
	for part, amount := range used {
		low[part] = amount > 0 && left[part] < amount*lowWeeks/4
	}
	for _, solution := range c.Solutions {
		for _, part := range solution.Parts {
			if name := strings.ToLower(part.Name); solution.Active && left[name] == 0 {
				low[name] = true
			}
		}
	}
	return low
}

// Receipt is what came in.
type Receipt struct {
	Part      string
	Number    string
	Unit      Unit
	Amount    float64   // in Unit
	ExpiresOn time.Time // at midnight UTC; zero where it bears no date
}

// LotService keeps the stock of what is mixed.
type LotService interface {
	// Lots lists the lots of which something is left, by part, the earliest
	// expiry first, then those used up in the last 30 days.
	Lots(ctx context.Context) ([]Lot, error)
	// Lot returns a lot with every entry of every act that moved it, the oldest
	// first: NotFound when there is none.
	Lot(ctx context.Context, id LotID) (Lot, []Entry, error)
	// Receive records what came in: Invalid for bad values, Refused when the
	// same number came in before with another expiry or unit.
	Receive(ctx context.Context, by Actor, receipt Receipt) (Lot, error)
	// LoseLot records what was dumped or spilled of a lot: Invalid or Refused
	// for an impossible amount, Refused for a container of another kind or too
	// full, WrongState when nothing is left.
	LoseLot(ctx context.Context, by Actor, id LotID, loss Loss) (Lot, error)
}

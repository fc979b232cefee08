package chemistry

import (
	"fmt"
	"time"
)

// Storage is how a solution stands between uses.
type Storage string

// The kinds of storage, the best first.
const (
	FullBottle  Storage = "full bottle"
	PartBottle  Storage = "part-full bottle"
	FloatingLid Storage = "tank with a floating lid"
	OpenTank    Storage = "open tank"
)

// Storages lists every kind of storage.
var Storages = []Storage{FullBottle, PartBottle, FloatingLid, OpenTank}

// Keeping is how long a solution keeps once mixed.
type Keeping struct {
	Storage      Storage // "" where it goes for every kind of storage
	Months, Days int     // both are added
	Source       Source
}

// Until returns when a solution mixed at a time is too old.
func (k Keeping) Until(mixed time.Time) time.Time { return mixed.AddDate(0, k.Months, k.Days) }

func (k Keeping) check() error {
	return firstFault(
		within("keeping in months", float64(k.Months), 0, 120),
		within("keeping in days", float64(k.Days), 0, 3660),
		within("keeping in months and days together", float64(k.Months+k.Days), 1, 3780),
	)
}

// KeepsUntil returns the earliest end among the entries for a kind of storage;
// the zero time where none speaks of it.
func KeepsUntil(entries []Keeping, storage Storage, mixed time.Time) time.Time {
	var end time.Time
	for _, entry := range entries {
		if entry.Storage != "" && entry.Storage != storage {
			continue
		}
		if until := entry.Until(mixed); end.IsZero() || until.Before(end) {
			end = until
		}
	}
	return end
}

// FixerKeeping is how long a working fixer lasts at most, whatever its use.
var FixerKeeping = Keeping{Months: 2, Source: Source{Published, "Darkroom Cookbook, 3rd edition, p. 108"}}

// ClearingTest is how long a scrap of film takes to clear in a fixer, in
// seconds: when the fixer was fresh, and now.
type ClearingTest struct{ FreshS, NowS float64 }

// clearingLimit is by how much the clearing time may grow before a fixer is
// discarded, and how many clearing times film stays in it at least (NAVEDTRA 14209).
const clearingLimit = 2

// ClearingSource says where the rules on clearing times come from.
var ClearingSource = Source{Published, "NAVEDTRA 14209"}

// Check refuses times that no scrap of film takes.
func (c ClearingTest) Check() error {
	return firstFault(
		within("clearing time of the fresh fixer in seconds", c.FreshS, 1, 3600),
		within("clearing time now in seconds", c.NowS, 1, 3600),
	)
}

// Spent tells whether the clearing time has doubled.
func (c ClearingTest) Spent() bool { return c.NowS >= clearingLimit*c.FreshS }

// Used is how far the clearing time has come from fresh (0) to spent (1).
func (c ClearingTest) Used() float64 { return max(0, c.NowS/c.FreshS-1) / (clearingLimit - 1) }

// FixAtLeastS is the shortest fixing time in seconds: twice the clearing time.
func (c ClearingTest) FixAtLeastS() float64 { return clearingLimit * c.NowS }

// TwoBathRule is what to do with two fixing baths in a row when the first is
// spent (NAVEDTRA 14209).
const TwoBathRule = "discard bath 1, move bath 2 to its place and make a fresh bath 2"

// Idle oxidation is made good by replenisher: so much of the tank for every two
// whole days in which no film ran (US Army SS0514).
const (
	idleShare  = 0.03
	idlePeriod = 48 * time.Hour
)

// IdleSource says where the rule on idle tanks comes from.
var IdleSource = Source{Published, "US Army SS0514, 3 % of the tank for two idle days"}

// IdleTopUpML returns the replenisher in mL that an idle developer needs since
// film or replenisher last went in; never more than the tank holds.
func IdleTopUpML(volumeML float64, since, now time.Time) (float64, error) {
	if err := within("volume in mL", volumeML, minVolumeML, maxVolumeML); err != nil {
		return 0, err
	}
	if now.Before(since) {
		return 0, outOfOrder("now", now, "its last use", since)
	}
	return volumeML * min(1, idleShare*float64(now.Sub(since)/idlePeriod)), nil
}

// outOfOrder is the error of a time that lies before one that it must follow.
func outOfOrder(name string, at time.Time, after string, earliest time.Time) error {
	return &RangeError{
		ErrOrder,
		fmt.Sprintf("%s %s", name, at.Format(time.RFC3339)),
		fmt.Sprintf("%s, %s, and later", after, earliest.Format(time.RFC3339)),
	}
}

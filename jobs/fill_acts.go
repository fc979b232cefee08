package jobs

import (
	"math"
	"strings"
	"time"

	"wetside/chemistry"
)

// TopUp is replenisher or working solution that goes into a fill for another
// reason than film, as after idle days.
type TopUp struct {
	ML     int
	Mix    MixID // 0 where it is not on record
	Reason string
	Seen   int64 // last entry of the fill that somebody saw; 0 is not compared
}

// Spill is what was lost of a fill.
type Spill struct {
	ML     int
	Reason string
	Seen   int64 // as in TopUp
}

// Fouling is something that does not belong in a fill and got into it.
type Fouling struct {
	What string
	ML   int   // 0 for a splash
	Mix  MixID // of another solution, poured by mistake; 0 for none
	Seen int64 // as in TopUp
}

// Clearing is a clearing test of a fixer that somebody made.
type Clearing struct {
	At time.Time
	By string
	chemistry.ClearingTest
}

// inUse refuses to do anything to a dumped fill, and to one that has changed
// since somebody looked at it.
func (f Fill) inUse(ledger []Entry, seen int64) error {
	if !f.DumpedAt.IsZero() {
		return Errorf(WrongState, "%s was dumped", f.name())
	}
	if n := len(ledger); seen != 0 && n > 0 && ledger[n-1].ID != seen {
		last := ledger[n-1]
		return Errorf(Stale, "%s has changed in the meantime: %s recorded “%s” in it; look at it again", f.name(), last.By, last.Kind)
	}
	return nil
}

// TopUp decides whether a fill may be topped up, given its solution, its
// ledger, the mix that was named and the containers, and returns what it does to
// the ledger.
func (f Fill) TopUp(t TopUp, solution Solution, ledger []Entry, from Mix, containers Containers) ([]Entry, error) {
	if err := f.inUse(ledger, t.Seen); err != nil {
		return nil, err
	}
	var wrong fieldErrors
	wrong.volume("ml", t.ML, 1, f.VolumeML)
	reason := wrong.reason("reason", t.Reason)
	if err := wrong.err("it cannot be topped up like this"); err != nil {
		return nil, err
	}
	if t.Mix != 0 {
		if err := from.gives(f.Solution, from.Preparation, float64(t.ML)); err != nil {
			return nil, err
		}
	}
	return f.pourIn(Entry{Kind: EntryToppedUp, Fill: f.ID, Amount: float64(t.ML), Why: reason}, t.Mix, solution.Family.Waste(), containers)
}

// Spill decides whether so much can have been lost of a fill, and returns what
// it does to the ledger.
func (f Fill) Spill(s Spill, ledger []Entry) ([]Entry, error) {
	if err := f.inUse(ledger, s.Seen); err != nil {
		return nil, err
	}
	var wrong fieldErrors
	if f.NowML < 1 {
		wrong.add("ml", "nothing is left in it")
	} else {
		wrong.volume("ml", s.ML, 1, int(math.Floor(f.NowML)))
	}
	reason := wrong.reason("reason", s.Reason)
	if err := wrong.err("this cannot have been spilled"); err != nil {
		return nil, err
	}
	return []Entry{{Kind: EntrySpilled, Fill: f.ID, Amount: -float64(s.ML), Why: reason}}, nil
}

// Foul decides whether something can have fouled a fill, and returns what it
// does to the ledger. From then on no film may go in until it is dumped.
func (f Fill) Foul(wrongly Fouling, solution Solution, ledger []Entry, from Mix, containers Containers) ([]Entry, error) {
	if err := f.inUse(ledger, wrongly.Seen); err != nil {
		return nil, err
	}
	var wrong fieldErrors
	what := strings.TrimSpace(wrongly.What)
	if what == "" {
		wrong.add("what", "say what got in")
	}
	wrong.line("what", what, MaxReason)
	least := 0
	if wrongly.Mix != 0 {
		least = 1
	}
	wrong.volume("ml", wrongly.ML, least, f.VolumeML)
	if err := wrong.err("this cannot be recorded"); err != nil {
		return nil, err
	}
	switch {
	case wrongly.Mix == 0:
	case from.Solution == f.Solution:
		return nil, Errorf(Refused, "%s belongs in it: that is a top-up", from.Name())
	default:
		if err := from.gives(from.Solution, from.Preparation, float64(wrongly.ML)); err != nil {
			return nil, err
		}
	}
	return f.pourIn(Entry{Kind: EntryFouled, Fill: f.ID, Amount: float64(wrongly.ML), Why: what}, wrongly.Mix, solution.Family.Waste(), containers)
}

// TestClearing checks a clearing test of a fixer, in seconds, and returns it as
// it is kept: the time of the fresh fixer is that of the first test.
func (f Fill) TestClearing(solution Solution, test chemistry.ClearingTest) (chemistry.ClearingTest, error) {
	switch {
	case !f.DumpedAt.IsZero():
		return test, Errorf(WrongState, "%s was dumped", f.name())
	case !solution.Family.Clears():
		return test, Errorf(Refused, "film does not clear in %s, it is a %s", solution.Name, solution.Family)
	case f.Clearing == nil:
	case test.FreshS != 0 && test.FreshS != f.Clearing.FreshS:
		return test, InvalidField("fresh_s", "%g s is not what the first test of this fill says: fresh it cleared in %g s", test.FreshS, f.Clearing.FreshS)
	default:
		test.FreshS = f.Clearing.FreshS
	}
	var wrong fieldErrors
	wrong.within("fresh_s", test.FreshS, 1, 3600)
	wrong.within("now_s", test.NowS, 1, 3600)
	return test, wrong.err("this clearing test cannot be kept")
}

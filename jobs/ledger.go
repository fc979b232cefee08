package jobs

import (
	"time"

	"wetside/chemistry"
)

// LotID, MixID and ContainerID are the keys of what, beside fills, holds
// chemistry.
type (
	LotID       int64
	MixID       int64
	ContainerID int64
)

// EntryKind says what happened.
type EntryKind string

// The kinds of entries.
const (
	EntryReceived    EntryKind = "received"    // a lot came in
	EntryMixed       EntryKind = "mixed"       // lots went into a mix
	EntryFilled      EntryKind = "filled"      // a mix went into a tank
	EntryFilm        EntryKind = "film"        // film of one push level went through a fill
	EntryReplenished EntryKind = "replenished" // replenisher for film went in; what flows over goes to waste
	EntryToppedUp    EntryKind = "topped up"   // went in for another reason, as after idle days
	EntryUsedOnce    EntryKind = "used once"   // a one-shot solution took its film and went to waste
	EntrySpilled     EntryKind = "spilled"     // was lost
	EntryFouled      EntryKind = "fouled"      // something that does not belong got in
	EntryDumped      EntryKind = "dumped"      // went to waste
	EntryCollected   EntryKind = "collected"   // a licensed hauler took it away
)

// Entry is one line of the ledger: what one act did to one lot, mix, fill or
// container, or film that went through a one-shot solution; exactly one of these
// is not 0. Lines of one act share its number. Entries are only ever added, and
// their sums are the state.
type Entry struct {
	ID        int64
	Move      int64
	At        time.Time
	By        string
	Kind      EntryKind
	Lot       LotID
	Mix       MixID
	Fill      FillID
	Container ContainerID
	Solution  SolutionID // one-shot, mixed for the film that went through it
	Amount    float64    // mL, of a lot in its unit, to a thousandth; what comes in is positive

	// Of film that went through, and of what was poured for it:
	Batch    BatchID
	Rolls    int
	AreaM2   float64
	Push     chemistry.Stops
	CalledML float64 // replenisher, or one-shot solution, that the film calls for
	Recipe   int     // version of the recipe that says so
	Answers  int64   // the film entry that this was poured for; 0 for none

	Why string
}

// FilmThrough returns the entries of film that went through.
func FilmThrough(ledger []Entry) []Entry {
	var film []Entry
	for _, entry := range ledger {
		if entry.Kind == EntryFilm {
			film = append(film, entry)
		}
	}
	return film
}

// slack is how far the clocks of two servers, and two people who wait for each
// other, may be apart.
const slack = time.Minute

// PostAt is when an entry is posted that happens now, to an account whose last
// entry was at another moment, so that a ledger never runs backwards. What film
// brought in is never lost; anything else waits until a clock that was set back
// is right again: WrongState.
func (e Entry) PostAt(now, last time.Time) (time.Time, error) {
	switch {
	case !now.Before(last):
		return now, nil
	case e.Kind == EntryFilm, e.Kind == EntryUsedOnce, last.Sub(now) <= slack:
		return last, nil
	}
	const moment = "2 January 2006 15:04 MST"
	return time.Time{}, Errorf(WrongState, "the clock says %s, but something was recorded here at %s: set the clock right",
		now.Format(moment), last.Format(moment))
}

// present is now, or the moment of the last entry of a ledger where that is
// later by no more than clocks may be apart.
func present(ledger []Entry, now time.Time) time.Time {
	if n := len(ledger); n > 0 && ledger[n-1].At.Sub(now) <= slack {
		return later(now, ledger[n-1].At)
	}
	return now
}

package jobs

import (
	"context"
	"time"

	"wetside/chemistry"
)

// MorningGroup is a part of the morning list.
type MorningGroup string

// The parts, in the order of the morning.
const (
	StoppedLines   MorningGroup = "lines stopped"
	StripsToRun    MorningGroup = "strips to run"
	PoursToConfirm MorningGroup = "pours to confirm"
	TanksToChange  MorningGroup = "tanks to change"
	IdleTopUps     MorningGroup = "top-ups after idle days"
	MixesToMake    MorningGroup = "to mix"
	KeepingDates   MorningGroup = "keeping dates"
	StockLow       MorningGroup = "stock running low"
	WasteNearFull  MorningGroup = "waste nearly full"
)

// MorningGroups lists the parts in the order of the morning.
var MorningGroups = []MorningGroup{
	StoppedLines, StripsToRun, PoursToConfirm, TanksToChange, IdleTopUps, MixesToMake, KeepingDates, StockLow, WasteNearFull,
}

// MorningItem is one thing to do or to know before the day's film.
type MorningItem struct {
	Key    string // the same for the same thing, whenever the list is written
	Group  MorningGroup
	What   string
	Where  string
	Why    string
	Urgent bool      // before the first film
	Done   time.Time // when it was found to be no longer true; zero while it is
	// What it is about, of which at most one is not zero:
	Fill      FillID
	Batch     BatchID
	Mix       MixID
	Lot       LotID
	Container ContainerID
	Box       StripBoxID
	Strips    ControlKey // a process in a line
	ToMix     ToMix
	Part      string
}

// MorningList is what a day of the lab begins with.
type MorningList struct {
	Day   time.Time // where the lab is, as midnight UTC
	At    time.Time // when it was last written; zero where it was not
	Items []MorningItem
}

// Open counts what is still to be done, and how much of that is urgent.
func (l MorningList) Open() (open, urgent int) {
	for _, item := range l.Items {
		if item.Done.IsZero() {
			open++
			if item.Urgent {
				urgent++
			}
		}
	}
	return open, urgent
}

// MorningService writes and keeps the morning lists.
type MorningService interface {
	// Morning writes the list of this day where the lab is anew, from the records
	// as they are now, and returns it. What was on it and is no longer true is
	// ticked off.
	Morning(ctx context.Context) (MorningList, error)
}

// BenchView is what the morning list is written from.
type BenchView struct {
	Catalogue
	Fills      []Fill // in use
	Ledgers    map[FillID][]Entry
	Outlooks   map[FillID]Outlook
	Watched    []WatchedLine
	Doses      []Dose // that nobody has confirmed
	Mixes      []Mix  // of which something is left
	Lots       []Lot
	Containers Containers
}

// How near something has to be for the morning list.
const (
	changeDays  = 3  // a fill that may run out
	mixDays     = 7  // what is to be mixed
	keepingDays = 7  // what will be too old
	expiryDays  = 14 // what will expire: time to order
	nearlyFull  = 0.8
	brimFull    = 0.95
)

// withinDays reports whether a day is at most so many days after another one.
func withinDays(day, today time.Time, days int) bool {
	return !day.IsZero() && !day.After(today.AddDate(0, 0, days))
}

// stateOf is how a fill stands, and false where that cannot be told.
func (v BenchView) stateOf(fill Fill, now time.Time) (chemistry.State, bool) {
	state, err := fill.State(v.Solutions[fill.Solution], v.Ledgers[fill.ID], now)
	return state, err == nil
}

package jobs

import (
	"context"
	"time"

	"wetside/chemistry"
)

// CauseKind says what rolls are traced from.
type CauseKind string

// The kinds of causes.
const (
	FromFill  CauseKind = "fill"  // film that went through a tank filled once
	FromMix   CauseKind = "mix"   // film that met chemistry mixed once, from the moment it went in
	FromLot   CauseKind = "lot"   // film that met a mix made from a lot of concentrate
	FromStrip CauseKind = "strip" // film since the last good strip before one past the control limit
)

// CauseKinds lists every kind.
var CauseKinds = []CauseKind{FromFill, FromMix, FromLot, FromStrip}

// Cause names what went wrong, or might have.
type Cause struct {
	Kind CauseKind
	ID   int64 // key of the fill, mix, lot or strip
}

// TraceQuery asks for the rolls that a cause touched.
type TraceQuery struct {
	Cause
	// Only rolls of batches started from Since on, and before Until; zero for no
	// such bound.
	Since, Until time.Time
}

// Check refuses a cause of an unknown kind and a span that ends before it
// begins.
func (q TraceQuery) Check() error {
	var wrong fieldErrors
	wrong.oneOf("cause", string(q.Kind), names(CauseKinds))
	if !q.Since.IsZero() && !q.Until.IsZero() && !q.Until.After(q.Since) {
		wrong.add("until", "the end, %s, is not after the beginning, %s", q.Until.Format(time.RFC3339), q.Since.Format(time.RFC3339))
	}
	return wrong.err("this cannot be traced")
}

// Trace is a cause with every roll that it touched.
type Trace struct {
	Cause
	Name string // what the cause is called, without its time
	At   time.Time
	// What the cause spans by itself: for a fill from filling to dumping, for a
	// strip from the last good strip before it to the next one. Zero where it is
	// open to that side.
	From, Until time.Time
	Rolls       []TracedRoll // by order and place in it
}

// TracedRoll is a roll that a cause touched: where it is now and whose it is.
type TracedRoll struct {
	RollView
	Email, Phone       string
	Run                BatchID // the batch in which it was touched
	LineName           string
	StartedAt, EndedAt time.Time    // of that batch; EndedAt is zero while it runs
	Marked             InspectionID // its inspection for this cause, 0 for none
	Open               bool         // nobody has written yet what was found
}

// Counts says how many of the rolls are in each state.
func (t Trace) Counts() map[RollState]int {
	counts := map[RollState]int{}
	for _, roll := range t.Rolls {
		counts[roll.State]++
	}
	return counts
}

// RecentCause is something that rolls may be traced from, to choose among.
type RecentCause struct {
	Cause
	Name string
	At   time.Time
}

// RollTrace is everything that a roll touched.
type RollTrace struct {
	Roll        RollView
	Runs        []RollRun // the batches that it was developed in
	Inspections []Inspection
}

// RollRun is one batch that a roll was developed in, with what it met there.
type RollRun struct {
	Batch     Batch
	StartedBy string
	EndedBy   string // "" while it runs
	Readings  []Reading
	Fills     []TouchedFill
	UsedOnce  []TouchedMix // one-shot solutions that were used up in it
	// The strips of the line and process before it started and after that, nil
	// where there is none.
	Before, After *StripSeen
}

// TouchedFill is a fill that film went through.
type TouchedFill struct {
	Fill         FillID
	SolutionName string
	FilledAt     time.Time
	FilmRecipe   int          // version of the recipe when the film was posted; 0 while it runs
	PouredRecipe int          // version by which it was poured
	Mixes        []TouchedMix // that had gone into it by then, the first one first
}

// TouchedMix is a mix that film met.
type TouchedMix struct {
	Mix  Mix
	How  EntryKind // how it went in
	In   time.Time // when it first went in
	Lots []TouchedLot
}

// TouchedLot is a lot of concentrate that a mix was made from.
type TouchedLot struct {
	Lot          LotID
	Part, Number string
}

// StripSeen is a control strip as far as a trace tells of it.
type StripSeen struct {
	ID      StripID
	At      time.Time
	By      string
	Verdict chemistry.StripVerdict
}

// TraceService finds what touched what.
type TraceService interface {
	// Trace returns the rolls that a cause touched: NotFound for an unknown
	// cause, Refused for a strip that is not past the control limit.
	Trace(ctx context.Context, query TraceQuery) (Trace, error)
	// RecentCauses lists what may be traced: the fills in use, the last strips
	// past the control limit, the last mixes and lots.
	RecentCauses(ctx context.Context) ([]RecentCause, error)
	// TraceRoll returns everything that a roll touched: NotFound when there is
	// no such roll.
	TraceRoll(ctx context.Context, id RollID) (RollTrace, error)
}

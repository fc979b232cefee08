package jobs

import (
	"context"
	"time"

	"wetside/chemistry"
)

// StripBoxID and StripID are the keys of boxes of control strips and of strips.
type (
	StripBoxID int64
	StripID    int64
)

// StripBox is a box of control strips. A process is judged by the box that is in
// use for it.
type StripBox struct {
	ID        StripBoxID
	Process   chemistry.Process
	Number    string
	Aim       chemistry.StripReading
	Basis     AimBasis
	Limits    chemistry.StripLimits
	Strips    int       // in it when it was opened; 0 where nobody has counted
	Read      int       // strips read from it
	Recent    int       // of these, in the last 7 days
	ExpiresOn time.Time // the last day on which it is good, as a date in UTC; zero where nobody has said
	OpenedAt  time.Time
	Active    bool // in use
	Version   int
}

// AimBasis is what the aim of a box was worked out from.
type AimBasis struct {
	Read       chemistry.StripReading // of the reference strip, or the aim as it was typed
	Correction chemistry.StripReading // the correction factors of the box
	// Pairs were run side by side to cross over from the box before, whose key
	// is Crossed; 0 where it was not crossed over.
	Crossed StripBoxID
	Pairs   []CrossPair
}

// CrossPair is a strip of the old box that was read, and the new one run with it.
type CrossPair struct {
	Old StripID
	New Densities
}

// BoxDraft is a box of strips that somebody wants to put into use, or as it is
// to be from now on.
type BoxDraft struct {
	Process    chemistry.Process // of a new box
	Number     string
	Aim        Densities // what its reference strip reads, or the aim; left out where it is crossed over
	Correction Densities // what is added to that; what is left out is 0
	Pairs      []CrossPair
	Limits     chemistry.StripLimits
	Strips     int
	ExpiresOn  time.Time
}

// Strip is a control strip that went through a line and was read.
type Strip struct {
	ID        StripID
	Line      LineID
	LineName  string
	Process   chemistry.Process
	Box       StripBoxID
	BoxNumber string
	At        time.Time
	By        string
	Reading   chemistry.StripReading
	Aim       chemistry.StripReading // of the box, as it was
	Result    chemistry.StripResult
	Confirms  StripID      // the strip that this second one was run to confirm; 0 for none
	Release   StripRelease // zero for none
}

// StripRelease is an owner's word that a line may run although its last strip
// says no.
type StripRelease struct {
	At     time.Time
	By     string
	Reason string
}

// StripRun is a strip as it is read from a densitometer.
type StripRun struct {
	Line      LineID
	Process   chemistry.Process
	Densities Densities
}

// StripChart is what a chart of a process in a line shows.
type StripChart struct {
	Strips []Strip // the oldest first
	Box    StripBox
	Fresh  []FreshFill // within the time of the strips
}

// FreshFill is a solution poured anew.
type FreshFill struct {
	At       time.Time
	Solution string
}

// WatchedLine is a line that is watched by strips in a process, and how it
// stands.
type WatchedLine struct {
	Line     LineID
	LineName string
	Process  chemistry.Process
	Box      StripBox
	State    StripState
}

// StripQuery selects strips for a list, the last read first.
type StripQuery struct {
	Line    LineID            // 0 for every line
	Process chemistry.Process // "" for every process
	Before  StripID           // for the next page
	Limit   int               // 1 to 500
}

// StripService keeps the control strips. Only an owner opens and changes boxes
// and releases lines; the edge checks.
type StripService interface {
	// Boxes lists the boxes in use, then the others, the last opened first.
	Boxes(ctx context.Context) ([]StripBox, error)
	// Box returns one box: NotFound when there is none.
	Box(ctx context.Context, id StripBoxID) (StripBox, error)
	// OpenBox puts a box into use in place of the one that is: Invalid with the
	// fields, Duplicate for a number there is, Refused when it cannot be crossed
	// over with these strips.
	OpenBox(ctx context.Context, by Actor, draft BoxDraft) (StripBox, error)
	// ChangeBox corrects a box at its version; what was judged by it stays as it
	// was. Invalid with the fields, Stale when changed since.
	ChangeBox(ctx context.Context, by Actor, id StripBoxID, version int, draft BoxDraft) (StripBox, error)
	// UseBox puts a box away, or back into use: WrongState when another box is
	// in use for its process, Stale when changed since.
	UseBox(ctx context.Context, by Actor, id StripBoxID, version int, use bool) (StripBox, error)
	// WatchedLines tells how every line in use stands that runs a process with
	// a box in use.
	WatchedLines(ctx context.Context) ([]WatchedLine, error)
	// Strips lists strips, the last read first.
	Strips(ctx context.Context, query StripQuery) ([]Strip, error)
	// Strip returns one strip: NotFound when there is none.
	Strip(ctx context.Context, id StripID) (Strip, error)
	// StripChart returns the last strips of a process in a line.
	StripChart(ctx context.Context, line LineID, process chemistry.Process, last int) (StripChart, error)
	// ReadStrip records and judges a strip: Invalid with the densities that are
	// wrong, Refused when the line does not run the process or no box of its
	// strips is in use, WrongState when the clock was set back.
	ReadStrip(ctx context.Context, by Actor, run StripRun) (Strip, error)
	// ReadStripFile records and judges the strips of a densitometer's file, all
	// of them or, when a line of it is wrong, none: Invalid with every such line.
	ReadStripFile(ctx context.Context, by Actor, text string) ([]Strip, error)
	// ReleaseLine lets a line run whose last strip is this one: WrongState when
	// it may run, another strip was read since or it was released already.
	ReleaseLine(ctx context.Context, by Actor, strip StripID, reason string) (Strip, error)
}

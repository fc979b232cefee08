package jobs

import (
	"context"
	"time"

	"wetside/chemistry"
)

// FillID is the key of a fill.
type FillID int64

// Fill is one tank filled once with a solution. While it is not dumped it is
// the one that batches of its solution on its line go through.
type Fill struct {
	ID           FillID
	Solution     SolutionID
	SolutionName string
	Line         LineID
	LineName     string
	VolumeML     int   // when it was poured
	Mix          MixID // what it was poured from; 0 where that is not on record
	Recipe       int   // version of the recipe that it was poured by
	Storage      chemistry.Storage
	MixedAt      time.Time // zero where the mix is not on record
	FilledAt     time.Time
	DumpedAt     time.Time // zero while in use
	DumpReason   string
	// What it holds and what went through it, summed from its ledger.
	NowML   float64
	Rolls   int
	AreaM2  float64
	AddedML float64 // replenisher for film that went through
	// Clearing is the latest clearing test of a fixer; nil for none.
	Clearing *chemistry.ClearingTest
}

// FillService keeps the fills.
type FillService interface {
	// Fills lists the fills in use, then the dumped ones of the last 30 days.
	Fills(ctx context.Context) ([]Fill, error)
	// Fill returns a fill with its ledger: NotFound when there is none.
	Fill(ctx context.Context, id FillID) (Fill, []Entry, error)
	// Ledgers returns the ledgers of several fills, the oldest entry first.
	Ledgers(ctx context.Context, ids []FillID) (map[FillID][]Entry, error)
	// PourFill records a fresh fill: Invalid for a bad volume, Refused when the
	// mix is another one or too little, WrongState when the line still holds an
	// undumped fill of that solution.
	PourFill(ctx context.Context, by Actor, pour Pour) (Fill, error)
	// DumpFill ends a fill with a reason, and puts what it holds to waste:
	// WrongState when it was dumped before or a batch is running in it, Refused
	// when the container is for another kind of waste or too full.
	DumpFill(ctx context.Context, by Actor, id FillID, dump Dump) (Fill, error)
	// TopUpFill records what went into a fill beside what film called for:
	// Invalid for an impossible volume or no reason, Refused for a mix of another
	// solution or with too little left, Stale when something was recorded since
	// the last entry that was seen, WrongState for a dumped fill.
	TopUpFill(ctx context.Context, by Actor, id FillID, topUp TopUp) (Fill, error)
	// SpillFill records what was lost; otherwise as TopUpFill.
	SpillFill(ctx context.Context, by Actor, id FillID, spill Spill) (Fill, error)
	// FoulFill records what got in and does not belong: no film may go in until
	// the fill is dumped. Refused for a mix that does belong; otherwise as
	// TopUpFill.
	FoulFill(ctx context.Context, by Actor, id FillID, fouling Fouling) (Fill, error)
	// TestClearing records a clearing test: Refused where film does not clear,
	// Invalid for impossible times and for another fresh time than the first
	// test's, which may be left out (0) after that.
	TestClearing(ctx context.Context, by Actor, id FillID, test chemistry.ClearingTest) (Fill, error)
	// ClearingTests lists the clearing tests of a fill, the oldest first.
	ClearingTests(ctx context.Context, id FillID) ([]Clearing, error)
}

// Dump says how something goes to waste.
type Dump struct {
	Reason    string
	Container ContainerID // 0 for the first one in use of its kind
}

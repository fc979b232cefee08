package jobs

import (
	"context"
	"time"
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
	VolumeML     int
	FilledAt     time.Time
	DumpedAt     time.Time // zero while in use
	DumpReason   string
	// What went through it, summed from its ledger.
	Rolls  int
	AreaM2 float64
}

// FillEntry is one line of a fill's ledger: what a batch brought into it.
type FillEntry struct {
	At     time.Time
	Batch  BatchID
	Rolls  int
	AreaM2 float64
	By     string
}

// FillService keeps the fills.
type FillService interface {
	// Fills lists the fills in use, then the dumped ones of the last 30 days.
	Fills(ctx context.Context) ([]Fill, error)
	// Fill returns a fill with its ledger: NotFound when there is none.
	Fill(ctx context.Context, id FillID) (Fill, []FillEntry, error)
	// Ledgers returns the ledgers of several fills, the oldest entry first; a
	// fill that nothing went through is left out.
	Ledgers(ctx context.Context, ids []FillID) (map[FillID][]FillEntry, error)
	// PourFill records a fresh fill: Invalid for a bad volume, WrongState when
	// the line still holds an undumped fill of that solution.
	PourFill(ctx context.Context, by Actor, solution SolutionID, line LineID, volumeML int) (Fill, error)
	// DumpFill ends a fill with a reason: WrongState when it was dumped before
	// or a batch is running in it.
	DumpFill(ctx context.Context, by Actor, id FillID, reason string) (Fill, error)
}

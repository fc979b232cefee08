package jobs

import (
	"context"
	"time"

	"wetside/chemistry"
)

// BatchID is the key of a batch.
type BatchID int64

// BatchState is where a batch is.
type BatchState string

// The states of a batch, each with who moves it on.
const (
	BatchAccepted   BatchState = "accepted"   // rolls may still be moved; staff lock, start or cancel it
	BatchLocked     BatchState = "locked"     // its rolls are fixed; staff start or cancel it
	BatchDeveloping BatchState = "developing" // film is in the chemistry; staff finish or stop it
	BatchFinished   BatchState = "finished"   // the end
	BatchStopped    BatchState = "stopped"    // broken off with a reason; the end
	BatchCancelled  BatchState = "cancelled"  // called off before it started; the end
)

// nextBatchStates says which states may follow which.
var nextBatchStates = map[BatchState][]BatchState{
	BatchAccepted:   {BatchLocked, BatchDeveloping, BatchCancelled},
	BatchLocked:     {BatchAccepted, BatchDeveloping, BatchCancelled},
	BatchDeveloping: {BatchFinished, BatchStopped},
}

// CanBecome reports whether a batch in this state may move to another.
func (s BatchState) CanBecome(next BatchState) bool {
	for _, state := range nextBatchStates[s] {
		if state == next {
			return true
		}
	}
	return false
}

// Open reports whether a batch in this state holds its rolls.
func (s BatchState) Open() bool { return len(nextBatchStates[s]) > 0 }

// Batch is a load of rolls developed together.
type Batch struct {
	ID           BatchID
	Line         LineID
	LineName     string
	Process      chemistry.Process
	Solution     SolutionID       // black and white; 0 for colour
	Push         *chemistry.Stops // nil when rolls of several levels share it
	Develop      int              // developing time in seconds
	TempC        float64          // developer temperature
	State        BatchState
	PlannedStart time.Time
	StartedAt    time.Time // zero until started
	EndedAt      time.Time // zero until finished, stopped or cancelled
	Reason       string    // why it was stopped or cancelled
	Override     string    // why an owner let it start although something spoke against it
	Rolls        []RollView
	Version      int
}

// BatchDraft is a batch that somebody wants: one of the plan's, or made by hand.
type BatchDraft struct {
	Line         LineID
	Rolls        []RollID
	PlannedStart time.Time // zero for as soon as possible
}

// Proposal is what the plan suggests to run.
type Proposal struct {
	At      time.Time
	From    time.Time // from when the batches run: now, or when the lab opens
	Batches []ProposedBatch
	// Left are queued rolls in no proposed batch, each with the reason.
	Left   []LeftOut
	Late   []RollID // planned, but after they are due
	Proven bool     // whether no better plan exists
	// First says what open batches need before they start, as
	// [ProposedBatch.First] does.
	First map[BatchID]string
}

// ProposedBatch is one batch of a proposal, with everything a person needs to
// judge it.
type ProposedBatch struct {
	Batch
	End time.Time
	Why string // in words: what brought these rolls together
	// First is what has to be done before it starts, "" for nothing: a control
	// strip, where the strips of the line do not let film in, and a fresh fill,
	// where the present one has not enough left. The developing time is
	// that of the present fill until a fresh one is poured.
	First string
}

// LeftOut is a roll without a batch.
type LeftOut struct {
	Roll   RollView
	Reason string
}

// RunSheet is what the operator follows.
type RunSheet struct {
	Batch       Batch
	Line        Line
	Solution    string // the developer's name for black and white, "" for colour
	Development chemistry.Development
	Cycle       chemistry.Cycle // with the batch's developing time in its place
	Readings    []Reading
	Cautions    []string
	Doses       []Dose // what its film calls for: one-shot solutions to mix, replenisher to pour
	// Against is what speaks against a start as things are, the temperature
	// aside; once started, what an owner overrode.
	Against []string
}

// Reading is a temperature taken during a run.
type Reading struct {
	At    time.Time
	By    string
	Step  string
	TempC float64
	Note  string
}

// BatchStart is a start that somebody asks for.
type BatchStart struct {
	Version    int
	DeveloperC float64 // measured, °C
	Override   string  // why it is to start whatever speaks against it, "" for only if nothing does
}

// RollOutcome says what became of a roll when its batch ended.
type RollOutcome struct {
	Roll   RollID
	State  RollState // Drying, Spoiled, or Queued when a stopped batch left it dry
	Reason string    // required when spoiled
}

// BatchQuery selects batches for a list, the newest first.
type BatchQuery struct {
	Open   bool
	Before BatchID
	Limit  int // 1 to 100
}

// BatchService plans and runs batches. Versions work as for RollService.
type BatchService interface {
	// Propose plans the queued rolls around the open batches. It stores nothing.
	Propose(ctx context.Context) (Proposal, error)
	// Accept makes a batch of queued rolls. Every rule is checked again:
	// Refused (wrong process, remjet, no time, capacity, times that do not
	// meet), Stale when a roll is no longer queued.
	Accept(ctx context.Context, by Actor, draft BatchDraft) (Batch, error)
	// Batch returns a batch with its rolls: NotFound when there is none.
	Batch(ctx context.Context, id BatchID) (Batch, error)
	// Batches lists batches.
	Batches(ctx context.Context, query BatchQuery) ([]Batch, error)
	// MoveRolls takes rolls out of the accepted batches they are in and, when to
	// is not 0, puts them into another one, with every rule checked, in one act:
	// all of them or none. A queued roll is only put in.
	MoveRolls(ctx context.Context, by Actor, rolls []SeenRoll, to BatchID) error
	// Split makes a batch of its own of some rolls of an accepted batch, with
	// every rule checked, in one act; see [Split.Draft].
	Split(ctx context.Context, by Actor, split Split) (Batch, error)
	// Lock fixes the rolls of a batch, Unlock frees them again.
	Lock(ctx context.Context, by Actor, id BatchID, version int) (Batch, error)
	Unlock(ctx context.Context, by Actor, id BatchID, version int) (Batch, error)
	// CancelBatch gives the rolls back to the queue.
	CancelBatch(ctx context.Context, by Actor, id BatchID, version int, reason string) (Batch, error)
	// RunSheet works out what the operator follows; for a batch that has
	// started, as it was when it started.
	RunSheet(ctx context.Context, id BatchID) (RunSheet, error)
	// Start puts the batch into the chemistry unless something speaks against
	// it, see [WetSide.Objections]: Refused with everything that does. With the
	// reason of an owner, who the edge asks for, it starts all the same, and the
	// reason is kept. A black-and-white developer that is kept for reuse must be
	// poured, whatever the reason. The time is worked out anew for the fill as it
	// is; for black and white also for the temperature.
	Start(ctx context.Context, by Actor, id BatchID, start BatchStart) (Batch, error)
	// TakeReading records a temperature while the batch runs.
	TakeReading(ctx context.Context, by Actor, id BatchID, reading Reading) error
	// Finish ends a run: the rolls are drying, or spoiled when an outcome says
	// so; their area is posted to the ledger of every fill they went through.
	Finish(ctx context.Context, by Actor, id BatchID, version int, outcomes []RollOutcome) (Batch, error)
	// Stop breaks a run off with a reason. Every roll needs an outcome; one that
	// goes back to the queue leaves the batch and is not posted.
	Stop(ctx context.Context, by Actor, id BatchID, version int, reason string, outcomes []RollOutcome) (Batch, error)
	// BatchHistory returns the events of a batch and of the rolls in it, the
	// oldest first.
	BatchHistory(ctx context.Context, id BatchID) ([]Event, error)
}

package jobs

import (
	"context"
	"time"
)

// InspectionID is the key of an inspection.
type InspectionID int64

// Outcome is how an inspection ended.
type Outcome string

// The outcomes.
const (
	FoundGood    Outcome = "good"    // looked at, and nothing is wrong with it
	FoundSpoiled Outcome = "spoiled" // looked at, and ruined
	LetGo        Outcome = "let go"  // not looked at, by an owner's decision
)

// Outcomes lists every outcome.
var Outcomes = []Outcome{FoundGood, FoundSpoiled, LetGo}

// Needs is the role that an outcome asks for: whoever works here may say what
// was found, an owner alone that nobody looks.
func (o Outcome) Needs() Role {
	if o == LetGo {
		return Owner
	}
	return Staff
}

// Inspection is a roll that somebody has to look at, because of what it may
// have met. Until somebody writes what was found it cannot leave.
type Inspection struct {
	ID      InspectionID
	Roll    RollView
	At      time.Time
	By      string
	Cause   Cause
	Why     string
	DoneAt  time.Time // zero while it is open
	DoneBy  string
	Outcome Outcome // "" while it is open
	Finding string
}

// Marking asks for rolls of a trace to be looked at.
type Marking struct {
	TraceQuery
	Rolls []RollID // empty for all of them
	Why   string
	// Delivered marks rolls that are back with their owners too, to be asked
	// about. Without it they are only listed, to write to their owners.
	Delivered bool
}

// Marked says what became of the rolls of a marking.
type Marked struct {
	Marked    []RollID // are to be looked at now
	Already   []RollID // were marked for this cause before
	Delivered []RollID // are back with their owners and were not marked
	Spoiled   []RollID // are ruined anyway
}

// Closing says what was found in some inspections, one and the same in all of
// them.
type Closing struct {
	Inspections []InspectionID // 1 to 500
	Outcome     Outcome
	Finding     string // in words, required
}

// MostClosed is how many inspections are closed at once at most.
const MostClosed = 500

// InspectionQuery selects inspections for a list, the newest first.
type InspectionQuery struct {
	Open   bool      // only those that wait for a finding
	Kind   CauseKind // "" for any
	Cause  int64     // key of the cause, with its kind; 0 for any
	Search string    // as for rolls
	Before InspectionID
	Limit  int // 1 to 500
}

// InspectionService keeps what has to be looked at.
type InspectionService interface {
	// Mark marks rolls of a trace, each once for its cause: Invalid without a
	// reason or for a roll that the cause has not touched, and as Trace.
	Mark(ctx context.Context, by Actor, marking Marking) (Marked, error)
	// Inspections lists inspections: Invalid for a search or limit that cannot be.
	Inspections(ctx context.Context, query InspectionQuery) ([]Inspection, error)
	// CountInspections counts the open ones.
	CountInspections(ctx context.Context) (int, error)
	// CloseInspections writes what was found, in all or none: NotFound for an
	// unknown one, WrongState for one that was closed before, Invalid without a
	// finding. Found spoiled, a roll that is still here becomes spoiled with the
	// finding as its reason, and its other inspections end with it: WrongState
	// while it is in a running batch.
	CloseInspections(ctx context.Context, by Actor, closing Closing) ([]Inspection, error)
}

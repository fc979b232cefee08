package jobs

import (
	"fmt"
	"time"

	"wetside/chemistry"
)

// RollID is the key of a roll.
type RollID int64

// RollState is where a roll is on its way through the lab.
type RollState string

// The states of a roll, each with who moves it on.
const (
	Expected   RollState = "expected"   // ordered, not yet here; check-in moves it on
	Received   RollState = "received"   // here, with a twin-check; staff queue or hold it
	Held       RollState = "held"       // waiting for an answer; the answer moves it on
	Queued     RollState = "queued"     // ready to be developed; accepting a batch moves it on
	Batched    RollState = "batched"    // in an open batch; starting the batch moves it on
	Developing RollState = "developing" // in the chemistry; finishing or stopping the batch moves it on
	Drying     RollState = "drying"     // wet film hanging; the dry side moves it on
	Finishing  RollState = "finishing"  // being cut, sleeved, scanned, checked; the dry side moves it on
	Ready      RollState = "ready"      // waiting to leave; the counter moves it on
	Delivered  RollState = "delivered"  // back in its owner's hands; the end
	Cancelled  RollState = "cancelled"  // called off before development; the end
	Spoiled    RollState = "spoiled"    // ruined, with a reason; the end
)

// RollStates lists every state in the order of the way through the lab.
var RollStates = []RollState{
	Expected, Received, Held, Queued, Batched, Developing, Drying, Finishing, Ready, Delivered, Cancelled, Spoiled,
}

// nextRollStates says which states may follow which; everything else is
// refused.
var nextRollStates = map[RollState][]RollState{
	Expected:   {Received, Cancelled},
	Received:   {Queued, Held, Cancelled, Spoiled},
	Held:       {Received, Cancelled, Spoiled},
	Queued:     {Batched, Held, Cancelled, Spoiled},
	Batched:    {Developing, Queued},
	Developing: {Drying, Queued, Spoiled},
	Drying:     {Finishing, Spoiled},
	Finishing:  {Ready, Spoiled},
	Ready:      {Delivered, Spoiled},
}

// CanBecome reports whether a roll in this state may move to another.
func (s RollState) CanBecome(next RollState) bool {
	for _, state := range nextRollStates[s] {
		if state == next {
			return true
		}
	}
	return false
}

// Ended reports whether nothing more happens to a roll in this state.
func (s RollState) Ended() bool { return len(nextRollStates[s]) == 0 }

// Service is what the customer wants done with a roll beside developing it.
type Service struct {
	CutAndSleeve    bool
	Scan            bool
	ReturnNegatives bool // false: the lab keeps them
}

// Roll is one roll of film, or a set of sheets developed as one.
type Roll struct {
	ID        RollID
	Order     OrderID
	Position  int    // 1 is the first roll of its order
	TwinCheck string // the number on the roll and its envelope, "" until checked in
	Stock     StockID
	Process   chemistry.Process // the process it goes through, from its stock
	Remjet    chemistry.Remjet  // as the stock says, or as found at check-in
	Solution  SolutionID        // black and white: its developer; 0 for colour
	Format    chemistry.Format
	Exposures int // sheets for sheet film; 0 when not said
	Light     chemistry.Light
	Filter    string // key of chemistry's filters, "" for none
	EI        int    // as the customer rated it; the box speed when nothing was said
	Push      chemistry.Stops
	Note      string // the customer's own words
	Reading   string // what the lab reads in rating, push and note, in words
	Confirm   bool   // somebody must confirm the reading before it is developed
	Service   Service
	State     RollState
	Since     time.Time // when it came into its state
	Due       time.Time
	Question  string // what a held roll waits for
	Answer    string // the last answer
	Reason    string // why it was spoiled or cancelled
	Tracking  string // how it left: a carrier's reference, or "" when collected
	Inspect   bool   // somebody has to look at it, and write what was found, before it leaves
	Version   int    // goes up with every change
}

// Label names the roll to people: its order and its place in it.
func (r Roll) Label() string { return fmt.Sprintf("%d/%d", r.Order, r.Position) }

// Area is the film area of the roll in m².
func (r Roll) Area() float64 {
	area, err := r.Format.Area(r.Exposures)
	if err != nil {
		// Format and exposures were checked when the roll was taken in.
		panic(err)
	}
	return area
}

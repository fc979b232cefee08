package jobs

import (
	"context"
	"time"

	"wetside/chemistry"
)

// CheckIn is what is found when a roll is unpacked.
type CheckIn struct {
	Roll      RollID
	Version   int
	TwinCheck string // scanned from a preprinted pair; "" to be given one
	// What the roll really is, which may differ from the order.
	Stock     StockID
	Format    chemistry.Format
	Exposures int
	Remjet    chemistry.Remjet // "" as the stock says
	// Confirmed says that staff read the note and agree with Push and EI below.
	Confirmed bool
	Push      chemistry.Stops
	EI        int
	Solution  SolutionID
	Question  string // when not empty the roll is held with it
}

// Answer ends a hold.
type Answer struct {
	Roll    RollID
	Version int
	Answer  string
	// What the answer settles; nil leaves it as it is. A reading that has to be
	// confirmed is settled by a push and by nothing else.
	Push     *chemistry.Stops
	EI       *int
	Remjet   *chemistry.Remjet
	Stock    *StockID
	Solution *SolutionID // black and white: the developer it gets
}

// Delivery is how rolls leave the lab.
type Delivery struct {
	Rolls    []RollID
	How      Return
	Tracking string // required when posted
}

// RollView is a roll with what is shown beside it.
type RollView struct {
	Roll
	StockName    string
	CustomerName string
	Return       Return
	Batch        BatchID // the batch it is in or went through, 0 for none
}

// RollQuery selects rolls for a list, the earliest due first.
type RollQuery struct {
	States []RollState // any of them; empty for every state
	Search string      // twin-check, order number, "order/position" or part of a name
	After  RollID      // for the next page
	Limit  int         // 1 to 500
}

// RollService moves single rolls. Every change checks the version it was
// decided on: Stale tells that somebody else moved the roll, and where it is
// now. WrongState tells that the state does not allow it. A version of 0 is
// not compared.
type RollService interface {
	// Roll returns one roll: NotFound when there is none.
	Roll(ctx context.Context, id RollID) (RollView, error)
	// RollByTwinCheck finds a roll by its number: NotFound when there is none.
	RollByTwinCheck(ctx context.Context, twinCheck string) (RollView, error)
	// Rolls lists rolls.
	Rolls(ctx context.Context, query RollQuery) ([]RollView, error)
	// CountRolls counts the rolls in each state that has not ended.
	CountRolls(ctx context.Context) (map[RollState]int, error)
	// History returns the events of a roll, the oldest first.
	History(ctx context.Context, id RollID) ([]Event, error)
	// CheckIn takes a roll in: it becomes received, and then queued when
	// nothing is open or held when something is (a question, a note to
	// confirm, remjet unknown, no developing time). Duplicate when the
	// twin-check is in use, Invalid for wrong fields.
	CheckIn(ctx context.Context, by Actor, in CheckIn) (Roll, error)
	// Hold stops a received or queued roll with a question.
	Hold(ctx context.Context, by Actor, id RollID, version int, question string) (Roll, error)
	// AnswerHold ends a hold; the roll is queued when nothing is open, and
	// stays received, with what is open in its Question, otherwise.
	AnswerHold(ctx context.Context, by Actor, answer Answer) (Roll, error)
	// Queue puts a received roll with nothing open into the queue: Refused with
	// what is open.
	Queue(ctx context.Context, by Actor, id RollID, version int) (Roll, error)
	// Advance moves a roll one step along the dry side: drying to finishing,
	// finishing to ready.
	Advance(ctx context.Context, by Actor, id RollID, version int) (Roll, error)
	// Deliver hands over ready rolls, all or none of them.
	Deliver(ctx context.Context, by Actor, delivery Delivery) ([]Roll, error)
	// Cancel calls a roll off before development, with a reason.
	Cancel(ctx context.Context, by Actor, id RollID, version int, reason string) (Roll, error)
	// Spoil records that a roll is ruined, with a reason.
	Spoil(ctx context.Context, by Actor, id RollID, version int, reason string) (Roll, error)
}

// Today is the staff's first page in figures.
type Today struct {
	At       time.Time
	Counts   map[RollState]int
	Held     []RollView // waiting for an answer, the longest first
	DueToday []RollView // here, not ready, and due before the day ends, or overdue
	Ready    []RollView
	Batches  []Batch     // open, in the order of their planned start
	AtRisk   []Risk      // promises about to break; see [WetSide.Watch]
	Morning  MorningList // of this day, as it was last written
}

// TodayService sums up the day. Its cost depends on the open work only, not on
// the rolls of past years.
type TodayService interface {
	Today(ctx context.Context) (Today, error)
}

package jobs

import "time"

// Event is one line of the record: who did what to which roll, batch or fill,
// when and why. Events are only ever added.
type Event struct {
	ID    int64
	At    time.Time
	By    Actor
	Kind  string // what happened, such as "check-in" or "finish"
	Order OrderID
	Roll  RollID
	Batch BatchID
	Fill  FillID
	From  string // state before; "" for a beginning
	To    string // state after; "" when it did not change
	Why   string // in words, for people
}

package jobs

import (
	"fmt"
	"slices"
	"time"
)

// SeenRoll is a roll as somebody looked at it.
type SeenRoll struct {
	ID      RollID
	Version int // 0 is not compared
}

// CheckMoves refuses a move that names no roll, or one twice.
func CheckMoves(rolls []SeenRoll) error {
	var wrong fieldErrors
	if len(rolls) == 0 {
		wrong.add("rolls", "at least one roll has to be named")
	}
	seen := map[RollID]bool{}
	for i, roll := range rolls {
		if seen[roll.ID] {
			wrong.add(fmt.Sprintf("rolls[%d]", i), "this roll is named twice")
		}
		seen[roll.ID] = true
	}
	return wrong.err("these rolls cannot be moved")
}

// CheckSeen tells that somebody else moved one of so many rolls since it was
// looked at; where there are several, it says which.
func (s SeenRoll) CheckSeen(roll RollView, of int, lab Lab, now time.Time) error {
	err := roll.CheckVersion(s.Version, lab, now)
	if err != nil && of > 1 {
		return MovedMeanwhile(roll)
	}
	return err
}

// CheckMove decides whether a roll may leave the batch it is in (nil when it is
// in none) for another one, or for the queue when to is nil.
func CheckMove(roll RollView, from, to *Batch) error {
	switch {
	case from == nil && to == nil:
		return Errorf(WrongState, "%s is in no batch", nameOf(roll.Roll))
	case from == nil && roll.State != Queued:
		return Errorf(WrongState, "%s is %s; only queued rolls are put into a batch", nameOf(roll.Roll), roll.State)
	case from != nil && from.State != BatchAccepted:
		return fixedRolls(*from)
	case to != nil && to.State != BatchAccepted:
		return fixedRolls(*to)
	case from != nil && to != nil && from.ID == to.ID:
		return Errorf(WrongState, "%s is in %s already", nameOf(roll.Roll), to.name())
	}
	return nil
}

func fixedRolls(b Batch) error {
	advice := ""
	if b.State == BatchLocked {
		advice = "; unlock it first"
	}
	return Errorf(WrongState, "%s is %s and its rolls are fixed%s", b.name(), b.State, advice)
}

// Without is a batch with rolls taken out. That is always possible: when they
// were the last ones, or when by now a rule speaks against those that are left,
// the batch keeps its figures, and nothing starts before it is put right.
func (w WetSide) Without(b Batch, rolls ...RollID) Batch {
	b.Rolls = slices.DeleteFunc(slices.Clone(b.Rolls), func(r RollView) bool { return slices.Contains(rolls, r.ID) })
	if reloaded, err := w.Reload(b, b.Rolls); err == nil {
		return reloaded
	}
	return b
}

// TakeOut moves a roll of the batch back to the queue.
func (b Batch) TakeOut(move *RollMove) error {
	return b.told(move, Queued, "take out")
}

// PutIn moves queued rolls into the batch, and returns the batch with them:
// Refused for any rule of a [Load].
func (w WetSide) PutIn(b Batch, moves []*RollMove, rolls []RollView) (Batch, error) {
	reloaded, err := w.Reload(b, append(slices.Clone(b.Rolls), rolls...))
	if err != nil {
		return Batch{}, err
	}
	for _, move := range moves {
		if err := b.told(move, Batched, "put in"); err != nil {
			return Batch{}, err
		}
	}
	return reloaded, nil
}

package jobs

import (
	"fmt"
	"strings"
)

// Advance moves a roll one step along the dry side.
func Advance(roll Roll) (*RollMove, error) {
	move := roll.Move()
	switch roll.State {
	case Drying:
		return move, move.To(Finishing, "dry", "")
	case Finishing:
		return move, move.To(Ready, "finish", "")
	}
	return nil, Errorf(WrongState, "%s is %s; only drying and finishing rolls move along the dry side", nameOf(roll), roll.State)
}

// maxTracking is the longest reference that a carrier gives.
const maxTracking = 100

// Check refuses a delivery that is not whole: no rolls, one of them twice, or
// no reference for a parcel.
func (d Delivery) Check() error {
	var wrong fieldErrors
	if len(d.Rolls) == 0 {
		wrong.add("rolls", "there is no roll to hand over")
	}
	seen := map[RollID]bool{}
	for i, id := range d.Rolls {
		if seen[id] {
			wrong.add(fmt.Sprintf("rolls[%d]", i), "this roll is named twice")
		}
		seen[id] = true
	}
	wrong.oneOf("how", string(d.How), names([]Return{Collect, Post}))
	if d.How == Post && strings.TrimSpace(d.Tracking) == "" {
		wrong.add("tracking", "the carrier's tracking reference is missing")
	}
	wrong.line("tracking", d.Tracking, maxTracking)
	return wrong.err("these rolls cannot be handed over like this")
}

// Of hands over one roll of a delivery that was checked.
func (d Delivery) Of(roll Roll) (*RollMove, error) {
	move := roll.Move()
	if d.How == Collect {
		return move, move.To(Delivered, "deliver", "collected")
	}
	move.Roll.Tracking = strings.TrimSpace(d.Tracking)
	return move, move.To(Delivered, "deliver", "posted, "+move.Roll.Tracking)
}

// Cancel calls a roll off before development, with a reason.
func Cancel(roll Roll, reason string) (*RollMove, error) {
	if roll.State == Batched {
		return nil, Errorf(WrongState, "%s is in a batch; take it out of the batch first", nameOf(roll))
	}
	return roll.end(Cancelled, "cancel", reason)
}

// Spoil records that a roll is ruined, with a reason. While a roll is in the
// chemistry that is said where its batch is finished or stopped, so that batch
// and roll end together.
func Spoil(roll Roll, reason string) (*RollMove, error) {
	if roll.State == Developing {
		return nil, Errorf(WrongState, "%s is in a running batch; say what became of it when the batch is finished or stopped", nameOf(roll))
	}
	return roll.end(Spoiled, "spoil", reason)
}

func (r Roll) end(state RollState, kind, reason string) (*RollMove, error) {
	var wrong fieldErrors
	reason = wrong.reason("reason", reason)
	move := r.Move()
	move.Roll.Reason = reason
	if err := move.To(state, kind, reason); err != nil {
		return nil, err
	}
	return move, wrong.err("a reason is needed")
}

package jobs

import (
	"cmp"
	"fmt"
	"slices"
	"time"
)

// Finish decides what becomes of the rolls of a batch that ran to its end: they
// are drying unless an outcome says that they are spoiled. Invalid names the
// outcomes that are wrong.
func (b Batch) Finish(outcomes []RollOutcome) ([]*RollMove, error) {
	if err := b.CheckBecome(BatchFinished); err != nil {
		return nil, err
	}
	var wrong fieldErrors
	said := wrong.outcomes(b, outcomes, Drying, Spoiled)
	if err := wrong.err("the batch cannot be finished like this"); err != nil {
		return nil, err
	}
	return b.end(said, "finish batch")
}

// Stop decides what becomes of the rolls of a batch that was broken off; it
// needs a reason, which is returned as it is kept, and an outcome for every
// roll, because nobody can guess how far each got.
func (b Batch) Stop(reason string, outcomes []RollOutcome) (string, []*RollMove, error) {
	if err := b.CheckBecome(BatchStopped); err != nil {
		return "", nil, err
	}
	var wrong fieldErrors
	reason = wrong.reason("reason", reason)
	said := wrong.outcomes(b, outcomes, Drying, Spoiled, Queued)
	for _, roll := range b.Rolls {
		if _, ok := said[roll.ID]; !ok {
			wrong.add("outcomes", "say what became of %s: drying, spoiled, or queued when it stayed dry", nameOf(roll.Roll))
		}
	}
	if err := wrong.err("the batch cannot be stopped like this"); err != nil {
		return "", nil, err
	}
	moves, err := b.end(said, "stop batch")
	return reason, moves, err
}

// outcomes reads what was said of each roll and gathers what is wrong with it.
func (f *fieldErrors) outcomes(b Batch, outcomes []RollOutcome, allowed ...RollState) map[RollID]RollOutcome {
	said := map[RollID]RollOutcome{}
	for i, outcome := range outcomes {
		field := fmt.Sprintf("outcomes[%d]", i)
		if !slices.ContainsFunc(b.Rolls, func(r RollView) bool { return r.ID == outcome.Roll }) {
			f.add(field+".roll", "there is no such roll in %s", b.name())
			continue
		}
		if _, ok := said[outcome.Roll]; ok {
			f.add(field+".roll", "this roll is named twice")
		}
		if !slices.Contains(allowed, outcome.State) {
			f.add(field+".state", "%q is no outcome here, allowed are %s", string(outcome.State), listOf(allowed))
		}
		if outcome.State == Spoiled {
			outcome.Reason = f.reason(field+".reason", outcome.Reason)
		} else {
			outcome.Reason = ""
		}
		said[outcome.Roll] = outcome
	}
	return said
}

// listOf writes names as they are read out: "drying, spoiled or queued".
func listOf[T ~string](names []T) string {
	text := ""
	for i, name := range names {
		switch {
		case i == 0:
		case i == len(names)-1:
			text += " or "
		default:
			text += ", "
		}
		text += string(name)
	}
	return text
}

// end moves every roll to what was said of it, and otherwise to dry.
func (b Batch) end(said map[RollID]RollOutcome, kind string) ([]*RollMove, error) {
	return b.moveRolls(func(roll *RollMove) error {
		next := Drying
		if outcome, ok := said[roll.Roll.ID]; ok {
			next, roll.Roll.Reason = outcome.State, outcome.Reason
		}
		return roll.To(next, kind, roll.Roll.Reason)
	})
}

// MoveRolls moves every roll of the batch to one state.
func (b Batch) MoveRolls(next RollState, kind, why string) ([]*RollMove, error) {
	return b.moveRolls(func(roll *RollMove) error { return roll.To(next, kind, why) })
}

// moveRolls moves every roll, by key, which is the order in which rolls are
// locked.
func (b Batch) moveRolls(move func(*RollMove) error) ([]*RollMove, error) {
	rolls := slices.Clone(b.Rolls)
	slices.SortFunc(rolls, func(a, b RollView) int { return cmp.Compare(a.ID, b.ID) })
	moves := make([]*RollMove, len(rolls))
	for i, roll := range rolls {
		moves[i] = roll.Move()
		if err := move(moves[i]); err != nil {
			return nil, err
		}
		for e := range moves[i].Events {
			moves[i].Events[e].Batch = b.ID
		}
	}
	return moves, nil
}

// Cancel calls a batch off before it starts, with a reason, and gives its rolls
// back to the queue.
func (b Batch) Cancel(reason string, now time.Time) (Batch, []*RollMove, error) {
	if err := b.CheckBecome(BatchCancelled); err != nil {
		return Batch{}, nil, err
	}
	var wrong fieldErrors
	reason = wrong.reason("reason", reason)
	if err := wrong.err("the batch cannot be cancelled like this"); err != nil {
		return Batch{}, nil, err
	}
	moves, err := b.MoveRolls(Queued, "cancel batch", reason)
	b.State, b.EndedAt, b.Reason = BatchCancelled, now, reason
	return b, moves, err
}

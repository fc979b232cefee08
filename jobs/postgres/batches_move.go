package postgres

import (
	"context"
	"slices"

	"wetside/jobs"
)

// MoveRoll takes a roll out of its batch, puts it into another, or both.
func (s *BatchStore) MoveRoll(ctx context.Context, by jobs.Actor, id jobs.RollID, version int, to jobs.BatchID) error {
	return s.db.withTx(ctx, func(t tx) error {
		w, err := t.wetSide(ctx)
		if err != nil {
			return err
		}
		roll, from, into, err := t.lockMove(ctx, id, to)
		if err != nil {
			return err
		}
		if err := roll.CheckVersion(version, w.Lab, t.now); err != nil {
			return err
		}
		if err := jobs.CheckMove(roll, from, into); err != nil {
			return err
		}
		return t.moveBetween(ctx, by, w, roll, from, into)
	})
}

// lockMove locks what a move of a roll touches, batches first: the roll, the
// batch it is in (nil when it is in none) and the one it goes to (nil for the
// queue). Which batch the roll is in can only be asked before the locks, so it
// is asked again under them.
func (t tx) lockMove(ctx context.Context, id jobs.RollID, to jobs.BatchID) (roll jobs.RollView, from, into *jobs.Batch, err error) {
	asked, err := oneRollView(ctx, t, "WHERE r.id = $1", int64(id))
	if err != nil {
		return roll, nil, nil, err
	}
	keys := []jobs.BatchID{to}
	if home := holding(asked); home != to {
		keys = append(keys, home)
	}
	slices.Sort(keys)
	for _, key := range keys {
		if key == 0 {
			continue
		}
		b, err := t.lockBatch(ctx, key)
		if err != nil {
			return roll, nil, nil, err
		}
		if key == to {
			into = &b
		}
		if key == holding(asked) {
			from = &b
		}
	}
	locked, err := t.lockViews(ctx, []jobs.RollID{id})
	if err != nil {
		return roll, nil, nil, err
	}
	if roll = locked[0]; holding(roll) != holding(asked) {
		return roll, nil, nil, jobs.MovedMeanwhile(roll)
	}
	return roll, from, into, nil
}

// holding is the open batch that a roll is in, 0 for none.
func holding(roll jobs.RollView) jobs.BatchID {
	if roll.State == jobs.Batched || roll.State == jobs.Developing {
		return roll.Batch
	}
	return 0
}

func (t tx) moveBetween(ctx context.Context, by jobs.Actor, w jobs.WetSide, roll jobs.RollView, from, into *jobs.Batch) error {
	move := roll.Move()
	if from != nil {
		if err := from.TakeOut(move); err != nil {
			return err
		}
		if err := t.takeOut(ctx, from.ID, []int64{int64(roll.ID)}); err != nil {
			return err
		}
		if err := t.saveBatch(ctx, *from, w.Without(*from, roll.ID), nil); err != nil {
			return err
		}
	}
	if into != nil {
		reloaded, err := w.PutIn(*into, move, roll)
		if err != nil {
			return err
		}
		if err := t.putIn(ctx, into.ID, []int64{int64(roll.ID)}); err != nil {
			return err
		}
		if err := t.saveBatch(ctx, *into, reloaded, nil); err != nil {
			return err
		}
	}
	_, err := t.finishMove(ctx, by, roll.Roll, move)
	return err
}

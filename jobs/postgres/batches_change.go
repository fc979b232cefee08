package postgres

import (
	"context"
	"fmt"

	"wetside/jobs"
)

// Accept makes a batch of queued rolls.
func (s *BatchStore) Accept(ctx context.Context, by jobs.Actor, draft jobs.BatchDraft) (accepted jobs.Batch, err error) {
	if err := jobs.CheckDraft(draft); err != nil {
		return jobs.Batch{}, err
	}
	err = s.db.withTx(ctx, func(t tx) error {
		id, err := t.accept(ctx, by, draft)
		if err != nil {
			return err
		}
		accepted, err = oneBatch(ctx, t, id)
		return err
	})
	return accepted, err
}

func (t tx) accept(ctx context.Context, by jobs.Actor, draft jobs.BatchDraft) (jobs.BatchID, error) {
	w, err := t.wetSide(ctx)
	if err != nil {
		return 0, err
	}
	rolls, err := t.lockViews(ctx, draft.Rolls)
	if err != nil {
		return 0, err
	}
	// Whoever else makes a batch for this line is planned behind this one.
	if _, err := t.Exec(ctx, "SELECT FROM lines WHERE id = $1 FOR NO KEY UPDATE", int64(draft.Line)); err != nil {
		return 0, fmt.Errorf("lock line: %w", err)
	}
	open, err := openBatches(ctx, t)
	if err != nil {
		return 0, err
	}
	batch, err := w.Assemble(draft, rolls, open, t.now)
	if err != nil {
		return 0, err
	}
	if batch.ID, err = t.addBatch(ctx, batch); err != nil {
		return 0, err
	}
	moves, err := batch.MoveRolls(jobs.Batched, "accept", "")
	if err != nil {
		return 0, err
	}
	if err := t.moveRolls(ctx, by, rolls, moves); err != nil {
		return 0, err
	}
	if err := t.putIn(ctx, batch.ID, rollKeys(batch.Rolls)); err != nil {
		return 0, err
	}
	return batch.ID, t.tellOfBatch(ctx, by, jobs.Batch{ID: batch.ID}, batch, "accept")
}

// lockViews locks rolls and returns them with what is shown beside them.
func (t tx) lockViews(ctx context.Context, ids []jobs.RollID) ([]jobs.RollView, error) {
	if _, err := t.lockRolls(ctx, ids); err != nil {
		return nil, err
	}
	return rollViews(ctx, t, "WHERE r.id = ANY($1) ORDER BY r.id", ids)
}

func rollKeys(rolls []jobs.RollView) []int64 {
	keys := make([]int64, len(rolls))
	for i, roll := range rolls {
		keys[i] = int64(roll.ID)
	}
	return keys
}

// Lock fixes the rolls of a batch.
func (s *BatchStore) Lock(ctx context.Context, by jobs.Actor, id jobs.BatchID, version int) (jobs.Batch, error) {
	return s.turn(ctx, by, id, version, jobs.BatchLocked, "lock")
}

// Unlock lets rolls be moved again.
func (s *BatchStore) Unlock(ctx context.Context, by jobs.Actor, id jobs.BatchID, version int) (jobs.Batch, error) {
	return s.turn(ctx, by, id, version, jobs.BatchAccepted, "unlock")
}

func (s *BatchStore) turn(ctx context.Context, by jobs.Actor, id jobs.BatchID, version int, next jobs.BatchState, kind string) (jobs.Batch, error) {
	return s.changeBatch(ctx, id, version, func(t tx, _ jobs.WetSide, b jobs.Batch) error {
		if err := b.CheckBecome(next); err != nil {
			return err
		}
		after := b
		after.State = next
		return t.become(ctx, by, b, after, kind)
	})
}

// CancelBatch gives the rolls back to the queue.
func (s *BatchStore) CancelBatch(ctx context.Context, by jobs.Actor, id jobs.BatchID, version int, reason string) (jobs.Batch, error) {
	return s.changeBatch(ctx, id, version, func(t tx, _ jobs.WetSide, b jobs.Batch) error {
		after, moves, err := b.Cancel(reason, t.now)
		if err != nil {
			return err
		}
		if err := t.moveRolls(ctx, by, b.Rolls, moves); err != nil {
			return err
		}
		if err := t.takeOut(ctx, b.ID, rollKeys(b.Rolls)); err != nil {
			return err
		}
		return t.become(ctx, by, b, after, "cancel batch")
	})
}

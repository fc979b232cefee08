package postgres

import (
	"context"

	"wetside/jobs"
)

// Split makes a batch of its own of some rolls of a batch.
func (s *BatchStore) Split(ctx context.Context, by jobs.Actor, split jobs.Split) (made jobs.Batch, err error) {
	err = s.db.withTx(ctx, func(t tx) error {
		w, err := t.wetSide(ctx)
		if err != nil {
			return err
		}
		from, err := t.lockBatch(ctx, split.Batch)
		if err != nil {
			return err
		}
		draft, err := split.Draft(from)
		if err != nil {
			return err
		}
		seen := make([]jobs.SeenRoll, len(draft.Rolls))
		for i, id := range draft.Rolls {
			seen[i] = jobs.SeenRoll{ID: id}
		}
		leaving, err := t.lockMove(ctx, seen, 0)
		if err != nil {
			return err
		}
		if err := t.moveBetween(ctx, by, w, leaving); err != nil {
			return err
		}
		key, err := t.accept(ctx, by, draft)
		if err != nil {
			return err
		}
		made, err = oneBatch(ctx, t, key)
		return err
	})
	return made, err
}

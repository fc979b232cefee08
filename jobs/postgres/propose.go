package postgres

import (
	"context"
	"time"

	"wetside/jobs"
)

// Propose plans the queued rolls around the open batches. It reads in one
// transaction and plans after it, so that nobody waits for the planning.
func (s *BatchStore) Propose(ctx context.Context) (jobs.Proposal, error) {
	var (
		w      jobs.WetSide
		queued []jobs.RollView
		open   []jobs.Batch
		now    time.Time
	)
	err := s.db.withTx(ctx, func(t tx) (err error) {
		now = t.now
		if w, err = t.wetSide(ctx); err != nil {
			return err
		}
		if open, err = openBatches(ctx, t); err != nil {
			return err
		}
		queued, err = rollViews(ctx, t, "WHERE r.state = 'queued' AND "+isOpen+" ORDER BY r.due_at, r.id")
		return err
	})
	if err != nil {
		return jobs.Proposal{}, err
	}
	return w.Propose(queued, open, now)
}

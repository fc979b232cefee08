package postgres

import (
	"context"
	"encoding/json"
	"fmt"

	"github.com/jackc/pgx/v5"

	"wetside/jobs"
)

// RunSheet returns what the operator follows: worked out anew until the batch
// starts, and as it was then ever after.
func (s *BatchStore) RunSheet(ctx context.Context, id jobs.BatchID) (sheet jobs.RunSheet, err error) {
	err = s.db.withTx(ctx, func(t tx) error {
		b, err := oneBatch(ctx, t, id)
		if err != nil {
			return err
		}
		if b.StartedAt.IsZero() {
			w, err := t.wetSide(ctx)
			if err != nil {
				return err
			}
			if err := t.lookAt(ctx, &w, b); err != nil {
				return err
			}
			sheet, err = w.RunSheet(b, t.now)
			return err
		}
		kept, err := t.keptSheet(ctx, id)
		if err != nil {
			return err
		}
		readings, err := t.readings(ctx, id)
		sheet = kept.Refreshed(b, readings)
		return err
	})
	return sheet, err
}

// keptSheet returns the run sheet that was kept when the batch started, and an
// empty one before.
func (t tx) keptSheet(ctx context.Context, id jobs.BatchID) (jobs.RunSheet, error) {
	var kept []byte
	if err := t.QueryRow(ctx, "SELECT coalesce(run_sheet, '{}') FROM batches WHERE id = $1", int64(id)).Scan(&kept); err != nil {
		return jobs.RunSheet{}, fmt.Errorf("read run sheet: %w", err)
	}
	var sheet jobs.RunSheet
	if err := json.Unmarshal(kept, &sheet); err != nil {
		return jobs.RunSheet{}, fmt.Errorf("read run sheet of batch %d: %w", id, err)
	}
	return sheet, nil
}

func (t tx) readings(ctx context.Context, id jobs.BatchID) ([]jobs.Reading, error) {
	rows, err := t.Query(ctx, "SELECT at, by_name, step, temp_c, note FROM readings WHERE batch_id = $1 ORDER BY id", int64(id))
	if err != nil {
		return nil, err
	}
	return pgx.CollectRows(rows, pgx.RowToStructByPos[jobs.Reading])
}

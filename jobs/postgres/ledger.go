package postgres

import (
	"context"
	"fmt"
	"time"

	"github.com/jackc/pgx/v5"

	"wetside/jobs"
)

// post adds entries to the ledger as one act and returns its number. What they
// take from is locked by the caller.
func (t tx) post(ctx context.Context, by jobs.Actor, entries ...jobs.Entry) (move int64, err error) {
	if len(entries) == 0 {
		return 0, nil
	}
	if err := t.QueryRow(ctx, "SELECT nextval('moves')").Scan(&move); err != nil {
		return 0, fmt.Errorf("number a move: %w", err)
	}
	moments, err := t.moments(ctx, entries)
	if err != nil {
		return 0, err
	}
	batch := &pgx.Batch{}
	for i, e := range entries {
		batch.Queue(`INSERT INTO ledger (move, at, person_id, by_name, kind, lot_id, mix_id, fill_id, container_id, solution_id, amount,
			batch_id, rolls, area_m2, push_sixths, called_ml, recipe_version, answers, why)
			VALUES ($1, $2, nullif($3::bigint, 0), $4, $5, nullif($6::bigint, 0), nullif($7::bigint, 0), nullif($8::bigint, 0),
				nullif($9::bigint, 0), nullif($10::bigint, 0), $11::double precision, nullif($12::bigint, 0), $13, $14, $15,
				$16::double precision, $17, nullif($18::bigint, 0), $19)`,
			move, moments[i], int64(by.Person), by.Name, e.Kind, int64(e.Lot), int64(e.Mix), int64(e.Fill), int64(e.Container),
			int64(e.Solution), e.Amount, int64(e.Batch), e.Rolls, e.AreaM2, int(e.Push), e.CalledML, e.Recipe, e.Answers, e.Why)
	}
	if err := t.SendBatch(ctx, batch).Close(); err != nil {
		return 0, fmt.Errorf("post to the ledger: %w", err)
	}
	return move, nil
}

// moments returns when each entry is posted: now, unless that is before the
// last entry of its account.
func (t tx) moments(ctx context.Context, entries []jobs.Entry) ([]time.Time, error) {
	moments := make([]time.Time, len(entries))
	batch := &pgx.Batch{}
	for i, e := range entries {
		batch.Queue(`SELECT coalesce((SELECT at FROM ledger WHERE lot_id = $1 ORDER BY id DESC LIMIT 1),
			(SELECT at FROM ledger WHERE mix_id = $2 ORDER BY id DESC LIMIT 1), (SELECT at FROM ledger WHERE fill_id = $3 ORDER BY id DESC LIMIT 1),
			(SELECT at FROM ledger WHERE container_id = $4 ORDER BY id DESC LIMIT 1), $5)`,
			int64(e.Lot), int64(e.Mix), int64(e.Fill), int64(e.Container), t.now).QueryRow(func(row pgx.Row) error {
			var last time.Time
			err := row.Scan(&last)
			if err == nil {
				moments[i], err = e.PostAt(t.now, last.UTC())
			}
			return err
		})
	}
	return moments, t.SendBatch(ctx, batch).Close()
}

// entries returns the entries that what follows the FROM clause picks, the
// oldest first.
func entries(ctx context.Context, q querier, where string, args ...any) ([]jobs.Entry, error) {
	rows, err := q.Query(ctx, `SELECT id, move, at, by_name, kind, coalesce(lot_id, 0), coalesce(mix_id, 0), coalesce(fill_id, 0),
		coalesce(container_id, 0), coalesce(solution_id, 0), amount::double precision, coalesce(batch_id, 0), rolls, area_m2, push_sixths,
		called_ml::double precision, recipe_version, coalesce(answers, 0), why FROM ledger `+where+" ORDER BY id", args...)
	if err != nil {
		return nil, err
	}
	return pgx.CollectRows(rows, pgx.RowToStructByPos[jobs.Entry])
}

package postgres

import (
	"context"
	"fmt"

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
	batch := &pgx.Batch{}
	for _, e := range entries {
		batch.Queue(`INSERT INTO ledger (move, at, person_id, by_name, kind, lot_id, mix_id, fill_id, container_id, amount,
			batch_id, rolls, area_m2, push_sixths, called_ml, recipe_version, answers, why)
			VALUES ($1, $2, nullif($3::bigint, 0), $4, $5, nullif($6::bigint, 0), nullif($7::bigint, 0), nullif($8::bigint, 0),
				nullif($9::bigint, 0), $10::double precision, nullif($11::bigint, 0), $12, $13, $14, $15::double precision, $16,
				nullif($17::bigint, 0), $18)`,
			move, t.now, int64(by.Person), by.Name, e.Kind, int64(e.Lot), int64(e.Mix), int64(e.Fill), int64(e.Container), e.Amount,
			int64(e.Batch), e.Rolls, e.AreaM2, int(e.Push), e.CalledML, e.Recipe, e.Answers, e.Why)
	}
	if err := t.SendBatch(ctx, batch).Close(); err != nil {
		return 0, fmt.Errorf("post to the ledger: %w", err)
	}
	return move, nil
}

// entries returns the entries that what follows the FROM clause picks, the
// oldest first.
func entries(ctx context.Context, q querier, where string, args ...any) ([]jobs.Entry, error) {
	rows, err := q.Query(ctx, `SELECT id, move, at, by_name, kind, coalesce(lot_id, 0), coalesce(mix_id, 0), coalesce(fill_id, 0),
		coalesce(container_id, 0), amount::double precision, coalesce(batch_id, 0), rolls, area_m2, push_sixths,
		called_ml::double precision, recipe_version, coalesce(answers, 0), why FROM ledger `+where+" ORDER BY id", args...)
	if err != nil {
		return nil, err
	}
	return pgx.CollectRows(rows, pgx.RowToStructByPos[jobs.Entry])
}

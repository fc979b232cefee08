package postgres

import (
	"context"
	"fmt"

	"github.com/jackc/pgx/v5"

	"wetside/jobs"
)

var errNoMix = jobs.Errorf(jobs.NotFound, "there is no such mix")

// mixes returns the mixes that what follows the FROM clause picks, with what is
// left of them.
func mixes(ctx context.Context, q querier, where string, args ...any) ([]jobs.Mix, error) {
	rows, err := q.Query(ctx, `SELECT m.id, m.solution_id, s.name, m.recipe_version, m.preparation, m.volume_ml, m.storage, m.mixed_at,
		m.by_name, m.note, (SELECT coalesce(sum(amount), 0) FROM ledger WHERE mix_id = m.id)::double precision
		FROM mixes m JOIN solutions s ON s.id = m.solution_id `+where, args...)
	if err != nil {
		return nil, err
	}
	return pgx.CollectRows(rows, pgx.RowToStructByPos[jobs.Mix])
}

// lockMix returns a mix from which nobody else takes until the transaction
// ends; the zero mix for no key.
func (t tx) lockMix(ctx context.Context, id jobs.MixID) (jobs.Mix, error) {
	if id == 0 {
		return jobs.Mix{}, nil
	}
	if _, err := t.Exec(ctx, "SELECT FROM mixes WHERE id = $1 FOR UPDATE", int64(id)); err != nil {
		return jobs.Mix{}, fmt.Errorf("lock mix: %w", err)
	}
	found, err := mixes(ctx, t, "WHERE m.id = $1", int64(id))
	if err != nil {
		return jobs.Mix{}, err
	}
	if len(found) == 0 {
		return jobs.Mix{}, errNoMix
	}
	return found[0], nil
}

package postgres

import (
	"context"
	"fmt"
	"math"

	"github.com/jackc/pgx/v5"

	"wetside/jobs"
)

// pouring is a fill that something went into, with the ledger's entry by which
// it did; 0 where all of the fill is meant.
type pouring struct {
	fill  jobs.FillID
	entry int64
}

// metMixes lists the batches whose film met one of some mixes: in fills, from
// the moment it had gone in, or where it was used up at once.
func (t tx) metMixes(ctx context.Context, mixes []int64) ([]int64, error) {
	rows, err := t.Query(ctx, `SELECT f.fill_id, min(f.id) FROM ledger m JOIN ledger f ON f.move = m.move AND f.fill_id IS NOT NULL
		WHERE m.mix_id = ANY($1) AND m.amount < 0 AND f.amount > 0 GROUP BY f.fill_id`, mixes)
	if err != nil {
		return nil, fmt.Errorf("trace mixes: %w", err)
	}
	poured, err := pgx.CollectRows(rows, func(row pgx.CollectableRow) (pouring, error) {
		var p pouring
		err := row.Scan(&p.fill, &p.entry)
		return p, err
	})
	if err != nil {
		return nil, err
	}
	return t.metFills(ctx, poured, mixes)
}

// metFills lists the batches whose film went through fills after the given
// entries, those that run in them now included, and those for which mixes were
// used up at once. Film is posted when its batch ends, so that a batch which ran
// while something went in is among them.
func (t tx) metFills(ctx context.Context, poured []pouring, usedOnce []int64) ([]int64, error) {
	running, err := t.runningIn(ctx, poured)
	if err != nil {
		return nil, err
	}
	fills, after := make([]int64, len(poured)), make([]int64, len(poured))
	for i, p := range poured {
		fills[i], after[i] = int64(p.fill), p.entry
	}
	rows, err := t.Query(ctx, `SELECT l.batch_id FROM unnest($1::bigint[], $2::bigint[]) p (fill_id, entry)
			JOIN ledger l ON l.fill_id = p.fill_id AND l.id > p.entry WHERE l.kind = 'film'
		UNION SELECT batch_id FROM ledger WHERE mix_id = ANY($3) AND kind = 'used once' AND batch_id IS NOT NULL
		UNION SELECT unnest($4::bigint[])`, fills, after, usedOnce, running)
	if err != nil {
		return nil, fmt.Errorf("trace fills: %w", err)
	}
	return pgx.CollectRows(rows, pgx.RowTo[int64])
}

// runningIn lists the batches that run in fills now: their film is not in the
// ledger yet.
func (t tx) runningIn(ctx context.Context, poured []pouring) ([]int64, error) {
	c, err := t.catalogue(ctx)
	if err != nil {
		return nil, err
	}
	open, err := openBatches(ctx, t)
	if err != nil {
		return nil, err
	}
	var running []int64
	for _, b := range open {
		if b.State != jobs.BatchDeveloping {
			continue
		}
		for _, p := range poured {
			fill, err := t.fill(ctx, p.fill)
			if err != nil {
				return nil, err
			}
			if b.GoesThrough(fill, c.Solutions[fill.Solution]) {
				running = append(running, int64(b.ID))
				break
			}
		}
	}
	return running, nil
}

// fillsMet lists the fills that the film of a batch went through: by the
// ledger, or while it runs by what is in the line. With each stands the entry
// until which it had taken in what the film met.
func (t tx) fillsMet(ctx context.Context, b jobs.Batch) ([]pouring, error) {
	if b.State != jobs.BatchDeveloping {
		rows, err := t.Query(ctx, `SELECT fill_id, max(id) FROM ledger WHERE batch_id = $1 AND kind = 'film' AND fill_id IS NOT NULL GROUP BY fill_id
			ORDER BY fill_id`, int64(b.ID))
		if err != nil {
			return nil, err
		}
		return pgx.CollectRows(rows, func(row pgx.CollectableRow) (pouring, error) {
			var p pouring
			err := row.Scan(&p.fill, &p.entry)
			return p, err
		})
	}
	c, err := t.catalogue(ctx)
	if err != nil {
		return nil, err
	}
	inLine, err := fills(ctx, t, "WHERE f.line_id = $1 AND f.dumped_at IS NULL ORDER BY f.id", int64(b.Line))
	if err != nil {
		return nil, err
	}
	var met []pouring
	for _, fill := range inLine {
		if b.GoesThrough(fill, c.Solutions[fill.Solution]) {
			met = append(met, pouring{fill.ID, math.MaxInt64})
		}
	}
	return met, nil
}

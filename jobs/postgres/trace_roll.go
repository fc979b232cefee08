package postgres

import (
	"context"
	"errors"
	"fmt"

	"github.com/jackc/pgx/v5"

	"wetside/chemistry"
	"wetside/jobs"
)

// TraceRoll returns everything that a roll touched.
func (s *TraceStore) TraceRoll(ctx context.Context, id jobs.RollID) (trace jobs.RollTrace, err error) {
	err = s.db.withTx(ctx, func(t tx) error {
		if trace.Roll, err = oneRollView(ctx, t, "WHERE r.id = $1", id); err != nil {
			return err
		}
		ran, err := batches(ctx, t, `WHERE b.started_at IS NOT NULL
			AND b.id IN (SELECT batch_id FROM batch_rolls WHERE roll_id = $1) ORDER BY b.started_at`, int64(id))
		if err != nil {
			return err
		}
		trace.Runs = make([]jobs.RollRun, len(ran))
		for i, b := range ran {
			if trace.Runs[i], err = t.rollRun(ctx, b); err != nil {
				return err
			}
		}
		trace.Inspections, err = inspections(ctx, t, "WHERE i.roll_id = $1 ORDER BY i.id", int64(id))
		return err
	})
	return trace, err
}

// rollRun tells what the film of a batch met.
func (t tx) rollRun(ctx context.Context, b jobs.Batch) (run jobs.RollRun, err error) {
	run.Batch = b
	if run.StartedBy, run.EndedBy, err = t.whoRan(ctx, b.ID); err != nil {
		return run, err
	}
	if run.Readings, err = t.readings(ctx, b.ID); err != nil {
		return run, err
	}
	met, err := t.fillsMet(ctx, b)
	if err != nil {
		return run, err
	}
	for _, p := range met {
		fill, err := t.touchedFill(ctx, b, p)
		if err != nil {
			return run, err
		}
		run.Fills = append(run.Fills, fill)
	}
	if run.UsedOnce, err = t.touchedMixes(ctx, `SELECT mix_id, min(id) FROM ledger
		WHERE batch_id = $1 AND kind = 'used once' AND mix_id IS NOT NULL GROUP BY mix_id`, int64(b.ID)); err != nil {
		return run, err
	}
	if run.Before, err = t.strip(ctx, "AND at <= $3 ORDER BY at DESC, id DESC", b); err != nil {
		return run, err
	}
	run.After, err = t.strip(ctx, "AND at > $3 ORDER BY at, id", b)
	return run, err
}

// whoRan returns who put a batch into the chemistry and who ended it.
func (t tx) whoRan(ctx context.Context, id jobs.BatchID) (started, ended string, err error) {
	err = t.QueryRow(ctx, `SELECT coalesce(max(by_name) FILTER (WHERE to_state = 'developing'), ''),
		coalesce(max(by_name) FILTER (WHERE to_state IN ('finished', 'stopped')), '')
		FROM events WHERE batch_id = $1 AND roll_id IS NULL`, int64(id)).Scan(&started, &ended)
	if err != nil {
		return "", "", fmt.Errorf("who ran batch %d: %w", id, err)
	}
	return started, ended, nil
}

// touchedFill tells what stood in a fill when film went through.
func (t tx) touchedFill(ctx context.Context, b jobs.Batch, p pouring) (jobs.TouchedFill, error) {
	fill, err := t.fill(ctx, p.fill)
	if err != nil {
		return jobs.TouchedFill{}, err
	}
	touched := jobs.TouchedFill{Fill: fill.ID, SolutionName: fill.SolutionName, FilledAt: fill.FilledAt, PouredRecipe: fill.Recipe}
	if err := t.QueryRow(ctx, "SELECT coalesce(max(recipe_version), 0) FROM ledger WHERE fill_id = $1 AND batch_id = $2 AND kind = 'film'",
		int64(fill.ID), int64(b.ID)).Scan(&touched.FilmRecipe); err != nil {
		return jobs.TouchedFill{}, err
	}
	touched.Mixes, err = t.touchedMixes(ctx, `SELECT m.mix_id, min(f.id) FROM ledger f JOIN ledger m ON m.move = f.move AND m.mix_id IS NOT NULL
		WHERE f.fill_id = $1 AND f.amount > 0 AND m.amount < 0 AND f.id < $2 GROUP BY m.mix_id ORDER BY 2`, int64(fill.ID), p.entry)
	return touched, err
}

// touchedMixes returns the mixes that a query picks, each with the entry by
// which film came to meet it, and the lots in them.
func (t tx) touchedMixes(ctx context.Context, query string, args ...any) ([]jobs.TouchedMix, error) {
	rows, err := t.Query(ctx, query, args...)
	if err != nil {
		return nil, err
	}
	type way struct{ mix, entry int64 }
	ways, err := pgx.CollectRows(rows, func(row pgx.CollectableRow) (way, error) {
		var w way
		err := row.Scan(&w.mix, &w.entry)
		return w, err
	})
	if err != nil {
		return nil, fmt.Errorf("trace back to mixes: %w", err)
	}
	var touched []jobs.TouchedMix
	for _, w := range ways {
		one := jobs.TouchedMix{}
		found, err := mixes(ctx, t, "WHERE m.id = $1", w.mix)
		if err != nil {
			return nil, err
		}
		one.Mix = found[0] // the ledger's key is of a mix that there is
		if err := t.QueryRow(ctx, "SELECT kind, at FROM ledger WHERE id = $1", w.entry).Scan(&one.How, &one.In); err != nil {
			return nil, err
		}
		if one.Lots, err = t.lotsOf(ctx, w.mix); err != nil {
			return nil, err
		}
		touched = append(touched, one)
	}
	return touched, nil
}

// lotsOf returns the lots that a mix was made from.
func (t tx) lotsOf(ctx context.Context, mix int64) ([]jobs.TouchedLot, error) {
	rows, err := t.Query(ctx, `SELECT DISTINCT o.id, o.part, o.number FROM ledger m JOIN ledger l ON l.move = m.move AND l.lot_id IS NOT NULL
		JOIN lots o ON o.id = l.lot_id WHERE m.mix_id = $1 AND m.kind = 'mixed' ORDER BY o.part, o.id`, mix)
	if err != nil {
		return nil, err
	}
	return pgx.CollectRows(rows, pgx.RowToStructByPos[jobs.TouchedLot])
}

// strip returns the first strip of the batch's line and process in an order,
// around the start of the batch, which is $3.
func (t tx) strip(ctx context.Context, order string, b jobs.Batch) (*jobs.StripSeen, error) {
	var seen jobs.StripSeen
	err := t.QueryRow(ctx, "SELECT id, at, by_name, verdict FROM strips WHERE line_id = $1 AND process = $2 "+order+" LIMIT 1",
		int64(b.Line), string(b.Process), b.StartedAt).Scan(&seen.ID, &seen.At, &seen.By, &seen.Verdict)
	if errors.Is(err, pgx.ErrNoRows) {
		return nil, nil
	}
	if err != nil {
		return nil, fmt.Errorf("strip around batch %d: %w", b.ID, err)
	}
	return &seen, nil
}

// shownCauses is how many strips, mixes and lots are offered to trace from.
const shownCauses = 8

// RecentCauses lists what may be traced.
func (s *TraceStore) RecentCauses(ctx context.Context) ([]jobs.RecentCause, error) {
	rows, err := s.db.pool.Query(ctx, `(SELECT 'strip', s.id, s.process || ' strip on ' || l.name, s.at FROM strips s JOIN lines l ON l.id = s.line_id
			WHERE s.verdict = $1 ORDER BY s.id DESC LIMIT $2)
		UNION ALL (SELECT 'fill', f.id, s.name || ' in ' || l.name, f.filled_at FROM fills f JOIN solutions s ON s.id = f.solution_id
			JOIN lines l ON l.id = f.line_id WHERE f.dumped_at IS NULL ORDER BY l.name, s.name)
		UNION ALL (SELECT 'mix', m.id, s.name || CASE m.preparation WHEN 'replenisher' THEN ' replenisher' ELSE '' END, m.mixed_at
			FROM mixes m JOIN solutions s ON s.id = m.solution_id ORDER BY m.id DESC LIMIT $2)
		UNION ALL (SELECT 'lot', id, part || ', lot ' || number, received_at FROM lots ORDER BY id DESC LIMIT $2)`,
		string(chemistry.PastControl), shownCauses)
	if err != nil {
		return nil, err
	}
	return pgx.CollectRows(rows, func(row pgx.CollectableRow) (jobs.RecentCause, error) {
		var c jobs.RecentCause
		err := row.Scan(&c.Kind, &c.ID, &c.Name, &c.At)
		return c, err
	})
}

package postgres

import (
	"context"
	"fmt"
	"time"

	"github.com/jackc/pgx/v5"

	"wetside/jobs"
)

// FillStore keeps the fills and their ledgers.
type FillStore struct{ db *DB }

var _ jobs.FillService = (*FillStore)(nil)

// NewFillStore returns the fills kept in db.
func NewFillStore(db *DB) *FillStore { return &FillStore{db} }

// shownDumped is how long a dumped fill stays in the list.
const shownDumped = 30 * 24 * time.Hour

var errNoFill = jobs.Errorf(jobs.NotFound, "there is no such fill")

// fills returns the fills that what follows the FROM clause picks, with the
// sums of their ledgers.
func fills(ctx context.Context, q querier, where string, args ...any) ([]jobs.Fill, error) {
	rows, err := q.Query(ctx, `SELECT f.id, f.solution_id, s.name, f.line_id, l.name, f.volume_ml, f.filled_at, f.dumped_at,
		f.dump_reason, e.rolls, e.area
		FROM fills f JOIN solutions s ON s.id = f.solution_id JOIN lines l ON l.id = f.line_id
		CROSS JOIN LATERAL (SELECT coalesce(sum(rolls), 0)::int AS rolls, coalesce(sum(area_m2), 0) AS area
			FROM fill_entries WHERE fill_id = f.id) e `+where, args...)
	if err != nil {
		return nil, err
	}
	return pgx.CollectRows(rows, func(row pgx.CollectableRow) (jobs.Fill, error) {
		var f jobs.Fill
		var dumped *time.Time
		err := row.Scan(&f.ID, &f.Solution, &f.SolutionName, &f.Line, &f.LineName, &f.VolumeML, &f.FilledAt, &dumped,
			&f.DumpReason, &f.Rolls, &f.AreaM2)
		if dumped != nil {
			f.DumpedAt = *dumped
		}
		return f, err
	})
}

// Fills lists the fills in use, then the dumped ones of the last 30 days, the
// last dumped first.
func (s *FillStore) Fills(ctx context.Context) ([]jobs.Fill, error) {
	return fills(ctx, s.db.pool, `WHERE f.dumped_at IS NULL OR f.dumped_at >= $1
		ORDER BY f.dumped_at DESC NULLS FIRST, l.name, s.name, f.id`, s.db.now().Add(-shownDumped))
}

// Fill returns a fill with its ledger, the oldest entry first.
func (s *FillStore) Fill(ctx context.Context, id jobs.FillID) (fill jobs.Fill, entries []jobs.FillEntry, err error) {
	err = s.db.withTx(ctx, func(t tx) error {
		if fill, err = t.fill(ctx, id); err != nil {
			return err
		}
		rows, err := t.Query(ctx, "SELECT at, batch_id, rolls, area_m2, by_name FROM fill_entries WHERE fill_id = $1 ORDER BY id", int64(id))
		if err != nil {
			return err
		}
		entries, err = pgx.CollectRows(rows, pgx.RowToStructByPos[jobs.FillEntry])
		return err
	})
	return fill, entries, err
}

// Ledgers returns the ledgers of several fills.
func (s *FillStore) Ledgers(ctx context.Context, ids []jobs.FillID) (map[jobs.FillID][]jobs.FillEntry, error) {
	rows, err := s.db.pool.Query(ctx, `SELECT fill_id, at, batch_id, rolls, area_m2, by_name FROM fill_entries
		WHERE fill_id = ANY($1) ORDER BY id`, ids)
	if err != nil {
		return nil, err
	}
	ledgers := map[jobs.FillID][]jobs.FillEntry{}
	var id jobs.FillID
	var entry jobs.FillEntry
	_, err = pgx.ForEachRow(rows, []any{&id, &entry.At, &entry.Batch, &entry.Rolls, &entry.AreaM2, &entry.By}, func() error {
		ledgers[id] = append(ledgers[id], entry)
		return nil
	})
	return ledgers, err
}

func (t tx) fill(ctx context.Context, id jobs.FillID) (jobs.Fill, error) {
	found, err := fills(ctx, t, "WHERE f.id = $1", int64(id))
	if err != nil {
		return jobs.Fill{}, err
	}
	if len(found) == 0 {
		return jobs.Fill{}, errNoFill
	}
	return found[0], nil
}

// lockFills returns the fills in use in a line, which nobody can dump until the
// transaction ends. They are read after the lock, with what was posted until
// then.
func (t tx) lockFills(ctx context.Context, line jobs.LineID) ([]jobs.Fill, error) {
	if _, err := t.Exec(ctx, "SELECT FROM fills WHERE line_id = $1 AND dumped_at IS NULL ORDER BY id FOR SHARE", int64(line)); err != nil {
		return nil, fmt.Errorf("lock fills: %w", err)
	}
	return fills(ctx, t, "WHERE f.line_id = $1 AND f.dumped_at IS NULL ORDER BY f.id", int64(line))
}

// PourFill records a fresh fill.
func (s *FillStore) PourFill(ctx context.Context, by jobs.Actor, solution jobs.SolutionID, line jobs.LineID, volumeML int) (poured jobs.Fill, err error) {
	err = s.db.withTx(ctx, func(t tx) error {
		c, err := t.catalogue(ctx)
		if err != nil {
			return err
		}
		if err := c.CheckPour(solution, line, volumeML); err != nil {
			return err
		}
		var id jobs.FillID
		if err := t.QueryRow(ctx, "INSERT INTO fills (solution_id, line_id, volume_ml, filled_at) VALUES ($1, $2, $3, $4) RETURNING id",
			int64(solution), int64(line), volumeML, t.now).Scan(&id); err != nil {
			return fmt.Errorf("pour fill: %w", err)
		}
		if poured, err = t.fill(ctx, id); err != nil {
			return err
		}
		return t.addEvents(ctx, jobs.Event{
			By: by, Kind: "pour", Fill: id, Why: fmt.Sprintf("%d mL of %s into %s", volumeML, poured.SolutionName, poured.LineName),
		})
	})
	return poured, err
}

// DumpFill ends a fill. It waits for a batch that is just starting in it, and
// then sees it run.
func (s *FillStore) DumpFill(ctx context.Context, by jobs.Actor, id jobs.FillID, reason string) (dumped jobs.Fill, err error) {
	err = s.db.withTx(ctx, func(t tx) error {
		c, err := t.catalogue(ctx)
		if err != nil {
			return err
		}
		if _, err := t.Exec(ctx, "SELECT FROM fills WHERE id = $1 FOR UPDATE", int64(id)); err != nil {
			return fmt.Errorf("lock fill: %w", err)
		}
		fill, err := t.fill(ctx, id)
		if err != nil {
			return err
		}
		open, err := openBatches(ctx, t)
		if err != nil {
			return err
		}
		kept, err := c.CheckDump(fill, open, reason)
		if err != nil {
			return err
		}
		if _, err := t.Exec(ctx, "UPDATE fills SET dumped_at = $2, dump_reason = $3 WHERE id = $1 AND dumped_at IS NULL",
			int64(id), t.now, kept); err != nil {
			return fmt.Errorf("dump fill: %w", err)
		}
		if err := t.addEvents(ctx, jobs.Event{By: by, Kind: "dump", Fill: id, Why: kept}); err != nil {
			return err
		}
		dumped, err = t.fill(ctx, id)
		return err
	})
	return dumped, err
}

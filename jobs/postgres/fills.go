package postgres

import (
	"context"
	"fmt"
	"strings"
	"time"

	"github.com/jackc/pgx/v5"

	"wetside/chemistry"
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
	rows, err := q.Query(ctx, `SELECT f.id, f.solution_id, s.name, f.line_id, l.name, f.volume_ml, coalesce(f.mix_id, 0), f.recipe_version,
		f.storage, m.mixed_at, f.filled_at, f.dumped_at, f.dump_reason, e.now_ml, e.rolls, e.area, e.added_ml,
		k.fresh_seconds, k.now_seconds
		FROM fills f JOIN solutions s ON s.id = f.solution_id JOIN lines l ON l.id = f.line_id LEFT JOIN mixes m ON m.id = f.mix_id
		CROSS JOIN LATERAL (SELECT coalesce(sum(amount), 0)::double precision AS now_ml, coalesce(sum(rolls), 0)::int AS rolls,
			coalesce(sum(area_m2), 0) AS area,
			coalesce(sum(amount) FILTER (WHERE answers IS NOT NULL), 0)::double precision AS added_ml
			FROM ledger WHERE fill_id = f.id) e
		LEFT JOIN LATERAL (SELECT fresh_seconds, now_seconds FROM clearing_tests WHERE fill_id = f.id ORDER BY id DESC LIMIT 1) k ON true `+where, args...)
	if err != nil {
		return nil, err
	}
	return pgx.CollectRows(rows, func(row pgx.CollectableRow) (jobs.Fill, error) {
		var f jobs.Fill
		var mixed, dumped *time.Time
		var freshS, nowS *float64
		err := row.Scan(&f.ID, &f.Solution, &f.SolutionName, &f.Line, &f.LineName, &f.VolumeML, &f.Mix, &f.Recipe,
			&f.Storage, &mixed, &f.FilledAt, &dumped, &f.DumpReason, &f.NowML, &f.Rolls, &f.AreaM2, &f.AddedML,
			&freshS, &nowS)
		if mixed != nil {
			f.MixedAt = *mixed
		}
		if dumped != nil {
			f.DumpedAt = *dumped
		}
		if freshS != nil {
			f.Clearing = &chemistry.ClearingTest{FreshS: *freshS, NowS: *nowS}
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
func (s *FillStore) Fill(ctx context.Context, id jobs.FillID) (fill jobs.Fill, ledger []jobs.Entry, err error) {
	err = s.db.withTx(ctx, func(t tx) error {
		if fill, err = t.fill(ctx, id); err != nil {
			return err
		}
		ledger, err = entries(ctx, t, "WHERE fill_id = $1", int64(id))
		return err
	})
	return fill, ledger, err
}

// Ledgers returns the ledgers of several fills.
func (s *FillStore) Ledgers(ctx context.Context, ids []jobs.FillID) (map[jobs.FillID][]jobs.Entry, error) {
	return ledgers(ctx, s.db.pool, ids)
}

func ledgers(ctx context.Context, q querier, ids []jobs.FillID) (map[jobs.FillID][]jobs.Entry, error) {
	found, err := entries(ctx, q, "WHERE fill_id = ANY($1)", ids)
	ledgers := map[jobs.FillID][]jobs.Entry{}
	for _, entry := range found {
		ledgers[entry.Fill] = append(ledgers[entry.Fill], entry)
	}
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
func (s *FillStore) PourFill(ctx context.Context, by jobs.Actor, pour jobs.Pour) (poured jobs.Fill, err error) {
	err = s.db.withTx(ctx, func(t tx) error {
		c, err := t.catalogue(ctx)
		if err != nil {
			return err
		}
		from, err := t.lockMix(ctx, pour.Mix)
		if err != nil {
			return err
		}
		if err := c.CheckPour(pour, from, t.now); err != nil {
			return err
		}
		recipe := from.Recipe
		if pour.Mix == 0 {
			recipe = c.Solutions[pour.Solution].Version
		}
		var id jobs.FillID
		if err := t.QueryRow(ctx, `INSERT INTO fills (solution_id, line_id, volume_ml, mix_id, recipe_version, storage, filled_at)
			VALUES ($1, $2, $3, nullif($4::bigint, 0), $5, $6, greatest($7, (SELECT mixed_at FROM mixes WHERE id = $4))) RETURNING id`,
			int64(pour.Solution), int64(pour.Line), pour.VolumeML, int64(pour.Mix), recipe,
			c.Lines[pour.Line].Tanks[pour.Solution].Storage, t.now).Scan(&id); err != nil {
			return fmt.Errorf("pour fill: %w", err)
		}
		if _, err := t.post(ctx, by, pour.Entries(id)...); err != nil {
			return err
		}
		if poured, err = t.fill(ctx, id); err != nil {
			return err
		}
		why := fmt.Sprintf("%d mL of %s into %s", pour.VolumeML, poured.SolutionName, poured.LineName)
		if override := strings.TrimSpace(pour.Override); override != "" {
			why += ", although the mix was too old: " + override
		}
		return t.addEvents(ctx, jobs.Event{By: by, Kind: "pour", Fill: id, Why: why})
	})
	return poured, err
}

// lockFill returns a fill that nobody else changes until the transaction ends.
func (t tx) lockFill(ctx context.Context, id jobs.FillID) (jobs.Fill, error) {
	if _, err := t.Exec(ctx, "SELECT FROM fills WHERE id = $1 FOR UPDATE", int64(id)); err != nil {
		return jobs.Fill{}, fmt.Errorf("lock fill: %w", err)
	}
	return t.fill(ctx, id)
}

// DumpFill ends a fill. It waits for a batch that is just starting in it, and
// then sees it run.
func (s *FillStore) DumpFill(ctx context.Context, by jobs.Actor, id jobs.FillID, dump jobs.Dump) (dumped jobs.Fill, err error) {
	err = s.db.withTx(ctx, func(t tx) error {
		c, err := t.catalogue(ctx)
		if err != nil {
			return err
		}
		fill, err := t.lockFill(ctx, id)
		if err != nil {
			return err
		}
		open, err := openBatches(ctx, t)
		if err != nil {
			return err
		}
		held, err := t.lockContainers(ctx)
		if err != nil {
			return err
		}
		gone, err := c.CheckDump(fill, open, held, dump)
		if err != nil {
			return err
		}
		reason := gone[0].Why
		if _, err := t.post(ctx, by, gone...); err != nil {
			return err
		}
		if _, err := t.Exec(ctx, "UPDATE fills SET dumped_at = greatest($2, filled_at), dump_reason = $3 WHERE id = $1 AND dumped_at IS NULL",
			int64(id), t.now, reason); err != nil {
			return fmt.Errorf("dump fill: %w", err)
		}
		if err := t.addEvents(ctx, jobs.Event{By: by, Kind: "dump", Fill: id, Why: reason}); err != nil {
			return err
		}
		dumped, err = t.fill(ctx, id)
		return err
	})
	return dumped, err
}

package postgres

import (
	"context"
	"fmt"
	"time"

	"github.com/jackc/pgx/v5"

	"wetside/jobs"
)

// ForecastStore foretells when the fills run out, and keeps the morning lists.
type ForecastStore struct{ db *DB }

var (
	_ jobs.ForecastService = (*ForecastStore)(nil)
	_ jobs.MorningService  = (*ForecastStore)(nil)
)

// NewForecastStore returns the forecasts and morning lists kept in db.
func NewForecastStore(db *DB) *ForecastStore { return &ForecastStore{db} }

// tanks is what every forecast is made from, read at one moment.
type tanks struct {
	jobs.Catalogue
	fills   []jobs.Fill // in use
	ledgers map[jobs.FillID][]jobs.Entry
	demand  jobs.Demand
}

func (t tx) tanks(ctx context.Context) (read tanks, err error) {
	if read.Catalogue, err = t.catalogue(ctx); err != nil {
		return read, err
	}
	if read.fills, err = fills(ctx, t, "WHERE f.dumped_at IS NULL ORDER BY f.id"); err != nil {
		return read, err
	}
	ids := make([]jobs.FillID, len(read.fills))
	for i, fill := range read.fills {
		ids[i] = fill.ID
	}
	found, err := entries(ctx, t, "WHERE fill_id = ANY($1)", ids)
	if err != nil {
		return read, err
	}
	read.ledgers = map[jobs.FillID][]jobs.Entry{}
	for _, entry := range found {
		read.ledgers[entry.Fill] = append(read.ledgers[entry.Fill], entry)
	}
	read.demand, err = t.demand(ctx, read.Lab)
	return read, err
}

func (r tanks) outlooks(now time.Time) map[jobs.FillID]jobs.Outlook {
	return r.Outlooks(r.fills, r.ledgers, r.demand, now)
}

// still reads several things as of one moment.
func (db *DB) still(ctx context.Context, fn func(t tx) error) error {
	return db.withTx(ctx, func(t tx) error {
		if _, err := t.Exec(ctx, "SET TRANSACTION ISOLATION LEVEL REPEATABLE READ READ ONLY"); err != nil {
			return err
		}
		return fn(t)
	})
}

// Outlooks foretells every fill in use.
func (s *ForecastStore) Outlooks(ctx context.Context) (outlooks map[jobs.FillID]jobs.Outlook, err error) {
	err = s.db.still(ctx, func(t tx) error {
		read, err := t.tanks(ctx)
		if err == nil {
			outlooks = read.outlooks(t.now)
		}
		return err
	})
	return outlooks, err
}

// Course returns the course of a fill.
func (s *ForecastStore) Course(ctx context.Context, id jobs.FillID) (course jobs.FillCourse, err error) {
	err = s.db.still(ctx, func(t tx) error {
		fill, err := t.fill(ctx, id)
		if err != nil {
			return err
		}
		ledger, err := entries(ctx, t, "WHERE fill_id = $1", int64(id))
		if err != nil {
			return err
		}
		read, err := t.tanks(ctx)
		if err != nil {
			return err
		}
		if course, err = read.Course(fill, ledger, read.fills, read.demand, t.now); err != nil {
			return err
		}
		course.Stored, err = t.stored(ctx, id)
		return err
	})
	return course, err
}

// stored are the outlooks of a fill as they were foretold, the latest first.
func (t tx) stored(ctx context.Context, id jobs.FillID) ([]jobs.StoredOutlook, error) {
	rows, err := t.Query(ctx, "SELECT day, state FROM forecasts WHERE fill_id = $1 ORDER BY day DESC LIMIT 366", int64(id))
	if err != nil {
		return nil, err
	}
	return pgx.CollectRows(rows, func(row pgx.CollectableRow) (o jobs.StoredOutlook, err error) {
		err = row.Scan(&o.Day, &o.Outlook)
		return o, err
	})
}

// Recalculate stores today's outlooks and writes the morning list anew.
func (s *ForecastStore) Recalculate(ctx context.Context) error {
	return s.db.withTx(ctx, func(t tx) error { return recalculate(ctx, t) })
}

// forecastLock makes those who recalculate take turns, so that a warning is
// given once: "fore" in ASCII.
const forecastLock = 0x666f7265

func recalculate(ctx context.Context, t tx) error {
	if _, err := t.Exec(ctx, "SELECT pg_advisory_xact_lock($1)", int64(forecastLock)); err != nil {
		return fmt.Errorf("recalculate: %w", err)
	}
	read, err := t.tanks(ctx)
	if err != nil {
		return err
	}
	outlooks := read.outlooks(t.now)
	if err := t.warn(ctx, outlooks); err != nil {
		return err
	}
	day := read.Lab.Today(t.now)
	batch := &pgx.Batch{}
	for id, o := range outlooks {
		batch.Queue(`INSERT INTO forecasts (fill_id, day, at, runs_out, earliest, latest, state) VALUES ($1, $2, $3, $4, $5, $6, $7)
			ON CONFLICT (fill_id, day) DO UPDATE SET at = excluded.at, runs_out = excluded.runs_out, earliest = excluded.earliest,
				latest = excluded.latest, state = excluded.state`,
			int64(id), day, t.now, nullTime(o.RunsOut.Date), nullTime(o.RunsOut.Earliest), nullTime(o.RunsOut.Latest), o)
	}
	if err := t.SendBatch(ctx, batch).Close(); err != nil {
		return fmt.Errorf("store the forecasts: %w", err)
	}
	_, err = t.writeMorningList(ctx, read)
	return err
}

// warn notes in the record which fills have come to a worse verdict since the
// last forecast.
func (t tx) warn(ctx context.Context, outlooks map[jobs.FillID]jobs.Outlook) error {
	rows, err := t.Query(ctx, "SELECT DISTINCT ON (fill_id) fill_id, state FROM forecasts ORDER BY fill_id, day DESC")
	if err != nil {
		return fmt.Errorf("read the last forecasts: %w", err)
	}
	last := map[jobs.FillID]jobs.Outlook{}
	var id jobs.FillID
	var outlook jobs.Outlook
	if _, err := pgx.ForEachRow(rows, []any{&id, &outlook}, func() error {
		last[id], outlook = outlook, jobs.Outlook{}
		return nil
	}); err != nil {
		return fmt.Errorf("read the last forecasts: %w", err)
	}
	return t.addEvents(ctx, jobs.Warnings(last, outlooks)...)
}

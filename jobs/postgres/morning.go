package postgres

import (
	"context"
	"errors"
	"fmt"
	"time"

	"github.com/jackc/pgx/v5"

	"wetside/jobs"
)

// Morning writes the list of this day anew.
func (s *ForecastStore) Morning(ctx context.Context) (list jobs.MorningList, err error) {
	err = s.db.withTx(ctx, func(t tx) error {
		read, err := t.tanks(ctx)
		if err == nil {
			list, err = t.writeMorningList(ctx, read)
		}
		return err
	})
	return list, err
}

// morningList is the work that writes the day's list.
func morningList(ctx context.Context, t tx) error {
	read, err := t.tanks(ctx)
	if err == nil {
		_, err = t.writeMorningList(ctx, read)
	}
	return err
}

// morningLock makes those who write the list take turns: "morn" in ASCII.
const morningLock = 0x6d6f726e

// writeMorningList writes the list from the records, and ticks off what the one
// before it held.
func (t tx) writeMorningList(ctx context.Context, read tanks) (jobs.MorningList, error) {
	if _, err := t.Exec(ctx, "SELECT pg_advisory_xact_lock($1)", int64(morningLock)); err != nil {
		return jobs.MorningList{}, fmt.Errorf("write the morning list: %w", err)
	}
	view, err := t.benchView(ctx, read)
	if err != nil {
		return jobs.MorningList{}, err
	}
	list := view.MorningList(t.now)
	var before jobs.MorningList
	err = t.QueryRow(ctx, storedMorning, list.Day).Scan(&before.Day, &before.At, &before.Items)
	if err != nil && !errors.Is(err, pgx.ErrNoRows) {
		return jobs.MorningList{}, fmt.Errorf("read the morning list: %w", err)
	}
	list = list.Since(before)
	_, err = t.Exec(ctx, `INSERT INTO morning_lists (day, at, items) VALUES ($1, $2, $3)
		ON CONFLICT (day) DO UPDATE SET at = excluded.at, items = excluded.items`, list.Day, list.At, list.Items)
	if err != nil {
		return jobs.MorningList{}, fmt.Errorf("write the morning list: %w", err)
	}
	return list, nil
}

// storedMorning reads the list of a day.
const storedMorning = "SELECT day, at, items FROM morning_lists WHERE day = $1"

// queueMorning reads the stored list of a day along with whatever else a batch
// reads; it stays zero where none is stored.
func queueMorning(batch *pgx.Batch, into *jobs.MorningList, day time.Time) {
	batch.Queue(storedMorning, day).Query(func(rows pgx.Rows) error {
		list, err := pgx.CollectOneRow(rows, func(row pgx.CollectableRow) (list jobs.MorningList, err error) {
			err = row.Scan(&list.Day, &list.At, &list.Items)
			return list, err
		})
		if errors.Is(err, pgx.ErrNoRows) {
			return nil
		}
		*into = list
		return err
	})
}

// benchView reads what else the morning list is written from.
func (t tx) benchView(ctx context.Context, read tanks) (jobs.BenchView, error) {
	view := jobs.BenchView{
		Catalogue: read.Catalogue, Fills: read.fills, Ledgers: read.ledgers, Outlooks: read.outlooks(t.now), Mixes: read.demand.Mixes,
	}
	bench, err := t.bench(ctx, read.Catalogue)
	if err != nil {
		return view, err
	}
	view.Watched = bench.Watched(t.now)
	view.Doses, err = doses(ctx, t, "WHERE "+isDose+` AND (f.id IS NULL OR f.dumped_at IS NULL)
		AND NOT EXISTS (SELECT FROM ledger WHERE answers = e.id) ORDER BY e.id`)
	if err != nil {
		return view, err
	}
	if view.Lots, err = lots(ctx, t, t.now.Add(-lately), "WHERE e.left_over > 0 OR e.last >= $2", t.now.Add(-shownUsedUp)); err != nil {
		return view, err
	}
	view.Containers, err = containers(ctx, t)
	return view, err
}

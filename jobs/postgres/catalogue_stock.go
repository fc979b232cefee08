package postgres

import (
	"context"

	"github.com/jackc/pgx/v5"

	"wetside/jobs"
)

// SaveStock adds a stock or changes one.
func (s *CatalogueStore) SaveStock(ctx context.Context, by jobs.Actor, stock jobs.Stock) (jobs.Stock, error) {
	var saved jobs.Stock
	err := s.db.changeCatalogue(ctx, func(t tx, c jobs.Catalogue) error {
		wanted, err := jobs.CheckStock(stock, c)
		if err != nil {
			return err
		}
		saved, err = t.saveStock(ctx, wanted)
		if err != nil {
			return err
		}
		if was, ok := c.Stocks[saved.ID]; ok && saved.Reclassifies(was) {
			c.Stocks[saved.ID] = saved
			if err := t.reclassify(ctx, by, was, c); err != nil {
				return err
			}
		}
		return t.addEvents(ctx, jobs.Event{By: by, Kind: "save stock", Why: saved.Name})
	})
	return saved, err
}

func (t tx) saveStock(ctx context.Context, s jobs.Stock) (jobs.Stock, error) {
	f := s.Film
	values := []any{s.Name, f.Process, f.Kind, f.Remjet, f.Balance, f.ISODaylight, f.ISOTungsten, f.MaxPush, f.MaxPull,
		f.Unforgiving, s.DX, int64(s.Solution), s.Active}
	const columns = `(name, process, kind, remjet, balance, iso_daylight, iso_tungsten, max_push_sixths, max_pull_sixths,
		unforgiving, dx, solution_id, active)`
	const places = "($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, nullif($12::bigint, 0), $13)"
	var err error
	if s.ID == 0 {
		s.ID, s.Version, err = addEntry[jobs.StockID](ctx, t, "INSERT INTO stocks "+columns+" VALUES "+places, values)
	} else {
		s.Version, err = t.changeEntry(ctx, "UPDATE stocks SET "+columns+" = "+places+", version = version + 1 WHERE id = $14 AND version = $15",
			append(values, s.ID, s.Version), "stock", s.Name)
	}
	if err != nil {
		return jobs.Stock{}, err
	}
	batch := &pgx.Batch{}
	batch.Queue("DELETE FROM stock_times WHERE stock_id = $1", s.ID)
	for _, times := range s.Times {
		for i, row := range times.Rows {
			batch.Queue(`INSERT INTO stock_times (stock_id, solution_id, kind, place, temp_c, seconds, source)
				VALUES ($1, $2, 'base', $3, $4, $5, $6)`, s.ID, times.Solution, i, row.TempC, row.Seconds, times.Source)
		}
		for i, row := range times.PushRows {
			batch.Queue(`INSERT INTO stock_times (stock_id, solution_id, kind, place, push_sixths, seconds, source)
				VALUES ($1, $2, 'push', $3, $4, $5, $6)`, s.ID, times.Solution, i, row.Push, row.Seconds, times.Source)
		}
	}
	return s, t.SendBatch(ctx, batch).Close()
}

// reclassify makes the rolls of a stock that are here follow its new record.
func (t tx) reclassify(ctx context.Context, by jobs.Actor, was jobs.Stock, c jobs.Catalogue) error {
	rows, err := t.Query(ctx, "SELECT "+rollColumns+" FROM rolls r WHERE r.stock_id = $1 AND r.state = ANY($2) AND "+isOpen+
		" ORDER BY r.id FOR UPDATE", int64(was.ID), plain(jobs.Reclassified))
	if err != nil {
		return err
	}
	rolls, err := pgx.CollectRows(rows, scanRoll)
	if err != nil {
		return err
	}
	for _, roll := range rolls {
		move, err := jobs.Reclassify(roll, was, c)
		if err != nil {
			return err
		}
		if _, err := t.finishMove(ctx, by, roll, move); err != nil {
			return err
		}
	}
	return nil
}

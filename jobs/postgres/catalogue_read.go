package postgres

import (
	"github.com/jackc/pgx/v5"

	"wetside/chemistry"
	"wetside/jobs"
)

// queueEach adds a query to a batch and hands every row of it to read.
func queueEach(batch *pgx.Batch, sql string, read func(row pgx.CollectableRow) error, args ...any) {
	batch.Queue(sql, args...).Query(func(rows pgx.Rows) error {
		for rows.Next() {
			if err := read(rows); err != nil {
				return err
			}
		}
		return rows.Err()
	})
}

func queueLab(batch *pgx.Batch, c *jobs.Catalogue) {
	queueEach(batch, `SELECT name, ready_hours, combine_bw, tolerance_percent, opens_at, closes_at, closed_on,
		time_zone, return_address, version FROM lab`, func(row pgx.CollectableRow) error {
		lab := &c.Lab
		return row.Scan(&lab.Name, &lab.ReadyHours, &lab.CombineBW, &lab.TolerancePercent, &lab.OpensAt, &lab.ClosesAt,
			&lab.ClosedOn, &lab.TimeZone, &lab.ReturnAddress, &lab.Version)
	})
	queueEach(batch, "SELECT id, first_day, last_day, name FROM closures ORDER BY first_day", func(row pgx.CollectableRow) error {
		var closure jobs.Closure
		err := row.Scan(&closure.ID, &closure.From, &closure.To, &closure.Name)
		c.Lab.Closures = append(c.Lab.Closures, closure)
		return err
	})
}

func queueStocks(batch *pgx.Batch, c *jobs.Catalogue) {
	queueEach(batch, `SELECT id, name, process, kind, remjet, balance, iso_daylight, iso_tungsten, max_push_sixths,
		max_pull_sixths, unforgiving, dx, coalesce(solution_id, 0), active, version FROM stocks`,
		func(row pgx.CollectableRow) error {
			var s jobs.Stock
			f := &s.Film
			err := row.Scan(&s.ID, &s.Name, &f.Process, &f.Kind, &f.Remjet, &f.Balance, &f.ISODaylight, &f.ISOTungsten,
				&f.MaxPush, &f.MaxPull, &f.Unforgiving, &s.DX, &s.Solution, &s.Active, &s.Version)
			c.Stocks[s.ID] = s
			return err
		})
}

// queueStockTimes reads the developing times into their stocks, which are
// queued before.
func queueStockTimes(batch *pgx.Batch, c *jobs.Catalogue) {
	queueEach(batch, `SELECT stock_id, solution_id, kind, coalesce(temp_c, 0), coalesce(push_sixths, 0), seconds, source
		FROM stock_times ORDER BY stock_id, solution_id, kind, place`, func(row pgx.CollectableRow) error {
		var (
			stockID  jobs.StockID
			solution jobs.SolutionID
			kind     string
			base     chemistry.BWRow
			push     chemistry.PushTime
			source   string
		)
		if err := row.Scan(&stockID, &solution, &kind, &base.TempC, &push.Push, &push.Seconds, &source); err != nil {
			return err
		}
		stock := c.Stocks[stockID]
		if n := len(stock.Times); n == 0 || stock.Times[n-1].Solution != solution {
			stock.Times = append(stock.Times, jobs.StockTimes{Solution: solution, Source: source})
		}
		times := &stock.Times[len(stock.Times)-1]
		if kind == "base" {
			base.Seconds = push.Seconds
			times.Rows = append(times.Rows, base)
		} else {
			push.Source = chemistry.Source{Standing: chemistry.LabsOwn, Text: source}
			times.PushRows = append(times.PushRows, push)
		}
		c.Stocks[stockID] = stock
		return nil
	})
}

func queueLines(batch *pgx.Batch, c *jobs.Catalogue) {
	queueEach(batch, "SELECT id, name, capacity, turnaround_seconds, rotary, active, version FROM lines",
		func(row pgx.CollectableRow) error {
			l := jobs.Line{Takes: map[chemistry.Format]int{}}
			err := row.Scan(&l.ID, &l.Name, &l.Capacity, &l.Turnaround, &l.Rotary, &l.Active, &l.Version)
			c.Lines[l.ID] = l
			return err
		})
	queueEach(batch, "SELECT line_id, process, variant FROM line_processes ORDER BY line_id, process",
		func(row pgx.CollectableRow) error {
			var id jobs.LineID
			var run jobs.LineProcess
			err := row.Scan(&id, &run.Process, &run.Variant)
			line := c.Lines[id]
			line.Runs = append(line.Runs, run)
			c.Lines[id] = line
			return err
		})
	queueEach(batch, "SELECT line_id, solution_id, volume_ml, storage FROM line_tanks", func(row pgx.CollectableRow) error {
		var id jobs.LineID
		var solution jobs.SolutionID
		var tank jobs.LineTank
		err := row.Scan(&id, &solution, &tank.VolumeML, &tank.Storage)
		line := c.Lines[id]
		if line.Tanks == nil {
			line.Tanks = map[jobs.SolutionID]jobs.LineTank{}
		}
		line.Tanks[solution] = tank
		c.Lines[id] = line
		return err
	})
	queueEach(batch, "SELECT line_id, format, units FROM line_takes", func(row pgx.CollectableRow) error {
		var id jobs.LineID
		var format chemistry.Format
		var units int
		err := row.Scan(&id, &format, &units)
		if err == nil {
			c.Lines[id].Takes[format] = units
		}
		return err
	})
}

func queueTested(batch *pgx.Batch, c *jobs.Catalogue) {
	queueEach(batch, "SELECT process, push_sixths, seconds, source FROM tested_times ORDER BY process, push_sixths",
		func(row pgx.CollectableRow) error {
			var t jobs.TestedTime
			err := row.Scan(&t.Process, &t.Push, &t.Seconds, &t.Source.Text)
			t.Source.Standing = chemistry.LabsOwn
			c.Tested = append(c.Tested, t)
			return err
		})
}

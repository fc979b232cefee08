package postgres

import (
	"context"
	"fmt"
	"time"

	"github.com/jackc/pgx/v5"

	"wetside/jobs"
)

// The work of the last weeks by tank and day; when every tank was first filled;
// the film that is here and not developed yet; and how many seconds film is here
// before it is developed, in the mean of those that came in since $1.
const (
	filmByDay = `SELECT f.line_id, f.solution_id, (l.at AT TIME ZONE $2)::date, l.push_sixths, sum(l.area_m2)
		FROM ledger l JOIN fills f ON f.id = l.fill_id WHERE l.kind = 'film' AND l.at >= $1 GROUP BY 1, 2, 3, 4 ORDER BY 3, 1, 2, 4`
	firstFilled = "SELECT line_id, solution_id, min(filled_at) FROM fills GROUP BY 1, 2"
	waitingFilm = `SELECT coalesce(b.line_id, 0), r.process, coalesce(r.solution_id, 0), r.format, r.exposures, count(*)
		FROM rolls r LEFT JOIN batches b ON b.id = r.batch_id
		WHERE ` + isOpen + ` AND r.state IN ('received', 'held', 'queued', 'batched') GROUP BY 1, 2, 3, 4, 5`
	waitedHere = `SELECT coalesce(avg(extract(epoch FROM b.started_at - e.at)), 0)::double precision FROM events e
		JOIN batch_rolls r ON r.roll_id = e.roll_id JOIN batches b ON b.id = r.batch_id
		WHERE e.to_state = 'received' AND e.from_state = 'expected' AND e.at >= $1 AND b.started_at >= e.at`
	// usableMixes are those of which something is left, and the latest of each.
	usableMixes = `WHERE (SELECT sum(amount) FROM ledger WHERE mix_id = m.id) > 0 OR m.id IN
		(SELECT DISTINCT ON (solution_id, preparation) id FROM mixes ORDER BY solution_id, preparation, mixed_at DESC, id DESC) ORDER BY m.id`
)

// demand reads what the tanks are asked for.
func (t tx) demand(ctx context.Context, lab jobs.Lab) (d jobs.Demand, err error) {
	fail := func(what string, err error) (jobs.Demand, error) {
		return jobs.Demand{}, fmt.Errorf("read %s: %w", what, err)
	}
	// A day more, so that the first one is whole in the lab's zone.
	rows, err := t.Query(ctx, filmByDay, t.now.AddDate(0, 0, -jobs.DemandDays-1), lab.Zone().String())
	if err != nil {
		return fail("the film of the last weeks", err)
	}
	if d.Days, err = pgx.CollectRows(rows, func(row pgx.CollectableRow) (day jobs.FilmDay, err error) {
		err = row.Scan(&day.Line, &day.Solution, &day.Day, &day.Push, &day.AreaM2)
		return day, err
	}); err != nil {
		return fail("the film of the last weeks", err)
	}
	if d.Since, err = t.firstFilled(ctx); err != nil {
		return fail("since when tanks are in use", err)
	}
	if d.Waiting, err = t.waitingFilm(ctx); err != nil {
		return fail("what waits", err)
	}
	var seconds float64
	if err = t.QueryRow(ctx, waitedHere, t.now.AddDate(0, 0, -7*jobs.PaceWeeks)).Scan(&seconds); err != nil {
		return fail("how long film waits", err)
	}
	d.Wait = time.Duration(seconds * float64(time.Second))
	if d.Mixes, err = mixes(ctx, t, usableMixes); err != nil {
		return fail("the mixes", err)
	}
	return d, nil
}

func (t tx) firstFilled(ctx context.Context) (map[jobs.TankKey]time.Time, error) {
	rows, err := t.Query(ctx, firstFilled)
	if err != nil {
		return nil, err
	}
	since := map[jobs.TankKey]time.Time{}
	var tank jobs.TankKey
	var at time.Time
	_, err = pgx.ForEachRow(rows, []any{&tank.Line, &tank.Solution, &at}, func() error {
		since[tank] = at
		return nil
	})
	return since, err
}

func (t tx) waitingFilm(ctx context.Context) ([]jobs.WaitingFilm, error) {
	rows, err := t.Query(ctx, waitingFilm)
	if err != nil {
		return nil, err
	}
	return pgx.CollectRows(rows, func(row pgx.CollectableRow) (jobs.WaitingFilm, error) {
		var film jobs.WaitingFilm
		var roll jobs.Roll
		var n int
		err := row.Scan(&film.Line, &film.Process, &film.Solution, &roll.Format, &roll.Exposures, &n)
		if err == nil {
			film.AreaM2 = float64(n) * roll.Area()
		}
		return film, err
	})
}

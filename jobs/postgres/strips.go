package postgres

import (
	"context"
	"encoding/json"
	"fmt"
	"time"

	"github.com/jackc/pgx/v5"

	"wetside/chemistry"
	"wetside/jobs"
)

// strips returns the strips that what follows the FROM clause picks.
func strips(ctx context.Context, q querier, where string, args ...any) ([]jobs.Strip, error) {
	rows, err := q.Query(ctx, `SELECT s.id, s.line_id, l.name, s.process, s.box_id, b.number, s.at, s.by_name, s.reading, s.aim, s.result,
		coalesce(s.confirms, 0), r.at, coalesce(r.by_name, ''), coalesce(r.reason, '')
		FROM strips s JOIN lines l ON l.id = s.line_id JOIN strip_boxes b ON b.id = s.box_id
		LEFT JOIN strip_releases r ON r.strip_id = s.id `+where, args...)
	if err != nil {
		return nil, err
	}
	return pgx.CollectRows(rows, func(row pgx.CollectableRow) (s jobs.Strip, err error) {
		var released *time.Time
		err = row.Scan(&s.ID, &s.Line, &s.LineName, &s.Process, &s.Box, &s.BoxNumber, &s.At, &s.By, &s.Reading, &s.Aim, &s.Result,
			&s.Confirms, &released, &s.Release.By, &s.Release.Reason)
		if released != nil {
			s.Release.At = *released
		}
		return s, err
	})
}

func oneStrip(ctx context.Context, q querier, id jobs.StripID) (jobs.Strip, error) {
	found, err := strips(ctx, q, "WHERE s.id = $1", int64(id))
	if err != nil {
		return jobs.Strip{}, err
	}
	if len(found) == 0 {
		return jobs.Strip{}, errNoStrip
	}
	return found[0], nil
}

// Strip returns one strip.
func (s *StripStore) Strip(ctx context.Context, id jobs.StripID) (jobs.Strip, error) {
	return oneStrip(ctx, s.db.pool, id)
}

// Strips lists strips, the last read first.
func (s *StripStore) Strips(ctx context.Context, query jobs.StripQuery) ([]jobs.Strip, error) {
	if query.Limit < 1 || query.Limit > 500 {
		return nil, jobs.InvalidField("limit", "%d is outside what is allowed, 1 to 500", query.Limit)
	}
	var w conditions
	if query.Line != 0 {
		w.add("s.line_id = ?", int64(query.Line))
	}
	if query.Process != "" {
		w.add("s.process = ?", string(query.Process))
	}
	if query.Before != 0 {
		w.add("s.id < ?", int64(query.Before))
	}
	return strips(ctx, s.db.pool, w.where()+" ORDER BY s.id DESC LIMIT "+w.arg(query.Limit), w.args...)
}

// stripsSinceGood picks, for every line and process, its last strip in control
// and what was read since; all strips where none ever was.
const stripsSinceGood = `WHERE s.id >= coalesce((SELECT max(g.id) FROM strips g
	WHERE g.line_id = s.line_id AND g.process = s.process AND g.verdict = 'in control'), 0) ORDER BY s.id`

// bench reads what decisions about strips stand on.
func (t tx) bench(ctx context.Context, c jobs.Catalogue) (jobs.Bench, error) {
	boxes, err := t.boxesInUse(ctx)
	if err != nil {
		return jobs.Bench{}, err
	}
	bench := jobs.Bench{Catalogue: c, Boxes: boxes, Since: map[jobs.ControlKey][]jobs.Strip{}}
	since, err := strips(ctx, t, stripsSinceGood)
	for _, strip := range since {
		key := jobs.ControlKey{Line: strip.Line, Process: strip.Process}
		bench.Since[key] = append(bench.Since[key], strip)
	}
	return bench, err
}

// controls returns what the strips of every watched line say to a batch, and
// keeps them as they are until the transaction ends.
func (t tx) controls(ctx context.Context, c jobs.Catalogue) (map[jobs.ControlKey]jobs.Control, error) {
	if _, err := t.Exec(ctx, "SELECT pg_advisory_xact_lock_shared($1)", int64(stripLock)); err != nil {
		return nil, fmt.Errorf("keep the strips still: %w", err)
	}
	bench, err := t.bench(ctx, c)
	if err != nil {
		return nil, err
	}
	controls := map[jobs.ControlKey]jobs.Control{}
	for _, line := range bench.Watched(t.now) {
		controls[jobs.ControlKey{Line: line.Line, Process: line.Process}] = line.Control()
	}
	return controls, nil
}

// changeStrips runs a change to strips or boxes with nobody deciding on them
// meanwhile, and gives it the catalogue as it is.
func (s *StripStore) changeStrips(ctx context.Context, change func(t tx, c jobs.Catalogue) error) error {
	return s.db.withTx(ctx, func(t tx) error {
		c, err := t.catalogue(ctx)
		if err != nil {
			return err
		}
		if _, err := t.Exec(ctx, "SELECT pg_advisory_xact_lock($1)", int64(stripLock)); err != nil {
			return fmt.Errorf("keep the strips still: %w", err)
		}
		return change(t, c)
	})
}

// WatchedLines tells how every watched line stands.
func (s *StripStore) WatchedLines(ctx context.Context) (watched []jobs.WatchedLine, err error) {
	err = s.db.withTx(ctx, func(t tx) error {
		c, err := t.catalogue(ctx)
		if err != nil {
			return err
		}
		bench, err := t.bench(ctx, c)
		watched = bench.Watched(t.now)
		return err
	})
	return watched, err
}

// ReadStrip records and judges a strip.
func (s *StripStore) ReadStrip(ctx context.Context, by jobs.Actor, run jobs.StripRun) (read jobs.Strip, err error) {
	err = s.changeStrips(ctx, func(t tx, c jobs.Catalogue) error {
		bench, err := t.bench(ctx, c)
		if err != nil {
			return err
		}
		strip, err := bench.CheckStrip(run, t.now)
		if err != nil {
			return err
		}
		read, err = t.addStrip(ctx, by, strip)
		return err
	})
	return read, err
}

// ReadStripFile records and judges the strips of a file.
func (s *StripStore) ReadStripFile(ctx context.Context, by jobs.Actor, text string) (read []jobs.Strip, err error) {
	err = s.changeStrips(ctx, func(t tx, c jobs.Catalogue) error {
		read = nil
		lines, err := jobs.ReadStripLines(text, c.Lab.Zone())
		if err != nil {
			return err
		}
		bench, err := t.bench(ctx, c)
		if err != nil {
			return err
		}
		checked, err := bench.CheckStripFile(lines, t.now)
		if err != nil {
			return err
		}
		for _, strip := range checked {
			if place, here := jobs.PlaceOf(strip.Confirms); here {
				strip.Confirms = read[place].ID
			}
			kept, err := t.addStrip(ctx, by, strip)
			if err != nil {
				return err
			}
			read = append(read, kept)
		}
		return nil
	})
	return read, err
}

// addStrip keeps a strip that was judged.
func (t tx) addStrip(ctx context.Context, by jobs.Actor, strip jobs.Strip) (jobs.Strip, error) {
	var kept [3][]byte
	for i, value := range []any{strip.Reading, strip.Aim, strip.Result} {
		var err error
		if kept[i], err = json.Marshal(value); err != nil {
			return jobs.Strip{}, fmt.Errorf("keep a strip: %w", err)
		}
	}
	var id jobs.StripID
	if err := t.QueryRow(ctx, `INSERT INTO strips (line_id, process, box_id, at, by_name, reading, aim, result, verdict, confirms)
		VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, nullif($10::bigint, 0)) RETURNING id`,
		int64(strip.Line), string(strip.Process), int64(strip.Box), strip.At, by.Name, kept[0], kept[1], kept[2],
		string(strip.Result.Verdict), int64(strip.Confirms)).Scan(&id); err != nil {
		return jobs.Strip{}, fmt.Errorf("keep a strip: %w", err)
	}
	if err := t.addEvents(ctx, jobs.Event{
		By: by, Kind: "read strip", Why: fmt.Sprintf("%s in %s: %s", strip.Process, strip.LineName, strip.Result.Verdict),
	}); err != nil {
		return jobs.Strip{}, err
	}
	return oneStrip(ctx, t, id)
}

// ReleaseLine lets a line run whose last strip says no.
func (s *StripStore) ReleaseLine(ctx context.Context, by jobs.Actor, id jobs.StripID, reason string) (released jobs.Strip, err error) {
	err = s.changeStrips(ctx, func(t tx, c jobs.Catalogue) error {
		strip, err := oneStrip(ctx, t, id)
		if err != nil {
			return err
		}
		bench, err := t.bench(ctx, c)
		if err != nil {
			return err
		}
		kept, err := jobs.CheckRelease(strip, bench.Since[jobs.ControlKey{Line: strip.Line, Process: strip.Process}], reason)
		if err != nil {
			return err
		}
		if _, err := t.Exec(ctx, "INSERT INTO strip_releases (strip_id, at, by_name, reason) VALUES ($1, $2, $3, $4)",
			int64(id), t.now, by.Name, kept); err != nil {
			return fmt.Errorf("release a line: %w", err)
		}
		if released, err = oneStrip(ctx, t, id); err != nil {
			return err
		}
		return t.addEvents(ctx, jobs.Event{By: by, Kind: "release line", Why: fmt.Sprintf("%s for %s: %s", strip.LineName, strip.Process, kept)})
	})
	return released, err
}

// StripChart returns the last strips of a process in a line, the oldest first,
// with the solutions that were poured meanwhile.
func (s *StripStore) StripChart(ctx context.Context, line jobs.LineID, process chemistry.Process, last int) (chart jobs.StripChart, err error) {
	err = s.db.withTx(ctx, func(t tx) error {
		boxes, err := stripBoxes(ctx, t, t.now, "WHERE b.process = $2 ORDER BY b.active DESC, b.id DESC LIMIT 1", string(process))
		if err != nil {
			return err
		}
		if len(boxes) == 0 {
			return errNoBox
		}
		chart.Box = boxes[0]
		if chart.Strips, err = strips(ctx, t, `WHERE s.id IN (SELECT id FROM strips WHERE line_id = $1 AND process = $2
			ORDER BY id DESC LIMIT $3) ORDER BY s.id`, int64(line), string(process), last); err != nil || len(chart.Strips) == 0 {
			return err
		}
		rows, err := t.Query(ctx, `SELECT f.filled_at, s.name FROM fills f JOIN solutions s ON s.id = f.solution_id
			WHERE f.line_id = $1 AND s.process = $2 AND f.filled_at >= $3 ORDER BY f.filled_at, f.id`,
			int64(line), string(process), chart.Strips[0].At)
		if err != nil {
			return err
		}
		chart.Fresh, err = pgx.CollectRows(rows, pgx.RowToStructByPos[jobs.FreshFill])
		return err
	})
	return chart, err
}

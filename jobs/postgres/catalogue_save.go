package postgres

import (
	"context"
	"encoding/json"
	"errors"

	"github.com/jackc/pgx/v5"

	"wetside/chemistry"
	"wetside/jobs"
)

// addEntry runs an INSERT of one catalogue entry and returns its key and its
// first version.
func addEntry[ID ~int64](ctx context.Context, t tx, insert string, values []any) (id ID, version int, err error) {
	err = t.QueryRow(ctx, insert+" RETURNING id, version", values...).Scan(&id, &version)
	return id, version, err
}

// changeEntry runs an UPDATE of one catalogue entry guarded by its version, and
// returns the new version. What names the entry in the error.
func (t tx) changeEntry(ctx context.Context, update string, values []any, what, name string) (version int, err error) {
	err = t.QueryRow(ctx, update+" RETURNING version", values...).Scan(&version)
	if errors.Is(err, pgx.ErrNoRows) {
		return 0, jobs.Errorf(jobs.Stale, "somebody else changed the %s %q in the meantime; look at it again", what, name)
	}
	return version, err
}

// SaveSolution adds or changes a solution.
func (s *CatalogueStore) SaveSolution(ctx context.Context, by jobs.Actor, solution jobs.Solution) (jobs.Solution, error) {
	var saved jobs.Solution
	err := s.db.changeCatalogue(ctx, func(t tx, c jobs.Catalogue) error {
		wanted, err := jobs.CheckSolution(solution, c)
		if err != nil {
			return err
		}
		if saved, err = t.saveSolution(ctx, by, wanted); err != nil {
			return err
		}
		return t.addEvents(ctx, jobs.Event{By: by, Kind: "save solution", Why: saved.Name})
	})
	return saved, err
}

func (t tx) saveSolution(ctx context.Context, by jobs.Actor, s jobs.Solution) (saved jobs.Solution, err error) {
	values := []any{s.Name, s.Process, s.Family, s.Use, s.TempC, s.PerRollPercent, s.CapacityM2PerL, s.B, s.PushFactor, s.Active,
		s.Replenisher.MLPerM2, s.Replenisher.PushFactor, s.MinimumMLPerRoll, s.Bromide.ReleasedMGPerRoll,
		s.Bromide.ReplenisherGPerL, s.Bromide.StartGPerL, s.CostPerL, s.ReplenisherCostPerL}
	const columns = `(name, process, family, use_mode, temp_c, per_roll_percent, capacity_m2_per_l, b, push_factor, active,
		replenish_ml_per_m2, replenish_push_factor, minimum_ml_per_roll, bromide_release_mg,
		bromide_replenisher_g_per_l, bromide_start_g_per_l, cost_per_l, replenisher_cost_per_l)`
	const places = "($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14, $15, $16, $17, $18)"
	if s.ID == 0 {
		s.ID, s.Version, err = addEntry[jobs.SolutionID](ctx, t, "INSERT INTO solutions "+columns+" VALUES "+places, values)
	} else {
		s.Version, err = t.changeEntry(ctx, "UPDATE solutions SET "+columns+" = "+places+", version = version + 1 WHERE id = $19 AND version = $20",
			append(values, s.ID, s.Version), "solution", s.Name)
	}
	if err != nil {
		return jobs.Solution{}, err
	}
	return s, t.saveRecipe(ctx, by, s)
}

// saveRecipe keeps what a solution is mixed from and how long it keeps, and the
// whole recipe as the version that it is now.
func (t tx) saveRecipe(ctx context.Context, by jobs.Actor, s jobs.Solution) error {
	recipe, err := json.Marshal(s)
	if err != nil {
		return err
	}
	batch := &pgx.Batch{}
	batch.Queue("DELETE FROM solution_parts WHERE solution_id = $1", s.ID)
	batch.Queue("DELETE FROM solution_keeping WHERE solution_id = $1", s.ID)
	for i, part := range s.Parts {
		batch.Queue(`INSERT INTO solution_parts (solution_id, preparation, place, name, amount_per_l, unit, acid)
			VALUES ($1, $2, $3, $4, $5, $6, $7)`, s.ID, part.Preparation, i, part.Name, part.AmountPerL, part.Unit, part.Acid)
	}
	for i, keeping := range s.Keeping {
		batch.Queue(`INSERT INTO solution_keeping (solution_id, place, storage, months, days, source)
			VALUES ($1, $2, $3, $4, $5, $6)`, s.ID, i, keeping.Storage, keeping.Months, keeping.Days, keeping.Source.Text)
	}
	batch.Queue("INSERT INTO solution_versions (solution_id, version, at, by_name, recipe) VALUES ($1, $2, $3, $4, $5)",
		s.ID, s.Version, t.now, by.Name, recipe)
	return t.SendBatch(ctx, batch).Close()
}

// SaveLine adds or changes a line.
func (s *CatalogueStore) SaveLine(ctx context.Context, by jobs.Actor, line jobs.Line) (jobs.Line, error) {
	var saved jobs.Line
	err := s.db.changeCatalogue(ctx, func(t tx, c jobs.Catalogue) error {
		wanted, err := jobs.CheckLine(line, c)
		if err != nil {
			return err
		}
		if saved, err = t.saveLine(ctx, wanted); err != nil {
			return err
		}
		return t.addEvents(ctx, jobs.Event{By: by, Kind: "save line", Why: saved.Name})
	})
	return saved, err
}

func (t tx) saveLine(ctx context.Context, l jobs.Line) (saved jobs.Line, err error) {
	values := []any{l.Name, l.Capacity, l.Turnaround, l.Rotary, l.Active}
	const columns = "(name, capacity, turnaround_seconds, rotary, active)"
	const places = "($1, $2, $3, $4, $5)"
	if l.ID == 0 {
		l.ID, l.Version, err = addEntry[jobs.LineID](ctx, t, "INSERT INTO lines "+columns+" VALUES "+places, values)
	} else {
		l.Version, err = t.changeEntry(ctx, "UPDATE lines SET "+columns+" = "+places+", version = version + 1 WHERE id = $6 AND version = $7",
			append(values, l.ID, l.Version), "line", l.Name)
	}
	if err != nil {
		return jobs.Line{}, err
	}
	batch := &pgx.Batch{}
	batch.Queue("DELETE FROM line_processes WHERE line_id = $1", l.ID)
	batch.Queue("DELETE FROM line_takes WHERE line_id = $1", l.ID)
	batch.Queue("DELETE FROM line_tanks WHERE line_id = $1", l.ID)
	for _, run := range l.Runs {
		batch.Queue("INSERT INTO line_processes (line_id, process, variant) VALUES ($1, $2, $3)", l.ID, run.Process, run.Variant)
	}
	for format, units := range l.Takes {
		// The key of a format is its plain text; its String is for print.
		batch.Queue("INSERT INTO line_takes (line_id, format, units) VALUES ($1, $2, $3)", l.ID, string(format), units)
	}
	for solution, tank := range l.Tanks {
		batch.Queue("INSERT INTO line_tanks (line_id, solution_id, volume_ml, storage) VALUES ($1, $2, $3, $4)",
			l.ID, solution, tank.VolumeML, tank.Storage)
	}
	return l, t.SendBatch(ctx, batch).Close()
}

// SaveTested replaces the lab's tested times of a process.
func (s *CatalogueStore) SaveTested(ctx context.Context, by jobs.Actor, process chemistry.Process, times []chemistry.PushTime) error {
	return s.db.changeCatalogue(ctx, func(t tx, _ jobs.Catalogue) error {
		if err := jobs.CheckTested(process, times); err != nil {
			return err
		}
		batch := &pgx.Batch{}
		batch.Queue("DELETE FROM tested_times WHERE process = $1", process)
		for _, time := range times {
			batch.Queue("INSERT INTO tested_times (process, push_sixths, seconds, source) VALUES ($1, $2, $3, $4)",
				process, time.Push, time.Seconds, time.Source.Text)
		}
		if err := t.SendBatch(ctx, batch).Close(); err != nil {
			return err
		}
		return t.addEvents(ctx, jobs.Event{By: by, Kind: "save tested times", Why: string(process)})
	})
}

// SaveLab changes what the lab says about itself.
func (s *CatalogueStore) SaveLab(ctx context.Context, by jobs.Actor, lab jobs.Lab) (jobs.Lab, error) {
	var saved jobs.Lab
	err := s.db.changeCatalogue(ctx, func(t tx, c jobs.Catalogue) error {
		lab.Closures = c.Lab.ComingClosures(t.now)
		wanted, err := jobs.CheckLab(lab)
		if err != nil {
			return err
		}
		saved = wanted
		saved.Closures = c.Lab.Closures
		saved.Version, err = t.changeEntry(ctx, `UPDATE lab SET (name, ready_hours, combine_bw, tolerance_percent, opens_at,
			closes_at, closed_on, time_zone, return_address) = ($1, $2, $3, $4, $5, $6, $7, $8, $9), version = version + 1
			WHERE version = $10`,
			[]any{wanted.Name, wanted.ReadyHours, wanted.CombineBW, wanted.TolerancePercent, wanted.OpensAt, wanted.ClosesAt,
				wanted.ClosedOn, wanted.TimeZone, wanted.ReturnAddress, wanted.Version}, "entry of the lab", wanted.Name)
		if err != nil {
			return err
		}
		return t.addEvents(ctx, jobs.Event{By: by, Kind: "save lab", Why: saved.Name})
	})
	return saved, err
}

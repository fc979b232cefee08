package postgres

import (
	"github.com/jackc/pgx/v5"

	"wetside/chemistry"
	"wetside/jobs"
)

// queueSolutions reads the solutions, then what they are mixed from and how long
// they keep into them.
func queueSolutions(batch *pgx.Batch, c *jobs.Catalogue) {
	queueEach(batch, `SELECT id, name, process, family, use_mode, temp_c, per_roll_percent, capacity_m2_per_l, b,
		push_factor, active, version, replenish_ml_per_m2, replenish_push_factor, minimum_ml_per_roll,
		bromide_release_mg, bromide_replenisher_g_per_l, bromide_start_g_per_l, cost_per_l, replenisher_cost_per_l
		FROM solutions`, func(row pgx.CollectableRow) error {
		var s jobs.Solution
		err := row.Scan(&s.ID, &s.Name, &s.Process, &s.Family, &s.Use, &s.TempC, &s.PerRollPercent, &s.CapacityM2PerL,
			&s.B, &s.PushFactor, &s.Active, &s.Version, &s.Replenisher.MLPerM2, &s.Replenisher.PushFactor, &s.MinimumMLPerRoll,
			&s.Bromide.ReleasedMGPerRoll, &s.Bromide.ReplenisherGPerL, &s.Bromide.StartGPerL, &s.CostPerL, &s.ReplenisherCostPerL)
		c.Solutions[s.ID] = s
		return err
	})
	queueEach(batch, `SELECT solution_id, preparation, name, amount_per_l, unit, acid FROM solution_parts
		ORDER BY solution_id, preparation DESC, place`, func(row pgx.CollectableRow) error {
		var id jobs.SolutionID
		var part jobs.Part
		err := row.Scan(&id, &part.Preparation, &part.Name, &part.AmountPerL, &part.Unit, &part.Acid)
		solution := c.Solutions[id]
		solution.Parts = append(solution.Parts, part)
		c.Solutions[id] = solution
		return err
	})
	queueEach(batch, `SELECT solution_id, storage, months, days, source FROM solution_keeping
		ORDER BY solution_id, place`, func(row pgx.CollectableRow) error {
		var id jobs.SolutionID
		keeping := chemistry.Keeping{Source: chemistry.Source{Standing: chemistry.LabsOwn}}
		err := row.Scan(&id, &keeping.Storage, &keeping.Months, &keeping.Days, &keeping.Source.Text)
		solution := c.Solutions[id]
		solution.Keeping = append(solution.Keeping, keeping)
		c.Solutions[id] = solution
		return err
	})
}

package postgres

import (
	"context"
	"testing"

	"wetside/jobs"
)

// BenchmarkOpenDoses lists what is open behind years of film: 200,000 doses that
// were confirmed, as a lab of a million rolls has, and ten that were not.
func BenchmarkOpenDoses(b *testing.B) {
	lab, ctx := newLab(b), context.Background()
	lab.replenishing()
	fill := lab.poured(c41Developer, drum, 1000)
	lab.exec(`INSERT INTO batches (line_id, process, develop_seconds, temp_c, state, planned_start, started_at, ended_at, run_sheet)
		SELECT $1, 'C-41', 195, 37.8, 'finished', $2, $2, $2, '{}' FROM generate_series(1, 200010)`, int64(drum), fixtureStart)
	lab.exec(`INSERT INTO ledger (move, at, by_name, kind, fill_id, batch_id, rolls, area_m2, called_ml)
		SELECT nextval('moves'), $2, 'Ada', 'film', $1, id, 5, 0.25805, 225 FROM batches ORDER BY id`, int64(fill.ID), fixtureStart)
	lab.exec(`INSERT INTO ledger (move, at, by_name, kind, fill_id, batch_id, amount, answers)
		SELECT nextval('moves'), $2, 'Ada', 'replenished', $1, batch_id, 0, id FROM ledger WHERE kind = 'film' ORDER BY id LIMIT 200000`,
		int64(fill.ID), fixtureStart)
	lab.exec("ANALYZE")
	doses := NewDoseStore(lab.db)
	for b.Loop() {
		open, err := doses.Doses(ctx, jobs.DoseQuery{Open: true, Limit: 500})
		if err != nil || len(open) != 10 {
			b.Fatalf("%d open, %v", len(open), err)
		}
	}
}

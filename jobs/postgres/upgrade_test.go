package postgres

import (
	"context"
	"os"
	"testing"
	"time"

	"github.com/jackc/pgx/v5/pgxpool"
	"github.com/jackc/pgx/v5/stdlib"
	"github.com/pressly/goose/v3"

	"wetside/chemistry"
	"wetside/jobs"
	"wetside/jobs/postgres/pgtest"
	"wetside/migrations"
)

// firstRecords makes records as they were before there was a ledger: one fill
// in use that two batches went through, one of them with nothing wet, and one
// that was dumped.
func firstRecords(ctx context.Context, pool *pgxpool.Pool) error {
	db := stdlib.OpenDBFromPool(pool)
	defer db.Close()
	provider, err := goose.NewProvider(goose.DialectPostgres, db, os.DirFS("../../migrations"))
	if err != nil {
		return err
	}
	if _, err := provider.UpTo(ctx, 1); err != nil {
		return err
	}
	_, err = pool.Exec(ctx, `
		INSERT INTO solutions (name, process, family, use_mode, temp_c, per_roll_percent, capacity_m2_per_l, b, push_factor, version)
			VALUES ('C-41 developer', 'C-41', 'colour developer', 'replenished', 37.8, 0, 0.5, 0, 0, 3);
		INSERT INTO lines (name, capacity, turnaround_seconds, rotary) VALUES ('Drum', 15, 1500, true);
		INSERT INTO batches (line_id, process, develop_seconds, temp_c, state, planned_start, started_at, ended_at, run_sheet, reason)
			SELECT 1, 'C-41', 195, 37.8, 'finished', at, at, at + interval '1 hour', '{}', ''
			FROM generate_series('2026-03-02 10:00Z'::timestamptz, '2026-03-04 10:00Z', '1 day') at;
		INSERT INTO fills (solution_id, line_id, volume_ml, filled_at, dumped_at, dump_reason) VALUES
			(1, 1, 1500, '2026-03-01 09:00Z', '2026-03-02 12:00Z', 'tired'), (1, 1, 1000, '2026-03-02 13:00Z', NULL, '');
		INSERT INTO fill_entries (fill_id, batch_id, at, by_name, rolls, area_m2) VALUES
			(1, 1, '2026-03-02 11:00Z', 'Ada', 4, 0.20644), (2, 2, '2026-03-03 11:00Z', 'Bea', 2, 0.10322),
			(2, 3, '2026-03-04 11:00Z', 'Bea', 0, 0)`)
	return err
}

// Records from before there was a ledger keep their sums.
func TestFirstRecordsMoveIntoTheLedger(t *testing.T) {
	t.Parallel()
	ctx := context.Background()
	pool := pgtest.New(t, firstRecords, migrations.Hash()+" first records")
	if err := migrations.Up(ctx, pool); err != nil {
		t.Fatal(err)
	}
	store := NewFillStore(NewDB(pool, func() time.Time { return fixtureStart.AddDate(0, 0, 3) }))
	found, err := store.Fills(ctx)
	if err != nil || len(found) != 2 {
		t.Fatalf("%d fills, %v", len(found), err)
	}
	for _, want := range []struct {
		id        jobs.FillID
		nowML     float64
		rolls     int
		areaM2    float64
		last      jobs.EntryKind
		by        string
		film      int
		dumpedFor string
	}{
		{1, 0, 4, 4 * chemistry.FilmUnitArea, jobs.EntryDumped, "Ada", 1, "tired"},
		{2, 1000, 2, 2 * chemistry.FilmUnitArea, jobs.EntryFilm, "Bea", 1, ""},
	} {
		fill, ledger, err := store.Fill(ctx, want.id)
		if err != nil {
			t.Fatal(err)
		}
		film := jobs.FilmThrough(ledger)
		if fill.NowML != want.nowML || fill.Rolls != want.rolls || !near(fill.AreaM2, want.areaM2) || fill.DumpReason != want.dumpedFor ||
			len(film) != want.film || film[0].By != want.by || ledger[len(ledger)-1].Kind != want.last {
			t.Errorf("fill %d: %+v\n%+v", want.id, fill, ledger)
		}
		if recipe, err := NewCatalogueStore(store.db).Recipe(ctx, fill.Solution, fill.Recipe); err != nil || recipe.Name != "C-41 developer" {
			t.Errorf("fill %d was poured of %+v, %v", want.id, recipe, err)
		}
	}
	open, err := NewDoseStore(store.db).Doses(ctx, jobs.DoseQuery{Open: true, Limit: 10})
	if err != nil || len(open) != 0 {
		t.Errorf("old film calls for %+v, %v", open, err)
	}
}

package migrations_test

import (
	"context"
	"errors"
	"fmt"
	"os"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgxpool"

	"wetside/jobs/postgres/pgtest"
	"wetside/migrations"
)

func TestMain(m *testing.M) { os.Exit(pgtest.Main(m)) }

func empty(t *testing.T) *pgxpool.Pool { return pgtest.New(t, nil, "") }

// columns describes every table of the schema, one column a line, and the
// migrations that are recorded.
func columns(t *testing.T, pool *pgxpool.Pool) []string {
	t.Helper()
	rows, err := pool.Query(t.Context(), `
		select format('%s.%s %s %s', table_name, column_name, data_type, is_nullable)
		  from information_schema.columns where table_schema = 'public'
		union all
		select format('applied %s', version_id) from goose_db_version
		union all
		select format('queue %s', version) from river_migration
		order by 1`)
	if err != nil {
		t.Fatal(err)
	}
	lines, err := pgx.CollectRows(rows, pgx.RowTo[string])
	if err != nil {
		t.Fatal(err)
	}
	return lines
}

func TestUpMakesTheSchemaOnce(t *testing.T) {
	t.Parallel()
	pool := empty(t)
	const programs = 4
	done := make(chan error, programs)
	for range programs {
		// every program has connections of its own
		other, err := pgxpool.New(t.Context(), pool.Config().ConnString())
		if err != nil {
			t.Fatal(err)
		}
		t.Cleanup(other.Close)
		go func() { done <- migrations.Up(context.WithoutCancel(t.Context()), other) }()
	}
	for range programs {
		if err := <-done; err != nil {
			t.Errorf("a program that started with others: %v", err)
		}
	}
	lines := columns(t, pool)
	for _, table := range []string{"rolls.", "batches.", "river_job."} {
		found := 0
		for _, line := range lines {
			if strings.HasPrefix(line, table+"id ") {
				found++
			}
		}
		if found != 1 {
			t.Errorf("%sid is there %d times, want once", table, found)
		}
	}
	var applied, versions int
	if err := pool.QueryRow(t.Context(), `select count(*), count(distinct version_id) from goose_db_version`).Scan(&applied, &versions); err != nil {
		t.Fatal(err)
	}
	if applied != versions {
		t.Errorf("%d migrations are recorded for %d versions", applied, versions)
	}
}

func TestUpLeavesMigratedRecordsAsTheyAre(t *testing.T) {
	t.Parallel()
	pool := pgtest.New(t, migrations.Up, migrations.Hash())
	before := columns(t, pool)
	at := func() (when string) {
		if err := pool.QueryRow(t.Context(), `select string_agg(version_id || ' ' || tstamp, ', ' order by id) from goose_db_version`).Scan(&when); err != nil {
			t.Fatal(err)
		}
		return when
	}
	first := at()
	if err := migrations.Up(t.Context(), pool); err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(before, columns(t, pool)); diff != "" {
		t.Errorf("the schema after a second start differs:\n%s", diff)
	}
	if diff := cmp.Diff(first, at()); diff != "" {
		t.Errorf("a migration was applied again:\n%s", diff)
	}
}

func TestUpRefusesANewerSchema(t *testing.T) {
	t.Parallel()
	pool := pgtest.New(t, migrations.Up, migrations.Hash())
	var newest int
	err := pool.QueryRow(t.Context(), `
		insert into goose_db_version (version_id, is_applied) select max(version_id) + 1, true from goose_db_version
		returning version_id`).Scan(&newest)
	if err != nil {
		t.Fatal(err)
	}
	before := columns(t, pool)
	err = migrations.Up(t.Context(), pool)
	if !errors.Is(err, migrations.ErrNewerSchema) {
		t.Fatalf("want ErrNewerSchema, got %v", err)
	}
	for _, part := range []string{"newer version", fmt.Sprintf("schema %d", newest), fmt.Sprintf("up to %d", newest-1), "start the newer program"} {
		if !strings.Contains(err.Error(), part) {
			t.Errorf("%q does not say %q", err, part)
		}
	}
	if diff := cmp.Diff(before, columns(t, pool)); diff != "" {
		t.Errorf("the refused program changed the records:\n%s", diff)
	}
}

func TestUpLetsTheNextProgramInAfterAFault(t *testing.T) {
	t.Parallel()
	pool := empty(t)
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	if err := migrations.Up(ctx, pool); !errors.Is(err, context.Canceled) {
		t.Fatalf("want the cancellation, got %v", err)
	}
	if _, err := pool.Exec(t.Context(), `create table rolls (id text)`); err != nil {
		t.Fatal(err)
	}
	if err := migrations.Up(t.Context(), pool); err == nil {
		t.Fatal("a foreign table was taken for the records")
	}
	var tables int
	if err := pool.QueryRow(t.Context(), `select count(*) from information_schema.tables where table_schema = 'public' and table_name = 'batches'`).Scan(&tables); err != nil {
		t.Fatal(err)
	}
	if tables != 0 {
		t.Error("half of the schema was left behind")
	}
	if _, err := pool.Exec(t.Context(), `drop table rolls`); err != nil {
		t.Fatal(err)
	}
	if err := migrations.Up(t.Context(), pool); err != nil {
		t.Errorf("after the fault is mended: %v", err)
	}
}

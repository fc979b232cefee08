package pgtest

import (
	"context"
	"fmt"
	"os"
	"os/exec"
	"strings"
	"sync/atomic"
	"testing"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgxpool"
)

// asChild tells the test program, started again by a test, to take a database and
// wait to be killed.
const asChild = "WETSIDE_PGTEST_CHILD"

func TestMain(m *testing.M) { os.Exit(Main(m)) }

// rolls returns migrations that make one table and count how often they run.
func rolls(runs *atomic.Int32) Migrate {
	return func(ctx context.Context, pool *pgxpool.Pool) error {
		runs.Add(1)
		_, err := pool.Exec(ctx, "create table rolls (number int primary key)")
		return err
	}
}

func databases(t *testing.T) map[string]bool {
	t.Helper()
	rows, err := shared.host.admin.Query(t.Context(), "select datname from pg_database")
	if err != nil {
		t.Fatal(err)
	}
	names, err := pgx.CollectRows(rows, pgx.RowTo[string])
	if err != nil {
		t.Fatal(err)
	}
	found := map[string]bool{}
	for _, name := range names {
		found[name] = true
	}
	return found
}

func nameOf(pool *pgxpool.Pool) string { return pool.Config().ConnConfig.Database }

func TestEachTestHasItsOwnDatabase(t *testing.T) {
	t.Parallel()
	var runs atomic.Int32
	hash := fmt.Sprint("own", os.Getpid())
	var names [4]string
	t.Run("together", func(t *testing.T) {
		for i := range names {
			t.Run(fmt.Sprint(i), func(t *testing.T) {
				t.Parallel()
				pool := New(t, rolls(&runs), hash)
				names[i] = nameOf(pool)
				if _, err := pool.Exec(t.Context(), "insert into rolls values (1)"); err != nil {
					t.Errorf("the table is there and empty: %v", err)
				}
			})
		}
	})
	if got := runs.Load(); got != 1 {
		t.Errorf("the migrations ran %d times, want once", got)
	}
	left := databases(t)
	for _, name := range names {
		if left[name] {
			t.Errorf("%s is still there after its test", name)
		}
	}
}

func TestEmpty(t *testing.T) {
	t.Parallel()
	pool := New(t, nil, "")
	var tables int
	err := pool.QueryRow(t.Context(), "select count(*) from information_schema.tables where table_schema = 'public'").Scan(&tables)
	if err != nil || tables != 0 {
		t.Errorf("an empty database has %d tables, %v", tables, err)
	}
}

func TestFailedMigrationLeavesNoTemplate(t *testing.T) {
	t.Parallel()
	New(t, nil, "") // opens the cluster
	hash := fmt.Sprint("failing", os.Getpid())
	broken := func(ctx context.Context, pool *pgxpool.Pool) error {
		_, err := pool.Exec(ctx, "create table rolls (number int); select 1/0")
		return err
	}
	if _, err := shared.host.template(t.Context(), broken, hash); err == nil {
		t.Fatal("a failing migration made a template")
	}
	var runs atomic.Int32
	pool := New(t, rolls(&runs), hash)
	if _, err := pool.Exec(t.Context(), "insert into rolls values (1)"); err != nil || runs.Load() != 1 {
		t.Errorf("after a failure the migrations ran %d times, want once: %v", runs.Load(), err)
	}
}

// TestKilledRunIsCleared kills a test process that holds a database, half a
// template and a template of old migrations.
func TestKilledRunIsCleared(t *testing.T) {
	if os.Getenv(asChild) != "" {
		holdAndWait(t)
		return
	}
	New(t, nil, "") // opens the cluster
	child := exec.Command(os.Args[0], "-test.run=^TestKilledRunIsCleared$")
	child.Env = append(os.Environ(), asChild+"=1")
	child.Stderr = os.Stderr
	out, err := child.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := child.Start(); err != nil {
		t.Fatal(err)
	}
	var names [3]string
	if _, err := fmt.Fscanln(out, &names[0], &names[1], &names[2]); err != nil {
		t.Fatalf("the child did not name its databases: %v", err)
	}
	check := func(when string, want bool) {
		t.Helper()
		if err := shared.host.clear(t.Context()); err != nil {
			t.Fatal(err)
		}
		there := databases(t)
		for _, name := range names {
			if there[name] != want {
				t.Errorf("%s: %s there: %v, want %v", when, name, there[name], want)
			}
		}
	}
	check("while it lives", true)
	if err := child.Process.Kill(); err != nil {
		t.Fatal(err)
	}
	_ = child.Wait() // it was killed: an error is what we asked for
	waitForLocks(t, names[:])
	check("after its death", false)
}

// holdAndWait is the child: it names its databases and lives until it is killed.
func holdAndWait(t *testing.T) {
	ctx := t.Context()
	var runs atomic.Int32
	hash := fmt.Sprint("old", os.Getpid())
	pool := New(t, rolls(&runs), hash)
	whole, err := shared.host.template(ctx, rolls(&runs), hash)
	if err != nil {
		t.Fatal(err)
	}
	half := "migrated_half_" + fmt.Sprint(os.Getpid())
	class, number := lockOf(half)
	if _, err := shared.host.keeper.Exec(ctx, "select pg_advisory_lock_shared($1, $2)", class, number); err != nil {
		t.Fatal(err)
	}
	if _, err := shared.host.admin.Exec(ctx, "create database "+half); err != nil {
		t.Fatal(err)
	}
	fmt.Println(strings.Join([]string{nameOf(pool), whole, half}, " "))
	select {}
}

// waitForLocks waits, by asking for the same locks, until PostgreSQL has noticed
// that the child is dead.
func waitForLocks(t *testing.T, names []string) {
	t.Helper()
	for _, name := range names {
		class, number := lockOf(name)
		conn, err := shared.host.admin.Acquire(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		_, err = conn.Exec(t.Context(), "select pg_advisory_lock($1, $2), pg_advisory_unlock($1, $2)", class, number)
		conn.Release()
		if err != nil {
			t.Fatal(err)
		}
	}
}

// BenchmarkDatabase measures a copy of a small template, with its dropping.
func BenchmarkDatabase(b *testing.B) {
	var runs atomic.Int32
	New(b, rolls(&runs), "benchmark")
	template, err := shared.host.template(b.Context(), rolls(&runs), "benchmark")
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		name, err := shared.host.copyOf(b.Context(), template)
		if err != nil {
			b.Fatal(err)
		}
		if err := shared.host.drop(b.Context(), name); err != nil {
			b.Fatal(err)
		}
	}
}

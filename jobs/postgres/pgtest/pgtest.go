// Package pgtest gives each test a PostgreSQL database of its own, already
// migrated. It is for tests only.
//
// All test processes of one user share one throw-away cluster. The migrations run
// once for each state of theirs, into a template; a test gets a copy of that, which
// takes a few milliseconds, and it is dropped when the test ends. A package that
// uses it says so in its TestMain:
//
//	func TestMain(m *testing.M) { os.Exit(pgtest.Main(m)) }
package pgtest

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"sync"
	"syscall"
	"testing"
	"time"

	"github.com/jackc/pgx/v5/pgxpool"

	"wetside/jobs/postgres/cluster"
)

// limit is how long any one step may take before the test fails.
const limit = time.Minute

// Migrate brings an empty database to the state that tests need.
type Migrate func(context.Context, *pgxpool.Pool) error

// shared is this process's use of the cluster, opened by the first test that asks.
var shared struct {
	sync.Mutex
	main bool // Main runs, so somebody will close it
	host *host
}

// Main runs the package's tests and then leaves the shared cluster, which stops
// with its last user. It returns the exit status for os.Exit.
func Main(m *testing.M) int {
	shared.Lock()
	shared.main = true
	shared.Unlock()
	status := m.Run()
	shared.Lock()
	defer shared.Unlock()
	if shared.host == nil {
		return status
	}
	if err := shared.host.close(); err != nil {
		fmt.Fprintln(os.Stderr, "leaving the test cluster:", err)
		return max(status, 1)
	}
	return status
}

// New returns a pool on a database of the test's own, in the state that migrate
// brings an empty one to; nil leaves it empty. Migrations with the same hash are
// run once and copied after that. The database is dropped when the test ends. For
// its connection string ask the pool: pool.Config().ConnString().
func New(t testing.TB, migrate Migrate, hash string) *pgxpool.Pool {
	t.Helper()
	ctx, cancel := context.WithTimeout(context.Background(), limit)
	defer cancel()
	h, err := use(ctx)
	if err != nil {
		t.Fatal(err)
	}
	template := "template0"
	if migrate != nil {
		if template, err = h.template(ctx, migrate, hash); err != nil {
			t.Fatalf("preparing the migrated template: %v", err)
		}
	}
	name, err := h.copyOf(ctx, template)
	if err != nil {
		t.Fatalf("making a test database: %v", err)
	}
	pool, err := h.connect(ctx, name)
	if err != nil {
		t.Fatalf("connecting to the test database: %v", err)
	}
	t.Cleanup(func() { drop(t, h, name, pool) })
	return pool
}

// drop closes the pool and drops the database, and fails a test that kept one of
// its connections.
func drop(t testing.TB, h *host, name string, pool *pgxpool.Pool) {
	t.Helper()
	ctx, cancel := context.WithTimeout(context.Background(), limit)
	defer cancel()
	if kept := pool.Stat().AcquiredConns(); kept > 0 {
		t.Errorf("the test ended with %d of its database connections still in use", kept)
		go pool.Close() // it waits for them
	} else {
		pool.Close()
	}
	if err := h.drop(ctx, name); err != nil {
		t.Errorf("dropping the test database: %v", err)
	}
}

// use opens the shared cluster once for the process.
func use(ctx context.Context) (*host, error) {
	shared.Lock()
	defer shared.Unlock()
	if !shared.main {
		return nil, errors.New("pgtest: this package needs func TestMain(m *testing.M) { os.Exit(pgtest.Main(m)) }")
	}
	if shared.host != nil {
		return shared.host, nil
	}
	dir, err := ownTemp()
	if err != nil {
		return nil, err
	}
	c, err := cluster.Open(ctx, cluster.Config{Dir: dir, Setup: true, Log: os.Stderr})
	if err != nil {
		return nil, err
	}
	h, err := newHost(ctx, c)
	if err != nil {
		return nil, errors.Join(err, c.Close())
	}
	shared.host = h
	return h, nil
}

// ownTemp makes this user's folder for the cluster, and refuses one that another
// user has put in its place.
func ownTemp() (string, error) {
	dir := filepath.Join(os.TempDir(), "wetside-test-"+strconv.Itoa(os.Getuid()))
	if err := os.Mkdir(dir, 0o755); err != nil && !errors.Is(err, os.ErrExist) {
		return "", err
	}
	info, err := os.Lstat(dir)
	if err != nil {
		return "", err
	}
	if stat, ok := info.Sys().(*syscall.Stat_t); !ok || !info.IsDir() || int(stat.Uid) != os.Getuid() {
		return "", fmt.Errorf("%s is not this user's own folder: remove it", dir)
	}
	return dir, nil
}

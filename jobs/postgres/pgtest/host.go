package pgtest

import (
	"context"
	"crypto/sha256"
	"encoding/binary"
	"errors"
	"fmt"
	"math/rand/v2"
	"strconv"
	"strings"
	"sync"
	"sync/atomic"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgxpool"

	"wetside/jobs/postgres/cluster"
)

// The advisory locks, all taken in the database "postgres", as (class, number).
// PostgreSQL gives a process's locks back when it dies, so a database whose lock is
// free has nobody left who wants it.
const (
	buildLock    = 0x77450 // number 0: making and clearing templates
	runLock      = 0x77451 // number: the run; held while its databases are in use
	templateLock = 0x77452 // number: from the template's name; shared by its users
)

// host is this process's place in the cluster.
type host struct {
	cluster *cluster.Cluster
	admin   *pgxpool.Pool // makes and drops databases, several at once
	run     uint32        // marks this process's databases
	copies  atomic.Int64  // how many it has made

	mutex     sync.Mutex // guards the rest
	keeper    *pgx.Conn  // holds this process's advisory locks
	templates map[string]bool
}

// newHost connects to the cluster and clears away what dead test runs left there.
func newHost(ctx context.Context, c *cluster.Cluster) (*host, error) {
	h := &host{cluster: c, run: rand.Uint32(), templates: map[string]bool{}}
	var err error
	if h.admin, err = pgxpool.New(ctx, c.DSN("postgres")); err != nil {
		return nil, err
	}
	if h.keeper, err = pgx.Connect(ctx, c.DSN("postgres")); err != nil {
		return nil, err
	}
	if _, err := h.keeper.Exec(ctx, "select pg_advisory_lock($1, $2)", runLock, int32(h.run)); err != nil {
		return nil, err
	}
	return h, h.clear(ctx)
}

// close gives the locks back and leaves the cluster.
func (h *host) close() error {
	h.admin.Close()
	ctx, cancel := context.WithTimeout(context.Background(), limit)
	defer cancel()
	return errors.Join(h.keeper.Close(ctx), h.cluster.Close())
}

// clear drops the databases of test runs that have died and the templates that
// nobody uses: old migrations.
func (h *host) clear(ctx context.Context) error {
	return h.building(ctx, func() error {
		rows, err := h.keeper.Query(ctx, `select datname from pg_database where datname ~ '^(test|migrated)_'`)
		if err != nil {
			return err
		}
		names, err := pgx.CollectRows(rows, pgx.RowTo[string])
		if err != nil {
			return err
		}
		for _, name := range names {
			if err := h.clearOne(ctx, name); err != nil {
				return err
			}
		}
		return nil
	})
}

// clearOne drops the database unless a living process holds its lock.
func (h *host) clearOne(ctx context.Context, name string) error {
	class, number := lockOf(name)
	if class == runLock && number == int32(h.run) {
		return nil
	}
	var free bool
	if err := h.keeper.QueryRow(ctx, "select pg_try_advisory_lock($1, $2)", class, number).Scan(&free); err != nil || !free {
		return err
	}
	err := h.discard(ctx, name)
	_, err2 := h.keeper.Exec(ctx, "select pg_advisory_unlock($1, $2)", class, number)
	return errors.Join(err, err2)
}

// discard drops a database that nobody uses; PostgreSQL drops no template.
func (h *host) discard(ctx context.Context, name string) error {
	if _, err := h.admin.Exec(ctx, "alter database "+pgx.Identifier{name}.Sanitize()+" is_template false"); err != nil {
		return err
	}
	return h.drop(ctx, name)
}

// lockOf returns the advisory lock that the users of a database hold.
func lockOf(name string) (class, number int32) {
	kind, rest, _ := strings.Cut(name, "_")
	if kind == "test" {
		run, _, _ := strings.Cut(rest, "_")
		n, _ := strconv.ParseUint(run, 10, 32) // a name of our own making
		return runLock, int32(uint32(n))
	}
	sum := sha256.Sum256([]byte(name))
	return templateLock, int32(binary.BigEndian.Uint32(sum[:]))
}

// copyOf makes a new database from the template and returns its name. Copying the
// files beats PostgreSQL's default of logging every page, which releases before 15
// cannot do.
func (h *host) copyOf(ctx context.Context, template string) (string, error) {
	name := fmt.Sprintf("test_%d_%d", h.run, h.copies.Add(1))
	statement := "create database " + pgx.Identifier{name}.Sanitize() + " template " + pgx.Identifier{template}.Sanitize()
	conn, err := h.admin.Acquire(ctx)
	if err != nil {
		return "", err
	}
	defer conn.Release()
	if major, _, _ := strings.Cut(conn.Conn().PgConn().ParameterStatus("server_version"), "."); major != "14" {
		statement += " strategy file_copy"
	}
	_, err = conn.Exec(ctx, statement)
	return name, err
}

// drop removes a database, whoever is still connected to it.
func (h *host) drop(ctx context.Context, name string) error {
	_, err := h.admin.Exec(ctx, "drop database if exists "+pgx.Identifier{name}.Sanitize()+" with (force)")
	return err
}

// poolSize is enough for tests of concurrent work and small enough for many tests
// at once in one cluster.
const poolSize = 8

// connect opens a pool on a database; its connections are made as they are needed.
func (h *host) connect(ctx context.Context, name string) (*pgxpool.Pool, error) {
	config, err := pgxpool.ParseConfig(h.cluster.DSN(name))
	if err != nil {
		return nil, err
	}
	config.MaxConns = poolSize
	return pgxpool.NewWithConfig(ctx, config)
}

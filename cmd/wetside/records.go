package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"

	"github.com/jackc/pgx/v5/pgxpool"

	"wetside/jobs/postgres/cluster"
	"wetside/migrations"
)

// databaseURL names the variable that points the program at a PostgreSQL of
// the lab's own instead of the private one.
const databaseURL = "WETSIDE_DATABASE_URL"

// records are the database that a command works on.
type records struct {
	pool    *pgxpool.Pool
	cluster *cluster.Cluster // nil when the database is not ours to stop
	https   bool             // reached through HTTPS
	banner  string           // a line on top of every page
}

// openRecords connects to the database named in the environment, or else
// starts the private one, and brings its schema up to date. Setup allows it to
// install PostgreSQL; what is worth telling goes to log.
func openRecords(ctx context.Context, setup bool, log io.Writer) (*records, error) {
	if url := os.Getenv(databaseURL); url != "" {
		return connectRecords(ctx, url, nil)
	}
	dir, err := cluster.DefaultDir("lab")
	if err != nil {
		return nil, err
	}
	private, err := cluster.Open(ctx, cluster.Config{Dir: dir, Setup: setup, Durable: true, Log: log})
	if err != nil {
		return nil, err
	}
	return connectRecords(ctx, private.DSN(cluster.Database), private)
}

// connectRecords opens and migrates one database. The cluster is closed with
// the records, and when this fails.
func connectRecords(ctx context.Context, url string, private *cluster.Cluster) (*records, error) {
	r := &records{cluster: private}
	config, err := pgxpool.ParseConfig(url)
	if err != nil {
		// The parser's own words may quote the password.
		return nil, errors.Join(badInput("%s is not a PostgreSQL address, such as postgres://user@host/database", databaseURL), r.close())
	}
	if r.pool, err = pgxpool.NewWithConfig(ctx, config); err != nil {
		return nil, errors.Join(fmt.Errorf("connect to the records: %w", err), r.close())
	}
	if err := migrations.Up(ctx, r.pool); err != nil {
		return nil, errors.Join(err, r.close())
	}
	return r, nil
}

// close lets go of the database, and stops the private one when nobody else
// uses it.
func (r *records) close() error {
	if r.pool != nil {
		r.pool.Close()
	}
	if r.cluster == nil {
		return nil
	}
	return r.cluster.Close()
}

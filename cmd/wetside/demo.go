package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"strings"
	"time"

	"github.com/jackc/pgx/v5"

	"wetside/cmd/wetside/demolab"
	"wetside/jobs"
	"wetside/jobs/postgres"
	"wetside/jobs/postgres/cluster"
)

// The demo's database, and the name it has until it is whole. A program that
// is killed while it fills the lab leaves only the second behind.
const (
	demoDatabase   = "demo"
	halfDatabase   = "demo_filling"
	demoLock       = 0x64656d6f // "demo" in ASCII
	demoFolderName = "demo"
)

// demoCommand serves the invented lab. It has records of its own and never looks
// at the real ones, whatever the environment says.
func demoCommand(ctx context.Context, args []string, io stdio) error {
	flags := newFlags("demo", "demo [--setup] [--addr HOST:PORT] [--fresh]", io)
	setup := flags.Bool("setup", false, "install PostgreSQL when the machine has none")
	addr := flags.String("addr", "", "address to listen on (default "+defaultAddr+", or the next free port)")
	fresh := flags.Bool("fresh", false, "throw the demo's records away and begin again from now")
	rest, err := parseFlags(flags, args)
	if err != nil {
		return err
	}
	if len(rest) > 0 {
		return badInput("unexpected %q; demo takes no arguments", rest[0])
	}
	listener, err := listen(*addr)
	if err != nil {
		return err
	}
	defer listener.Close()
	r, err := openDemo(ctx, *setup, *fresh, io.err)
	if err != nil {
		return err
	}
	r.banner = "A demo: everything here is invented, and signing in is open to everybody."
	return serveUntilDone(ctx, r, listener, io, func(ctx context.Context, url string) error {
		return greetDemo(ctx, r, url, io.out)
	})
}

// openDemo starts the demo's own PostgreSQL and makes its records unless they
// are there.
func openDemo(ctx context.Context, setup, fresh bool, log io.Writer) (*records, error) {
	dir, err := cluster.DefaultDir(demoFolderName)
	if err != nil {
		return nil, err
	}
	private, err := cluster.Open(ctx, cluster.Config{Dir: dir, Setup: setup, Durable: true, Log: log})
	if err != nil {
		return nil, err
	}
	if err := makeDemo(ctx, private, fresh, log); err != nil {
		return nil, errors.Join(err, private.Close())
	}
	return connectRecords(ctx, private.DSN(demoDatabase), private)
}

// makeDemo fills the lab in a database of another name and renames it when it
// is whole, so that there is a whole demo or none. Programs that start at once
// take turns.
func makeDemo(ctx context.Context, private *cluster.Cluster, fresh bool, log io.Writer) (err error) {
	conn, err := pgx.Connect(ctx, private.DSN(cluster.Database))
	if err != nil {
		return fmt.Errorf("demo records: %w", err)
	}
	defer func() { err = errors.Join(err, conn.Close(context.WithoutCancel(ctx))) }()
	if _, err := conn.Exec(ctx, "SELECT pg_advisory_lock($1)", demoLock); err != nil {
		return fmt.Errorf("demo records: %w", err)
	}
	var whole bool
	err = conn.QueryRow(ctx, "SELECT EXISTS (SELECT FROM pg_database WHERE datname = $1)", demoDatabase).Scan(&whole)
	if err != nil {
		return fmt.Errorf("demo records: %w", err)
	}
	if whole && !fresh {
		return nil
	}
	if whole {
		if _, err := conn.Exec(ctx, "DROP DATABASE "+demoDatabase); err != nil {
			return fmt.Errorf("the demo is in use by another program; stop that one first (%w)", err)
		}
	}
	fmt.Fprintln(log, "Filling the demo lab …")
	for _, statement := range []string{"DROP DATABASE IF EXISTS " + halfDatabase, "CREATE DATABASE " + halfDatabase} {
		if _, err := conn.Exec(ctx, statement); err != nil {
			return fmt.Errorf("demo records: %w", err)
		}
	}
	if err := fillDemo(ctx, private.DSN(halfDatabase)); err != nil {
		return err
	}
	if _, err := conn.Exec(ctx, "ALTER DATABASE "+halfDatabase+" RENAME TO "+demoDatabase); err != nil {
		return fmt.Errorf("demo records: %w", err)
	}
	return nil
}

// fillDemo makes the lab through the same services that serve it later.
func fillDemo(ctx context.Context, dsn string) (err error) {
	r, err := connectRecords(ctx, dsn, nil)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, r.close()) }()
	clock := &demolab.Clock{}
	db := postgres.NewDB(r.pool, clock.Now)
	return demolab.Fill(ctx, demolab.Services{
		People:    postgres.NewPeopleStore(db),
		Catalogue: postgres.NewCatalogueStore(db),
		Orders:    postgres.NewOrderStore(db),
		Imports:   postgres.NewImportStore(db),
		Rolls:     postgres.NewRollStore(db),
		Batches:   postgres.NewBatchStore(db),
		Fills:     postgres.NewFillStore(db),
		Strips:    postgres.NewStripStore(db),
		Lots:      postgres.NewLotStore(db),
		Mixes:     postgres.NewMixStore(db),
		Waste:     postgres.NewWasteStore(db),
		Doses:     postgres.NewDoseStore(db),
		Forecasts: postgres.NewForecastStore(db),
		Traces:    postgres.NewTraceStore(db),

		Inspections: postgres.NewInspectionStore(db),
	}, clock, time.Now())
}

// greetDemo says where to look and how to sign in.
func greetDemo(ctx context.Context, r *records, url string, out io.Writer) error {
	orders, err := postgres.NewOrderStore(postgres.NewDB(r.pool, time.Now)).Orders(ctx, jobs.OrderQuery{Open: true, Limit: 100})
	if err != nil {
		return err
	}
	var greeting strings.Builder // written at once, so that nothing comes between
	fmt.Fprintf(&greeting, "\nThe Sallow Quay Film Lab is open: %s\n\n", url)
	for _, s := range demolab.SignIns {
		fmt.Fprintf(&greeting, "  %-9s sign in as %-6s password %s\n", s.Role, s.Name, s.Password)
	}
	if len(orders) > 0 {
		oldest := orders[len(orders)-1]
		fmt.Fprintf(&greeting, "  customer  no sign-in; the private page of order %d: %s/o/%s\n", oldest.ID, url, oldest.Token)
	}
	greeting.WriteString("\nAll of it is invented. Stop with Ctrl-C.\n")
	_, err = io.WriteString(out, greeting.String())
	return err
}

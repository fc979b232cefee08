package main

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"net"
	"strconv"
	"syscall"
	"time"

	"github.com/alexedwards/scs/pgxstore"

	"wetside/jobs/postgres"
	"wetside/server"
)

// defaultAddr is where the program listens unless told otherwise: this machine
// only.
const defaultAddr = "127.0.0.1:8080"

// triedPorts is how many ports after the default one are tried when nobody
// asked for a particular one.
const triedPorts = 20

// stopWithin is how long requests under way may take to end.
const stopWithin = 10 * time.Second

// serveCommand serves the lab.
func serveCommand(ctx context.Context, args []string, io stdio) error {
	flags := newFlags("serve", "serve [--setup] [--addr HOST:PORT] [--https]", io)
	setup := flags.Bool("setup", false, "install PostgreSQL when the machine has none")
	addr := flags.String("addr", defaultAddr, "address to listen on")
	https := flags.Bool("https", false, "the program is reached through HTTPS: cookies are sent over nothing else")
	rest, err := parseFlags(flags, args)
	if err != nil {
		return err
	}
	if len(rest) > 0 {
		return badInput("unexpected %q; serve takes no arguments", rest[0])
	}
	listener, err := listen(*addr)
	if err != nil {
		return err
	}
	defer listener.Close()
	r, err := openRecords(ctx, *setup, io.err)
	if err != nil {
		return err
	}
	r.https = *https
	return serveUntilDone(ctx, r, listener, io, func(ctx context.Context, url string) error {
		return greet(ctx, r, url, io)
	})
}

// greet says where to look, and what is missing on a first day.
func greet(ctx context.Context, r *records, url string, io stdio) error {
	people, err := postgres.NewPeopleStore(postgres.NewDB(r.pool, time.Now)).People(ctx)
	if err != nil {
		return err
	}
	fmt.Fprintf(io.out, "Wetside is open: %s\n", url)
	if len(people) == 0 {
		fmt.Fprintln(io.out, "Nobody can sign in yet. Add an owner with: wetside user add --role owner NAME")
	}
	return nil
}

// listen takes the address that was asked for, or else the default one or the
// next free port after it.
func listen(addr string) (net.Listener, error) {
	if addr != "" {
		return listenOn(addr)
	}
	host, first, err := net.SplitHostPort(defaultAddr)
	if err != nil {
		return nil, err
	}
	port, err := strconv.Atoi(first)
	if err != nil {
		return nil, err
	}
	for next := port; ; next++ {
		listener, err := listenOn(net.JoinHostPort(host, strconv.Itoa(next)))
		if err == nil || !errors.Is(err, syscall.EADDRINUSE) || next == port+triedPorts {
			return listener, err
		}
	}
}

func listenOn(addr string) (net.Listener, error) {
	if _, _, err := net.SplitHostPort(addr); err != nil {
		return nil, badInput("--addr %q is not HOST:PORT, such as %s or :9000", addr, defaultAddr)
	}
	listener, err := net.Listen("tcp", addr)
	if errors.Is(err, syscall.EADDRINUSE) {
		return nil, fmt.Errorf("another program listens on %s already; choose another address with --addr (%w)", addr, err)
	}
	if err != nil {
		return nil, fmt.Errorf("cannot listen on %s: %w", addr, err)
	}
	return listener, nil
}

// serveUntilDone answers requests until the context ends, then lets those under
// way finish and closes the records. Ready is called when it can be reached.
func serveUntilDone(ctx context.Context, r *records, listener net.Listener, io stdio, ready func(ctx context.Context, url string) error) (err error) {
	defer func() { err = errors.Join(err, r.close()) }()
	log := slog.New(slog.NewTextHandler(io.err, &slog.HandlerOptions{Level: slog.LevelWarn}))
	db := postgres.NewDB(r.pool, time.Now)
	upkeep, err := postgres.StartUpkeep(ctx, db, log)
	if err != nil {
		return err
	}
	defer func() {
		stopping, cancel := context.WithTimeout(context.WithoutCancel(ctx), stopWithin)
		defer cancel()
		err = errors.Join(err, upkeep.Stop(stopping))
	}()
	web, err := server.New(services(db), server.Options{
		Secure:       r.https,
		Log:          log,
		Now:          time.Now,
		SessionStore: pgxstore.NewWithCleanupInterval(r.pool, 0), // the upkeep forgets old ones
		Ready:        r.pool.Ping,
		DemoBanner:   r.banner,
	})
	if err != nil {
		return err
	}
	// The listener takes connections already, so nobody who follows the greeting
	// at once is turned away.
	if err := ready(ctx, address(listener)); err != nil {
		return err
	}
	return web.Serve(ctx, listener)
}

// services are the stores, as the server sees them.
func services(db *postgres.DB) server.Services {
	return server.Services{
		People:    postgres.NewPeopleStore(db),
		Catalogue: postgres.NewCatalogueStore(db),
		Orders:    postgres.NewOrderStore(db),
		Imports:   postgres.NewImportStore(db),
		Rolls:     postgres.NewRollStore(db),
		Today:     postgres.NewTodayStore(db),
		Batches:   postgres.NewBatchStore(db),
		Fills:     postgres.NewFillStore(db),
		Lots:      postgres.NewLotStore(db),
		Mixes:     postgres.NewMixStore(db),
		Waste:     postgres.NewWasteStore(db),
		Doses:     postgres.NewDoseStore(db),
		Strips:    postgres.NewStripStore(db),
		Traces:    postgres.NewTraceStore(db),

		Inspections: postgres.NewInspectionStore(db),
		Forecasts:   postgres.NewForecastStore(db),
		Morning:     postgres.NewForecastStore(db),
		Schedules:   postgres.NewScheduleStore(db),
	}
}

// address is where people reach a listener: one that listens everywhere is
// named by this machine.
func address(listener net.Listener) string {
	host, port, err := net.SplitHostPort(listener.Addr().String())
	if err != nil {
		return "http://" + listener.Addr().String()
	}
	if ip := net.ParseIP(host); ip != nil && ip.IsUnspecified() {
		host = "localhost"
	}
	return "http://" + net.JoinHostPort(host, port)
}

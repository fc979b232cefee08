package server_test

import (
	"context"
	"fmt"
	"io"
	"log/slog"
	"net/http/httptest"
	"os"
	"sync"
	"testing"
	"time"

	"github.com/jackc/pgx/v5/pgxpool"

	"wetside/chemistry"
	"wetside/jobs"
	"wetside/jobs/postgres"
	"wetside/jobs/postgres/pgtest"
	"wetside/migrations"
	"wetside/server"
)

func TestMain(m *testing.M) { os.Exit(pgtest.Main(m)) }

// start is when every test begins: a Monday, while the lab is open.
var start = time.Date(2026, 3, 2, 10, 42, 0, 0, time.UTC)

// password signs every invented person in.
const password = "seven wet towels"

// clock stands still until a test moves it.
type clock struct {
	mutex sync.Mutex
	at    time.Time
}

func (c *clock) now() time.Time {
	c.mutex.Lock()
	defer c.mutex.Unlock()
	return c.at
}

func (c *clock) advance(d time.Duration) {
	c.mutex.Lock()
	defer c.mutex.Unlock()
	c.at = c.at.Add(d)
}

// lab is a server over real records of its own: the catalogue below, Kit who
// is staff, Wren who owns the lab, and no orders.
type lab struct {
	*httptest.Server
	clock    *clock
	records  *pgxpool.Pool
	services server.Services
	stocks   map[string]jobs.Stock
}

// open starts a lab; change alters what the server is started with.
func open(t *testing.T, change ...func(*server.Services, *server.Options)) *lab {
	t.Helper()
	pool := pgtest.New(t, fill, fmt.Sprintf("%s server tests of run %d", migrations.Hash(), os.Getpid()))
	l := &lab{clock: &clock{at: start}, records: pool, stocks: map[string]jobs.Stock{}}
	db := postgres.NewDB(pool, l.clock.now)
	l.services = server.Services{
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
	catalogue, err := l.services.Catalogue.Catalogue(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	for _, stock := range catalogue.Stocks {
		l.stocks[stock.Name] = stock
	}
	options := server.Options{Now: l.clock.now, Log: slog.New(slog.NewTextHandler(io.Discard, nil))}
	services := l.services
	for _, one := range change {
		one(&services, &options)
	}
	made, err := server.New(services, options)
	if err != nil {
		t.Fatal(err)
	}
	l.Server = httptest.NewServer(made.Handler())
	t.Cleanup(l.Close)
	return l
}

// fill makes the records that every test begins with.
func fill(ctx context.Context, pool *pgxpool.Pool) error {
	if err := migrations.Up(ctx, pool); err != nil {
		return err
	}
	db := postgres.NewDB(pool, func() time.Time { return start })
	people := postgres.NewPeopleStore(db)
	for name, role := range map[string]jobs.Role{"Kit": jobs.Staff, "Wren": jobs.Owner} {
		if _, err := people.AddPerson(ctx, jobs.Program, name, role, password); err != nil {
			return err
		}
	}
	return fillCatalogue(ctx, postgres.NewCatalogueStore(db))
}

// fillCatalogue saves invented stocks, solutions and lines. The times of
// Marl 400 are those published for a conventional ISO 400 film in MQ borax and
// PQ liquid 1+4 (HARMAN technology, information sheet of July 2004, p. 3).
func fillCatalogue(ctx context.Context, store jobs.CatalogueService) error {
	catalogue, err := store.Catalogue(ctx)
	if err != nil {
		return err
	}
	about := catalogue.Lab
	about.Name, about.TimeZone = "Sallow Quay Film Lab", "Europe/Amsterdam"
	about.ReturnAddress = "Sallow Quay 4\nby the lock"
	if _, err := store.SaveLab(ctx, jobs.Program, about); err != nil {
		return err
	}
	var developers []jobs.SolutionID
	for _, solution := range []jobs.Solution{
		{Name: "MQ borax", Process: chemistry.BW, Family: chemistry.BWDeveloper, Use: chemistry.Reused, TempC: 20, PerRollPercent: 10, CapacityM2PerL: 0.5, Active: true},
		{Name: "PQ fine grain 1+4", Process: chemistry.BW, Family: chemistry.BWDeveloper, Use: chemistry.OneShot, TempC: 20, Active: true},
	} {
		saved, err := store.SaveSolution(ctx, jobs.Program, solution)
		if err != nil {
			return err
		}
		developers = append(developers, saved.ID)
	}
	for _, stock := range testStocks(developers[0], developers[1]) {
		if _, err := store.SaveStock(ctx, jobs.Program, stock); err != nil {
			return fmt.Errorf("%s: %w", stock.Name, err)
		}
	}
	_, err = store.SaveLine(ctx, jobs.Program, jobs.Line{
		Name: "Drum", Capacity: 15, Turnaround: 1500, Rotary: true, Active: true,
		Runs:  []jobs.LineProcess{{Process: chemistry.BW}, {Process: chemistry.C41}, {Process: chemistry.E6}},
		Takes: map[chemistry.Format]int{chemistry.Format135: 3, chemistry.Format120: 5},
	})
	return err
}

func testStocks(mq, pq jobs.SolutionID) []jobs.Stock {
	rows := func(solution jobs.SolutionID, normal, one, two int) jobs.StockTimes {
		return jobs.StockTimes{Solution: solution, Source: "maker's sheet", Rows: []chemistry.BWRow{{TempC: 20, Seconds: normal}},
			PushRows: []chemistry.PushTime{{Push: chemistry.Stop, Seconds: one}, {Push: 2 * chemistry.Stop, Seconds: two}}}
	}
	colour := func(kind chemistry.Kind, process chemistry.Process, iso int) chemistry.Film {
		return chemistry.Film{Kind: kind, Process: process, Remjet: chemistry.RemjetNone, Balance: chemistry.Daylight,
			ISODaylight: iso, MaxPush: 2 * chemistry.Stop, MaxPull: chemistry.Stop}
	}
	bare := colour(chemistry.ColourNegative, chemistry.C41, 200)
	bare.Remjet, bare.Balance, bare.ISOTungsten = chemistry.RemjetRemoved, chemistry.Tungsten, 320
	return []jobs.Stock{
		{Name: "Marl 400", Solution: mq, Times: []jobs.StockTimes{rows(mq, 450, 630, 840), rows(pq, 540, 600, 780)}, Active: true,
			Film: chemistry.Film{Kind: chemistry.BlackAndWhite, Process: chemistry.BW, Remjet: chemistry.RemjetNone,
				Balance: chemistry.Panchromatic, ISODaylight: 400, ISOTungsten: 400, MaxPush: 3 * chemistry.Stop, MaxPull: chemistry.Stop}},
		{Name: "Sedge 160", Active: true, Film: colour(chemistry.ColourNegative, chemistry.C41, 160)},
		{Name: "Sedge 640", Active: true, Film: colour(chemistry.ColourNegative, chemistry.C41, 640)},
		{Name: "Reedmace 320T bare", Active: true, Film: bare},
		{Name: "Teal Slide 100", Active: true, Film: colour(chemistry.Reversal, chemistry.E6, 100)},
		{Name: "Sedge 80", Film: colour(chemistry.ColourNegative, chemistry.C41, 80)}, // no longer taken
	}
}

package postgres

import (
	"context"
	"fmt"
	"os"
	"sync"
	"testing"
	"time"

	"github.com/jackc/pgx/v5/pgxpool"

	"wetside/chemistry"
	"wetside/jobs"
	"wetside/jobs/postgres/pgtest"
	"wetside/migrations"
)

func TestMain(m *testing.M) { os.Exit(pgtest.Main(m)) }

// fixtureStart is when every test begins: a Monday, while the lab is open.
var fixtureStart = time.Date(2026, 3, 2, 10, 42, 0, 0, time.UTC)

// ada is the member of staff who acts in tests.
var ada = jobs.Actor{Name: "Ada"}

// testClock is a clock that stands still until it is told otherwise.
type testClock struct {
	mutex sync.Mutex
	at    time.Time
}

func (c *testClock) now() time.Time {
	c.mutex.Lock()
	defer c.mutex.Unlock()
	return c.at
}

func (c *testClock) advance(d time.Duration) {
	c.mutex.Lock()
	defer c.mutex.Unlock()
	c.at = c.at.Add(d)
}

// testLab is a lab with the catalogue of the fixture and no orders, in a
// database of its own.
type testLab struct {
	t         testing.TB
	db        *DB
	clock     *testClock
	people    *PeopleStore
	catalogue *CatalogueStore
	orders    *OrderStore
	rolls     *RollStore
	today     *TodayStore
	batches   *BatchStore
	fills     *FillStore
}

// newLab returns a fresh lab. The catalogue is filled in once for the test run
// and copied.
func newLab(t testing.TB) *testLab {
	t.Helper()
	fill := func(ctx context.Context, pool *pgxpool.Pool) error {
		if err := migrations.Up(ctx, pool); err != nil {
			return err
		}
		return fillCatalogue(ctx, NewCatalogueStore(NewDB(pool, func() time.Time { return fixtureStart })))
	}
	pool := pgtest.New(t, fill, fmt.Sprintf("%s with the catalogue of run %d", migrations.Hash(), os.Getpid()))
	clock := &testClock{at: fixtureStart}
	db := NewDB(pool, clock.now)
	return &testLab{
		t: t, db: db, clock: clock,
		people: NewPeopleStore(db), catalogue: NewCatalogueStore(db), orders: NewOrderStore(db),
		rolls: NewRollStore(db), today: NewTodayStore(db), batches: NewBatchStore(db), fills: NewFillStore(db),
	}
}

// The stocks, solutions and lines of the fixture. Their keys are in the order
// in which they were saved.
const (
	mqBorax jobs.SolutionID = iota + 1 // reused, the usual developer
	pqFine                             // one-shot
	c41Developer
)

const (
	marl125 jobs.StockID = iota + 1
	marl400
	sedge160
	sedge640
	reedmace        // ECN-2, remjet present
	reedmaceBare    // C-41, remjet removed
	reedmaceUnknown // C-41, remjet unknown
	tealSlide
	marl400Untimed // black and white without any time
)

const (
	drum        jobs.LineID = iota + 1 // rotary: C-41, E-6, BW
	handTanks                          // BW
	dipAndDunk                         // C-41
	cineMachine                        // ECN-2
)

func fixtureSolutions() []jobs.Solution {
	return []jobs.Solution{
		{Name: "MQ borax", Process: chemistry.BW, Family: chemistry.BWDeveloper, Use: chemistry.Reused, TempC: 20, PerRollPercent: 10, CapacityM2PerL: 0.5, Active: true},
		{Name: "PQ fine grain 1+4", Process: chemistry.BW, Family: chemistry.BWDeveloper, Use: chemistry.OneShot, TempC: 20, Active: true},
		{Name: "C-41 developer", Process: chemistry.C41, Family: chemistry.ColourDeveloper, Use: chemistry.Replenished, TempC: 37.8, Active: true},
	}
}

// fixtureStocks are invented films; the times of the black-and-white ones are
// those published for a conventional ISO 400 film in MQ borax and PQ liquid
// 1+4 (HARMAN technology, information sheet of July 2004, p. 3).
func fixtureStocks() []jobs.Stock {
	grey := func(name string, iso int, times ...jobs.StockTimes) jobs.Stock {
		return jobs.Stock{Name: name, Solution: mqBorax, Times: times, Active: true, Film: chemistry.Film{
			Kind: chemistry.BlackAndWhite, Process: chemistry.BW, Remjet: chemistry.RemjetNone, Balance: chemistry.Panchromatic,
			ISODaylight: iso, ISOTungsten: iso, MaxPush: 3 * chemistry.Stop, MaxPull: chemistry.Stop}}
	}
	colour := func(name string, kind chemistry.Kind, process chemistry.Process, remjet chemistry.Remjet, iso int) jobs.Stock {
		return jobs.Stock{Name: name, Active: true, Film: chemistry.Film{
			Kind: kind, Process: process, Remjet: remjet, Balance: chemistry.Daylight,
			ISODaylight: iso, MaxPush: 2 * chemistry.Stop, MaxPull: chemistry.Stop}}
	}
	mq := jobs.StockTimes{Solution: mqBorax, Source: "maker's sheet", Rows: []chemistry.BWRow{{TempC: 20, Seconds: 450}},
		PushRows: []chemistry.PushTime{{Push: chemistry.Stop, Seconds: 630}, {Push: 2 * chemistry.Stop, Seconds: 840}}}
	pq := jobs.StockTimes{Solution: pqFine, Source: "maker's sheet", Rows: []chemistry.BWRow{{TempC: 20, Seconds: 540}},
		PushRows: []chemistry.PushTime{{Push: chemistry.Stop, Seconds: 600}, {Push: 2 * chemistry.Stop, Seconds: 780}}}
	untimed := grey("Marl 400 old", 400)
	untimed.Solution = 0
	tungsten := func(stock jobs.Stock) jobs.Stock {
		stock.Film.Balance, stock.Film.ISOTungsten, stock.Film.ISODaylight = chemistry.Tungsten, 320, 200
		return stock
	}
	return []jobs.Stock{
		grey("Marl 125", 125, jobs.StockTimes{Solution: mqBorax, Source: "maker's sheet", Rows: []chemistry.BWRow{{TempC: 20, Seconds: 390}}}),
		grey("Marl 400", 400, mq, pq),
		colour("Sedge 160", chemistry.ColourNegative, chemistry.C41, chemistry.RemjetNone, 160),
		colour("Sedge 640", chemistry.ColourNegative, chemistry.C41, chemistry.RemjetNone, 640),
		tungsten(colour("Reedmace 320T", chemistry.ColourNegative, chemistry.ECN2, chemistry.RemjetPresent, 0)),
		tungsten(colour("Reedmace 320T bare", chemistry.ColourNegative, chemistry.C41, chemistry.RemjetRemoved, 0)),
		tungsten(colour("Reedmace 320T unsorted", chemistry.ColourNegative, chemistry.C41, chemistry.RemjetUnknown, 0)),
		colour("Teal Slide 100", chemistry.Reversal, chemistry.E6, chemistry.RemjetNone, 100),
		untimed,
	}
}

func fixtureLines() []jobs.Line {
	return []jobs.Line{
		{Name: "Drum", Capacity: 15, Turnaround: 1500, Rotary: true, Active: true,
			Runs:  []jobs.LineProcess{{Process: chemistry.BW}, {Process: chemistry.C41}, {Process: chemistry.E6}},
			Takes: map[chemistry.Format]int{chemistry.Format135: 3, chemistry.Format120: 5, chemistry.Format220: 10}},
		{Name: "Hand tanks", Capacity: 8, Turnaround: 1200, Active: true,
			Runs:  []jobs.LineProcess{{Process: chemistry.BW}},
			Takes: map[chemistry.Format]int{chemistry.Format135: 1, chemistry.Format120: 2, chemistry.Format4x5: 1}},
		{Name: "Dip and dunk", Capacity: 20, Turnaround: 1800, Active: true,
			Runs:  []jobs.LineProcess{{Process: chemistry.C41}},
			Takes: map[chemistry.Format]int{chemistry.Format135: 1, chemistry.Format120: 1, chemistry.Format220: 2}},
		{Name: "Cine machine", Capacity: 10, Turnaround: 2400, Active: true,
			Runs:  []jobs.LineProcess{{Process: chemistry.ECN2}},
			Takes: map[chemistry.Format]int{chemistry.Format135: 1}},
	}
}

func fillCatalogue(ctx context.Context, store *CatalogueStore) error {
	for _, solution := range fixtureSolutions() {
		if _, err := store.SaveSolution(ctx, jobs.Program, solution); err != nil {
			return err
		}
	}
	for _, stock := range fixtureStocks() {
		if _, err := store.SaveStock(ctx, jobs.Program, stock); err != nil {
			return fmt.Errorf("%s: %w", stock.Name, err)
		}
	}
	for _, line := range fixtureLines() {
		if _, err := store.SaveLine(ctx, jobs.Program, line); err != nil {
			return fmt.Errorf("%s: %w", line.Name, err)
		}
	}
	return nil
}

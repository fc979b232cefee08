// Package demolab fills empty records with the Sallow Quay Film Lab: an
// invented lab with its lines, stocks and solutions, and sixty orders of the
// last days in every state, beside a few that a shop sent in a file. It works through the same services as everybody
// else, with the clock set back, so that nothing in the demo is possible only
// there. The same moment always gives the same lab, keys of private pages
// aside.
package demolab

import (
	"context"
	"fmt"
	"math/rand/v2"
	"sync/atomic"
	"time"

	"wetside/jobs"
)

// Services are what the demo lab is filled through.
type Services struct {
	People    jobs.PeopleService
	Catalogue jobs.CatalogueService
	Orders    jobs.OrderService
	Imports   jobs.ImportService
	Rolls     jobs.RollService
	Batches   jobs.BatchService
	Fills     jobs.FillService
	Strips    jobs.StripService
	Lots      jobs.LotService
	Mixes     jobs.MixService
	Waste     jobs.WasteService
	Doses     jobs.DoseService
	Forecasts jobs.ForecastService
	Traces    jobs.TraceService

	Inspections jobs.InspectionService
}

// Clock is the time of the demo's past. It is set, and read by the services.
type Clock struct{ at atomic.Pointer[time.Time] }

// Now returns the moment the clock was last set to.
func (c *Clock) Now() time.Time { return *c.at.Load() }

// Set moves the clock.
func (c *Clock) Set(at time.Time) { c.at.Store(&at) }

// SignIn is a name and password of the demo.
type SignIn struct {
	Name, Password string
	Role           jobs.Role
}

// SignIns are the people of the demo who sign in. The passwords are printed and
// public; nothing of worth is behind them.
var SignIns = []SignIn{
	{"bench", "red-safelight", jobs.Staff},
	{"owner", "quiet-harbour", jobs.Owner},
}

// days is how far back the demo's past begins.
const days = 6

// orders is how many orders the demo has.
const orders = 60

// seed makes the demo's choices, the same every time.
const seed = 125400

// lab is the demo in the making.
type lab struct {
	Services
	clock  *Clock
	now    time.Time // the real present, at which the past must end
	random *rand.Rand
	staff  jobs.Actor
	owner  jobs.Actor
	stocks map[string]jobs.Stock
	mixes  map[mixKey]poured // in use
	lots   int               // that came in
	hauled bool
}

// Fill makes the whole demo in empty records. The clock is what the services
// read; it ends at now.
func Fill(ctx context.Context, services Services, clock *Clock, now time.Time) error {
	l := &lab{
		Services: services, clock: clock, now: now,
		random: rand.New(rand.NewPCG(seed, seed)),
		stocks: map[string]jobs.Stock{},
		mixes:  map[mixKey]poured{},
	}
	clock.Set(now.AddDate(0, 0, -days-1))
	if err := l.open(ctx); err != nil {
		return fmt.Errorf("demo lab: %w", err)
	}
	if err := l.live(ctx); err != nil {
		return fmt.Errorf("demo lab: %w", err)
	}
	clock.Set(now)
	return nil
}

// open makes the people and the catalogue and fills the tanks.
func (l *lab) open(ctx context.Context) error {
	for _, s := range SignIns {
		person, err := l.People.AddPerson(ctx, jobs.Program, s.Name, s.Role, s.Password)
		if err != nil {
			return err
		}
		if s.Role == jobs.Staff {
			l.staff = person.Actor()
		} else {
			l.owner = person.Actor()
		}
	}
	if err := l.openStore(ctx); err != nil {
		return err
	}
	if err := l.stockUp(ctx); err != nil {
		return err
	}
	return l.openStripBox(ctx)
}

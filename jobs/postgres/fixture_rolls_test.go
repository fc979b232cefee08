package postgres

import (
	"context"
	"sync"
	"testing"

	"wetside/chemistry"
	"wetside/jobs"
)

// newRoll is a roll of 135 with 36 exposures and nothing special about it.
func newRoll(stock jobs.StockID) jobs.NewRoll {
	return jobs.NewRoll{Stock: stock, Format: chemistry.Format135, Exposures: 36,
		Service: jobs.Service{CutAndSleeve: true, ReturnNegatives: true}}
}

// pushed is newRoll with a push, in whole stops, and the rating it makes good.
func pushed(stock jobs.StockID, stops int) jobs.NewRoll {
	roll := newRoll(stock)
	push := chemistry.Stops(stops) * chemistry.Stop
	roll.Push = &push
	return roll
}

// newOrder is an order to collect.
func newOrder(rolls ...jobs.NewRoll) jobs.NewOrder {
	return jobs.NewOrder{Name: "Wren Alder", Email: "wren@example.org", Return: jobs.Collect, Rolls: rolls}
}

// order submits rolls as one order.
func (l *testLab) order(rolls ...jobs.NewRoll) jobs.Order {
	l.t.Helper()
	order, _, err := l.orders.Submit(context.Background(), jobs.Customer, newOrder(rolls...), "")
	l.must(err)
	return order
}

// found is a check-in that finds a roll as it was ordered.
func found(roll jobs.Roll) jobs.CheckIn {
	return jobs.CheckIn{Roll: roll.ID, Version: roll.Version, Stock: roll.Stock, Format: roll.Format, Exposures: roll.Exposures}
}

// checkedIn submits rolls as one order and checks them in as ordered.
func (l *testLab) checkedIn(rolls ...jobs.NewRoll) []jobs.Roll {
	l.t.Helper()
	in := make([]jobs.Roll, len(rolls))
	for i, roll := range l.order(rolls...).Rolls {
		var err error
		in[i], err = l.rolls.CheckIn(context.Background(), ada, found(roll))
		l.must(err)
	}
	return in
}

// queued is checkedIn for rolls with nothing open about them.
func (l *testLab) queued(rolls ...jobs.NewRoll) []jobs.Roll {
	l.t.Helper()
	in := l.checkedIn(rolls...)
	for _, roll := range in {
		if roll.State != jobs.Queued {
			l.t.Fatalf("roll %s is %s, not queued: %s", roll.Label(), roll.State, roll.Question)
		}
	}
	return in
}

// must ends the test on an error that the fixture did not expect.
func (l *testLab) must(err error) {
	l.t.Helper()
	if err != nil {
		l.t.Fatal(err)
	}
}

// count runs a query that counts.
func (l *testLab) count(sql string, args ...any) (n int) {
	l.t.Helper()
	l.must(l.db.pool.QueryRow(context.Background(), sql, args...).Scan(&n))
	return n
}

// exec runs SQL by hand.
func (l *testLab) exec(sql string, args ...any) {
	l.t.Helper()
	_, err := l.db.pool.Exec(context.Background(), sql, args...)
	l.must(err)
}

// atOnce runs something several times at once and fails the test on any error.
func (l *testLab) atOnce(n int, run func(ctx context.Context, i int) error) {
	l.t.Helper()
	for i, err := range l.race(n, run) {
		if err != nil {
			l.t.Errorf("%d of %d at once: %v", i, n, err)
		}
	}
}

// race runs something several times at once and returns what came of each.
func (l *testLab) race(n int, run func(ctx context.Context, i int) error) []error {
	errs := make([]error, n)
	start := make(chan struct{})
	var group sync.WaitGroup
	for i := range n {
		group.Go(func() {
			<-start
			errs[i] = run(context.Background(), i)
		})
	}
	close(start)
	group.Wait()
	return errs
}

// wantCode fails the test unless an error is one for people with this code.
func wantCode(t testing.TB, err error, code jobs.Code) {
	t.Helper()
	if jobs.CodeOf(err) != code {
		t.Errorf("got %v, want an error of the kind %q", err, code)
	}
}

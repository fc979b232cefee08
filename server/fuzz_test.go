package server_test

import (
	"context"
	"io"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"wetside/jobs"
	"wetside/server"
)

// shelf is a catalogue that needs no records.
type shelf struct{ jobs.CatalogueService }

func (shelf) Catalogue(context.Context) (jobs.Catalogue, error) {
	c := jobs.Catalogue{
		Lab:       jobs.Lab{Name: "Sallow Quay Film Lab", TimeZone: "UTC", ReadyHours: 72, OpensAt: 8, ClosesAt: 18},
		Stocks:    map[jobs.StockID]jobs.Stock{},
		Solutions: map[jobs.SolutionID]jobs.Solution{1: {ID: 1, Name: "MQ borax", TempC: 20, Active: true}, 2: {ID: 2, Name: "PQ fine grain", TempC: 20, Active: true}},
	}
	for i, stock := range testStocks(1, 2) {
		stock.ID = jobs.StockID(i + 1)
		c.Stocks[stock.ID] = stock
	}
	return c, nil
}

// counter takes every order that is right, and keeps none.
type counter struct{ jobs.OrderService }

func (counter) Workload(context.Context) (jobs.Workload, error) { return jobs.Workload{}, nil }

func (counter) Submit(_ context.Context, _ jobs.Actor, order jobs.NewOrder, _ string) (jobs.Order, bool, error) {
	c, _ := shelf{}.Catalogue(context.Background())
	taken, err := jobs.Admit(order, c, jobs.Workload{}, start)
	return taken, false, err
}

// Whatever is sent as an order form, it is answered: with a page, or with what
// is wrong, and never with a fault of ours.
func FuzzOrderForm(f *testing.F) {
	for _, seed := range []string{
		"do=review&name=Fen&email=fen%40example.org&return=collect&rolls[0].stock=1&rolls[0].format=135&rolls[0].note=push+2",
		"do=submit&name=Fen&email=fen%40example.org&return=post&address=x&rolls[0].stock=2&rolls[0].format=120&rolls[0].push=%2B1%2F2&rolls[0].ei=320",
		"do=remove-0&rolls[1].stock=5", "do=add&rolls[49].ei=1", "do=copy-1&rolls[01].ei=1", "rolls[-1].ei=1", "rolls[99999999999999999999].ei=1",
		"do=read&rolls[0].stock=4&rolls[0].light=tungsten&rolls[0].filter=85b&rolls[0].format=4x5&rolls[0].exposures=250",
		"do=read&rolls[0].push=%E2%88%921%E2%85%93&rolls[0].stock=3", "rolls[0]=1&rolls[]=2&rolls.x=3", "do=review&name=%00%FF", "%zz", "",
	} {
		f.Add(seed)
	}
	// Every look at the clock is an hour later, so that nobody is held back.
	var hours atomic.Int64
	made, err := server.New(server.Services{Catalogue: shelf{}, Orders: counter{}}, server.Options{
		Log: slog.New(slog.NewTextHandler(io.Discard, nil)),
		Now: func() time.Time { return start.Add(time.Duration(hours.Add(1)) * time.Hour) },
	})
	if err != nil {
		f.Fatal(err)
	}
	f.Fuzz(func(t *testing.T, form string) {
		request := httptest.NewRequestWithContext(t.Context(), http.MethodPost, "/send", strings.NewReader(form))
		request.Header.Set("Content-Type", "application/x-www-form-urlencoded")
		answered := httptest.NewRecorder()
		made.Handler().ServeHTTP(answered, request)
		switch answered.Code {
		case http.StatusOK, http.StatusSeeOther, http.StatusBadRequest, http.StatusUnprocessableEntity,
			http.StatusRequestEntityTooLarge:
		default:
			t.Errorf("%q: %d\n%s", form, answered.Code, answered.Body)
		}
	})
}

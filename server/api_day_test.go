package server_test

import (
	"encoding/json"
	"fmt"
	"net/http"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"wetside/chemistry"
	"wetside/jobs"
	"wetside/server/api"
)

// A roll goes from the order to its owner through the API alone.
func TestADayThroughTheAPI(t *testing.T) {
	t.Parallel()
	l := open(t)
	customer, staff := l.caller(t), l.signedIn(t, "Kit")

	order := sendTwice(t, customer, stockCalled(t, customer, "Sedge 640"))
	roll := order.Rolls[0]
	if track := follow(t, customer, order); track.State != jobs.OrderExpected {
		t.Errorf("tracked: %+v", track)
	}

	in := ask[api.Roll](staff, http.MethodPost, rollPath(roll.Id, "check-in"), `{"version":1}`, http.StatusOK)
	if in.State != jobs.Queued || in.TwinCheck == "" {
		t.Fatalf("checked in: %+v", in)
	}
	found := ask[api.Roll](staff, http.MethodGet, "/twin-checks/"+strings.ToLower(in.TwinCheck), "", http.StatusOK)
	if found.Id != roll.Id || found.CustomerName != "Fern Hollow" || found.StockName != "Sedge 640" {
		t.Errorf("found by twin-check: %+v", found)
	}

	develop(t, l, staff, roll.Id)

	for _, want := range []jobs.RollState{jobs.Finishing, jobs.Ready} {
		now := ask[api.Roll](staff, http.MethodGet, rollPath(roll.Id, ""), "", http.StatusOK)
		now = ask[api.Roll](staff, http.MethodPost, rollPath(roll.Id, "advance"), seen(now.Version), http.StatusOK)
		if now.State != want {
			t.Fatalf("dry side: %s, want %s", now.State, want)
		}
	}
	gone := ask[api.Delivered](staff, http.MethodPost, "/deliveries", fmt.Sprintf(`{"rolls":[%d],"how":"collect"}`, roll.Id), http.StatusCreated)
	if len(gone.Rolls) != 1 || gone.Rolls[0].State != jobs.Delivered {
		t.Errorf("delivered: %+v", gone)
	}
	if track := follow(t, customer, order); track.State != jobs.OrderDelivered || track.Rolls[0].State != jobs.Delivered {
		t.Errorf("tracked: %+v", track)
	}
	checkTold(t, staff, roll.Id)

	staff.send(http.MethodDelete, "/session", "").status(http.StatusNoContent)
	staff.refused(http.MethodGet, "/session", "", http.StatusUnauthorized, jobs.Unauthorised, "", "Sign in")
}

func rollPath(id jobs.RollID, what string) string {
	return strings.TrimSuffix(fmt.Sprintf("/rolls/%d/%s", id, what), "/")
}

func batchPath(id jobs.BatchID, what string) string {
	return strings.TrimSuffix(fmt.Sprintf("/batches/%d/%s", id, what), "/")
}

func seen(version int) string { return fmt.Sprintf(`{"version":%d}`, version) }

// stockCalled finds a stock that is on offer.
func stockCalled(t *testing.T, c caller, name string) jobs.StockID {
	t.Helper()
	for _, stock := range ask[api.Stocks](c, http.MethodGet, "/stocks", "", http.StatusOK).Stocks {
		if stock.Name == name {
			return stock.Id
		}
	}
	t.Fatalf("no stock called %s", name)
	return 0
}

// sendTwice sends an order of one roll pushed a stop, which is taken once.
func sendTwice(t *testing.T, c caller, stock jobs.StockID) api.OrderTaken {
	t.Helper()
	roll := fmt.Sprintf(`{"stock":%d,"format":"135","exposures":36,"ei":1250,"push":1,"light":"daylight"}`, stock)
	read := ask[api.RollReading](c, http.MethodPost, "/roll-readings", roll, http.StatusOK)
	if read.Iso != 640 || read.Rated != chemistry.Stop || read.Asked != chemistry.Stop || read.Left != 0 || read.Confirm {
		t.Errorf("read: %+v", read)
	}
	order := func(name string) string {
		return `{"name":"` + name + `","email":"fern@example.org","return":"collect","rolls":[` + roll + `]}`
	}
	first := ask[api.OrderTaken](c, http.MethodPost, "/orders", order("Fern Hollow"), http.StatusCreated, "Idempotency-Key", "k-1")
	again := ask[api.OrderTaken](c, http.MethodPost, "/orders", order("Fern Hollow"), http.StatusOK, "Idempotency-Key", "k-1")
	if diff := cmp.Diff(first, again); diff != "" {
		t.Errorf("sent again:\n%s", diff)
	}
	c.refused(http.MethodPost, "/orders", order("Moss Hollow"), http.StatusConflict, jobs.Duplicate, "", "this key", "Idempotency-Key", "k-1")
	return first
}

// follow asks for an order by the path that its customer was given.
func follow(t *testing.T, c caller, order api.OrderTaken) api.Tracking {
	t.Helper()
	path, ok := strings.CutPrefix(order.Tracking, "/api/v1")
	if !ok {
		t.Fatalf("tracking at %q", order.Tracking)
	}
	track := ask[api.Tracking](c, http.MethodGet, path, "", http.StatusOK)
	if track.Number != order.Number || len(track.Rolls) != len(order.Rolls) {
		t.Errorf("tracked: %+v", track)
	}
	return track
}

// develop takes a queued roll through a batch as the plan proposes it. The
// time of C-41 pushed a stop is 3:45 (Kodak TI-2420, push table).
func develop(t *testing.T, l *lab, staff caller, roll jobs.RollID) {
	t.Helper()
	proposal := ask[api.Proposal](staff, http.MethodGet, "/proposal", "", http.StatusOK)
	if len(proposal.Batches) != 1 || !proposal.Proven || len(proposal.Left) != 0 {
		t.Fatalf("proposed: %+v", proposal)
	}
	draft, err := json.Marshal(proposal.Batches[0].Accept)
	if err != nil {
		t.Fatal(err)
	}
	batch := ask[api.Batch](staff, http.MethodPost, "/batches", string(draft), http.StatusCreated)
	for _, what := range []string{"lock", "unlock", "lock"} {
		batch = ask[api.Batch](staff, http.MethodPost, batchPath(batch.Id, what), seen(batch.Version), http.StatusOK)
	}
	sheet := ask[api.RunSheet](staff, http.MethodGet, batchPath(batch.Id, "run-sheet"), "", http.StatusOK)
	developing := ""
	for _, step := range sheet.Steps {
		if step.Develop {
			developing = fmt.Sprintf("%s %d s at %.1f", step.Solution, step.Seconds, step.TempC)
		}
	}
	if sheet.Development.Seconds != 225 || developing != "colour developer 225 s at 37.8" {
		t.Errorf("developing %+v, step %q", sheet.Development, developing)
	}
	if len(sheet.Cautions) == 0 {
		t.Error("no caution on the run sheet")
	}
	batch = ask[api.Batch](staff, http.MethodPost, batchPath(batch.Id, "start"),
		fmt.Sprintf(`{"version":%d,"developer_c":37.8}`, batch.Version), http.StatusOK)
	if batch.State != jobs.BatchDeveloping || batch.DevelopS != 225 || !batch.StartedAt.Equal(start) {
		t.Errorf("started: %+v", batch)
	}
	staff.send(http.MethodPost, batchPath(batch.Id, "readings"), `{"step":"developer","temp_c":37.9}`).status(http.StatusNoContent)
	sheet = ask[api.RunSheet](staff, http.MethodGet, batchPath(batch.Id, "run-sheet"), "", http.StatusOK)
	if len(sheet.Readings) != 2 || sheet.Readings[1].TempC != 37.9 || sheet.Readings[1].By != "Kit" {
		t.Errorf("readings %+v", sheet.Readings)
	}
	batch = ask[api.Batch](staff, http.MethodPost, batchPath(batch.Id, "finish"), seen(batch.Version), http.StatusOK)
	if batch.State != jobs.BatchFinished || batch.Rolls[0].Id != roll || batch.Rolls[0].State != jobs.Drying {
		t.Errorf("finished: %+v", batch)
	}
}

// checkTold compares what the record tells of the roll, and the lists.
func checkTold(t *testing.T, staff caller, roll jobs.RollID) {
	t.Helper()
	var states []string
	for _, event := range ask[api.Events](staff, http.MethodGet, rollPath(roll, "events"), "", http.StatusOK).Events {
		if event.To != event.From {
			states = append(states, event.To)
		}
	}
	want := []string{"expected", "received", "queued", "batched", "developing", "drying", "finishing", "ready", "delivered"}
	if diff := cmp.Diff(want, states); diff != "" {
		t.Errorf("states of the roll:\n%s", diff)
	}
	today := ask[api.Today](staff, http.MethodGet, "/today", "", http.StatusOK)
	for state, n := range today.Counts {
		if n != 0 {
			t.Errorf("today counts %d %s", n, state)
		}
	}
	if orders := ask[api.Orders](staff, http.MethodGet, "/orders?open=true", "", http.StatusOK); len(orders.Orders) != 0 {
		t.Errorf("open orders: %+v", orders)
	}
	if rolls := ask[api.Rolls](staff, http.MethodGet, "/rolls?state=delivered&state=ready&search=fern", "", http.StatusOK); len(rolls.Rolls) != 1 {
		t.Errorf("delivered rolls: %+v", rolls)
	}
}

package server_test

import (
	"fmt"
	"net/http"
	"testing"

	"wetside/jobs"
	"wetside/server/api"
)

// A black-and-white roll is asked about, goes into a fill of a reused
// developer, and is the one that a stopped batch leaves dry.
func TestFillsAndStoppedBatchesThroughTheAPI(t *testing.T) {
	t.Parallel()
	l := open(t)
	c := l.signedIn(t, "Kit")
	marl := fmt.Sprintf(`{"stock":%d,"format":"135"}`, l.stocks["Marl 400"].ID)
	first, second := c.order(marl), c.order(marl)
	in := ask[api.Roll](c, "POST", rollPath(first.Id, "check-in"), `{"version":1,"question":"Which side is the tear on?"}`, http.StatusOK)
	if in.State != jobs.Held || in.Question == "" {
		t.Fatalf("held: %+v", in)
	}
	if today := ask[api.Today](c, "GET", "/today", "", http.StatusOK); len(today.Held) != 1 || today.Counts["held"] != 1 || today.Counts["expected"] != 1 {
		t.Errorf("today: %+v", today)
	}
	in = ask[api.Roll](c, "POST", rollPath(first.Id, "answer"), fmt.Sprintf(`{"version":%d,"answer":"The outer one","push":1}`, in.Version), http.StatusOK)
	if in.State != jobs.Queued || in.Push != 6 || in.Answer != "The outer one" {
		t.Errorf("answered: %+v", in)
	}
	ask[api.Roll](c, "POST", rollPath(second.Id, "check-in"), `{"version":1,"confirmed":true,"push":1,"ei":800}`, http.StatusOK)

	line := ask[api.Lines](c, "GET", "/lines", "", http.StatusOK).Lines[0].Id
	batch := ask[api.Batch](c, "POST", "/batches", fmt.Sprintf(`{"line":%d,"rolls":[%d],"planned_start":"2026-03-02T12:00:00+01:00"}`, line, first.Id), http.StatusCreated)
	moved := ask[api.Roll](c, "POST", rollPath(second.Id, "move"), fmt.Sprintf(`{"version":2,"batch":%d}`, batch.Id), http.StatusOK)
	if moved.State != jobs.Batched || moved.Batch != batch.Id {
		t.Errorf("moved: %+v", moved)
	}
	batch = ask[api.Batch](c, "GET", batchPath(batch.Id, ""), "", http.StatusOK)
	start := fmt.Sprintf(`{"version":%d,"developer_c":20}`, batch.Version)
	c.refused("POST", batchPath(batch.Id, "start"), start, refusedInput, jobs.Refused, "fills", "pour a fill")

	pour := fmt.Sprintf(`{"solution":%d,"line":%d,"volume_ml":1000}`, batch.Solution, line)
	fill := ask[api.Fill](c, "POST", "/fills", pour, http.StatusCreated)
	c.refused("POST", "/fills", pour, conflict, jobs.WrongState, "", "dump it first")
	c.refused("POST", "/fills", fmt.Sprintf(`{"solution":9999,"line":%d,"volume_ml":0}`, line), refusedInput, jobs.Invalid, "volume_ml", "at least 1")
	batch = ask[api.Batch](c, "POST", batchPath(batch.Id, "start"), start, http.StatusOK)
	c.refused("POST", fmt.Sprintf("/fills/%d/dump", fill.Id), `{"reason":"old"}`, conflict, jobs.WrongState, "", "running")

	batch = ask[api.Batch](c, "POST", batchPath(batch.Id, "stop"), fmt.Sprintf(`{"version":%d,"reason":"power cut","outcomes":[
		{"roll":%d,"state":"spoiled","reason":"stood in the developer"},{"roll":%d,"state":"queued"}]}`, batch.Version, first.Id, second.Id), http.StatusOK)
	if batch.State != jobs.BatchStopped || batch.Reason != "power cut" {
		t.Errorf("stopped: %+v", batch)
	}
	checkAfterStop(t, c, batch.Id, fill.Id, first.Id, second.Id)
}

// checkAfterStop: the fill has taken the spoiled roll, and is dumped.
func checkAfterStop(t *testing.T, c caller, batch jobs.BatchID, fill jobs.FillID, spoiled, dry jobs.RollID) {
	t.Helper()
	if roll := ask[api.Roll](c, "GET", rollPath(spoiled, ""), "", http.StatusOK); roll.State != jobs.Spoiled || roll.Reason == "" {
		t.Errorf("spoiled: %+v", roll)
	}
	roll := ask[api.Roll](c, "GET", rollPath(dry, ""), "", http.StatusOK)
	if roll.State != jobs.Queued {
		t.Errorf("left dry: %+v", roll)
	}
	ledger := ask[api.FillLedger](c, "GET", fmt.Sprintf("/fills/%d", fill), "", http.StatusOK)
	if len(ledger.Ledger) != 1 || ledger.Ledger[0].Batch != batch || ledger.Fill.Rolls != 1 || ledger.Fill.AreaM2 != 0.05161 {
		t.Errorf("ledger: %+v", ledger)
	}
	ask[api.Fill](c, "POST", fmt.Sprintf("/fills/%d/dump", fill), `{"reason":"contaminated"}`, http.StatusOK)
	if fills := ask[api.Fills](c, "GET", "/fills", "", http.StatusOK); len(fills.Fills) != 1 || fills.Fills[0].DumpReason != "contaminated" || fills.Fills[0].DumpedAt.IsZero() {
		t.Errorf("fills: %+v", fills)
	}
	if events := ask[api.Events](c, "GET", batchPath(batch, "events"), "", http.StatusOK); len(events.Events) < 5 {
		t.Errorf("events of the batch: %+v", events)
	}

	held := ask[api.Roll](c, "POST", rollPath(dry, "hold"), fmt.Sprintf(`{"version":%d,"question":"Still wanted?"}`, roll.Version), http.StatusOK)
	back := ask[api.Roll](c, "POST", rollPath(dry, "answer"), fmt.Sprintf(`{"version":%d,"answer":"No"}`, held.Version), http.StatusOK)
	gone := ask[api.Roll](c, "POST", rollPath(dry, "cancel"), fmt.Sprintf(`{"version":%d,"reason":"not wanted"}`, back.Version), http.StatusOK)
	if gone.State != jobs.Cancelled || gone.Reason != "not wanted" {
		t.Errorf("cancelled: %+v", gone)
	}
	c.refused("POST", rollPath(dry, "spoil"), fmt.Sprintf(`{"version":%d,"reason":"torn"}`, gone.Version), conflict, jobs.WrongState, "", "cancelled")
}

func TestListsGoOnWhereThePageEnds(t *testing.T) {
	t.Parallel()
	l := open(t)
	c := l.signedIn(t, "Kit")
	for range 5 {
		c.order(fmt.Sprintf(`{"stock":%d,"format":"135"}`, l.stocks["Sedge 160"].ID))
	}
	var orders []jobs.OrderID
	for path := "/orders?limit=2"; path != ""; {
		page := ask[api.Orders](c, "GET", path, "", http.StatusOK)
		for _, order := range page.Orders {
			orders = append(orders, order.Number)
		}
		if path = ""; page.Next != 0 {
			path = fmt.Sprintf("/orders?limit=2&before=%d", page.Next)
		}
	}
	if fmt.Sprint(orders) != "[1005 1004 1003 1002 1001]" {
		t.Errorf("orders %v", orders)
	}
	rolls := 0
	for path := "/rolls?limit=2"; path != ""; {
		page := ask[api.Rolls](c, "GET", path, "", http.StatusOK)
		rolls += len(page.Rolls)
		if path = ""; page.Next != 0 {
			path = fmt.Sprintf("/rolls?limit=2&after=%d", page.Next)
		}
	}
	if rolls != 5 {
		t.Errorf("%d rolls", rolls)
	}
	order := ask[api.Order](c, "GET", "/orders/1003", "", http.StatusOK)
	if order.Name != "Fern Hollow" || order.State != jobs.OrderExpected || len(order.Rolls) != 1 {
		t.Errorf("order: %+v", order)
	}
	if batches := ask[api.Batches](c, "GET", "/batches", "", http.StatusOK); batches.Batches == nil || len(batches.Batches) != 0 {
		t.Errorf("batches: %+v", batches)
	}
}

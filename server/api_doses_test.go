package server_test

import (
	"fmt"
	"net/http"
	"testing"

	"wetside/chemistry"
	"wetside/jobs"
	"wetside/server/api"
)

// replenished makes MQ borax a replenished developer that calls for 45 mL a
// roll of 80 in², and returns a fill of 1 L of it on the drum, with a mix of its
// replenisher.
func (l *lab) replenished(t *testing.T) (jobs.Fill, jobs.Mix) {
	t.Helper()
	ctx := t.Context()
	developer := l.solution(t, "MQ borax")
	developer.Use, developer.Replenisher = chemistry.Replenished, chemistry.ReplenishRate{MLPerM2: 45 / chemistry.FilmUnitArea}
	developer, err := l.services.Catalogue.SaveSolution(ctx, jobs.Program, developer)
	if err != nil {
		t.Fatal(err)
	}
	fill, err := l.services.Fills.PourFill(ctx, jobs.Program, jobs.Pour{Solution: developer.ID, Line: l.line(t, "Drum").ID, VolumeML: 1000})
	if err != nil {
		t.Fatal(err)
	}
	mix, err := l.services.Mixes.RecordMix(ctx, jobs.Program, jobs.NewMix{
		MixRequest: jobs.MixRequest{Solution: developer.ID, Preparation: jobs.ReplenisherMixture, VolumeML: 2000},
		Note:       "bought ready",
	})
	if err != nil {
		t.Fatal(err)
	}
	return fill, mix
}

func TestDosesThroughTheAPI(t *testing.T) {
	t.Parallel()
	l := open(t)
	fill, mix := l.replenished(t)
	l.runBatch(t, 2, nil)
	c := l.signedIn(t, "Kit")
	doses := ask[api.Doses](c, "GET", "/doses?open=true", "", http.StatusOK).Doses
	if len(doses) != 1 || doses[0].RoundedMl != 90 || doses[0].Fill != fill.ID || doses[0].Preparation != "replenisher" || doses[0].Given != nil {
		t.Fatalf("open: %+v", doses)
	}
	confirm := fmt.Sprintf("/doses/%d/confirm", doses[0].Id)
	c.refused("POST", confirm, `{}`, refusedInput, jobs.Invalid, "ml", "missing")
	c.refused("POST", confirm, `{"ml":-1}`, refusedInput, jobs.Invalid, "ml", "at least 0")
	c.refused("POST", confirm, `{"ml":1001,"why":"x"}`, refusedInput, jobs.Invalid, "ml", "0 to 1000 mL")
	c.refused("POST", confirm, `{"ml":0}`, refusedInput, jobs.Invalid, "why", "say why")
	c.refused("POST", confirm, `{"ml":90,"mix":99}`, http.StatusNotFound, jobs.NotFound, "", "no such mix")
	c.refused("POST", "/doses/99/confirm", `{"ml":90}`, http.StatusNotFound, jobs.NotFound, "", "no such dose")
	given := ask[api.Dose](c, "POST", confirm, fmt.Sprintf(`{"ml":80,"mix":%d}`, mix.ID), http.StatusOK)
	if given.Given == nil || given.Given.Ml != 80 || given.Given.By != "Kit" || given.Given.Mix != mix.ID || given.Given.MissingMl < 9.99 || given.Given.MissingMl > 10.01 {
		t.Errorf("given: %+v", given.Given)
	}
	c.refused("POST", confirm, `{"ml":80}`, conflict, jobs.WrongState, "", "confirmed already by Kit")
	if open := ask[api.Doses](c, "GET", "/doses?open=true", "", http.StatusOK).Doses; len(open) != 0 {
		t.Errorf("open: %+v", open)
	}
	of := ask[api.Doses](c, "GET", fmt.Sprintf("/doses?fill=%d&batch=%d&limit=5", fill.ID, given.Batch), "", http.StatusOK).Doses
	if len(of) != 1 || of[0].Given == nil {
		t.Errorf("of the fill: %+v", of)
	}
}

func TestTendingAFillThroughTheAPI(t *testing.T) {
	t.Parallel()
	l := open(t)
	fill, mix := l.replenished(t)
	l.runBatch(t, 1, nil)
	c := l.signedIn(t, "Kit")
	path := fmt.Sprintf("/fills/%d", fill.ID)
	shown := ask[api.FillLedger](c, "GET", path, "", http.StatusOK)
	if len(shown.Entries) != 2 || len(shown.Ledger) != 1 || shown.Entries[1].CalledMl < 44.99 || shown.State.Verdict != "in use" ||
		shown.State.ReplenisherDueMl < 44.99 || shown.Fill.NowMl != 1000 {
		t.Fatalf("shown: %+v", shown)
	}
	seen := shown.Entries[1].Id
	topUp := fmt.Sprintf(`{"ml":30,"mix":%d,"reason":"idle","seen":%d}`, mix.ID, seen)
	ask[api.Fill](c, "POST", path+"/top-up", topUp, http.StatusOK)
	c.refused("POST", path+"/top-up", topUp, conflict, jobs.Stale, "", "look at it again")
	c.refused("POST", path+"/top-up", `{"reason":"idle"}`, refusedInput, jobs.Invalid, "ml", "missing")
	c.refused("POST", path+"/top-up", `{"ml":0,"reason":"idle"}`, refusedInput, jobs.Invalid, "ml", "at least 1")
	c.refused("POST", path+"/top-up", `{"ml":1001,"reason":"idle"}`, refusedInput, jobs.Invalid, "ml", "1 to 1000 mL")
	if spilt := ask[api.Fill](c, "POST", path+"/spill", `{"ml":200,"reason":"the hose"}`, http.StatusOK); spilt.NowMl != 800 {
		t.Errorf("after the spill: %+v", spilt)
	}
	c.refused("POST", path+"/spill", `{"ml":801,"reason":"the hose"}`, refusedInput, jobs.Invalid, "ml", "1 to 800 mL")
	c.refused("POST", path+"/clearing-tests", `{"fresh_s":30,"now_s":31}`, refusedInput, jobs.Refused, "", "does not clear")
	c.refused("POST", path+"/foul", `{"ml":5}`, refusedInput, jobs.Invalid, "what", "missing")
	ask[api.Fill](c, "POST", path+"/foul", `{"what":"stop bath","ml":5}`, http.StatusOK)
	shown = ask[api.FillLedger](c, "GET", path, "", http.StatusOK)
	if shown.State.Verdict != "exhausted" || shown.State.Reasons[0].Text != "fouled: stop bath" {
		t.Errorf("fouled: %+v", shown.State)
	}
	kinds := ""
	for _, entry := range shown.Entries {
		kinds += entry.Kind + ";"
	}
	if kinds != "filled;film;topped up;topped up;spilled;fouled;" {
		t.Errorf("entries: %s", kinds)
	}
	c.refused("POST", path+"/dump", `{"reason":"fouled","container":3}`, refusedInput, jobs.Refused, "", "keep them apart")
	ask[api.Fill](c, "POST", path+"/dump", `{"reason":"fouled","container":1}`, http.StatusOK)
	c.refused("POST", path+"/top-up", `{"ml":5,"reason":"late"}`, conflict, jobs.WrongState, "", "was dumped")
}

// Staff read what speaks against a start; an owner starts all the same.
func TestOverridingThroughTheAPI(t *testing.T) {
	t.Parallel()
	l := open(t)
	kit, wren := l.signedIn(t, "Kit"), l.signedIn(t, "Wren")
	batch := l.waiting(t, kit)
	start := func(tempC float64, override string) string {
		return fmt.Sprintf(`{"version":%d,"developer_c":%g,"override":%q}`, batch.Version, tempC, override)
	}
	path := batchPath(batch.Id, "start")
	kit.refused("POST", path, start(39, ""), refusedInput, jobs.Refused, "developer_c", "cool it")
	kit.refused("POST", path, start(39, "hurry"), http.StatusForbidden, jobs.Forbidden, "", "Only an owner")
	wren.refused("POST", path, start(39, "  "), refusedInput, jobs.Invalid, "override", "missing")
	started := ask[api.Batch](wren, "POST", path, start(39, "hurry"), http.StatusOK)
	if started.Override != "hurry" || started.State != jobs.BatchDeveloping {
		t.Errorf("started: %+v", started)
	}
	sheet := ask[api.RunSheet](kit, "GET", batchPath(batch.Id, "run-sheet"), "", http.StatusOK)
	if len(sheet.Against) != 1 || sheet.Batch.Override != "hurry" {
		t.Errorf("the sheet: %q against %q", sheet.Batch.Override, sheet.Against)
	}
}

// waiting is a colour batch of a roll that waits to be started.
func (l *lab) waiting(t *testing.T, c caller) api.Batch {
	t.Helper()
	order := c.order(fmt.Sprintf(`{"stock":%d,"format":"135"}`, l.stocks["Sedge 160"].ID))
	roll := ask[api.Roll](c, "POST", rollPath(order.Id, "check-in"), `{"version":1}`, http.StatusOK)
	return ask[api.Batch](c, "POST", "/batches", fmt.Sprintf(`{"line":%d,"rolls":[%d]}`, l.line(t, "Drum").ID, roll.Id), http.StatusCreated)
}

package server_test

import (
	"fmt"
	"net/http"
	"net/url"
	"strings"
	"testing"
	"time"

	"wetside/chemistry"
	"wetside/jobs"
)

// What film called for is said wherever somebody may look for it, and is
// confirmed once.
func TestWhatToPourIsSaidAndConfirmed(t *testing.T) {
	t.Parallel()
	l := open(t)
	fill, mix := l.replenished(t)
	b := browse(t, l.URL).signIn("Kit")
	if empty := b.get("/chemistry"); empty.page.Find(".to-pour").Length() != 0 {
		t.Error("something is to be poured for no film")
	}
	l.runBatch(t, 2, nil)
	chemistryPage, fillPage := "/chemistry", fmt.Sprintf("/fills/%d", fill.ID)
	for _, page := range []string{chemistryPage, fillPage} {
		b.get(page).status(http.StatusOK).says(".to-pour", "90 mL of MQ borax replenisher")
	}
	b.get(chemistryPage).says(".add", "Add 90 mL of replenisher")
	path, _ := b.get(fillPage).page.Find(".to-pour a").Attr("href")
	asked := b.get(path).status(http.StatusOK)
	asked.says("[aria-labelledby=mind]", chemistry.Deferral)
	form := asked.typed("main form")
	if form.Get("ml") != "90" || form.Get("mix") != fmt.Sprint(mix.ID) {
		t.Errorf("proposed are %v", form)
	}
	for _, test := range []struct{ ml, why, field, says string }{
		{"", "", "ml", "missing"}, {"-5", "", "ml", "whole number"}, {"half", "", "ml", "whole number"}, {"4000", "x", "ml", "0 to 1000 mL"},
		{"0", "", "why", "Say why"}, {"50", "", "why", "say why"},
	} {
		form.Set("ml", test.ml)
		form.Set("why", test.why)
		got := b.post(path, form).status(http.StatusUnprocessableEntity)
		if fault := got.faultBeside(test.field); !strings.Contains(strings.ToLower(fault), strings.ToLower(test.says)) {
			t.Errorf("%q mL: %q, want %q", test.ml, fault, test.says)
		}
		if kept := got.typed("main form").Get("ml"); kept != test.ml {
			t.Errorf("%q mL became %q", test.ml, kept)
		}
	}
	form.Set("ml", "80")
	form.Set("why", "the last of it")
	batch := b.post(path, form).status(http.StatusSeeOther).Header.Get("Location")
	done := b.get(batch)
	done.says(".notice.done", "80 mL of MQ borax for batch")
	done.says(".doses", "poured 80 mL, 10 mL less than called for, by Kit: the last of it")
	b.post(path, form).status(http.StatusConflict).says("#problems", "confirmed already by Kit")
	b.get(path).status(http.StatusOK).says("[aria-labelledby=poured]", "80 mL, 10 mL less than called for")
	shown := b.get(fillPage)
	shown.says(".ledger", "10 mL less than called for")
	shown.says(".ledger", "Flowed over")
	shown.says(".more", "0.08 turnovers")
	shown.says(".more", "Still due10 mL")
	b.get("/doses/999").status(http.StatusNotFound)
}

// The fill that film went through may be gone by the time somebody pours.
func TestADoseOfADumpedFillIsExplained(t *testing.T) {
	t.Parallel()
	l := open(t)
	fill, _ := l.replenished(t)
	l.runBatch(t, 1, nil)
	b := browse(t, l.URL).signIn("Kit")
	path, _ := b.get("/chemistry").page.Find(".to-pour a").Attr("href")
	b.post(fmt.Sprintf("/fills/%d/dump", fill.ID), url.Values{"reason": {"tired"}}).status(http.StatusSeeOther)
	b.get("/chemistry").says(".to-pour", "its fill was dumped")
	asked := b.get(path)
	asked.says(".notice.warn", "top-up of that one")
	form := asked.typed("main form")
	if form.Get("ml") != "0" || form.Get("why") == "" || form.Get("mix") != "" {
		t.Errorf("proposed are %v", form)
	}
	b.post(path, url.Values{"ml": {"45"}}).status(http.StatusConflict).says("#problems", "confirm 0 mL with a note")
	b.post(path, form).status(http.StatusSeeOther)
	if left := b.get("/chemistry").page.Find(".to-pour"); left.Length() != 0 {
		t.Error("it is still to be poured")
	}
}

// A run sheet says what to mix before, and what to pour after.
func TestTheRunSheetSaysWhatToMixAndPour(t *testing.T) {
	t.Parallel()
	l := open(t)
	fine := l.solution(t, "PQ fine grain 1+4")
	fine.MinimumMLPerRoll = 250
	if _, err := l.services.Catalogue.SaveSolution(t.Context(), jobs.Program, fine); err != nil {
		t.Fatal(err)
	}
	c := l.signedIn(t, "Kit")
	order := c.order(fmt.Sprintf(`{"stock":%d,"format":"135","solution":%d}`, l.stocks["Marl 400"].ID, fine.ID))
	c.send("POST", rollPath(order.Id, "check-in"), fmt.Sprintf(`{"version":1,"solution":%d}`, fine.ID))
	c.send("POST", "/batches", fmt.Sprintf(`{"line":%d,"rolls":[%d]}`, l.line(t, "Drum").ID, order.Id)).status(http.StatusCreated)
	sheet := browse(t, l.URL).signIn("Kit").get("/batches/1").status(http.StatusOK)
	sheet.says("[aria-labelledby=mix]", "250 mL of PQ fine grain 1+4, used once")
	if sheet.page.Find("[aria-labelledby=pour]").Length() != 0 {
		t.Error("something is to be poured after a one-shot developer")
	}
}

// What else happens to a fill is recorded on its page, and never twice.
func TestTendingAFillOnItsPage(t *testing.T) {
	t.Parallel()
	l := open(t)
	fill, mix := l.replenished(t)
	path := fmt.Sprintf("/fills/%d", fill.ID)
	l.clock.advance(5 * 24 * time.Hour)
	b := browse(t, l.URL).signIn("Kit")
	idle := b.get(path).status(http.StatusOK)
	idle.says("[aria-labelledby=care]", "US Army SS0514")
	form := idle.typed("form[action$='/top-up']")
	if form.Get("topup.ml") != "60" { // two whole periods of 3 % each
		t.Errorf("proposed are %v", form)
	}
	form.Set("topup.mix", fmt.Sprint(mix.ID))
	b.post(path+"/top-up", form).status(http.StatusSeeOther)
	again := b.post(path+"/top-up", form).status(http.StatusConflict)
	again.says("#problems", "Kit recorded “topped up”")
	for _, test := range []struct {
		act, field, says string
		form             url.Values
	}{
		{"top-up", "topup.ml", "missing", url.Values{"topup.reason": {"x"}}},
		{"top-up", "topup.reason", "missing", url.Values{"topup.ml": {"10"}}},
		{"spill", "spill.ml", "1 to 1000 mL", url.Values{"spill.ml": {"1001"}, "spill.reason": {"x"}}},
		{"spill", "spill.ml", "whole number", url.Values{"spill.ml": {"-1"}, "spill.reason": {"x"}}},
		{"foul", "foul.what", "Say what got in", url.Values{}},
		{"foul", "foul.ml", "1 to 1000 mL", url.Values{"foul.what": {"x"}, "foul.mix": {fmt.Sprint(mix.ID)}}},
	} {
		name, _, _ := strings.Cut(test.field, ".")
		test.form.Set(name+".seen", b.get(path).typed("form[action$='/"+test.act+"']").Get(name+".seen"))
		got := b.post(path+"/"+test.act, test.form).status(http.StatusUnprocessableEntity)
		if fault := got.faultBeside(test.field); !strings.Contains(fault, test.says) {
			t.Errorf("%s: %q, want %q", test.field, fault, test.says)
		}
	}
	spill := b.get(path).typed("form[action$='/spill']")
	spill.Set("spill.ml", "250")
	spill.Set("spill.reason", "the hose slipped")
	b.post(path+"/spill", spill).status(http.StatusSeeOther)
	b.get(path).says(".notice.done", "750 mL are left")
	foul := b.get(path).typed("form[action$='/foul']")
	foul.Set("foul.what", "stop bath")
	b.post(path+"/foul", foul).status(http.StatusSeeOther)
	fouled := b.get(path)
	fouled.says(".chip", "Exhausted")
	fouled.says("[aria-labelledby=why]", "Fouled: stop bath")
	fouled.says(".ledger", "the hose slipped")
	if fouled.page.Find("form[action$='/clearing-test']").Length() != 0 {
		t.Error("a developer is tested for clearing")
	}

	dump := fouled.typed("form[action$='/dump']")
	if options := fouled.text("[name=container]"); !strings.Contains(options, "Developer waste, 60 mL in it") || strings.Contains(options, "Silver") {
		t.Errorf("it may go into %q", options)
	}
	dump.Set("reason", "fouled")
	dump.Set("container", "3") // for silver-bearing waste
	b.post(path+"/dump", dump).status(http.StatusUnprocessableEntity).says("#problems", "keep them apart")
	dump.Set("container", "1")
	b.post(path+"/dump", dump).status(http.StatusSeeOther)
	if dumped := b.get(path); dumped.page.Find("main form").Length() != 0 {
		t.Error("a dumped fill can be tended")
	}
}

func TestAClearingTestOnThePage(t *testing.T) {
	t.Parallel()
	l := open(t)
	fixer, err := l.services.Catalogue.SaveSolution(t.Context(), jobs.Program, jobs.Solution{
		Name: "Fixer", Process: chemistry.BW, Family: chemistry.Fixer, Use: chemistry.Reused, TempC: 20, CapacityM2PerL: 1, Active: true})
	if err != nil {
		t.Fatal(err)
	}
	b := browse(t, l.URL).signIn("Kit")
	path := l.pour(t, b, fixer.Name, "Drum", "1000")
	b.get(path).says("[aria-labelledby=why]", "Clearing tests")
	b.post(path+"/clearing-test", url.Values{"clearing.now_s": {"31"}}).status(http.StatusUnprocessableEntity).faultBeside("clearing.fresh_s")
	b.post(path+"/clearing-test", url.Values{"clearing.fresh_s": {"22,5"}, "clearing.now_s": {"31"}}).status(http.StatusSeeOther)
	tested := b.get(path)
	tested.says("[aria-labelledby=why]", "Clears in 31 s, fresh in 22.5 s")
	tested.says(".more", "Fix for at least1:02")
	if tested.page.Find("[name='clearing.fresh_s']").Length() != 0 {
		t.Error("the fresh time is asked again")
	}
	b.post(path+"/clearing-test", url.Values{"clearing.now_s": {"45"}}).status(http.StatusSeeOther)
	b.get(path).says(".chip", "Exhausted") // twice the fresh time (NAVEDTRA 14209)
}

// Staff see what speaks against a start; only an owner is asked why it may
// start all the same, and the page keeps the answer.
func TestOverridingOnTheBatchPage(t *testing.T) {
	t.Parallel()
	l := open(t)
	fill, _ := l.replenished(t)
	c := l.signedIn(t, "Kit")
	order := c.order(fmt.Sprintf(`{"stock":%d,"format":"135"}`, l.stocks["Marl 400"].ID))
	c.send("POST", rollPath(order.Id, "check-in"), `{"version":1}`)
	c.send("POST", "/batches", fmt.Sprintf(`{"line":%d,"rolls":[%d]}`, l.line(t, "Drum").ID, order.Id)).status(http.StatusCreated)
	c.send("POST", fmt.Sprintf("/fills/%d/foul", fill.ID), `{"what":"stop bath"}`).status(http.StatusOK)
	const page = "/batches/1"
	kit, wren := browse(t, l.URL).signIn("Kit"), browse(t, l.URL).signIn("Wren")
	asked := kit.get(page).status(http.StatusOK)
	asked.says(".notice.warn", "MQ borax in Drum takes no more film: fouled: stop bath")
	if asked.page.Find("[name='start.override']").Length() != 0 {
		t.Error("staff are asked for an override")
	}
	form := asked.typed("form[action$='/start']")
	form.Set("start.developer_c", "20")
	kit.post(page+"/start", form).status(http.StatusUnprocessableEntity).says("#problems", "fouled: stop bath")
	form.Set("start.override", "it was one drop")
	kit.post(page+"/start", form).status(http.StatusForbidden)
	if wren.get(page).page.Find("[name='start.override']").Length() != 1 {
		t.Error("an owner is not asked why it may start")
	}
	wren.post(page+"/start", form).status(http.StatusSeeOther)
	running := kit.get(page)
	running.says(".notice.warn", "it was one drop")
	running.says(".notice.warn", "fouled: stop bath")
	running.says(".history", "Override")
}

package server_test

import (
	"fmt"
	"net/http"
	"strings"
	"testing"
	"time"

	"wetside/chemistry"
	"wetside/jobs"
	"wetside/server/api"
)

// colourDeveloper adds a replenished colour developer of two parts, one of them
// an acid; the figures are made up.
func (l *lab) colourDeveloper(t *testing.T) jobs.Solution {
	t.Helper()
	saved, err := l.services.Catalogue.SaveSolution(t.Context(), jobs.Program, jobs.Solution{
		Name: "Colour developer, C-41", Process: chemistry.C41, Family: chemistry.ColourDeveloper, Use: chemistry.Replenished, TempC: 37.8, Active: true,
		Parts: []jobs.Part{
			{Preparation: jobs.Working, Name: "Part A", AmountPerL: 60, Unit: jobs.Millilitres},
			{Preparation: jobs.Working, Name: "Part B", AmountPerL: 5, Unit: jobs.Grams, Acid: true},
			{Preparation: jobs.ReplenisherMixture, Name: "Part A", AmountPerL: 80, Unit: jobs.Millilitres},
		},
		Keeping: []chemistry.Keeping{{Storage: chemistry.FullBottle, Days: 60}, {Storage: chemistry.PartBottle, Days: 14}},
	})
	if err != nil {
		t.Fatal(err)
	}
	return saved
}

// From the bottles that came in to the paper of the hauler, and what is refused
// on the way.
func TestChemistryFromReceiptToCollectionThroughTheAPI(t *testing.T) {
	t.Parallel()
	l := open(t)
	developer, line := l.colourDeveloper(t), l.line(t, "Drum").ID
	kit, wren := l.signedIn(t, "Kit"), l.signedIn(t, "Wren")
	receipt := `{"part":"Part A","number":"4411","unit":"mL","amount":250,"expires_on":"2026-06-30"}`
	a := ask[api.Lot](kit, http.MethodPost, "/lots", receipt, http.StatusCreated)
	b := ask[api.Lot](kit, http.MethodPost, "/lots", `{"part":"Part B","number":"7","unit":"g","amount":100}`, http.StatusCreated)
	soon := ask[api.Lot](kit, http.MethodPost, "/lots", `{"part":"Part A","number":"4390","unit":"mL","amount":100,"expires_on":"2026-03-05"}`, http.StatusCreated)
	if a.Left != 250 || a.Expiring || a.ExpiresOn != "2026-06-30" || !soon.Expiring || b.ExpiresOn != "" {
		t.Errorf("lots: %+v %+v %+v", a, b, soon)
	}

	sheet := ask[api.MixingSheet](kit, http.MethodGet, fmt.Sprintf("/mixing-sheet?solution=%d&preparation=working&volume_ml=5000", developer.ID), "", http.StatusOK)
	// 5 L take 300 mL of part A and 25 g of part B.
	if p := sheet.Parts; len(p) != 2 || p[0].Amount != 300 || len(p[0].Lots) != 2 || p[0].Lots[0] != (api.LotUse{Lot: soon.Id, Amount: 100}) ||
		p[0].Lots[1].Amount != 200 || p[1].Amount != 25 || !p[1].Acid || sheet.WaterMl != 4700 || len(sheet.Keeps) != 2 {
		t.Errorf("sheet: %+v", sheet)
	}
	if steps := strings.Join(sheet.Steps, " "); !strings.Contains(steps, "Never water to acid") || sheet.Cautions[len(sheet.Cautions)-1] != chemistry.Deferral {
		t.Errorf("cautions: %q, %q", sheet.Steps, sheet.Cautions)
	}
	mixOf := func(ml int, uses, more string) string {
		return fmt.Sprintf(`{"solution":%d,"preparation":"working","volume_ml":%d,"storage":"full bottle","lots":[%s]%s}`, developer.ID, ml, uses, more)
	}
	use := func(lot jobs.LotID, amount float64) string { return fmt.Sprintf(`{"lot":%d,"amount":%g}`, lot, amount) }
	mix := ask[api.Mix](kit, http.MethodPost, "/mixes", mixOf(5000, use(soon.Id, 100)+","+use(a.Id, 210)+","+use(b.Id, 25), ""), http.StatusCreated)
	// Days are the lab's: the clocks went forward meanwhile.
	if mix.LeftMl != 5000 || mix.By != "Kit" || !mix.KeepsUntil.Equal(start.AddDate(0, 0, 60).Add(-time.Hour)) {
		t.Errorf("mix: %+v", mix)
	}
	pour := func(ml int, more string) string {
		return fmt.Sprintf(`{"solution":%d,"line":%d,"volume_ml":%d,"mix":%d%s}`, developer.ID, line, ml, mix.Id, more)
	}
	fill := ask[api.Fill](kit, http.MethodPost, "/fills", pour(3000, ""), http.StatusCreated)
	record := ask[api.MixLedger](kit, http.MethodGet, fmt.Sprintf("/mixes/%d", mix.Id), "", http.StatusOK)
	if len(record.Ledger) != 6 || record.Parts[0].Asked != 300 || record.Parts[0].Used != 310 || record.Mix.LeftMl != 2000 ||
		!record.Mix.KeepsUntil.Equal(start.AddDate(0, 0, 14)) {
		t.Errorf("record: %+v", record)
	}
	l.clock.advance(20 * 24 * time.Hour)
	ask[api.Fill](kit, http.MethodPost, fmt.Sprintf("/fills/%d/dump", fill.Id), `{"reason":"tired"}`, http.StatusOK)
	tooOld := pour(1000, `,"override":"a strip was good"`)
	kit.refused(http.MethodPost, "/fills", pour(1000, ""), refusedInput, jobs.Refused, "", "too old")
	kit.refused(http.MethodPost, "/fills", tooOld, http.StatusForbidden, jobs.Forbidden, "", "Only an owner")
	ask[api.Fill](wren, http.MethodPost, "/fills", tooOld, http.StatusCreated)
	spilt := ask[api.Mix](kit, http.MethodPost, fmt.Sprintf("/mixes/%d/losses", mix.Id), `{"amount":250,"reason":"dropped","spilled":true}`, http.StatusCreated)
	gone := ask[api.Mix](kit, http.MethodPost, fmt.Sprintf("/mixes/%d/losses", mix.Id), `{"reason":"too old"}`, http.StatusCreated)
	if spilt.LeftMl != 750 || gone.LeftMl != 0 {
		t.Errorf("left: %g, then %g", spilt.LeftMl, gone.LeftMl)
	}

	containers := ask[api.Containers](kit, http.MethodGet, "/containers", "", http.StatusOK).Containers
	drum := containers[0]
	if drum.Kind != chemistry.DeveloperWaste || drum.HoldsMl != 3750 || len(containers) != 5 {
		t.Errorf("containers: %+v", containers)
	}
	collect := func(ml int, hauler, document string) string {
		return fmt.Sprintf(`{"container":%d,"volume_ml":%d,"hauler":"%s","document":"%s"}`, drum.Id, ml, hauler, document)
	}
	ask[api.Collection](kit, http.MethodPost, "/collections", collect(3750, "Tern Haulage", "77/12"), http.StatusCreated)
	log := ask[api.WasteLog](kit, http.MethodGet, "/waste?kind=developer&from=2026-03-22&to=2026-03-22", "", http.StatusOK)
	if len(log.Entries) != 3 || log.Entries[0].AmountMl != -3750 || log.Entries[2].Source != "Colour developer, C-41 in Drum" ||
		len(log.Totals) != 1 || log.Totals[0] != (api.WasteTotal{Kind: chemistry.DeveloperWaste, InMl: 3750, OutMl: 3750}) ||
		!strings.Contains(log.Silver.Words, "order of magnitude only") || log.Cautions[len(log.Cautions)-1] != chemistry.Deferral {
		t.Errorf("log: %+v", log)
	}
	if other := ask[api.WasteLog](kit, http.MethodGet, "/waste?to=2026-03-21", "", http.StatusOK); len(other.Entries) != 0 {
		t.Errorf("log before: %+v", other.Entries)
	}
	if kept := ask[api.Collections](kit, http.MethodGet, "/collections", "", http.StatusOK).Collections; len(kept) != 1 || kept[0].Document != "77/12" || kept[0].By != "Kit" {
		t.Errorf("collections: %+v", kept)
	}
	ask[api.Lot](kit, http.MethodPost, fmt.Sprintf("/lots/%d/losses", b.Id), `{"reason":"wet","takes_ml":100}`, http.StatusCreated)
	if shown := ask[api.LotLedger](kit, http.MethodGet, fmt.Sprintf("/lots/%d", b.Id), "", http.StatusOK); shown.Lot.Left != 0 || len(shown.Ledger) != 7 || !shown.Lot.Low {
		t.Errorf("lot: %+v", shown)
	}

	added := ask[api.Container](wren, http.MethodPost, "/containers", `{"name":"Silver drum 2","kind":"silver-bearing","volume_ml":20000}`, http.StatusCreated)
	path := fmt.Sprintf("/containers/%d", added.Id)
	changed := ask[api.Container](wren, http.MethodPut, path, `{"name":"Silver drum B","kind":"silver-bearing","active":false,"version":1}`, http.StatusOK)
	if changed.Active || changed.Version != 2 {
		t.Errorf("changed: %+v", changed)
	}

	lots, mixes := "/lots", "/mixes"
	for _, test := range []struct {
		method, path, body string
		status             int
		code               jobs.Code
		field, says        string
	}{
		{"POST", lots, strings.Replace(receipt, "06-30", "07-30", 1), refusedInput, jobs.Refused, "expires_on", "look at both bottles"},
		{"POST", lots, strings.Replace(receipt, "250", "0", 1), refusedInput, jobs.Invalid, "amount", "at least 0.001"},
		{"POST", lots, strings.Replace(receipt, "250", "-250", 1), refusedInput, jobs.Invalid, "amount", "at least 0.001"},
		{"POST", lots, strings.Replace(receipt, "2026-06-30", "June", 1), refusedInput, jobs.Invalid, "expires_on", "is no date"},
		{"POST", lots, strings.Replace(receipt, "4411", " ", 1), refusedInput, jobs.Invalid, "number", "traced"},
		{"GET", "/lots/99", "", http.StatusNotFound, jobs.NotFound, "", "no such lot"},
		{"POST", fmt.Sprintf("/lots/%d/losses", b.Id), `{"reason":"again"}`, conflict, jobs.WrongState, "", "nothing is left"},
		{"POST", fmt.Sprintf("/lots/%d/losses", a.Id), `{"reason":"wet","amount":0}`, refusedInput, jobs.Invalid, "amount", "no amount"},
		{"POST", fmt.Sprintf("/lots/%d/losses", a.Id), `{"reason":"wet","amount":-1}`, refusedInput, jobs.Invalid, "amount", "no amount"},
		{"POST", fmt.Sprintf("/lots/%d/losses", a.Id), fmt.Sprintf(`{"reason":"wet","container":%d}`, added.Id), refusedInput, jobs.Refused, "", "keep them apart"},
		{"GET", "/mixing-sheet?solution=99&preparation=working&volume_ml=5000", "", refusedInput, jobs.Invalid, "solution", "no such solution"},
		{"GET", fmt.Sprintf("/mixing-sheet?solution=%d&preparation=working&volume_ml=-1", developer.ID), "", refusedInput, jobs.Invalid, "volume_ml", "at least 1"},
		{"POST", mixes, mixOf(0, "", ""), refusedInput, jobs.Invalid, "volume_ml", "at least 1"},
		{"POST", mixes, mixOf(1000, use(a.Id, 40.001), `,"note":"no B"`), refusedInput, jobs.Refused, "", "40 mL are left"},
		{"POST", mixes, mixOf(1000, use(a.Id, 40), ""), refusedInput, jobs.Invalid, "note", "no lot is named for the Part B"},
		{"POST", mixes, mixOf(1000, use(soon.Id, 40), `,"note":"no B"`), refusedInput, jobs.Refused, "", "expired on 5 March 2026"},
		{"POST", mixes, mixOf(1000, use(99, 40), `,"note":"no B"`), refusedInput, jobs.Invalid, "lots[0].lot", "no such lot"},
		{"GET", "/mixes/99", "", http.StatusNotFound, jobs.NotFound, "", "no such mix"},
		{"POST", fmt.Sprintf("/mixes/%d/losses", mix.Id), `{"reason":"again"}`, conflict, jobs.WrongState, "", "nothing is left"},
		{"POST", "/collections", collect(101, "Tern Haulage", "77/13"), refusedInput, jobs.Refused, "", "holds 100 mL"},
		{"POST", "/collections", collect(0, "Tern Haulage", "77/13"), refusedInput, jobs.Invalid, "volume_ml", "at least 1"},
		{"POST", "/collections", collect(1, "", "77/13"), refusedInput, jobs.Invalid, "hauler", "missing"},
		{"POST", "/collections", collect(1, "Tern Haulage", ""), refusedInput, jobs.Invalid, "document", "missing"},
		{"POST", "/containers", `{"name":"Silver drum b","kind":"silver-bearing"}`, conflict, jobs.Duplicate, "name", "this name"},
		{"POST", "/containers", `{"name":"Bin","kind":"paper"}`, refusedInput, jobs.Invalid, "kind", "silver-bearing"},
		{"PUT", path, `{"name":"Silver drum B","kind":"silver-bearing","version":1}`, conflict, jobs.Stale, "", "somebody else"},
		{"PUT", fmt.Sprintf("/containers/%d", drum.Id), `{"name":"Drum","kind":"developer","active":false,"version":1}`, refusedInput, jobs.Refused, "", "only container in use"},
		{"GET", "/waste?kind=paper", "", refusedInput, jobs.Invalid, "kind", "silver-bearing"},
		{"GET", "/waste?from=2026-03-05&to=2026-03-04", "", refusedInput, jobs.Invalid, "to", "before"},
	} {
		wren.refused(test.method, test.path, test.body, test.status, test.code, test.field, test.says)
	}
}

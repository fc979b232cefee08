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

// take receives a lot through the pages.
func (l *lab) take(t *testing.T, b *browser, part, number, unit, amount, expires string) jobs.Lot {
	t.Helper()
	form := b.get("/chemistry/stock/receive").status(http.StatusOK).typed("main form")
	for name, value := range map[string]string{"part": part, "number": number, "unit": unit, "amount": amount, "expires_on": expires} {
		form.Set(name, value)
	}
	b.post("/chemistry/stock/receive", form).status(http.StatusSeeOther)
	lots, err := l.services.Lots.Lots(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	for _, lot := range lots {
		if lot.Number == number {
			return lot
		}
	}
	t.Fatalf("no lot %s in stock", number)
	return jobs.Lot{}
}

// Bottles come in, are mixed by the sheet, poured, and what is left goes to the
// hauler: all of it in the pages, by staff.
func TestChemistryFromReceiptToCollectionInThePages(t *testing.T) {
	t.Parallel()
	l := open(t)
	developer := l.colourDeveloper(t)
	b := browse(t, l.URL).signIn("Kit")
	empty := b.get("/chemistry/stock").status(http.StatusOK)
	empty.says("main", "Nothing is in stock")
	empty.says("main", "Nothing mixed is left")
	empty.says(".notice.warn", "Part A is running low: none is left that may be used")
	b.get("/chemistry/stock/receive").says("main", "Recipes ask for: Part A · Part B")

	soon := l.take(t, b, "Part A", "4390", "mL", "100", "2026-03-05")
	a := l.take(t, b, "Part A", "4411", "mL", "1000", "2027-06-30")
	b.get("/chemistry/stock").says(".notice.warn", "Part A, lot 4390 expires on 5 March 2026: use it first")

	sheetPath := fmt.Sprintf("/chemistry/mixing?solution=%d&preparation=working&volume_ml=5000", developer.ID)
	sheet := b.get(sheetPath).status(http.StatusOK)
	sheet.says(".mix-parts", "300 mL") // 60 mL a litre
	sheet.says(".mix-parts", "lot 4390: 100 mL, good until 5 March 2026")
	sheet.says(".mix-parts", "lot 4411: 200 mL")
	sheet.says(".mix-parts", "25 g not in stock")
	sheet.says(".mix-parts", "acid: into water, never water into it")
	sheet.says("[aria-labelledby=how]", "Never water to acid")
	sheet.says("[aria-labelledby=mind]", chemistry.Deferral)
	sheet.says("[aria-labelledby=keeps]", "until 1 May 2026") // 60 days in a full bottle
	form := sheet.typed("main form")
	if form.Get("lots[0].lot") != fmt.Sprint(soon.ID) || form.Get("lots[0].amount") != "100" || form.Get("lots[1].amount") != "200" || form.Get("lots[3].lot") != "" {
		t.Errorf("the form proposes %v", form)
	}
	form.Set("storage", string(chemistry.FullBottle))
	form.Set("lots[1].amount", "210")
	refused := b.post("/chemistry/mixing", form).status(http.StatusUnprocessableEntity)
	if fault := refused.faultBeside("note"); !strings.Contains(fault, "No lot is named for the Part B") {
		t.Errorf("no part B: %q", fault)
	}
	if kept := refused.typed("main form"); kept.Get("lots[1].amount") != "210" || kept.Get("storage") != "full bottle" {
		t.Errorf("what was typed became %v", kept)
	}
	form.Set("note", "the label of B was gone")
	form.Set("lots[0].lot", "") // a row left empty before others
	form.Set("lots[0].amount", "")
	form.Set("lots[1].amount", "1000.001")
	b.post("/chemistry/mixing", form).status(http.StatusUnprocessableEntity).says("#problems", "1000 mL are left of Part A, lot 4411")
	form.Set("lots[1].amount", "1e9")
	b.post("/chemistry/mixing", form).status(http.StatusUnprocessableEntity).faultBeside("lots[1].amount")
	form.Set("lots[1].amount", "310")
	path := b.post("/chemistry/mixing", form).status(http.StatusSeeOther).Header.Get("Location")
	mix := b.get(path).status(http.StatusOK)
	mix.says(".notice.done", "5 L of Colour developer, C-41 are mixed")
	mix.says("main", "10 mL more")
	mix.says("main", "no lot named")
	mix.says("main", "the label of B was gone")
	mix.says("main", chemistry.Deferral)

	pour := b.get(fmt.Sprintf("/chemistry/pour?line=%d&solution=%d", l.line(t, "Drum").ID, developer.ID)).status(http.StatusOK)
	form = pour.typed("main form")
	if form.Get("mix") == "" {
		t.Error("the fresh mix is not proposed")
	}
	form.Set("volume_ml", "6000")
	b.post("/chemistry/pour", form).status(http.StatusUnprocessableEntity).says("#problems", "5000 mL are left")
	form.Set("volume_ml", "3000")
	fill := b.post("/chemistry/pour", form).status(http.StatusSeeOther).Header.Get("Location")
	b.get(path).says("main", "Colour developer, C-41 in Drum")
	b.post(fill+"/dump", url.Values{"reason": {"tired"}}).status(http.StatusSeeOther)

	if fault := b.post(path+"/lose", url.Values{"do": {"dump"}, "dump.amount": {"0"}, "dump.reason": {"old"}}).status(http.StatusUnprocessableEntity).faultBeside("dump.amount"); !strings.Contains(fault, "no amount") {
		t.Errorf("a dump of nothing: %q", fault)
	}
	b.post(path+"/lose", url.Values{"do": {"spill"}, "spill.amount": {"2001"}, "spill.reason": {"dropped"}}).status(http.StatusUnprocessableEntity).says("#problems", "2000 mL are left")
	b.post(path+"/lose", url.Values{"do": {"spill"}, "spill.amount": {"250"}, "spill.reason": {"dropped"}}).status(http.StatusSeeOther)
	b.post(path+"/lose", url.Values{"do": {"dump"}, "dump.reason": {"not needed"}}).status(http.StatusSeeOther)
	gone := b.get(path).status(http.StatusOK)
	gone.says(".head-line", "Used up")
	if gone.page.Find("form[action$='/lose']").Length() != 0 {
		t.Error("what is used up can be lost")
	}
	b.get(fmt.Sprintf("/chemistry/lots/%d", a.ID)).status(http.StatusOK).says("main", "Mixed, mix 1")

	waste := b.get("/chemistry/waste").status(http.StatusOK)
	waste.says("main", "4.75 L in it")
	waste.says("[aria-labelledby=silver]", "Order of magnitude only")
	waste.says("main", chemistry.Deferral)
	if waste.page.Find("a[href^='/chemistry/containers/']").Length() != 0 {
		t.Error("staff are led to forms of the owner's")
	}
	form = waste.typed("[aria-labelledby=collect] form")
	b.post("/chemistry/waste/collect", form).status(http.StatusUnprocessableEntity).faultBeside("container")
	form.Set("container", "1")
	form.Set("volume_ml", "4751")
	form.Set("hauler", "=Tern Haulage")
	form.Set("document", "77/12")
	b.post("/chemistry/waste/collect", form).status(http.StatusUnprocessableEntity).says("#problems", "holds 4750 mL")
	form.Set("volume_ml", "4750")
	b.post("/chemistry/waste/collect", form).status(http.StatusSeeOther)
	log := b.get("/chemistry/waste/log?kind=developer&from=2026-03-02&to=2026-03-02").status(http.StatusOK)
	log.says("main", "Colour developer, C-41 in Drum")
	if rows := log.page.Find(".waste-log tbody tr").Length(); rows != 3 {
		t.Errorf("%d lines in the log, want 3", rows)
	}
	log.says("table", "4.75 L")
	if log.page.Find("button[formaction='/chemistry/waste/log.csv']").Length() != 1 {
		t.Error("the log cannot be taken away")
	}
	table := b.get("/chemistry/waste/log.csv?kind=developer").status(http.StatusOK)
	if table.Header.Get("Content-Type") != "text/csv; charset=utf-8" || !strings.Contains(table.body, "2026-03-02 11:42,Developer waste,developer,Collected,,4750,,\"'=Tern Haulage") {
		t.Errorf("the table: %s", table.body)
	}
	b.get("/chemistry/waste/log?from=March").status(http.StatusUnprocessableEntity).faultBeside("from")
	b.get("/chemistry/waste/log.csv?kind=paper").status(http.StatusUnprocessableEntity)
	for _, path := range []string{"/chemistry/lots/99", "/chemistry/mixes/99"} {
		b.get(path).status(http.StatusNotFound)
	}
}

// A mix that is too old is poured by an owner only, with a reason.
func TestAnOldMixIsPouredByAnOwnerWithAReason(t *testing.T) {
	t.Parallel()
	l := open(t)
	developer := l.colourDeveloper(t)
	mix, err := l.services.Mixes.RecordMix(t.Context(), jobs.Program, jobs.NewMix{Note: "for the test", Storage: chemistry.FullBottle,
		MixRequest: jobs.MixRequest{Solution: developer.ID, Preparation: jobs.Working, VolumeML: 5000}})
	if err != nil {
		t.Fatal(err)
	}
	l.clock.advance(70 * 24 * time.Hour)
	page := fmt.Sprintf("/chemistry/pour?line=%d&solution=%d", l.line(t, "Drum").ID, developer.ID)
	kit := browse(t, l.URL).signIn("Kit")
	form := kit.get(page).typed("main form")
	if form.Get("mix") != "" || form.Has("override") {
		t.Errorf("staff are offered %v", form)
	}
	form.Set("mix", fmt.Sprint(mix.ID))
	form.Set("volume_ml", "3000")
	kit.post("/chemistry/pour", form).status(http.StatusUnprocessableEntity).says("#problems", "too old")
	form.Set("override", "a strip was good")
	kit.post("/chemistry/pour", form).status(http.StatusForbidden)
	wren := browse(t, l.URL).signIn("Wren")
	if !wren.get(page).typed("main form").Has("override") {
		t.Error("the owner is not asked why")
	}
	fill := wren.post("/chemistry/pour", form).status(http.StatusSeeOther).Header.Get("Location")
	wren.get(fill).says("main", "a strip was good")
	kit.get("/chemistry/stock").says(".notice.warn", "kept until")
}

func TestOwnersKeepTheContainers(t *testing.T) {
	t.Parallel()
	l := open(t)
	b := browse(t, l.URL).signIn("Wren")
	form := b.get("/chemistry/containers/new").status(http.StatusOK).typed("main form")
	b.post("/chemistry/containers/new", form).status(http.StatusUnprocessableEntity).faultBeside("name")
	form.Set("name", "Silver drum 2")
	form.Set("kind", string(chemistry.SilverWaste))
	form.Set("volume_ml", "-5")
	b.post("/chemistry/containers/new", form).status(http.StatusUnprocessableEntity).faultBeside("volume_ml")
	form.Set("volume_ml", "20000")
	b.post("/chemistry/containers/new", form).status(http.StatusSeeOther)
	list := b.get("/chemistry/waste")
	list.says(".notice.done", "Silver drum 2 is added")
	path, _ := list.page.Find("article:contains('Silver drum 2') a[href^='/chemistry/containers/']").Attr("href")
	before := b.get(path).status(http.StatusOK).typed("main form")
	after := b.get(path).typed("main form")
	after.Set("name", "Silver drum B")
	after.Del("active")
	b.post(path, after).status(http.StatusSeeOther)
	b.get("/chemistry/waste").says("details", "Silver drum B")
	before.Set("volume_ml", "30000")
	late := b.post(path, before).status(http.StatusConflict)
	late.says("#problems", "Somebody else changed")
	late.says("main", "In the records now: Silver drum B")
	b.post("/chemistry/containers/3", url.Values{"name": {"Silver"}, "kind": {"silver-bearing"}, "version": {"1"}}).status(http.StatusUnprocessableEntity).says("#problems", "only container in use")
	b.get("/chemistry/containers/99").status(http.StatusNotFound)
	browse(t, l.URL).signIn("Kit").get("/chemistry/containers/new").status(http.StatusForbidden)
}

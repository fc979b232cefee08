package server_test

import (
	"fmt"
	"net/http"
	"net/url"
	"strings"
	"testing"
	"time"

	"github.com/PuerkitoBio/goquery"

	"wetside/chemistry"
	"wetside/jobs"
)

// pour pours a fill through the pages and returns its address.
func (l *lab) pour(t *testing.T, b *browser, solution, line string, volume string) string {
	t.Helper()
	page := fmt.Sprintf("/chemistry/pour?line=%d&solution=%d", l.line(t, line).ID, l.solution(t, solution).ID)
	form := b.get(page).status(http.StatusOK).typed("main form")
	form.Set("volume_ml", volume)
	return b.post("/chemistry/pour", form).status(http.StatusSeeOther).Header.Get("Location")
}

// card finds a fill on the chemistry page.
func card(t *testing.T, page answer, solution string) *goquery.Selection {
	t.Helper()
	found := page.page.Find(".fill").FilterFunction(func(_ int, card *goquery.Selection) bool {
		return strings.TrimSpace(card.Find("h3").Text()) == solution
	})
	if found.Length() != 1 {
		t.Fatalf("%d fills of %s", found.Length(), solution)
	}
	return found
}

// runBatch develops rolls of Marl 400 in MQ borax on the drum; during, if any,
// happens while it runs.
func (l *lab) runBatch(t *testing.T, rolls int, during func()) {
	t.Helper()
	ctx, by := t.Context(), jobs.Program
	order := jobs.NewOrder{Name: "Fen Alder", Email: "fen@example.org", Return: jobs.Collect}
	for range rolls {
		order.Rolls = append(order.Rolls, jobs.NewRoll{Stock: l.stocks["Marl 400"].ID, Format: chemistry.Format135, Exposures: 36})
	}
	taken, _, err := l.services.Orders.Submit(ctx, by, order, "")
	if err != nil {
		t.Fatal(err)
	}
	draft := jobs.BatchDraft{Line: l.line(t, "Drum").ID}
	for _, roll := range taken.Rolls {
		in := jobs.CheckIn{Roll: roll.ID, Version: roll.Version, Stock: roll.Stock, Format: roll.Format, Exposures: roll.Exposures,
			Push: roll.Push, EI: roll.EI, Solution: roll.Solution}
		checked, err := l.services.Rolls.CheckIn(ctx, by, in)
		if err != nil {
			t.Fatal(err)
		}
		draft.Rolls = append(draft.Rolls, checked.ID)
	}
	batch, err := l.services.Batches.Accept(ctx, by, draft)
	if err != nil {
		t.Fatal(err)
	}
	if batch, err = l.services.Batches.Start(ctx, by, batch.ID, jobs.BatchStart{Version: batch.Version, DeveloperC: 20}); err != nil {
		t.Fatal(err)
	}
	if during != nil {
		during()
	}
	l.clock.advance(time.Hour)
	if _, err := l.services.Batches.Finish(ctx, by, batch.ID, batch.Version, nil); err != nil {
		t.Fatal(err)
	}
}

// A fill's whole life. The recipe takes 0.5 m² a litre; half a litre takes
// 4.8 rolls of 80 in² (0.05161 m²).
func TestTheLifeOfAFill(t *testing.T) {
	t.Parallel()
	l := open(t)
	b := browse(t, l.URL).signIn("Kit")
	empty := b.get("/chemistry").status(http.StatusOK)
	empty.says("main", "Nothing is poured in this line")
	empty.says(".missing", "Pour MQ borax")
	if strings.Contains(empty.text(".missing"), "PQ fine grain") {
		t.Error("a one-shot developer is missed")
	}
	path := l.pour(t, b, "MQ borax", "Drum", "500")
	fill := b.get(path).status(http.StatusOK)
	fill.says(".notice.done", "500 mL of MQ borax is in Drum")
	fill.says(".chip", "Fresh")
	fill.says("[aria-labelledby=care]", chemistry.Deferral)
	fill.says("[aria-labelledby=dump]", "Never pour one waste into another")
	fill.says("[aria-labelledby=why]", "Control strips")
	if fill.page.Find("a[href^='/solutions/']:not([href*='/versions'])").Length() != 0 {
		t.Error("staff are led to the recipe's form, which they may not see")
	}

	for _, step := range []struct {
		rolls              int
		chip, figure, left string
		wanted             bool
	}{
		{2, "In use", "41 % of 0.25 m²", "2 rolls of 80 in²", false},
		{2, "Due soon", "82 % of 0.25 m²", "less than a roll", true},
		{1, "Exhausted", "103 % of 0.25 m²", "nothing more", true},
	} {
		l.runBatch(t, step.rolls, nil)
		page := b.get("/chemistry").status(http.StatusOK)
		shown := card(t, page, "MQ borax")
		for _, want := range []string{step.chip, step.figure, step.left} {
			if text := strings.Join(strings.Fields(shown.Text()), " "); !strings.Contains(text, want) {
				t.Errorf("after %d rolls more: %q is not in %q", step.rolls, want, text)
			}
		}
		if wanted := strings.Contains(page.text(".notice.warn"), "MQ borax, Drum"); wanted != step.wanted {
			t.Errorf("%s is to be seen to: %t, want %t", step.chip, wanted, step.wanted)
		}
	}
	page := b.get(path)
	page.says(".lead", "No more film")
	if rows := page.page.Find(".ledger tbody tr"); rows.Length() != 4 {
		t.Errorf("%d entries in the ledger, want the pour and 3 batches", rows.Length())
	}
	page.says(".ledger tbody tr:first-child", "0.258 m²") // the last batch first, with the sum
	page.says(".ledger tbody tr:first-child a[href^='/batches/']", "batch")

	refused := b.post(path+"/dump", url.Values{"reason": {" "}}).status(http.StatusUnprocessableEntity)
	refused.faultBeside("reason")
	b.post(path+"/dump", url.Values{"reason": {"capacity used"}}).status(http.StatusSeeOther)
	after := b.get("/chemistry")
	after.says(".notice.done", "MQ borax in Drum is dumped")
	after.says("table", "capacity used")
	after.says(".missing", "Pour MQ borax")
	dumped := b.get(path).status(http.StatusOK)
	dumped.says(".chip", "Dumped")
	if dumped.page.Find("form[action$='/dump']").Length() != 0 {
		t.Error("a dumped fill can be dumped")
	}
	b.post(path+"/dump", url.Values{"reason": {"again"}}).status(http.StatusConflict).says("#problems", "dumped already")
	l.clock.advance(31 * 24 * time.Hour)
	if later := browse(t, l.URL).signIn("Kit").get("/chemistry"); strings.Contains(later.text("main"), "capacity used") {
		t.Error("still listed after 31 days")
	}
}

func TestAFillInUseIsNotDumped(t *testing.T) {
	t.Parallel()
	l := open(t)
	b := browse(t, l.URL).signIn("Kit")
	path := l.pour(t, b, "MQ borax", "Drum", "1000")
	l.runBatch(t, 1, func() {
		got := b.post(path+"/dump", url.Values{"reason": {"tired"}}).status(http.StatusConflict)
		got.says("#problems", "is running in this fill")
		if kept := got.typed("form[action$='/dump']").Get("reason"); kept != "tired" {
			t.Errorf("the reason is %q now", kept)
		}
	})
}

func TestPouringIsAskedStepByStep(t *testing.T) {
	t.Parallel()
	l := open(t)
	b := browse(t, l.URL).signIn("Kit")
	first := b.get("/chemistry/pour").status(http.StatusOK)
	if first.page.Find("#problems, [name=volume_ml]").Length() != 0 {
		t.Error("the first step asks for the volume or finds fault")
	}
	drum, mq := fmt.Sprint(l.line(t, "Drum").ID), fmt.Sprint(l.solution(t, "MQ borax").ID)
	if fault := b.get("/chemistry/pour?line=&solution=" + mq).status(http.StatusUnprocessableEntity).faultBeside("line"); !strings.Contains(fault, "Choose the line") {
		t.Errorf("no line: %q", fault)
	}
	if fault := b.get("/chemistry/pour?solution=&line=" + drum).status(http.StatusUnprocessableEntity).faultBeside("solution"); !strings.Contains(fault, "Choose the solution") {
		t.Errorf("no solution: %q", fault)
	}
	b.get("/chemistry/pour?line=99&solution="+mq).status(http.StatusUnprocessableEntity).says("#problems", "There is no such line")
	b.get("/chemistry/pour?line=x&solution=" + mq).status(http.StatusUnprocessableEntity).faultBeside("line")
	page := "/chemistry/pour?line=" + drum + "&solution=" + mq
	second := b.get(page).status(http.StatusOK)
	second.says("[aria-labelledby=mind]", "add acid to water, never water to acid")
	second.says("[aria-labelledby=mind]", chemistry.Deferral)
	for _, test := range []struct{ volume, says string }{
		{"", "missing"}, {"0", "1 to 1000000 mL"}, {"1000001", "1 to 1000000 mL"}, {"half a litre", "whole number"}, {"1.5", "whole number"},
	} {
		form := second.typed("main form")
		form.Set("volume_ml", test.volume)
		got := b.post("/chemistry/pour", form).status(http.StatusUnprocessableEntity)
		if fault := got.faultBeside("volume_ml"); !strings.Contains(fault, test.says) {
			t.Errorf("volume %q: %q, want %q", test.volume, fault, test.says)
		}
		if kept := got.typed("main form").Get("volume_ml"); kept != test.volume {
			t.Errorf("volume %q became %q", test.volume, kept)
		}
		got.says("[aria-labelledby=mind]", chemistry.Deferral)
	}
	l.pour(t, b, "MQ borax", "Drum", "1000")
	b.get(page).says("main", "still holds a fill of it")
	form := second.typed("main form")
	form.Set("volume_ml", "1000")
	b.post("/chemistry/pour", form).status(http.StatusConflict).says("#problems", "dump it first")
	fills, err := l.services.Fills.Fills(t.Context())
	if err != nil || len(fills) != 1 {
		t.Errorf("%d fills, %v", len(fills), err)
	}
}

func TestASolutionDoesNotGoIntoAnyLine(t *testing.T) {
	t.Parallel()
	l := open(t)
	b := browse(t, l.URL).signIn("Wren")
	saved, err := l.services.Catalogue.SaveSolution(t.Context(), jobs.Program, jobs.Solution{
		Name: "Developer, ECN-2", Process: chemistry.ECN2, Family: chemistry.ColourDeveloper, Use: chemistry.Replenished, TempC: 41.1, Active: true})
	if err != nil {
		t.Fatal(err)
	}
	page := fmt.Sprintf("/chemistry/pour?line=%d&solution=%d", l.line(t, "Drum").ID, saved.ID)
	if bw := b.get("/chemistry"); strings.Contains(bw.text(".missing"), "ECN-2") {
		t.Error("a line misses what it does not run")
	}
	got := b.get(page).status(http.StatusUnprocessableEntity)
	got.says("#problems", "which Drum does not run")
	if got.page.Find("[name=volume_ml]").Length() != 0 {
		t.Error("the volume is asked all the same")
	}
}

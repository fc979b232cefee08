package server_test

import (
	"encoding/csv"
	"fmt"
	"net/http"
	"net/url"
	"strings"
	"testing"

	"wetside/jobs"
)

// touchedFilm is a fill of the drum with rolls of one owner that went through
// it: one that is back with its owner, one ready to leave and one drying.
func (l *lab) touchedFilm(t *testing.T) (jobs.Fill, []jobs.Roll) {
	t.Helper()
	ctx := t.Context()
	fill := l.tankOfDeveloper(t)
	rolls := l.ready(t, "Sedge 160", "Sedge 640")
	if _, err := l.services.Rolls.Deliver(ctx, kit, jobs.Delivery{Rolls: []jobs.RollID{rolls[0].ID}, How: jobs.Collect}); err != nil {
		t.Fatal(err)
	}
	batch := l.running(t, "Sedge 160")
	batch, err := l.services.Batches.Finish(ctx, kit, batch.ID, batch.Version, nil)
	if err != nil {
		t.Fatal(err)
	}
	return fill, append(rolls, batch.Rolls[0].Roll)
}

func traceAt(kind jobs.CauseKind, id int64) string {
	return fmt.Sprintf("/chemistry/trace?cause=%s&id=%d", kind, id)
}

func TestATraceInThePages(t *testing.T) {
	t.Parallel()
	l := open(t)
	fill, rolls := l.touchedFilm(t)
	staff := browse(t, l.URL).signIn("Kit")
	page := staff.get("/chemistry/trace").status(http.StatusOK).light()
	page.says("main", "Colour developer in Drum")
	page = staff.get(traceAt(jobs.FromFill, int64(fill.ID))).status(http.StatusOK).light()
	page.says("h1", fmt.Sprintf("Fill %d: Colour developer in Drum", fill.ID))
	page.says(".tabs", "All 3 Drying 1 Ready 1 Delivered 1")
	page.says(".traced", "Fen Alder fen@example.org")
	if n := page.page.Find(".traced tr.of-order").Length(); n != 2 {
		t.Errorf("rolls of two orders stand under %d orders", n)
	}
	one := staff.get(traceAt(jobs.FromFill, int64(fill.ID)) + "&state=ready").status(http.StatusOK)
	if n := one.page.Find("tr[data-roll]").Length(); n != 1 {
		t.Errorf("%d rolls are ready, want 1", n)
	}
	// It was all before noon of that day, by the clock on the lab's wall.
	late := staff.get(traceAt(jobs.FromFill, int64(fill.ID)) + "&since=2026-03-02T12:00").status(http.StatusOK)
	late.says(".empty", "No roll was touched")
	staff.get(fmt.Sprintf("/fills/%d", fill.ID)).says("main", "All rolls that went through it")
	back := staff.follow(staff.get("/chemistry/trace?code=" + rolls[1].TwinCheck))
	back.says("h1", "What "+rolls[1].TwinCheck+" touched")
	back.says("main", "Colour developer")
	back.says("main", "by Kit")

	for path, says := range map[string]string{
		traceAt(jobs.FromFill, 99) + "":           "no such fill",
		traceAt(jobs.FromStrip, 99):               "no such strip",
		traceAt(jobs.FromMix, 99):                 "no such mix",
		traceAt(jobs.FromLot, 99):                 "no such lot",
		traceAt("bath", 1):                        "is not known",
		"/chemistry/trace?cause=fill&id=x":        "no number",
		"/chemistry/trace?cause=&id=1":            "choose what to trace from",
		"/chemistry/trace?code=NONE":              "there is no roll",
		traceAt(jobs.FromFill, 1) + "&since=noon": "no day and time",
		traceAt(jobs.FromFill, 1) + "&since=2026-03-02T12:00&until=2026-03-02T11:00": "is not after",
	} {
		got := staff.get(path)
		if got.StatusCode < 400 || got.StatusCode >= 500 {
			t.Errorf("%s: %s", path, got.Status)
		}
		if said := got.text("#problems"); !strings.Contains(strings.ToLower(said), strings.ToLower(says)) {
			t.Errorf("%s says %q, want %q", path, said, says)
		}
	}
}

// Marking, the flag wherever the roll would be moved on, and the finding that
// lets it go.
func TestRollsAreMarkedAndLookedAt(t *testing.T) {
	t.Parallel()
	l := open(t)
	fill, rolls := l.touchedFilm(t)
	staff := browse(t, l.URL).signIn("Kit")
	const mark, closing = "/chemistry/trace/mark", "/chemistry/inspections/close"
	page := staff.get(traceAt(jobs.FromFill, int64(fill.ID)))

	none := staff.send(page, mark, "why", "flat", "do", "ticked").status(http.StatusUnprocessableEntity)
	none.says("#problems", "Tick the rolls")
	unsaid := staff.send(page, mark, "why", " ", "do", "all").status(http.StatusUnprocessableEntity)
	if unsaid.faultBeside("why") == "" {
		t.Error("a marking without a reason is not told beside its field")
	}
	other := staff.send(page, mark, "why", "flat", "do", "ticked", "roll", "999").status(http.StatusUnprocessableEntity)
	other.says("#problems", "not among those that were touched")

	marked := staff.follow(staff.send(page, mark, "why", "look for flat shadows", "do", "all"))
	marked.says(".notice.done", "2 rolls are marked for inspection. 1 is back with the owner and not marked")
	marked.says(".traced", "To be looked at")
	staff.get(rollAt(rolls[1].ID)).says(".notice.warn", "marked for inspection")
	staff.get("/chemistry/trace").says(".nav [aria-current]", "Chemistry")
	order, err := l.services.Orders.Order(t.Context(), rolls[1].Order)
	if err != nil {
		t.Fatal(err)
	}
	private := browse(t, l.URL).get("/o/" + order.Token).status(http.StatusOK)
	private.says("main", "we look at it once more before it leaves")
	if strings.Contains(private.text("main"), "ready") {
		t.Errorf("a roll that stays here is called ready: %s", private.text("main"))
	}
	counter := staff.get("/counter").status(http.StatusOK)
	counter.says("main", "Stays here until somebody has looked at it")
	kept := staff.send(counter, fmt.Sprintf("/orders/%d/deliver", rolls[1].Order), "deliver.rolls", itoa(int(rolls[1].ID)), "deliver.tracking", "SQ 1")
	kept.status(http.StatusUnprocessableEntity).says("#problems", "has to look at it")
	again := staff.follow(staff.send(marked, mark, "why", "once more", "do", "all", "delivered", "yes"))
	again.says(".notice.done", "1 roll is marked for inspection. 2 were marked before.")

	list := staff.get("/chemistry/inspections").status(http.StatusOK).light()
	list.says(".tabs", "To be looked at 3")
	list.says("main", "With its owner")
	if strings.Contains(list.text("main"), "without looking") {
		t.Error("staff are offered what is for an owner to decide")
	}
	ids := list.values("inspection") // the last marked first
	staff.send(list, closing, "outcome", "good", "finding", "fine").status(http.StatusUnprocessableEntity).says("#problems", "Tick the rolls")
	unwritten := staff.send(list, closing, "inspection", ids[2], "outcome", "good").status(http.StatusUnprocessableEntity)
	if unwritten.faultBeside("finding") == "" || len(unwritten.page.Find("[name=inspection][checked]").Nodes) != 1 {
		t.Error("a closing without a finding loses the tick, or is not told")
	}
	staff.send(list, closing, "inspection", ids[2], "outcome", "let go", "finding", "no time").status(http.StatusForbidden)
	found := staff.follow(staff.send(list, closing, "inspection", ids[2], "outcome", "good", "finding", "shadows are fine"))
	found.says(".notice.done", "written down for 1 roll")
	gone := staff.send(staff.get("/counter"), fmt.Sprintf("/orders/%d/deliver", rolls[1].Order), "deliver.tracking", "SQ 1")
	staff.follow(gone).says(".notice.done", "posted")

	owner := browse(t, l.URL).signIn("Wren")
	free := owner.send(owner.get("/chemistry/inspections"), closing, "inspection", ids[0], "outcome", "let go", "finding", "the owner sees to it")
	owner.follow(free)
	spoiled := staff.send(staff.get("/chemistry/inspections"), closing, "inspection", ids[1], "outcome", "spoiled", "finding", "no shadows at all")
	staff.follow(spoiled).says(".empty", "Nothing has to be looked at")
	staff.get(rollAt(rolls[2].ID)).says(".notice.wrong", "no shadows at all")
	all := staff.get("/chemistry/inspections?state=all").status(http.StatusOK)
	for _, want := range []string{"Good shadows are fine", "Spoiled no shadows at all", "Let go the owner sees to it"} {
		all.says("main", want)
	}
	for query, n := range map[string]int{"state=all&kind=fill": 3, "state=all&kind=lot": 0, "state=all&q=" + rolls[2].TwinCheck: 1, "q=alder": 0} {
		if got := staff.get("/chemistry/inspections?" + query).status(http.StatusOK).page.Find("tr[data-roll]").Length(); got != n {
			t.Errorf("%s: %d inspections, want %d", query, got, n)
		}
	}
}

// A message is written once and filled in for each owner; nothing is sent, and
// the file is safe to open.
func TestAMessageToOwners(t *testing.T) {
	t.Parallel()
	l := open(t)
	fill, _ := l.touchedFilm(t)
	odd := jobs.NewOrder{Name: `=HYPERLINK("x")`, Email: "+odd@example.org", Phone: "+31 20 555", Return: jobs.Collect,
		Rolls: []jobs.NewRoll{{Stock: l.stocks["Sedge 160"].ID, Format: "135", Exposures: 36}}}
	order, _, err := l.services.Orders.Submit(t.Context(), jobs.Customer, odd, "")
	if err != nil {
		t.Fatal(err)
	}
	batch := l.accepted(t, []jobs.Roll{l.checkIn(t, order.Rolls[0], "")})
	if _, err := l.services.Batches.Start(t.Context(), kit, batch.ID, jobs.BatchStart{Version: batch.Version, DeveloperC: 37.8}); err != nil {
		t.Fatal(err)
	}
	staff := browse(t, l.URL).signIn("Kit")
	about := fmt.Sprintf("cause=fill&id=%d", fill.ID)
	page := staff.get("/chemistry/trace/message?" + about).status(http.StatusOK).light()
	page.says(".lead", "4 rolls of 2 owners. Nothing is sent from here")
	page.says("main", "Dear Fen Alder,")
	page.says("[name=addresses]", "+odd@example.org, fen@example.org")
	text := url.QueryEscape("Hello {name}: {rolls}")
	page = staff.get("/chemistry/trace/message?" + about + "&state=delivered&text=" + text).status(http.StatusOK)
	page.says("main", "Hello Fen Alder: roll 1001/1 (Sedge 160)")
	page.says(".lead", "1 roll of 1 owner")
	staff.get("/chemistry/trace/message?"+about+"&text="+url.QueryEscape("Dear {nobody}")).status(http.StatusUnprocessableEntity).says("#problems", "{nobody}")
	staff.get("/chemistry/trace/message?cause=fill&id=99").status(http.StatusNotFound)

	file := staff.get("/chemistry/trace/message.csv?" + about + "&text=" + text).status(http.StatusOK)
	if kind := file.Header.Get("Content-Type"); !strings.HasPrefix(kind, "text/csv") || !strings.Contains(file.Header.Get("Content-Disposition"), "fill-") {
		t.Errorf("sent as %s, %s", kind, file.Header.Get("Content-Disposition"))
	}
	rows, err := csv.NewReader(strings.NewReader(file.body)).ReadAll()
	if err != nil || len(rows) != 3 {
		t.Fatalf("%d rows, %v in %s", len(rows), err, file.body)
	}
	for _, row := range rows {
		for _, cell := range row {
			if cell != "" && strings.ContainsAny(cell[:1], "=+-@\t\r\n") {
				t.Errorf("a spreadsheet would calculate %q", cell)
			}
		}
	}
	if rows[1][0] != `'=HYPERLINK("x")` || rows[2][3] != "1001/1; 1001/2; 1002/1" {
		t.Errorf("rows: %q", rows[1:])
	}
}

// A trace of very many rolls comes a page at a time, and is marked as a whole.
func TestAPageOfALongTraceStaysLight(t *testing.T) {
	t.Parallel()
	l := open(t)
	fill := l.tankOfDeveloper(t)
	ctx := t.Context()
	stocks := []string{"Sedge 160", "Sedge 160", "Sedge 160", "Sedge 160", "Sedge 160"}
	for range 25 {
		batch := l.running(t, stocks...)
		if _, err := l.services.Batches.Finish(ctx, kit, batch.ID, batch.Version, nil); err != nil {
			t.Fatal(err)
		}
	}
	staff := browse(t, l.URL).signIn("Kit")
	first := staff.get(traceAt(jobs.FromFill, int64(fill.ID))).status(http.StatusOK).light()
	if n := first.page.Find("tr[data-roll]").Length(); n != 100 {
		t.Errorf("%d rolls on the first page", n)
	}
	next, _ := first.page.Find(".pager a").Last().Attr("href")
	last := staff.get("/chemistry/trace" + next).status(http.StatusOK)
	if n := last.page.Find("tr[data-roll]").Length(); n != 25 {
		t.Errorf("%d rolls on the last page", n)
	}
	marked := staff.follow(staff.send(last, "/chemistry/trace/mark", "why", "flat", "do", "all"))
	marked.says(".notice.done", "125 rolls are marked")
	if n := staff.get("/chemistry/inspections").status(http.StatusOK).light().page.Find("tr[data-roll]").Length(); n != 60 {
		t.Errorf("%d inspections on a page", n)
	}
}

package server_test

import (
	"fmt"
	"net/http"
	"strings"
	"testing"
	"time"

	"wetside/jobs"
	"wetside/server/api"
)

// promised is the moment that a page promises.
func (a answer) promised() time.Time {
	a.t.Helper()
	stamp, _ := a.page.Find("[data-promise]").Attr("datetime")
	at, err := time.Parse(time.RFC3339, stamp)
	if err != nil {
		a.t.Fatalf("the page promises nothing: %v", err)
	}
	return at
}

// What the review promises is what is kept, and what the private page and the
// API say. Much work before an order makes its promise later.
func TestAPromiseIsShownAndKept(t *testing.T) {
	t.Parallel()
	l := open(t)
	b, c := browse(t, l.URL), l.caller(t)
	review := b.press("review", l.fillIn(b, "Sedge 640")).status(http.StatusOK)
	quiet := review.promised()
	if want := start.Add(72 * time.Hour); !quiet.Equal(want) {
		t.Errorf("a quiet lab promises %v, want %v", quiet, want)
	}
	review.says("main", "Thu 5 March, 11:42, if the film is here by Tue 3 March, 11:42")
	path := b.press("submit", review.typed("main form")).status(http.StatusSeeOther).Header.Get("Location")
	if shown := b.get(path).status(http.StatusOK).promised(); !shown.Equal(quiet) {
		t.Errorf("the private page promises %v", shown)
	}
	order, err := l.services.Orders.OrderByToken(t.Context(), strings.TrimPrefix(path, "/o/"))
	if err != nil || !order.Due.Equal(quiet) || !order.Rolls[0].Due.Equal(quiet) {
		t.Errorf("kept %v, %v", order.Due, err)
	}

	many := jobs.NewOrder{Name: "Camp", Email: "camp@example.org", Return: jobs.Collect}
	for range jobs.MaxRolls {
		many.Rolls = append(many.Rolls, jobs.NewRoll{Stock: l.stocks["Sedge 160"].ID, Format: "135"})
	}
	for range 10 {
		if _, _, err := l.services.Orders.Submit(t.Context(), jobs.Customer, many, ""); err != nil {
			t.Fatal(err)
		}
	}
	busy := b.press("review", l.fillIn(b, "Sedge 640")).status(http.StatusOK).promised()
	// 100 loads of 28:15 take five days of ten hours on the one line.
	if busy.Before(start.Add(5 * 24 * time.Hour)) {
		t.Errorf("behind 500 rolls it promises %v", busy)
	}
	roll := fmt.Sprintf(`{"stock":%d,"format":"135"}`, l.stocks["Sedge 640"].ID)
	if read := ask[api.RollReading](c, http.MethodPost, "/roll-readings", roll, http.StatusOK); !read.Ready.Equal(busy) || read.HereBy.Before(start) {
		t.Errorf("the API promises %v for film that is here by %v", read.Ready, read.HereBy)
	}
	taken := ask[api.OrderTaken](c, http.MethodPost, "/orders", orderOf(roll), http.StatusCreated)
	track := ask[api.Tracking](c, http.MethodGet, "/tracking/"+taken.Token, "", http.StatusOK)
	if !taken.Due.Equal(busy) || !track.Due.Equal(busy) {
		t.Errorf("the order is promised for %v and tracked for %v, want %v", taken.Due, track.Due, busy)
	}
}

// Of two batches that wait for the same line, the second will be late. To run it
// first would save it, and after that nothing would.
func TestAPromiseAboutToBreakIsOnTheDaysPage(t *testing.T) {
	t.Parallel()
	l := open(t)
	catalogue, err := l.services.Catalogue.Catalogue(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	about := catalogue.Lab
	about.ReadyHours = 76 // due in the afternoon
	if _, err := l.services.Catalogue.SaveLab(t.Context(), jobs.Program, about); err != nil {
		t.Fatal(err)
	}
	first := l.accepted(t, l.queued(t, "Sedge 160"))
	second := l.accepted(t, l.queued(t, "Sedge 160"))
	if due := second.Rolls[0].Due; !due.Equal(start.Add(76 * time.Hour)) {
		t.Fatalf("due %v", due)
	}
	// A load takes 28:15 and the dry side four hours.
	l.clock.advance(76*time.Hour - 5*time.Hour)
	staff := browse(t, l.URL).signIn("Kit")
	if page := staff.get("/today").status(http.StatusOK); page.page.Find("[data-risk]").Length() != 0 {
		t.Errorf("five hours ahead: %s", page.text("main"))
	}
	l.clock.advance(20 * time.Minute)
	page := staff.get("/today").status(http.StatusOK)
	row := fmt.Sprintf("[data-risk='%d']", second.Rolls[0].ID)
	page.says(row, fmt.Sprintf("Run batch %d now.", second.ID))
	page.says(row, "Promised today 15:42, to be expected today 15:58")
	if link := page.page.Find(row+" a.button").AttrOr("href", ""); link != batchAt(second.ID) {
		t.Errorf("it leads to %q", link)
	}
	if page.page.Find("[data-risk]").Length() != 1 {
		t.Errorf("batch %d is in time: %s", first.ID, page.text("main"))
	}
	risks := ask[api.Today](l.signedIn(t, "Kit"), http.MethodGet, "/today", "", http.StatusOK).AtRisk
	if len(risks) != 1 || risks[0].Roll.Id != second.Rolls[0].ID || !risks[0].CanBeSaved || risks[0].Save != fmt.Sprintf("run batch %d now", second.ID) {
		t.Errorf("the API says %+v", risks)
	}
	l.clock.advance(15 * time.Minute)
	staff.get("/today").says(row, "Nothing can; tell the customer.")
}

func TestThePlanSaysWhichBatchNeedsAFreshFill(t *testing.T) {
	t.Parallel()
	l := open(t)
	drum := l.line(t, "Drum")
	catalogue, err := l.services.Catalogue.Catalogue(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	// 0.5 m² a litre makes 0.2 m², a little under four rolls of 135.
	if _, err := l.services.Fills.PourFill(t.Context(), kit, jobs.Pour{
		Solution: catalogue.Stocks[l.stocks["Marl 400"].ID].Solution, Line: drum.ID, VolumeML: 400,
	}); err != nil {
		t.Fatal(err)
	}
	open := l.accepted(t, l.queued(t, "Marl 400", "Marl 400", "Marl 400"))
	l.queued(t, "Marl 400", "Marl 400")
	staff := browse(t, l.URL).signIn("Kit")
	page := staff.get("/plan").status(http.StatusOK)
	page.says("#proposal [data-first]", "Needs a fresh fill of MQ borax on Drum first.")
	page.says("#proposal [data-first]", "for the present fill")
	page.says(".timeline table", "needs a fresh fill of MQ borax on Drum first")
	if page.page.Find("[data-batch] [data-first]").Length() != 0 {
		t.Errorf("batch %d has enough: %s", open.ID, page.text("[data-batch]"))
	}
	c := l.signedIn(t, "Kit")
	proposal := ask[api.Proposal](c, http.MethodGet, "/proposal", "", http.StatusOK)
	if len(proposal.Batches) != 1 || proposal.Batches[0].First != "needs a fresh fill of MQ borax on Drum first" || len(proposal.OpenFirst) != 0 {
		t.Fatalf("the API proposes %+v", proposal)
	}
	// Accepted, it is an open batch that needs the same.
	form := page.typed("#proposal")
	form.Set("do", "0")
	staff.follow(staff.post("/plan/accept", form)).says(".notice.done", "Accepted")
	proposal = ask[api.Proposal](c, http.MethodGet, "/proposal", "", http.StatusOK)
	if len(proposal.OpenFirst) != 1 || proposal.OpenFirst[0].Batch == open.ID {
		t.Errorf("open batches need %+v", proposal.OpenFirst)
	}
	staff.get("/plan").says("[data-batch] [data-first]", "Needs a fresh fill of MQ borax on Drum first.")
}

func TestABatchIsSplitInOneAct(t *testing.T) {
	t.Parallel()
	l := open(t)
	batch := l.accepted(t, l.queued(t, "Sedge 160", "Sedge 160", "Sedge 160"))
	staff := browse(t, l.URL).signIn("Kit")
	page := staff.get(batchAt(batch.ID)).status(http.StatusOK)
	ticks := page.values("move.rolls")
	split := func(line string, rolls ...string) answer {
		form := page.typed(`form[action="` + batchAt(batch.ID) + `/move"]`)
		form.Set("move.to", "new."+line)
		form["move.rolls"] = rolls
		return staff.post(batchAt(batch.ID)+"/move", form)
	}
	drum := itoa(int(l.line(t, "Drum").ID))
	if got := split(drum).status(http.StatusUnprocessableEntity).faultBeside("move.to"); !strings.Contains(got, "Tick the rolls") {
		t.Errorf("no ticks: %q", got)
	}
	if got := split(drum, ticks...).status(http.StatusUnprocessableEntity).faultBeside("move.to"); !strings.Contains(got, "At least one roll stays") {
		t.Errorf("all of them: %q", got)
	}
	split("x", ticks[0]).status(http.StatusUnprocessableEntity)
	staff.follow(split(drum, ticks[:2]...)).says(".notice.done", "2 rolls are in batch "+itoa(int(batch.ID)+1)+" on Drum now")
	staff.get(batchAt(batch.ID+1)).says(".page-head", "2 rolls")
	split(drum, ticks[:2]...).status(http.StatusConflict).says("#problems", "Somebody else changed")

	c := l.signedIn(t, "Kit")
	made := ask[api.Batch](c, http.MethodPost, batchPath(batch.ID+1, "split"),
		fmt.Sprintf(`{"version":1,"rolls":[%d]}`, batch.Rolls[0].ID), http.StatusCreated)
	if len(made.Rolls) != 1 || made.LineName != "Drum" {
		t.Errorf("made %+v", made)
	}
}

package server_test

import (
	"net/http"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/PuerkitoBio/goquery"

	"wetside/chemistry"
	"wetside/jobs"
)

var kit = jobs.Actor{Name: "Kit"}

// accepted makes a batch of rolls on the drum.
func (l *lab) accepted(t *testing.T, rolls []jobs.Roll) jobs.Batch {
	t.Helper()
	draft := jobs.BatchDraft{Line: l.line(t, "Drum").ID}
	for _, roll := range rolls {
		draft.Rolls = append(draft.Rolls, roll.ID)
	}
	batch, err := l.services.Batches.Accept(t.Context(), kit, draft)
	if err != nil {
		t.Fatal(err)
	}
	return batch
}

// running starts a batch of C-41 rolls on the drum.
func (l *lab) running(t *testing.T, stocks ...string) jobs.Batch {
	t.Helper()
	batch := l.accepted(t, l.queued(t, stocks...))
	batch, err := l.services.Batches.Start(t.Context(), kit, batch.ID, jobs.BatchStart{Version: batch.Version, DeveloperC: 37.8})
	if err != nil {
		t.Fatal(err)
	}
	return batch
}

// ready brings rolls of one order to where they can leave.
func (l *lab) ready(t *testing.T, stocks ...string) []jobs.Roll {
	t.Helper()
	batch := l.running(t, stocks...)
	if _, err := l.services.Batches.Finish(t.Context(), kit, batch.ID, batch.Version, nil); err != nil {
		t.Fatal(err)
	}
	var rolls []jobs.Roll
	for _, roll := range batch.Rolls {
		for range 2 {
			if _, err := l.services.Rolls.Advance(t.Context(), kit, roll.ID, 0); err != nil {
				t.Fatal(err)
			}
		}
		rolls = append(rolls, roll.Roll)
	}
	return rolls
}

func batchAt(id jobs.BatchID) string { return "/batches/" + itoa(int(id)) }

func TestABatchByHandKeepsWithinTheLine(t *testing.T) {
	t.Parallel()
	l := open(t)
	// The drum has 15 units, a 135 roll takes 3 of them.
	l.queued(t, "Sedge 160", "Sedge 160", "Sedge 160", "Sedge 160", "Sedge 160", "Sedge 160")
	staff := browse(t, l.URL).signIn("Kit")
	plan := staff.get("/plan").status(http.StatusOK)
	form := plan.typed("#by-hand")
	form.Set("hand.line", itoa(int(l.line(t, "Drum").ID)))
	form["hand.rolls"] = plan.values("hand.rolls")
	got := staff.post("/plan/batch", form).status(http.StatusUnprocessableEntity)
	got.says("#by-hand .field-error", "These 6 rolls need 18 units, Drum takes 15 in one load")
	if ticks := got.page.Find("[name='hand.rolls'][checked]").Length(); ticks != 6 {
		t.Errorf("%d ticks are kept, want 6", ticks)
	}
	if kept := got.typed("#by-hand").Get("hand.line"); kept != form.Get("hand.line") {
		t.Errorf("line %q is kept", kept)
	}
	form.Del("hand.rolls")
	form.Del("hand.line")
	got = staff.post("/plan/batch", form).status(http.StatusUnprocessableEntity)
	got.says("#by-hand .field-error", "Choose the line")
	got.says("#by-hand .field-error", "Tick the rolls")
}

func TestRemjetNeverGetsIntoAnyTankButItsOwn(t *testing.T) {
	t.Parallel()
	l := open(t)
	stock, err := l.services.Catalogue.SaveStock(t.Context(), jobs.Program, jobs.Stock{
		Name: "Reedmace 320T", Active: true, Film: chemistry.Film{
			Kind: chemistry.ColourNegative, Process: chemistry.ECN2, Remjet: chemistry.RemjetPresent, Balance: chemistry.Tungsten,
			ISODaylight: 200, ISOTungsten: 320, MaxPush: chemistry.Stop, MaxPull: chemistry.Stop,
		},
	})
	if err != nil {
		t.Fatal(err)
	}
	l.stocks[stock.Name] = stock
	backed := l.queued(t, "Reedmace 320T")[0]
	l.queued(t, "Sedge 160", "Reedmace 320T bare")
	staff := browse(t, l.URL).signIn("Kit")
	plan := staff.get("/plan").status(http.StatusOK)
	plan.says("#proposal", "C-41, normal")
	if strings.Contains(plan.text("#proposal"), backed.TwinCheck) {
		t.Error("film with remjet is proposed")
	}
	plan.says("main", backed.TwinCheck)
	form := plan.typed("#by-hand")
	form.Set("hand.line", itoa(int(l.line(t, "Drum").ID)))
	form["hand.rolls"] = []string{itoa(int(backed.ID))}
	staff.post("/plan/batch", form).status(http.StatusUnprocessableEntity).says("#by-hand .field-error", "remjet")

	// Nor does it get into a batch that is open, by moving it there.
	open := l.accepted(t, l.queued(t, "Sedge 160"))
	move := staff.get(rollAt(backed.ID)).typed(`form[action="` + rollAt(backed.ID) + `/hold"]`)
	move.Set("move.to", itoa(int(open.ID)))
	staff.post(rollAt(backed.ID)+"/move", move).status(http.StatusUnprocessableEntity).says("#problems", "remjet")
	now, err := l.services.Rolls.Roll(t.Context(), backed.ID)
	if err != nil || now.State != jobs.Queued {
		t.Errorf("the roll is %s, %v", now.State, err)
	}
}

func TestAProposalThatPassedIsNotAccepted(t *testing.T) {
	t.Parallel()
	l := open(t)
	rolls := l.queued(t, "Sedge 160", "Teal Slide 100")
	staff := browse(t, l.URL).signIn("Kit")
	plan := staff.get("/plan").status(http.StatusOK)
	form := plan.typed("#proposal")
	form.Set("do", "all")
	if _, err := l.services.Rolls.Hold(t.Context(), kit, rolls[0].ID, 0, "Which light?"); err != nil {
		t.Fatal(err)
	}
	got := staff.post("/plan/accept", form).status(http.StatusConflict)
	got.says("#problems", "Somebody else moved roll "+rolls[0].TwinCheck)
	got.says(".notice.done", "Accepted: batch")
	for _, do := range []string{"9", "-1", "x"} {
		form.Set("do", do)
		staff.post("/plan/accept", form).status(http.StatusUnprocessableEntity)
	}
}

func TestRollsAreMovedBetweenBatches(t *testing.T) {
	t.Parallel()
	l := open(t)
	from, to := l.accepted(t, l.queued(t, "Sedge 160", "Sedge 640")), l.accepted(t, l.queued(t, "Sedge 160"))
	slides := l.accepted(t, l.queued(t, "Teal Slide 100"))
	staff := browse(t, l.URL).signIn("Kit")
	page := staff.get(batchAt(from.ID)).status(http.StatusOK)
	move := func(to jobs.BatchID, rolls ...string) answer {
		form := page.typed(`form[action="` + batchAt(from.ID) + `/move"]`)
		form.Set("move.to", itoa(int(to)))
		form["move.rolls"] = rolls
		return staff.post(batchAt(from.ID)+"/move", form)
	}
	ticks := page.values("move.rolls")
	move(slides.ID, ticks[0]).status(http.StatusUnprocessableEntity).says("#problems", "E-6")
	if got := move(to.ID).status(http.StatusUnprocessableEntity).faultBeside("move.to"); !strings.Contains(got, "Tick the rolls") {
		t.Errorf("no ticks: %q", got)
	}
	staff.follow(move(to.ID, ticks[0])).says(".notice.done", "1 roll is in batch "+itoa(int(to.ID)))
	staff.get(batchAt(to.ID)).says(".page-head", "2 rolls")
	move(to.ID, ticks[0]).status(http.StatusConflict) // its page is stale
	staff.follow(move(0, ticks[1])).says(".notice.warn", "holds no roll")

	page = staff.get(batchAt(to.ID))
	locked := staff.follow(staff.send(page, batchAt(to.ID)+"/lock"))
	locked.says(".notice.done", "is locked")
	staff.send(page, batchAt(to.ID)+"/lock").status(http.StatusConflict).says("#problems", "locked")
	staff.send(locked, batchAt(to.ID)+"/cancel").status(http.StatusUnprocessableEntity).faultBeside("cancel.reason")
	cancelled := staff.follow(staff.send(locked, batchAt(to.ID)+"/cancel", "cancel.reason", "pump broke"))
	cancelled.says(".notice.wrong", "pump broke")
}

func TestAStoppedBatchAsksWhatBecameOfEveryRoll(t *testing.T) {
	t.Parallel()
	l := open(t)
	batch := l.running(t, "Sedge 160", "Sedge 640")
	staff := browse(t, l.URL).signIn("Kit")
	path := batchAt(batch.ID)
	page := staff.get(path).status(http.StatusOK)
	got := staff.send(page, path+"/stop", "stop.reason", "the pump stopped").status(http.StatusUnprocessableEntity)
	for _, field := range []string{"stop[0].state", "stop[1].state"} {
		if said := got.faultBeside(field); !strings.Contains(said, "Say what became") {
			t.Errorf("%s: %q", field, said)
		}
	}
	got = staff.send(got, path+"/stop", "stop[0].state", "queued", "stop[1].state", "spoiled").status(http.StatusUnprocessableEntity)
	if said := got.faultBeside("stop[1].reason"); !strings.Contains(said, "reason is missing") {
		t.Errorf("spoiled without a reason: %q", said)
	}
	if kept := got.typed("#stop-form"); kept.Get("stop.reason") != "the pump stopped" || kept.Get("stop[0].state") != "queued" {
		t.Errorf("kept: %v", kept)
	}
	staff.follow(staff.send(got, path+"/stop", "stop[1].reason", "half developed")).says(".head-line", "Stopped")
	for i, want := range []jobs.RollState{jobs.Queued, jobs.Spoiled} {
		if now, err := l.services.Rolls.Roll(t.Context(), batch.Rolls[i].ID); err != nil || now.State != want {
			t.Errorf("roll %d is %s, want %s (%v)", i, now.State, want, err)
		}
	}
}

func TestARollThatSpoiledInTheTankIsNamedAtTheEnd(t *testing.T) {
	t.Parallel()
	l := open(t)
	batch := l.running(t, "Sedge 160", "Sedge 640")
	staff := browse(t, l.URL).signIn("Kit")
	path := batchAt(batch.ID)
	page := staff.get(path).status(http.StatusOK)
	got := staff.send(page, path+"/finish", "finish[1].state", "spoiled").status(http.StatusUnprocessableEntity)
	got.faultBeside("finish[1].reason")
	staff.send(got, path+"/finish", "finish[1].state", "delivered").status(http.StatusUnprocessableEntity).faultBeside("finish[1].state")
	done := staff.follow(staff.send(got, path+"/finish", "finish[1].reason", "touched its neighbour"))
	done.says(".notice.done", "1 roll drying and 1 roll spoiled")
	staff.send(page, path+"/finish").status(http.StatusConflict).says("#problems", "finished")
	staff.send(page, path+"/reading", "reading.temp_c", "38").status(http.StatusConflict)
}

func TestReadingsAreTakenOfStepsThatAreThere(t *testing.T) {
	t.Parallel()
	l := open(t)
	batch := l.running(t, "Sedge 160")
	staff := browse(t, l.URL).signIn("Kit")
	path := batchAt(batch.ID)
	page := staff.get(path).status(http.StatusOK)
	for _, test := range []struct{ field, value string }{
		{"reading.temp_c", ""}, {"reading.temp_c", "warm"}, {"reading.temp_c", "140"}, {"reading.temp_c", "NaN"}, {"reading.step", "fog"},
	} {
		got := staff.send(page, path+"/reading", "reading.temp_c", "38", "reading.note", "keep", test.field, test.value).status(http.StatusUnprocessableEntity)
		if got.faultBeside(test.field) == "" {
			t.Errorf("%s %q: nothing is said", test.field, test.value)
		}
		if note := got.page.Find(`[name="reading.note"]`).AttrOr("value", ""); note != "keep" {
			t.Errorf("the note is now %q", note)
		}
	}
}

// A batch that begins late pushes what follows it on its line: the timeline
// shows when lines will be taken, and the day says what can run.
func TestALateBatchPushesWhatFollows(t *testing.T) {
	t.Parallel()
	l := open(t)
	first, second := l.accepted(t, l.queued(t, "Sedge 160")), l.accepted(t, l.queued(t, "Sedge 160"))
	l.queued(t, "Sedge 640")
	l.clock.advance(second.PlannedStart.Sub(first.PlannedStart) - time.Minute)
	if _, err := l.services.Batches.Start(t.Context(), kit, first.ID, jobs.BatchStart{Version: first.Version, DeveloperC: 37.8}); err != nil {
		t.Fatal(err)
	}
	l.clock.advance(2 * time.Minute) // the second was planned for a minute ago
	staff := browse(t, l.URL).signIn("Kit")
	type bar struct{ from, until float64 }
	var bars []bar
	staff.get("/plan").status(http.StatusOK).page.Find(".timeline .lane svg.bar").Each(func(_ int, s *goquery.Selection) {
		share := func(name string) float64 {
			value, err := strconv.ParseFloat(strings.TrimSuffix(s.AttrOr(name, ""), "%"), 64)
			if err != nil {
				t.Fatal(err)
			}
			return value
		}
		bars = append(bars, bar{share("x"), share("x") + share("width")})
	})
	if len(bars) != 3 {
		t.Fatalf("drawn are %v, want three batches", bars)
	}
	const rounding = 0.02
	for i := range bars[1:] {
		if bars[i+1].from < bars[i].until-rounding {
			t.Errorf("bars overlap on one line: %v", bars)
		}
	}
	if said := staff.get("/today").text("main"); strings.Contains(said, "Batch "+itoa(int(second.ID))+" is to run on Drum now") {
		t.Errorf("the drum is taken, and the day says: %s", said)
	}
	l.clock.advance(time.Hour)
	staff.get("/today").says("main", "Batch "+itoa(int(first.ID))+" on Drum should be through")
}

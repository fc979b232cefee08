package server_test

import (
	"net/http"
	"strings"
	"testing"
	"time"

	"wetside/chemistry"
	"wetside/jobs"
)

// queued checks in an order with these stocks as it was ordered.
func (l *lab) queued(t *testing.T, stocks ...string) []jobs.Roll {
	t.Helper()
	var rolls []jobs.Roll
	for _, roll := range l.order(t, stocks...).Rolls {
		rolls = append(rolls, l.checkIn(t, roll, ""))
	}
	return rolls
}

func TestAnEmptyLabSaysWhatToDo(t *testing.T) {
	t.Parallel()
	staff := browse(t, open(t).URL).signIn("Kit")
	for path, want := range map[string]string{
		"/today": "A quiet lab", "/check-in": "No film is expected", "/plan": "No roll is queued", "/batches": "No batch",
		"/counter": "Nothing is ready", "/orders": "No order is open", "/rolls": "No roll",
	} {
		staff.get(path).status(http.StatusOK).light().says(".empty", want)
	}
	staff.get("/dry-side").status(http.StatusOK).says("main", "Nothing hangs")
	for _, path := range []string{"/rolls/1", "/orders/1", "/batches/1", "/check-in/1", "/rolls/x", "/orders/-1"} {
		staff.get(path).status(http.StatusNotFound)
	}
}

func TestAScanLeadsToItsRollOrOrder(t *testing.T) {
	t.Parallel()
	l := open(t)
	roll := l.queued(t, "Sedge 160")[0]
	staff := browse(t, l.URL).signIn("Kit")
	order := itoa(int(roll.Order))
	for code, want := range map[string]string{
		roll.TwinCheck: rollAt(roll.ID), order: "/orders/" + order, order + "%2F1": rollAt(roll.ID), " " + roll.TwinCheck + "%0D": rollAt(roll.ID),
	} {
		if got := staff.get("/scan?code=" + strings.ReplaceAll(code, " ", "%20")).status(http.StatusSeeOther).Header.Get("Location"); got != want {
			t.Errorf("%q leads to %s, want %s", code, got, want)
		}
	}
	for _, code := range []string{"999999", order + "%2F2", "nobody", "%3Cscript%3E"} {
		if got := staff.get("/scan?code=" + code).status(http.StatusNotFound); got.faultBeside("code") == "" {
			t.Errorf("%q: nothing is said", code)
		}
	}
	staff.get("/scan?code=").status(http.StatusUnprocessableEntity)
}

func TestANumberIsOnOneRollOnly(t *testing.T) {
	t.Parallel()
	l := open(t)
	rolls := l.order(t, "Sedge 160", "Sedge 640").Rolls
	staff := browse(t, l.URL).signIn("Kit")
	first, second := "/check-in/"+itoa(int(rolls[0].ID)), "/check-in/"+itoa(int(rolls[1].ID))
	next := staff.follow(staff.send(staff.get(first), first, "twin_check", "PAIR-7"))
	if got := next.Request.URL.Path; got != second {
		t.Fatalf("after the first roll comes %s, want %s", got, second)
	}
	got := staff.send(next, second, "twin_check", "pair-7", "question", "Is it the other one?").status(http.StatusConflict)
	if said := got.faultBeside("twin_check"); !strings.Contains(said, "another roll") {
		t.Errorf("a number that is taken: %q", said)
	}
	if kept := got.typed("#check-in"); kept.Get("twin_check") != "pair-7" || kept.Get("question") != "Is it the other one?" {
		t.Errorf("kept: %v", kept)
	}
	staff.send(next, second, "twin_check", " ").status(http.StatusUnprocessableEntity).faultBeside("twin_check")
	staff.send(next, second, "twin_check", "no/slash").status(http.StatusUnprocessableEntity).faultBeside("twin_check")
	issued := staff.follow(staff.send(next, second, "do", "issue", "twin_check", "ignored"))
	issued.says(".notice.done", "is 100001 and is queued. That was the last roll of order")
}

func TestCheckInHoldsWhatIsOpen(t *testing.T) {
	t.Parallel()
	l := open(t)
	staff := browse(t, l.URL).signIn("Kit")
	for _, test := range []struct {
		name, say, answer string
		change            []string
	}{
		{"a question", "Light leak?", "", []string{"question", "Light leak?"}},
		{"remjet unknown", "It is not known whether this film carries remjet", "answer.remjet=none", []string{"remjet", "unknown"}},
		{"remjet present", "Remjet is present", "answer.remjet=removed", []string{"remjet", "present"}},
		{"another stock", "not what was ordered", "answer.push=0", []string{"stock", l.key("Sedge 640")}},
	} {
		roll := l.order(t, "Sedge 160").Rolls[0]
		path := "/check-in/" + itoa(int(roll.ID))
		held := staff.follow(staff.send(staff.get(path), path, append(test.change, "do", "issue")...))
		held.says(".notice.done", "is held")
		page := staff.get(rollAt(roll.ID)).status(http.StatusOK)
		page.says(".notice.warn", test.say)
		change := []string{"answer.answer", "asked by phone"}
		if name, value, ok := strings.Cut(test.answer, "="); ok {
			change = append(change, name, value)
		}
		page = staff.follow(staff.send(page, rollAt(roll.ID)+"/answer", change...))
		page.says(".notice.done", "is queued")
		if t.Failed() {
			t.Fatalf("%s: %s", test.name, page.text("main"))
		}
	}
}

func TestAChangedPushIsConfirmed(t *testing.T) {
	t.Parallel()
	l := open(t)
	roll := l.order(t, "Sedge 640").Rolls[0]
	path := "/check-in/" + itoa(int(roll.ID))
	staff := browse(t, l.URL).signIn("Kit")
	got := staff.send(staff.get(path), path, "twin_check", "P-100", "push", "+1").status(http.StatusUnprocessableEntity)
	if said := got.faultBeside("confirmed"); !strings.Contains(said, "tick this") {
		t.Errorf("a changed push: %q", said)
	}
	staff.follow(staff.send(got, path, "confirmed", "yes"))
	now, err := l.services.Rolls.Roll(t.Context(), roll.ID)
	if err != nil || now.Push != chemistry.Stop || now.State != jobs.Queued {
		t.Errorf("%v, %v", now, err)
	}
}

func TestACartridgeTellsItsFilm(t *testing.T) {
	t.Parallel()
	l := open(t)
	stock := l.stocks["Sedge 640"]
	stock.DX = "109-12"
	if _, err := l.services.Catalogue.SaveStock(t.Context(), jobs.Program, stock); err != nil {
		t.Fatal(err)
	}
	path := "/check-in/" + itoa(int(l.order(t, "Sedge 160").Rolls[0].ID))
	staff := browse(t, l.URL).signIn("Kit")
	// 109-12 is number 1756; the 3 stands for 24 exposures.
	got := staff.get(path + "?dx=017563").status(http.StatusOK)
	got.says(".dx", "Sedge 640, 24 exposures. That is not what was ordered")
	if form := got.typed("#check-in"); form.Get("stock") != l.key("Sedge 640") || form.Get("exposures") != "24" {
		t.Errorf("filled in: %v", form)
	}
	staff.get(path+"?dx=1757").status(http.StatusOK).says(".dx", "no stock of the catalogue")
	staff.get(path + "?dx=film").status(http.StatusUnprocessableEntity).faultBeside("dx")
}

// Two people look at one roll; the slower one is told where it is now.
func TestAStalePageTellsWhereTheRollIs(t *testing.T) {
	t.Parallel()
	l := open(t)
	roll := l.queued(t, "Sedge 160")[0]
	kit, wren := browse(t, l.URL).signIn("Kit"), browse(t, l.URL).signIn("Wren")
	path := rollAt(roll.ID)
	seen := kit.get(path)
	l.clock.advance(5 * time.Minute)
	wren.follow(wren.send(wren.get(path), path+"/hold", "hold.question", "Which light?"))
	late := kit.send(seen, path+"/cancel", "cancel.reason", "called off by phone").status(http.StatusConflict)
	late.says("#problems", "Somebody moved this roll at 11:47: it is now held.")
	late.says(".head-line .chip", "Held")
	if got := late.page.Find(`[name="cancel.reason"]`).AttrOr("value", ""); got != "called off by phone" {
		t.Errorf("the reason typed is now %q", got)
	}
	// A form that the state does not offer any more gives its words back.
	late = kit.send(seen, path+"/hold", "hold.question", "Which way back?").status(http.StatusConflict)
	late.says(".notice.warn", "Which way back?")
}

func TestAWrongStateIsRefused(t *testing.T) {
	t.Parallel()
	l := open(t)
	roll := l.queued(t, "Sedge 160")[0]
	staff := browse(t, l.URL).signIn("Kit")
	form := staff.get(rollAt(roll.ID)).typed(`form[action="` + rollAt(roll.ID) + `/hold"]`)
	for _, step := range []string{"advance", "queue", "answer", "deliver"} {
		form.Set("answer.answer", "yes")
		form.Set("deliver.how", "collect")
		got := staff.post(rollAt(roll.ID)+"/"+step, form).status(http.StatusConflict)
		got.says("#problems", "queued")
	}
	staff.get("/dry-side?code=" + roll.TwinCheck).status(http.StatusConflict).faultBeside("code")
	now, err := l.services.Rolls.Roll(t.Context(), roll.ID)
	if err != nil || now.State != jobs.Queued || now.Version != roll.Version {
		t.Errorf("the roll is %s at version %d, %v", now.State, now.Version, err)
	}
}

func TestARollIsNeverCancelledOrSpoiledWithoutAReason(t *testing.T) {
	t.Parallel()
	l := open(t)
	roll := l.queued(t, "Sedge 160")[0]
	staff := browse(t, l.URL).signIn("Kit")
	page := staff.get(rollAt(roll.ID))
	for _, step := range []string{"cancel", "spoil"} {
		got := staff.send(page, rollAt(roll.ID)+"/"+step, step+".reason", " ").status(http.StatusUnprocessableEntity)
		if said := got.faultBeside(step + ".reason"); !strings.Contains(said, "reason is missing") {
			t.Errorf("%s: %q", step, said)
		}
	}
	staff.follow(staff.send(page, rollAt(roll.ID)+"/spoil", "spoil.reason", "light got in")).says(".notice.wrong", "light got in")
}

func TestDeliveringByPostNeedsAReference(t *testing.T) {
	t.Parallel()
	l := open(t)
	rolls := l.ready(t, "Sedge 160", "Sedge 160")
	staff := browse(t, l.URL).signIn("Kit")
	path := "/orders/" + itoa(int(rolls[0].Order))
	counter := staff.get("/counter").status(http.StatusOK)
	counter.says(".address", "Reed Lane 3")
	form := counter.typed(`form[action="` + path + `/deliver"]`)
	form["deliver.rolls"] = counter.values("deliver.rolls")[:1]
	got := staff.post(path+"/deliver", form).status(http.StatusUnprocessableEntity)
	if said := got.faultBeside("deliver.tracking"); !strings.Contains(said, "tracking reference is missing") {
		t.Errorf("without a reference: %q", said)
	}
	if ticks := got.page.Find("[name='deliver.rolls'][checked]").Length(); ticks != 1 {
		t.Errorf("%d rolls are ticked, want the one that was", ticks)
	}
	form.Set("deliver.tracking", "QX 12")
	staff.follow(staff.post(path+"/deliver", form)).says(".notice.done", "posted, tracking QX 12")
	form.Del("deliver.rolls")
	staff.post(path+"/deliver", form).status(http.StatusUnprocessableEntity).says("#problems", "Tick the rolls")
	other := l.order(t, "Sedge 160").Rolls[0]
	form.Set("deliver.rolls", itoa(int(other.ID)))
	staff.post(path+"/deliver", form).status(http.StatusUnprocessableEntity).says("#problems", "not of order")
}

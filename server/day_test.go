package server_test

import (
	"net/http"
	"net/url"
	"strconv"
	"strings"
	"testing"

	"github.com/PuerkitoBio/goquery"

	"wetside/jobs"
)

// heaviest is the most that a page may weigh, in bytes.
const heaviest = 150_000

// follow goes where a form that succeeded leads.
func (b *browser) follow(a answer) answer {
	b.t.Helper()
	a.status(http.StatusSeeOther)
	return b.get(a.Header.Get("Location")).status(http.StatusOK).light()
}

// light fails the test when a page is too heavy.
func (a answer) light() answer {
	a.t.Helper()
	if len(a.body) > heaviest {
		a.t.Errorf("%s weighs %d bytes, at most %d", a.Request.URL, len(a.body), heaviest)
	}
	return a
}

// values lists the values of every field of a name, as boxes to tick.
func (a answer) values(name string) []string {
	var values []string
	a.page.Find("[name=" + strconv.Quote(name) + "]").Each(func(_ int, box *goquery.Selection) {
		values = append(values, box.AttrOr("value", ""))
	})
	return values
}

// send sends the form with this action as it stands, with some values changed.
func (b *browser) send(a answer, action string, change ...string) answer {
	b.t.Helper()
	form := a.typed(`form[action="` + action + `"]`)
	for i := 0; i < len(change); i += 2 {
		form.Set(change[i], change[i+1])
	}
	return b.post(action, form)
}

// A whole day through the pages alone: a roll from the order form to its
// owner's hands.
func TestADayFromTheOrderFormToTheCounter(t *testing.T) {
	t.Parallel()
	l := open(t)
	customer := browse(t, l.URL)
	form := l.fillIn(customer, "Sedge 640")
	form.Set("rolls[0].ei", "1250")
	form.Set("rolls[0].push", "+1")
	sent := customer.press("submit", customer.press("review", form).typed("main form")).status(http.StatusSeeOther)
	private := sent.Header.Get("Location")
	order, err := l.services.Orders.OrderByToken(t.Context(), strings.TrimPrefix(private, "/o/"))
	if err != nil {
		t.Fatal(err)
	}

	staff := browse(t, l.URL)
	today := staff.follow(staff.enter("Kit", password))
	today.says("h1", "Today")
	today.says(".next", "1 roll is expected")
	// The packing slip's code, the order's number and its owner's name all lead
	// to its first roll.
	var checkIn answer
	for _, code := range []string{l.URL + private, itoa(int(order.ID)), "alder"} {
		checkIn = staff.follow(staff.get("/check-in?q=" + url.QueryEscape(code)))
		checkIn.says("h1", "Check in "+order.Rolls[0].Label())
	}
	roll := rollAt(order.Rolls[0].ID)
	taken := staff.follow(staff.send(checkIn, checkIn.Request.URL.Path, "twin_check", "a-1001"))
	taken.says(".notice.done", order.Rolls[0].Label()+" is A-1001 and is queued")

	batch := runToDrying(staff, roll)
	dry := staff.get("/dry-side?code=a-1001").status(http.StatusOK)
	dry.says(".scanned", "Cut and sleeve, scan, film goes back")
	dry = staff.follow(staff.sendForm(dry, ".scanned form"))
	dry.says(".notice.done", "A-1001 ("+order.Rolls[0].Label()+") is finishing now")
	dry = staff.follow(staff.sendForm(staff.get("/dry-side?code=A-1001"), ".scanned form"))
	dry.says(".notice.done", "is ready now")

	counter := staff.get("/counter?q=Alder").status(http.StatusOK)
	gone := staff.follow(staff.send(counter, "/orders/"+itoa(int(order.ID))+"/deliver"))
	gone.says(".notice.done", order.Rolls[0].Label()+" collected")
	gone.says(".empty", "Nothing is ready to leave")
	customer.get(private).says(".strip [aria-current=step]", "Back with you")

	page := staff.get(roll).status(http.StatusOK)
	for _, want := range []string{"Check-in", "expected → received", "batched → developing", "ready → delivered", batch, "Kit"} {
		page.says(".history", want)
	}
}

func rollAt(id jobs.RollID) string { return "/rolls/" + itoa(int(id)) }

// sendForm sends a selected form as it stands.
func (b *browser) sendForm(a answer, selector string) answer {
	b.t.Helper()
	return b.post(a.page.Find(selector).AttrOr("action", ""), a.typed(selector))
}

// runToDrying accepts the one proposed batch, runs it and returns what it is
// called.
func runToDrying(staff *browser, roll string) string {
	t := staff.t
	t.Helper()
	plan := staff.get("/plan").status(http.StatusOK).light()
	plan.says("#proposal", "C-41, push +1")
	proposal := plan.typed("#proposal")
	proposal.Set("do", "0")
	plan = staff.follow(staff.post("/plan/accept", proposal))
	plan.says(".notice.done", "Accepted: batch 1")
	const path = "/batches/1"
	sheet := staff.get(path).status(http.StatusOK).light()
	// C-41 at push 1 takes 3:45 (Kodak TI-2420, push table) at 37.8 ± 0.15 °C
	// (Kodak Z-131, table 2-1).
	sheet.says(".timer", "3:45")
	if got := sheet.page.Find(".timer").AttrOr("data-develop", ""); got != "225" {
		t.Errorf("data-develop is %q, want 225 s", got)
	}
	sheet.says(".temp", "37.8 ± 0.15 °C")
	sheet.says(".why", "Kodak TI-2420")
	sheet.says(".load", "A-1001")
	sheet.says(".heed", "safety data sheet")
	if strings.Contains(sheet.text(".load"), "Alder") {
		t.Error("the run sheet at the line names the owner")
	}

	// Nothing of a cold developer is started, and the page says what to do.
	cold := staff.send(sheet, path+"/start", "start.developer_c", "36,5").status(http.StatusUnprocessableEntity)
	if got := cold.faultBeside("start.developer_c"); !strings.Contains(got, "36.5") || !strings.Contains(got, "warm it") {
		t.Errorf("a cold developer: %q", got)
	}
	if got := cold.page.Find(`[name="start.developer_c"]`).AttrOr("value", ""); got != "36,5" {
		t.Errorf("the temperature typed is now %q", got)
	}
	running := staff.follow(staff.send(cold, path+"/start", "start.developer_c", "37.8"))
	running.says(".notice.done", "developing for 3:45")
	if running.page.Find("script[src*='run-sheet']").Length() != 1 || running.page.Find(".step[data-seconds='225']").Length() != 1 {
		t.Error("a running sheet has no timers")
	}
	running = staff.follow(staff.send(running, path+"/reading", "reading.step", "bleach", "reading.temp_c", "38.2"))
	running.says(".readings", "38.2 °C")
	running.says(".readings", "at the start")
	done := staff.follow(staff.send(running, path+"/finish"))
	done.says(".notice.done", "1 roll drying")
	staff.get(roll).says(".head-line", "Drying")
	return "batch 1"
}

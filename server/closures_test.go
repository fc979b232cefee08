package server_test

import (
	"fmt"
	"net/http"
	"net/url"
	"strings"
	"testing"
	"time"

	"wetside/jobs"
	"wetside/server/api"
)

// The day on which the tests begin is Monday, 2 March 2026.
func TestOwnersCloseTheLab(t *testing.T) {
	t.Parallel()
	l := open(t)
	b := browse(t, l.URL).signIn("Wren")
	form := b.get("/lab").typed("main form")
	for _, day := range []string{"open_saturday", "open_sunday"} {
		if form.Get(day) == "" {
			t.Errorf("%s is not ticked to begin with", day)
		}
		form.Del(day)
	}
	b.post("/lab", form).status(http.StatusSeeOther)
	if got := l.catalogue(t).Lab.ClosedOn; got != jobs.WeekdaysOf(time.Saturday, time.Sunday) {
		t.Errorf("closed on %b", got)
	}
	if again := b.get("/lab").typed("main form"); again.Get("open_friday") == "" || again.Get("open_sunday") != "" {
		t.Errorf("shown as %v", again)
	}
	for _, day := range jobs.Week {
		form.Del("open_" + strings.ToLower(day.String()))
	}
	never := b.post("/lab", form).status(http.StatusUnprocessableEntity)
	never.says("#problems", "open on at least one weekday")
	never.says(".field.has-error legend", "Open on")

	b.get("/closures").says("main", "None are to come")
	for _, slip := range []struct{ from, to, name, field, says string }{
		{"", "", "Holiday", "from", "missing"},
		{"2026-04-03", "2026-04-02", "Holiday", "to", "before the first"},
		{"3 April", "", "Holiday", "from", "written 2026-09-30"},
		{"2026-03-01", "", "Holiday", "to", "is over"},
		{"2026-04-03", "", " ", "name", "missing"},
		{"2026-04-03", "2026-12-24", "Holiday", "to", "183 days"},
	} {
		got := b.post("/closures", url.Values{"from": {slip.from}, "to": {slip.to}, "name": {slip.name}}).status(http.StatusUnprocessableEntity)
		if said := got.faultBeside(slip.field); !strings.Contains(said, slip.says) {
			t.Errorf("%+v: %q", slip, said)
		}
	}
	b.post("/closures", url.Values{"from": {"2026-04-03"}, "to": {"2026-04-06"}, "name": {"Easter"}}).status(http.StatusSeeOther)
	b.post("/closures", url.Values{"from": {"2026-12-24"}, "name": {"Party"}}).status(http.StatusSeeOther)
	page := b.get("/closures")
	page.says(".notice.done", "closed on 24 December 2026")
	page.says("tbody tr:first-child", "3 to 6 April 2026")
	page.says("tbody tr:first-child", "Easter")

	// Customers are told where they bring their film, of what is soon.
	front := browse(t, l.URL).get("/")
	front.says("main", "Open Monday to Friday, 8:00 to 18:00.")
	front.says("main", "Closed 3 to 6 April 2026: Easter.")
	if strings.Contains(front.text("main"), "Party") {
		t.Error("a party in December is told of in March")
	}

	remove, _ := page.page.Find("tbody form").First().Attr("action")
	b.post(remove, url.Values{}).status(http.StatusSeeOther)
	b.post(remove, url.Values{}).status(http.StatusNotFound)
	if left := l.catalogue(t).Lab.Closures; len(left) != 1 || left[0].Name != "Party" {
		t.Errorf("left are %+v", left)
	}
}

func TestOwnersCloseTheLabThroughTheAPI(t *testing.T) {
	t.Parallel()
	l := open(t)
	c := l.signedIn(t, "Wren")
	lab := ask[api.Lab](c, http.MethodGet, "/lab", "", http.StatusOK)
	if len(lab.OpenOn) != 7 || lab.OpenOn[0] != "monday" {
		t.Errorf("open on %v", lab.OpenOn)
	}
	body := `{"name":"Sallow Quay","ready_hours":1,"opens_at":8,"closes_at":18,"open_on":%s,"time_zone":"UTC","return_address":"","version":%d}`
	for open, says := range map[string]string{`[]`: "too few open weekdays: at least 1", `["funday"]`: "must be one of", `null`: "missing"} {
		field := "open_on"
		if open == `["funday"]` {
			field = "open_on[0]"
		}
		c.refused(http.MethodPut, "/lab", fmt.Sprintf(body, open, lab.Version), refusedInput, jobs.Invalid, field, says)
	}
	saved := ask[api.Lab](c, http.MethodPut, "/lab", fmt.Sprintf(body, `["saturday","monday"]`, lab.Version), http.StatusOK)
	if got := strings.Join(saved.OpenOn, " "); got != "monday saturday" {
		t.Errorf("open on %s", got)
	}

	added := ask[api.Closure](c, http.MethodPost, "/closures", `{"from":"2026-03-07","to":"2026-03-09","name":"Stocktaking"}`, http.StatusCreated)
	for _, slip := range []struct{ body, field, says string }{
		{`{"from":"2026-03-09","to":"2026-03-10","name":"Holiday"}`, "from", "7 to 9 March 2026"},
		{`{"from":"tomorrow","to":"2026-03-10","name":"Holiday"}`, "from", "no date"},
		{`{"from":"2026-03-10","name":"Holiday"}`, "to", "missing"},
		{`{"from":"2026-03-10","to":"2026-03-10"}`, "name", "missing"},
	} {
		c.refused(http.MethodPost, "/closures", slip.body, refusedInput, jobs.Invalid, slip.field, slip.says)
	}
	anybody := l.caller(t)
	if got := ask[api.Closures](anybody, http.MethodGet, "/closures", "", http.StatusOK).Closures; len(got) != 1 || got[0] != added || got[0].From != "2026-03-07" {
		t.Errorf("closures: %+v", got)
	}
	// Film comes by Tuesday. The lab opens on Saturday, but then takes stock until
	// Monday: so on the next Saturday, and the film dries until the Monday after.
	roll := fmt.Sprintf(`{"stock":%d,"format":"135"}`, l.stocks["Sedge 640"].ID)
	read := ask[api.RollReading](anybody, http.MethodPost, "/roll-readings", roll, http.StatusOK)
	if read.HereBy.Format(time.DateOnly) != "2026-03-14" || read.Ready.Format(time.DateOnly) != "2026-03-16" {
		t.Errorf("here by %v, ready %v", read.HereBy, read.Ready)
	}
	c.send(http.MethodDelete, fmt.Sprintf("/closures/%d", added.Id), "").status(http.StatusNoContent)
	c.refused(http.MethodDelete, fmt.Sprintf("/closures/%d", added.Id), "", http.StatusNotFound, jobs.NotFound, "", "no closure")
	if read = ask[api.RollReading](anybody, http.MethodPost, "/roll-readings", roll, http.StatusOK); read.HereBy.Format(time.DateOnly) != "2026-03-07" {
		t.Errorf("here by %v", read.HereBy)
	}
}

// On a Sunday on which the lab is closed, the plan is that of Monday, and so is
// what it is drawn on.
func TestAClosedDayShowsTheNextOpenOne(t *testing.T) {
	t.Parallel()
	l := open(t)
	l.queued(t, "Sedge 160")
	about := l.catalogue(t).Lab
	about.ClosedOn = jobs.WeekdaysOf(time.Sunday)
	if _, err := l.services.Catalogue.SaveLab(t.Context(), jobs.Program, about); err != nil {
		t.Fatal(err)
	}
	l.clock.advance(time.Date(2026, 3, 8, 12, 0, 0, 0, time.UTC).Sub(start))
	staff := browse(t, l.URL).signIn("Kit")
	page := staff.get("/plan").status(http.StatusOK)
	page.says(".timeline", "C-41, normal, tomorrow 08:00 to tomorrow 08:28")
	if drawn := page.text(".timeline"); strings.Contains(drawn, "12:00") {
		t.Errorf("the Sunday is drawn: %s", drawn)
	}
}

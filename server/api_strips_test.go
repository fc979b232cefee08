package server_test

import (
	"encoding/json"
	"fmt"
	"net/http"
	"strings"
	"testing"
	"time"

	"wetside/chemistry"
	"wetside/jobs"
	"wetside/server/api"
)

// stripAim is what the box of these tests should read; the figures are invented.
var stripAim = jobs.Densities{
	"d_min_red": 0.2, "d_min_green": 0.6, "d_min_blue": 0.9, "ld_red": 0.8, "ld_green": 1.2, "ld_blue": 1.5,
	"hd_red": 1.3, "hd_green": 1.9, "hd_blue": 2.2, "d_max_blue": 2.9, "yellow_blue": 2.8,
}

// stripOff is the aim with the speed of the red layer off by so much.
func stripOff(by float64) jobs.Densities {
	densities := jobs.Densities{}
	for name, value := range stripAim {
		densities[name] = value
	}
	densities["ld_red"] += by
	densities["hd_red"] += by
	return densities
}

func jsonOf(t *testing.T, value any) string {
	t.Helper()
	text, err := json.Marshal(value)
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

// A box is opened by an owner; staff read strips; the second confirms the first,
// the line is stopped, and an owner lets it run. Limits: Kodak Z-131, table 5-1.
func TestStripsThroughTheAPI(t *testing.T) {
	t.Parallel()
	l := open(t)
	staff, owner := l.signedIn(t, "Kit"), l.signedIn(t, "Wren")
	drum := l.line(t, "Drum").ID
	read := func(by float64) string {
		return fmt.Sprintf(`{"line":%d,"process":"C-41","densities":%s}`, drum, jsonOf(t, stripOff(by)))
	}
	staff.refused(http.MethodPost, "/strips", read(0), http.StatusUnprocessableEntity, jobs.Refused, "", "no box of C-41 strips is in use")
	box := fmt.Sprintf(`{"process":"C-41","number":"4711","aim":%s,"strips":20,"expires_on":"2026-09-30"}`, jsonOf(t, stripAim))
	staff.refused(http.MethodPost, "/strip-boxes", box, http.StatusForbidden, jobs.Forbidden, "", "owner")
	owner.refused(http.MethodPost, "/strip-boxes", strings.Replace(box, "2026-09-30", "30.9.2026", 1), http.StatusUnprocessableEntity, jobs.Invalid, "expires_on", "2026-09-30")
	owner.refused(http.MethodPost, "/strip-boxes", strings.Replace(box, `"ld_red":0.8`, `"ld_red":9`, 1), http.StatusUnprocessableEntity, jobs.Invalid, "aim.ld_red", "0 to 5")
	opened := ask[api.StripBox](owner, http.MethodPost, "/strip-boxes", box, http.StatusCreated)
	if !opened.InUse || len(opened.Limits) != 5 || !strings.Contains(opened.LimitsSource, "Z-131") {
		t.Errorf("opened %+v", opened)
	}
	owner.refused(http.MethodPost, "/strip-boxes", box, http.StatusConflict, jobs.Duplicate, "number", "already")

	state := func() api.StripLine {
		l.clock.advance(time.Minute)
		return ask[api.StripLines](staff, http.MethodGet, "/strip-lines", "", http.StatusOK).Lines[0]
	}
	if s := state(); s.Standing != jobs.StripDue || s.MayRun || !strings.Contains(s.Objection, "run a control strip first") {
		t.Errorf("before any strip: %+v", s)
	}
	staff.refused(http.MethodPost, "/strips", strings.Replace(read(0), `"ld_red":0.8,`, "", 1), http.StatusUnprocessableEntity, jobs.Invalid, "ld_red", "missing")
	ask[api.Strip](staff, http.MethodPost, "/strips", read(0), http.StatusCreated)
	if s := state(); s.Standing != jobs.LineInControl || !s.MayRun || *s.StripsLeft != 19 || s.CrossOverDue {
		t.Errorf("after a good strip: %+v", s)
	}
	first := ask[api.Strip](staff, http.MethodPost, "/strips", read(0.1), http.StatusCreated)
	if first.Verdict != chemistry.PastControl || len(first.Signals) != 1 || first.Signals[0].Parameter != "ld" || len(first.Suspects) != 3 || !strings.Contains(strings.Join(first.Next, " "), "second strip") {
		t.Errorf("first %+v", first)
	}
	if s := state(); s.Standing != jobs.SecondWanted || s.MayRun {
		t.Errorf("after the first: %+v", s)
	}
	second := ask[api.Strip](staff, http.MethodPost, "/strips", read(0.1), http.StatusCreated)
	if second.Confirms != first.Id || strings.Contains(strings.Join(second.Next, " "), "second strip") {
		t.Errorf("second %+v", second)
	}
	if s := state(); s.Standing != jobs.LineStopped || len(s.Again) != 1 || s.FirstSuspect {
		t.Errorf("after the second: %+v", s)
	}
	release := fmt.Sprintf("/strips/%d/release", second.Id)
	staff.refused(http.MethodPost, release, `{"reason":"why not"}`, http.StatusForbidden, jobs.Forbidden, "", "owner")
	owner.refused(http.MethodPost, release, `{"reason":" "}`, http.StatusUnprocessableEntity, jobs.Invalid, "reason", "missing")
	owner.refused(http.MethodPost, fmt.Sprintf("/strips/%d/release", first.Id), `{"reason":"why not"}`, http.StatusConflict, jobs.WrongState, "", "another strip")
	if free := ask[api.Strip](owner, http.MethodPost, release, `{"reason":"densitometer"}`, http.StatusOK); free.Release == nil || free.Release.By != "Wren" {
		t.Errorf("released %+v", free.Release)
	}
	owner.refused(http.MethodPost, release, `{"reason":"densitometer"}`, http.StatusConflict, jobs.WrongState, "", "already")
	if s := state(); s.Standing != jobs.LineReleased || !s.MayRun {
		t.Errorf("released: %+v", s)
	}

	list := ask[api.Strips](staff, http.MethodGet, fmt.Sprintf("/strips?line=%d&process=C-41&limit=2", drum), "", http.StatusOK).Strips
	if len(list) != 2 || list[0].Id != second.Id {
		t.Errorf("list %+v", list)
	}
	staff.refused(http.MethodGet, "/strips?process=C-22", "", http.StatusUnprocessableEntity, jobs.Invalid, "process", "C-41")
	staff.refused(http.MethodGet, "/strips/99", "", http.StatusNotFound, jobs.NotFound, "", "no such strip")
	one := fmt.Sprintf("/strip-boxes/%d", opened.Id)
	change := fmt.Sprintf(`{"version":%d,"number":"4711","aim":%s,"strips":30}`, opened.Version, jsonOf(t, stripAim))
	if changed := ask[api.StripBox](owner, http.MethodPut, one, change, http.StatusOK); changed.Strips != 30 || changed.Read != 3 {
		t.Errorf("changed %+v", changed)
	}
	owner.refused(http.MethodPut, one, change, http.StatusConflict, jobs.Stale, "", "somebody else")
	away := ask[api.StripBox](owner, http.MethodPut, one+"/use", fmt.Sprintf(`{"version":%d,"in_use":false}`, opened.Version+1), http.StatusOK)
	if lines := ask[api.StripLines](staff, http.MethodGet, "/strip-lines", "", http.StatusOK).Lines; away.InUse || len(lines) != 0 {
		t.Errorf("put away, and %+v", lines)
	}
}

func TestStripFilesThroughTheAPI(t *testing.T) {
	t.Parallel()
	l := open(t)
	l.watch(t)
	c := l.signedIn(t, "Kit")
	send := func(csv string) string { return jsonOf(t, map[string]string{"csv": csv}) }
	good := strings.Replace(jobs.StripFileExample, "07:40", "11:00", 1) // 10:00 in UTC
	c.refused(http.MethodPost, "/strip-files", send(good+strings.SplitN(good, "\n", 2)[1]), http.StatusUnprocessableEntity, jobs.Invalid, "csv", "line 3: ")
	c.refused(http.MethodPost, "/strip-files", send(strings.Replace(good, "0,80", "dark", 1)), http.StatusUnprocessableEntity, jobs.Invalid, "csv", "line 2: ld_red")
	c.refused(http.MethodPost, "/strip-files", send(strings.Repeat("x", 200_001)), http.StatusUnprocessableEntity, jobs.Invalid, "csv", "200000")
	if got := c.send(http.MethodPost, "/strip-files", send(strings.Repeat("x", 300_000))); got.StatusCode != http.StatusRequestEntityTooLarge {
		t.Errorf("a file of 300 kB: %s", got.Status)
	}
	if read := ask[api.Strips](c, http.MethodPost, "/strip-files", send(good), http.StatusCreated).Strips; len(read) != 1 || !read[0].At.Equal(time.Date(2026, 3, 2, 10, 0, 0, 0, time.UTC)) {
		t.Errorf("read %+v", read)
	}
	c.refused(http.MethodPost, "/strip-files", send(good), http.StatusUnprocessableEntity, jobs.Invalid, "csv", "sent before")
}

// watch opens a box of C-41 strips.
func (l *lab) watch(t *testing.T) jobs.StripBox {
	t.Helper()
	box, err := l.services.Strips.OpenBox(t.Context(), jobs.Program, jobs.BoxDraft{
		Process: chemistry.C41, Number: "4711", Aim: stripAim, Limits: chemistry.C41StripLimits, Strips: 50})
	if err != nil {
		t.Fatal(err)
	}
	return box
}

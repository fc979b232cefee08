package server_test

import (
	"bytes"
	"fmt"
	"mime/multipart"
	"net/http"
	"net/url"
	"strconv"
	"strings"
	"testing"
	"time"

	"wetside/chemistry"
	"wetside/jobs"
)

// typeStrip types densities into the form of a page.
func typeStrip(form url.Values, prefix string, densities jobs.Densities) url.Values {
	for name, value := range densities {
		form.Set(prefix+name, strings.Replace(strconv.FormatFloat(value, 'f', 2, 64), ".", ",", 1))
	}
	return form
}

// readStrip reads a strip in the drum through the pages and returns its page.
func (l *lab) readStrip(t *testing.T, b *browser, by float64) answer {
	t.Helper()
	l.clock.advance(time.Minute)
	path := fmt.Sprintf("/chemistry/strips/%d/C-41/read", l.line(t, "Drum").ID)
	form := typeStrip(b.get(path).status(http.StatusOK).typed("main form"), "", stripOff(by))
	return b.get(b.post(path, form).status(http.StatusSeeOther).Header.Get("Location")).status(http.StatusOK)
}

// A box is opened, and a line goes from due over stopped and released back into
// control, all in the pages.
func TestStripsInThePages(t *testing.T) {
	t.Parallel()
	l := open(t)
	staff, owner := browse(t, l.URL).signIn("Kit"), browse(t, l.URL).signIn("Wren")
	empty := staff.get("/chemistry/strips").status(http.StatusOK)
	empty.says("main", "No line is watched by control strips")
	empty.says("[aria-label=Chemistry] [aria-current]", "Control strips")
	if empty.page.Find("a[href='/chemistry/strip-boxes/new']").Length() != 0 {
		t.Error("staff are led to open a box, which they may not")
	}
	owner.get("/chemistry/strip-boxes/new").status(http.StatusOK).says(".doors", "C-41")
	page := "/chemistry/strip-boxes/new?process=C-41"
	form := owner.get(page).status(http.StatusOK).typed("main form")
	if form.Get("limits.ld_action") != "0.06" || form.Get("limits.ld_control") != "0.08" {
		t.Errorf("the published limits are not filled in: %v", form)
	}
	form = typeStrip(form, "aim.", stripAim)
	form.Set("number", "4711")
	form.Set("strips", "20")
	for _, slip := range []slip{
		{"number", " ", "", "missing"}, {"strips", "many", "", "whole number"}, {"expires_on", "soon", "", "2026-09-30"},
		{"aim.ld_red", "", "", "missing"}, {"aim.ld_red", "dark", "", "no density"}, {"aim.ld_red", "5,01", "", "0 to 5"},
		{"correction.hd_blue", "2", "", "-1 to 1"}, {"limits.ld_action", "0.09", "", "beyond its control limit"},
		{"limits.ld_control", "x", "", "no number"},
	} {
		wrong := url.Values{}
		for name, values := range form {
			wrong[name] = values
		}
		wrong.Set(slip.field, slip.typed)
		got := owner.post("/chemistry/strip-boxes/new", wrong).status(http.StatusUnprocessableEntity)
		if fault := got.faultBeside(slip.field); !strings.Contains(fault, slip.says) {
			t.Errorf("%s = %q: %q, want %q", slip.field, slip.typed, fault, slip.says)
		}
		if kept := got.typed("main form").Get(slip.field); kept != slip.typed {
			t.Errorf("%s = %q became %q", slip.field, slip.typed, kept)
		}
	}
	owner.post("/chemistry/strip-boxes/new", form).status(http.StatusSeeOther)
	owner.get("/chemistry/strips").says(".notice.done", "Box 4711 of C-41 strips is in use")

	due := staff.get("/chemistry/strips").status(http.StatusOK)
	due.says(".strip-line .chip", "Strip due")
	due.says("main", chemistry.StripStorage)
	chart := fmt.Sprintf("/chemistry/strips/%d/C-41", l.line(t, "Drum").ID)
	staff.get(chart).status(http.StatusOK).says("main", "No strip was ever read here")
	if got := staff.post(chart+"/read", url.Values{"ld_red": {"dark"}}).status(http.StatusUnprocessableEntity); !strings.Contains(got.faultBeside("ld_red"), "no density") {
		t.Error("a density that is none")
	}
	if got := staff.post(chart+"/read", url.Values{"ld_red": {"0.8"}}).status(http.StatusUnprocessableEntity); !strings.Contains(got.faultBeside("ld_green"), "missing") {
		t.Error("a density that is missing")
	}
	good := l.readStrip(t, staff, 0)
	good.says(".chip", "In control")
	good.says("main", "Film may run")
	first := l.readStrip(t, staff, 0.1)
	for _, words := range []string{"LD red is off by +0.10, past the control limit of 0.08", "The developer is too warm", "second strip", chemistry.Deferral, "Read the second strip"} {
		first.says("main", words)
	}
	if first.page.Find("form[action$='/release']").Length() != 0 {
		t.Error("staff are offered to release the line")
	}
	second := l.readStrip(t, staff, 0.1)
	second.says("main", "It is the second one")
	second.says("main", "gave it again")
	staff.get("/chemistry/strips").says(".strip-line .chip", "Stopped")

	path := second.Request.URL.Path
	staff.post(path+"/release", url.Values{"reason": {"why not"}}).status(http.StatusForbidden)
	if fault := owner.post(path+"/release", url.Values{"reason": {""}}).status(http.StatusUnprocessableEntity).faultBeside("reason"); fault == "" {
		t.Error("released without a reason")
	}
	owner.post(path+"/release", url.Values{"reason": {"checked with a plaque"}}).status(http.StatusSeeOther)
	owner.get(path).says("main", "Released by Wren")
	owner.post(path+"/release", url.Values{"reason": {"again"}}).status(http.StatusConflict).says("#problems", "already")
	staff.get("/chemistry/strips").says(".strip-line .chip", "Released")
	l.readStrip(t, staff, 0).says("main", "Film may run")
	shown := staff.get(chart).status(http.StatusOK)
	if plots, rows := shown.page.Find("svg.plot").Length(), shown.page.Find(".strip-rows tbody tr").Length(); plots != 5 || rows != 4 {
		t.Errorf("%d drawings and %d rows, want 5 and 4", plots, rows)
	}
	shown.says(".strip-rows", "checked with a plaque")
	shown.says("main", "Z-131")
	staff.get(chart+"?last=90").status(http.StatusOK).says(".tabs [aria-current]", "90")
	for _, none := range []string{"/chemistry/strips/99/C-41", "/chemistry/strips/1/E-6", "/chemistry/strip/99", "/chemistry/strips/1/C-41/write"} {
		staff.get(none).status(http.StatusNotFound)
	}
	owner.get("/chemistry/strip-boxes/99").status(http.StatusNotFound)
}

// With enough strips the rules of the chart speak.
func TestRulesInTheChart(t *testing.T) {
	t.Parallel()
	l := open(t)
	l.watch(t)
	b := browse(t, l.URL).signIn("Kit")
	for i := range 16 {
		l.clock.advance(time.Minute)
		off := []float64{-0.01, 0, 0.02, 0.01}[i/8*2+i%2]
		if _, err := l.services.Strips.ReadStrip(t.Context(), jobs.Program, jobs.StripRun{Line: l.line(t, "Drum").ID, Process: chemistry.C41, Densities: stripOff(off)}); err != nil {
			t.Fatal(err)
		}
	}
	page := b.get(fmt.Sprintf("/chemistry/strips/%d/C-41", l.line(t, "Drum").ID)).status(http.StatusOK)
	page.says(".strip-rows", "LD red: eight on one side of the centre")
	page.says("main", "How the line runs by itself")
	if page.page.Find("text.rule").Length() == 0 {
		t.Error("no rule is marked in the drawings")
	}
}

func TestBoxIsChangedAndCrossedOverInThePages(t *testing.T) {
	t.Parallel()
	l := open(t)
	box := l.watch(t)
	owner := browse(t, l.URL).signIn("Wren")
	l.readStrip(t, owner, 0.01)
	path := fmt.Sprintf("/chemistry/strip-boxes/%d", box.ID)
	mine := owner.get(path).status(http.StatusOK).typed("form[action='" + path + "']")
	theirs := owner.get(path).typed("form[action='" + path + "']")
	theirs.Set("number", "4711 a")
	owner.post(path, theirs).status(http.StatusSeeOther)
	mine.Set("number", "4711 b")
	stale := owner.post(path, mine).status(http.StatusConflict)
	stale.says("#problems", "Somebody else changed this box")
	if stale.says("main", "In the records now: 4711 a"); strings.Count(stale.text("main"), "In the records now") != 1 {
		t.Error("more than the changed field is marked")
	}
	owner.post(path, stale.typed("form[action='"+path+"']")).status(http.StatusSeeOther)

	form := owner.get("/chemistry/strip-boxes/new?process=C-41").status(http.StatusOK).typed("main form")
	form.Set("number", "4712")
	form.Set("pairs[0].old", "1")
	form = typeStrip(form, "pairs[0].new.", stripOff(0.06))
	wrong := owner.post("/chemistry/strip-boxes/new", url.Values{"process": {"C-41"}, "number": {"4712"}, "pairs[0].old": {"9"}, "limits.ld_control": {"0.08"}, "limits_source": {"ours"}})
	if fault := wrong.status(http.StatusUnprocessableEntity).faultBeside("pairs[0].old"); !strings.Contains(fault, "no strip that was read from box") {
		t.Errorf("a strip that is none: %q", fault)
	}
	owner.post("/chemistry/strip-boxes/new", form).status(http.StatusSeeOther)
	boxes, err := l.services.Strips.Boxes(t.Context())
	if err != nil || len(boxes) != 2 || boxes[0].Number != "4712" || boxes[0].Aim.LD[chemistry.Red] != 0.85 {
		t.Fatalf("%+v, %v", boxes, err)
	}
	fresh := owner.get(fmt.Sprintf("/chemistry/strip-boxes/%d", boxes[0].ID)).status(http.StatusOK)
	fresh.says("main", "Crossed over with 1 pair of strips")
	use := fmt.Sprintf("/chemistry/strip-boxes/%d/use", boxes[1].ID)
	again := url.Values{"version": {strconv.Itoa(boxes[1].Version)}, "use": {"yes"}}
	owner.post(use, again).status(http.StatusConflict).says("#problems", "Another box is in use")
	owner.post(fmt.Sprintf("/chemistry/strip-boxes/%d/use", boxes[0].ID), url.Values{"version": {"99"}}).status(http.StatusConflict).says("#problems", "Somebody else changed this box")
	owner.post(fmt.Sprintf("/chemistry/strip-boxes/%d/use", boxes[0].ID), url.Values{"version": {strconv.Itoa(boxes[0].Version)}}).status(http.StatusSeeOther)
	owner.post(use, again).status(http.StatusSeeOther)
	owner.get("/chemistry/strips").says(".notice.done", "in use again")
	browse(t, l.URL).signIn("Kit").get(path).status(http.StatusForbidden)
}

// A black-and-white box is read in one channel and has no published limits.
func TestBlackAndWhiteBoxInThePages(t *testing.T) {
	t.Parallel()
	l := open(t)
	owner := browse(t, l.URL).signIn("Wren")
	page := owner.get("/chemistry/strip-boxes/new?process=BW").status(http.StatusOK)
	page.says("main", "one channel, the visual one")
	form := page.typed("main form")
	if form.Has("aim.ld_red") || form.Has("limits.silver_control") || form.Get("limits.ld_control") != "" {
		t.Errorf("the form asks for %v", form)
	}
	form = typeStrip(form, "aim.", jobs.Densities{"d_min_visual": 0.25, "ld_visual": 0.6, "hd_visual": 1.2})
	form.Set("number", "BW 1")
	if got := owner.post("/chemistry/strip-boxes/new", form).status(http.StatusUnprocessableEntity); !strings.Contains(got.text("#problems"), "At least one control limit") {
		t.Errorf("a box without limits: %s", got.text("#problems"))
	}
	form.Set("limits.ld_control", "0.1")
	form.Set("limits_source", "our first month")
	owner.post("/chemistry/strip-boxes/new", form).status(http.StatusSeeOther)
	path := fmt.Sprintf("/chemistry/strips/%d/BW", l.line(t, "Drum").ID)
	read := typeStrip(owner.get(path+"/read").status(http.StatusOK).typed("main form"), "", jobs.Densities{"d_min_visual": 0.25, "ld_visual": 0.75, "hd_visual": 1.3})
	strip := owner.get(owner.post(path+"/read", read).status(http.StatusSeeOther).Header.Get("Location")).status(http.StatusOK)
	strip.says("main", "LD is off by +0.15")
	strip.says("main", "no pattern is published here")
	owner.get(path).status(http.StatusOK)
}

func TestStripFileInThePages(t *testing.T) {
	t.Parallel()
	l := open(t)
	l.watch(t)
	b := browse(t, l.URL).signIn("Kit")
	page := b.get("/chemistry/strips/file").status(http.StatusOK)
	page.says(".columns-list", "ld_red")
	example := page.page.Find("pre").Text()
	b.post("/chemistry/strips/file", url.Values{"csv": {" "}}).status(http.StatusUnprocessableEntity).says("#problems", "Choose a file")
	wrong := strings.Replace(example, "0,80", "dark", 1)
	got := b.post("/chemistry/strips/file", url.Values{"csv": {wrong}}).status(http.StatusUnprocessableEntity)
	if fault := got.faultBeside("csv"); !strings.Contains(fault, "ine 2: ld_red") || strings.TrimSpace(got.page.Find("textarea").Text()) != strings.TrimSpace(wrong) {
		t.Errorf("a wrong line: %q, kept %q", fault, got.page.Find("textarea").Text())
	}
	var body bytes.Buffer
	parts := multipart.NewWriter(&body)
	file, err := parts.CreateFormFile("file", "strips.csv")
	if err != nil {
		t.Fatal(err)
	}
	fmt.Fprint(file, example)
	if err := parts.Close(); err != nil {
		t.Fatal(err)
	}
	sent := body.String()
	b.do(http.MethodPost, "/chemistry/strips/file", strings.NewReader(sent), "Content-Type", parts.FormDataContentType()).status(http.StatusSeeOther)
	b.get("/chemistry/strips").says(".notice.done", "1 strip is recorded, all in control")
	b.do(http.MethodPost, "/chemistry/strips/file", strings.NewReader(sent), "Content-Type", parts.FormDataContentType()).status(http.StatusUnprocessableEntity).says("#problems", "sent before")
	b.do(http.MethodPost, "/chemistry/strips/file", strings.NewReader(sent[:len(sent)/2]), "Content-Type", parts.FormDataContentType()).status(http.StatusBadRequest)
	b.do(http.MethodPost, "/chemistry/strips/file", strings.NewReader("no form"), "Content-Type", "text/csv").status(http.StatusUnsupportedMediaType)
	huge := strings.Replace(sent, example, strings.Repeat("x", 300_000), 1)
	b.do(http.MethodPost, "/chemistry/strips/file", strings.NewReader(huge), "Content-Type", parts.FormDataContentType()).status(http.StatusRequestEntityTooLarge)
}

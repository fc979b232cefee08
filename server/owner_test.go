package server_test

import (
	"net/http"
	"net/url"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"wetside/jobs"
)

// catalogue reads what is stored.
func (l *lab) catalogue(t *testing.T) jobs.Catalogue {
	t.Helper()
	catalogue, err := l.services.Catalogue.Catalogue(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	return catalogue
}

// slip is one thing typed wrong into a form that is right otherwise.
type slip struct {
	field, typed string
	at           string // the field that is found fault with, "" for the same
	says         string
}

// trySlips types each slip into the form of a page and checks that it is
// refused beside its field, that everything typed is still there, and that
// nothing was stored.
func (l *lab) trySlips(t *testing.T, b *browser, page string, slips []slip) {
	t.Helper()
	before := l.catalogue(t)
	for _, slip := range slips {
		form := b.get(page).status(http.StatusOK).typed("main form")
		form.Set(slip.field, slip.typed)
		if slip.at == "" {
			slip.at = slip.field
		}
		got := b.post(page, form)
		if got.StatusCode != http.StatusUnprocessableEntity && got.StatusCode != http.StatusConflict {
			t.Errorf("%s = %q: %s, want 422 or 409", slip.field, slip.typed, got.Status)
			continue
		}
		if fault := got.faultBeside(slip.at); !strings.Contains(fault, slip.says) {
			t.Errorf("%s = %q: %q stands beside %s, want %q", slip.field, slip.typed, fault, slip.at, slip.says)
		}
		if diff := cmp.Diff(form, got.typed("main form")); diff != "" {
			t.Errorf("%s = %q: what was typed changed:\n%s", slip.field, slip.typed, diff)
		}
	}
	if diff := cmp.Diff(before, l.catalogue(t)); diff != "" {
		t.Errorf("a refused form stored something:\n%s", diff)
	}
}

// tryStale opens a form, lets somebody else save it first, and checks that the
// second save says so, keeps what was typed, and goes through when it is
// repeated.
func tryStale(t *testing.T, mine, theirs *browser, page, field, typed, other string) {
	t.Helper()
	form := mine.get(page).status(http.StatusOK).typed("main form")
	first := theirs.get(page).status(http.StatusOK).typed("main form")
	first.Set(field, other)
	theirs.post(page, first).status(http.StatusSeeOther)
	form.Set(field, typed)
	got := mine.post(page, form).status(http.StatusConflict)
	got.says("#problems", "Somebody else changed")
	again := got.typed("main form")
	if again.Get(field) != typed {
		t.Errorf("%s: %q stands in %s, want what was typed", page, again.Get(field), field)
	}
	got.says("main form", "In the records now: "+other)
	if strings.Count(got.text("main form"), "In the records now") != 1 {
		t.Errorf("%s: more than the changed field is marked: %s", page, got.text("main form"))
	}
	mine.post(page, again).status(http.StatusSeeOther)
	if now := mine.get(page).typed("main form").Get(field); now != typed {
		t.Errorf("%s: saved again, %s is %q, want %q", page, field, now, typed)
	}
}

func TestSetUpLeadsToEverything(t *testing.T) {
	t.Parallel()
	l := open(t)
	b := browse(t, l.URL).signIn("Wren")
	page := b.get("/set-up").status(http.StatusOK)
	page.says(".doors", "5 in use, 1 not")
	page.says(".doors", "2 who can sign in")
	doors := page.page.Find(".doors a")
	if doors.Length() != 7 {
		t.Errorf("%d doors", doors.Length())
	}
	for i := range doors.Nodes {
		path := doors.Eq(i).AttrOr("href", "")
		part := b.get(path).status(http.StatusOK)
		part.says(".sections [aria-current]", part.text("h1"))
	}
	browse(t, l.URL).signIn("Kit").get("/set-up").status(http.StatusForbidden)
}

func TestEntriesThatDoNotExist(t *testing.T) {
	t.Parallel()
	l := open(t)
	b := browse(t, l.URL).signIn("Wren")
	for _, path := range []string{"/stocks/999", "/solutions/999", "/lines/999", "/people/999", "/fills/999", "/stocks/x", "/lines/-1", "/processes/C-22"} {
		b.get(path).status(http.StatusNotFound)
	}
	for _, path := range []string{"/stocks/999", "/solutions/999", "/lines/999", "/people/999/password", "/fills/999/dump", "/processes/c-41"} {
		b.post(path, url.Values{"password": {password}, "reason": {"tired"}}).status(http.StatusNotFound)
	}
}

func TestTheLab(t *testing.T) {
	t.Parallel()
	l := open(t)
	b := browse(t, l.URL).signIn("Wren")
	l.trySlips(t, b, "/lab", []slip{
		{"name", "  ", "", "missing"},
		{"time_zone", "Atlantis", "", "Europe/Lisbon"},
		{"time_zone", "", "", "Europe/Lisbon"},
		{"opens_at", "24", "", "0 to 23"},
		{"opens_at", "eight", "", "whole number"},
		{"closes_at", "7", "", "cannot close at 7:00"},
		{"closes_at", "25", "", "1 to 24"},
		{"ready_hours", "0", "", "1 to 2400"},
		{"ready_hours", "-3", "", "whole number"},
		{"tolerance_percent", "16", "", "0 to 15"},
		{"tolerance_percent", "NaN", "", "0 to 15"},
		{"tolerance_percent", "a little", "", "no number"},
		{"return_address", strings.Repeat("x", 501), "", "too long"},
	})
	form := b.get("/lab").typed("main form")
	form.Set("name", "Sallow Quay Works")
	form.Set("opens_at", "07:00")
	form.Set("tolerance_percent", "2,5")
	form.Del("combine_bw")
	b.post("/lab", form).status(http.StatusSeeOther)
	page := b.get("/lab")
	page.says(".brand", "Sallow Quay Works") // at once, on every page
	page.says(".notice.done", "saved")
	if lab := l.catalogue(t).Lab; lab.OpensAt != 7 || lab.TolerancePercent != 2.5 || lab.CombineBW {
		t.Errorf("saved as %+v", lab)
	}
	tryStale(t, b, browse(t, l.URL).signIn("Wren"), "/lab", "ready_hours", "24", "48")
}

// Everything wrong is said at once, whether it could not be read or breaks a
// rule.
func TestAllFaultsOfAFormAtOnce(t *testing.T) {
	t.Parallel()
	l := open(t)
	b := browse(t, l.URL).signIn("Wren")
	form := b.get("/lab").typed("main form")
	form.Set("name", "")
	form.Set("opens_at", "eight")
	form.Set("time_zone", "Atlantis")
	got := b.post("/lab", form).status(http.StatusUnprocessableEntity)
	for _, field := range []string{"name", "opens_at", "time_zone"} {
		if got.faultBeside(field) == "" {
			t.Errorf("nothing is said of %s", field)
		}
	}
	if n := got.page.Find("#problems li").Length(); n != 3 {
		t.Errorf("%d problems: %s", n, got.text("#problems"))
	}
}

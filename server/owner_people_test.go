package server_test

import (
	"fmt"
	"net/http"
	"net/url"
	"strings"
	"testing"

	"wetside/jobs"
)

// person finds somebody by name.
func (l *lab) person(t *testing.T, name string) jobs.Person {
	t.Helper()
	people, err := l.services.People.People(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	for _, person := range people {
		if person.Name == name {
			return person
		}
	}
	t.Fatalf("there is nobody called %q", name)
	return jobs.Person{}
}

func personPage(person jobs.Person) string { return fmt.Sprintf("/people/%d", person.ID) }

func TestAddAPerson(t *testing.T) {
	t.Parallel()
	l := open(t)
	b := browse(t, l.URL).signIn("Wren")
	form := b.get("/people").status(http.StatusOK).typed("main form")
	form.Set("name", " Sorrel ")
	form.Set("password", password)
	b.post("/people", form).status(http.StatusSeeOther)
	b.get("/people").says(".notice.done", "Sorrel can sign in now, as staff")
	sorrel := browse(t, l.URL).signIn("Sorrel")
	sorrel.get("/chemistry").status(http.StatusOK)
	sorrel.get("/people").status(http.StatusForbidden)
	for _, test := range []struct{ field, typed, says string }{
		{"name", "", "missing"},
		{"name", "kit", "already"},
		{"role", "boss", "staff and owner"},
		{"password", "short", "at least 10"},
		{"password", strings.Repeat("x", 201), "at most 200"},
		{"password", "aaaaaaaaaaaa", "over and over"},
	} {
		form := url.Values{"name": {"Bryony"}, "role": {"staff"}, "password": {password}}
		form.Set(test.field, test.typed)
		got := b.post("/people", form)
		if got.StatusCode != http.StatusUnprocessableEntity && got.StatusCode != http.StatusConflict {
			t.Errorf("%s = %q: %s", test.field, test.typed, got.Status)
			continue
		}
		if fault := got.faultBeside(test.field); !strings.Contains(fault, test.says) {
			t.Errorf("%s = %q: %q, want %q", test.field, test.typed, fault, test.says)
		}
		if got.page.Find("[type=password][value]").Length() != 0 {
			t.Errorf("%s = %q: the password is sent back", test.field, test.typed)
		}
		if kept := got.typed("main form").Get("name"); test.field != "name" && kept != "Bryony" {
			t.Errorf("%s = %q: the name is %q now", test.field, test.typed, kept)
		}
	}
	if people, err := l.services.People.People(t.Context()); err != nil || len(people) != 3 {
		t.Errorf("%d people, %v", len(people), err)
	}
}

func TestSetAPassword(t *testing.T) {
	t.Parallel()
	l := open(t)
	b := browse(t, l.URL).signIn("Wren")
	page := personPage(l.person(t, "Kit"))
	got := b.post(page+"/password", url.Values{"password": {"short"}}).status(http.StatusUnprocessableEntity)
	if fault := got.faultBeside("password"); !strings.Contains(fault, "at least 10") {
		t.Errorf("%q", fault)
	}
	b.post(page+"/password", url.Values{"password": {"other wet towels"}}).status(http.StatusSeeOther)
	b.get(page).says(".notice.done", "new password is set")
	kit := browse(t, l.URL)
	kit.post("/sign-in", url.Values{"name": {"Kit"}, "password": {password}}).status(http.StatusUnauthorized)
	kit.post("/sign-in", url.Values{"name": {"Kit"}, "password": {"other wet towels"}}).status(http.StatusSeeOther)
}

func TestShutSomebodyOutAndLetThemIn(t *testing.T) {
	t.Parallel()
	l := open(t)
	b, kit := browse(t, l.URL).signIn("Wren"), browse(t, l.URL).signIn("Kit")
	page := personPage(l.person(t, "Kit"))
	kit.get("/chemistry").status(http.StatusOK)
	b.post(page+"/active", url.Values{"active": {"false"}}).status(http.StatusSeeOther)
	kit.get("/chemistry").status(http.StatusSeeOther) // to the sign-in, at once
	b.get(page).says("main", "Kit cannot sign in")
	b.get("/people").says("main", "Shut out")
	b.post(page+"/active", url.Values{"active": {"true"}}).status(http.StatusSeeOther)
	kit.signIn("Kit").get("/chemistry").status(http.StatusOK)
	b.post(page+"/active", url.Values{"active": {"perhaps"}}).status(http.StatusUnprocessableEntity)
}

func TestTheLastOwnerStays(t *testing.T) {
	t.Parallel()
	l := open(t)
	b := browse(t, l.URL).signIn("Wren")
	page := personPage(l.person(t, "Wren"))
	b.get(page).says("main", "This is you")
	got := b.post(page+"/active", url.Values{"active": {"false"}}).status(http.StatusUnprocessableEntity)
	got.says("#problems", "last owner")
	b.get(page).status(http.StatusOK)
}

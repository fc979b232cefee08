package server_test

import (
	"context"
	"net/http"
	"net/url"
	"strconv"
	"strings"
	"testing"
	"time"

	"wetside/jobs"
	"wetside/server"
)

// enter tries to sign in.
func (b *browser) enter(name, secret string, more ...string) answer {
	b.t.Helper()
	form := url.Values{"name": {name}, "password": {secret}}
	for i := 0; i < len(more); i += 2 {
		form.Set(more[i], more[i+1])
	}
	return b.post("/sign-in", form)
}

func TestSigningInAndOut(t *testing.T) {
	t.Parallel()
	l := open(t)
	b := browse(t, l.URL)
	b.get("/sign-in").status(http.StatusOK)
	got := b.enter("kit ", password).status(http.StatusSeeOther)
	cookie := got.Cookies()[0]
	if !cookie.HttpOnly || cookie.SameSite != http.SameSiteLaxMode || cookie.Secure {
		t.Errorf("cookie %+v", cookie)
	}
	b.get("/").says(".signed", "Kit")
	b.get("/sign-in").status(http.StatusSeeOther)
	if got := b.get("/").Header.Get("Cache-Control"); got != "no-store" {
		t.Errorf("a page of somebody who is signed in is kept: %q", got)
	}
	b.post("/sign-out", nil).status(http.StatusSeeOther)
	if got := b.get("/"); got.page.Find(".signed").Length() != 0 {
		t.Error("still signed in")
	}
}

func TestTheOldTokenIsWorthNothingAfterSigningIn(t *testing.T) {
	t.Parallel()
	l := open(t)
	b := browse(t, l.URL)
	first := b.enter("Kit", password).Cookies()[0].Value
	second := b.enter("Wren", password).status(http.StatusSeeOther).Cookies()[0].Value
	if first == second {
		t.Error("signing in kept the token")
	}
	thief := browse(t, l.URL)
	if got := thief.do(http.MethodGet, "/", nil, "Cookie", "wetside="+first); got.page.Find(".signed").Length() != 0 {
		t.Error("the old token still signs in")
	}
}

func TestAFailedSignInKeepsTheNameAndSaysLittle(t *testing.T) {
	t.Parallel()
	l := open(t)
	b := browse(t, l.URL)
	wrong := b.enter("Kit", "not it at all").status(http.StatusUnauthorized)
	unknown := b.enter("Nobody", "not it at all").status(http.StatusUnauthorized)
	if wrong.faultBeside("password") != unknown.faultBeside("password") {
		t.Error("the answer tells whether a name exists")
	}
	if got := wrong.page.Find("[name=name]").AttrOr("value", ""); got != "Kit" {
		t.Errorf("the name typed is now %q", got)
	}
	if got := wrong.page.Find("[name=password]").AttrOr("value", ""); got != "" {
		t.Error("the password is sent back")
	}
	b.enter("", "").status(http.StatusUnprocessableEntity).faultBeside("name")
	if len(wrong.Cookies()) != 0 {
		t.Error("a failed sign-in begins a session")
	}
}

func TestSecureCookies(t *testing.T) {
	t.Parallel()
	l := open(t, func(_ *server.Services, o *server.Options) { o.Secure = true })
	got := browse(t, l.URL).enter("Kit", password).status(http.StatusSeeOther)
	if cookie := got.Cookies()[0]; !cookie.Secure {
		t.Errorf("cookie %+v", cookie)
	}
	if got.Header.Get("Strict-Transport-Security") == "" {
		t.Error("browsers are not told to stay with HTTPS")
	}
}

func TestSomebodyShutOutIsOutAtOnce(t *testing.T) {
	t.Parallel()
	l := open(t)
	b := browse(t, l.URL).signIn("Kit")
	people, err := l.services.People.People(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	for _, person := range people {
		if person.Name == "Kit" {
			if err := l.services.People.SetActive(t.Context(), jobs.Program, person.ID, false); err != nil {
				t.Fatal(err)
			}
		}
	}
	if got := b.get("/"); got.page.Find(".signed").Length() != 0 {
		t.Error("still signed in")
	}
	b.enter("Kit", password).status(http.StatusUnauthorized)
}

func TestSigningInLeadsOnlyToPagesOfOurs(t *testing.T) {
	t.Parallel()
	for _, test := range []struct{ next, want string }{
		{"/o/abc?x=1", "/o/abc?x=1"}, {"", "/home"}, {"https://elsewhere.example/", "/home"}, {"//elsewhere.example", "/home"},
		{"/\\elsewhere.example", "/home"}, {"/\t/elsewhere.example", "/home"}, {"javascript:alert(1)", "/home"}, {"where", "/home"},
		{"/%zz", "/home"}, {"http:/where", "/home"},
	} {
		if got := server.LocalPath(test.next, "/home"); got != test.want {
			t.Errorf("%q leads to %q, want %q", test.next, got, test.want)
		}
	}
	l := open(t)
	b := browse(t, l.URL)
	b.get("/sign-in?next=/where").status(http.StatusOK).says("h1", "Staff sign-in")
	if got := b.enter("Kit", password, "next", "/where").Header.Get("Location"); got != "/where" {
		t.Errorf("led to %q", got)
	}
}

// quick lets Kit and Wren in without the hashing that makes real sign-ins slow
// on purpose.
type quick struct{ jobs.PeopleService }

func (quick) SignIn(_ context.Context, name, secret string) (jobs.Person, error) {
	if secret != password || !strings.EqualFold(name, "Kit") && name != "Wren" {
		return jobs.Person{}, jobs.Errorf(jobs.Unauthorised, "name and password do not fit")
	}
	return jobs.Person{ID: 1, Name: name, Role: jobs.Staff, Active: true}, nil
}

func (quick) Person(context.Context, jobs.PersonID) (jobs.Person, error) {
	return jobs.Person{ID: 1, Name: "Kit", Role: jobs.Staff, Active: true}, nil
}

func quickly(s *server.Services, _ *server.Options) { s.People = quick{} }

func TestPasswordsAreNotGuessed(t *testing.T) {
	t.Parallel()
	l := open(t, quickly)
	b := browse(t, l.URL)
	refusedAfter := func(name string) (tries int, got answer) {
		for tries = range 100 {
			if got = b.enter(name, "a wrong password"); got.StatusCode == http.StatusTooManyRequests {
				return tries, got
			}
		}
		return 100, got
	}
	tries, got := refusedAfter("Kit")
	if tries != 10 {
		t.Errorf("%d tries for one name, want 10", tries)
	}
	got.says("main", "Wait")
	wait, err := strconv.Atoi(got.Header.Get("Retry-After"))
	if err != nil || wait < 1 || wait > 60 {
		t.Errorf("Retry-After %q, want up to a minute", got.Header.Get("Retry-After"))
	}
	// The right password is refused too: otherwise the answer would tell it.
	b.enter("KIT", password).status(http.StatusTooManyRequests)
	// Others still get in, until the network has used its own tries up.
	b.enter("Wren", password).status(http.StatusSeeOther)
	b.post("/sign-out", nil)
	if tries, _ := refusedAfter("Nobody"); tries != 8 {
		t.Errorf("%d more tries from one network, want 8: 20 less those before", tries)
	}
	l.clock.advance(time.Duration(wait) * time.Second)
	b.enter("Kit", password).status(http.StatusSeeOther)
}

func TestSigningInRightIsNeverHeldBack(t *testing.T) {
	t.Parallel()
	l := open(t, quickly)
	b := browse(t, l.URL)
	for range 25 {
		b.enter("Kit", password).status(http.StatusSeeOther)
	}
}

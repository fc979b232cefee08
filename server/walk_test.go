package server

import (
	"io"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/labstack/echo/v4"

	"wetside/jobs"
)

// reached is what the stand-in for every handler answers.
const reached = http.StatusTeapot

// Every route is asked by everybody, through the whole edge; only the handlers
// are stand-ins, so that reaching one is seen for certain.
func TestWhoGetsInWhere(t *testing.T) {
	t.Parallel()
	site, err := newSite(Services{People: &fakePeople{}, Catalogue: &fakeCatalogue{catalogue: jobs.Catalogue{}}},
		Options{Log: slog.New(slog.NewTextHandler(io.Discard, nil))})
	if err != nil {
		t.Fatal(err)
	}
	site.routes = table(site)
	for i, route := range site.routes {
		if route.Path != "/sign-in" {
			site.routes[i].Handler = func(c echo.Context) error { return c.NoContent(reached) }
			site.routes[i].Limit = nil
		}
	}
	server := httptest.NewServer(newEcho(site))
	t.Cleanup(server.Close)

	anonymous, staff, owner := newBrowser(t, server.URL), newBrowser(t, server.URL), newBrowser(t, server.URL)
	staff.signIn("Kit")
	owner.signIn("Wren")
	allowed := map[Access]struct{ anonymous, staff, owner bool }{
		Open:        {true, true, true},
		Public:      {true, true, true},
		PrivateLink: {true, true, true},
		StaffOnly:   {false, true, true},
		OwnerOnly:   {false, false, true},
	}
	for _, route := range site.routes {
		want, ok := allowed[route.Access]
		if !ok {
			t.Errorf("%s %s: access %q is none that is known", route.Method, route.Path, route.Access)
			continue
		}
		if route.Path == "/sign-in" {
			continue
		}
		for _, one := range []struct {
			name string
			who  *browser
			in   bool
		}{{"anonymous", anonymous, want.anonymous}, {"staff", staff, want.staff}, {"owner", owner, want.owner}} {
			got := one.who.do(route.Method, pathFor(route.Path), nil)
			if (got.StatusCode == reached) != one.in {
				t.Errorf("%s at %s %s (%s): %s", one.name, route.Method, route.Path, route.Access, got.Status)
			}
			if !one.in && one.name == "anonymous" {
				checkTurnedAway(t, route, got)
			}
			if !one.in && one.name != "anonymous" && got.StatusCode != http.StatusForbidden {
				t.Errorf("%s at %s %s: %s, want 403", one.name, route.Method, route.Path, got.Status)
			}
		}
	}
}

// checkTurnedAway: somebody who opens a page is sent to the sign-in; anything
// else is told 401.
func checkTurnedAway(t *testing.T, route Route, got answer) {
	t.Helper()
	if route.Method != http.MethodGet || strings.HasPrefix(route.Path, apiPrefix) {
		if got.StatusCode != http.StatusUnauthorized {
			t.Errorf("anonymous at %s %s: %s, want 401", route.Method, route.Path, got.Status)
		}
		return
	}
	if got.StatusCode != http.StatusSeeOther || !strings.HasPrefix(got.Header.Get("Location"), "/sign-in") {
		t.Errorf("anonymous at %s: %s to %q, want the sign-in", route.Path, got.Status, got.Header.Get("Location"))
	}
}

var pathParameter = regexp.MustCompile(`:[a-z]+|\*$`)

// pathFor puts something into the variable parts of a path.
func pathFor(path string) string { return pathParameter.ReplaceAllString(path, "1") }

// What echo answers is what the table lists: nothing gets past it.
func TestEveryRouteIsInTheTable(t *testing.T) {
	t.Parallel()
	server, err := New(Services{People: &fakePeople{}, Catalogue: &fakeCatalogue{}}, Options{})
	if err != nil {
		t.Fatal(err)
	}
	var want, got []string
	for _, route := range server.Routes() {
		want = append(want, route.Method+" "+route.Path)
		if route.Name == "" || route.Handler == nil {
			t.Errorf("%s %s has no name or no handler", route.Method, route.Path)
		}
	}
	for _, route := range server.echo.Routes() {
		if route.Method != http.MethodHead && route.Method != echo.RouteNotFound {
			got = append(got, route.Method+" "+route.Path)
		}
	}
	slices.Sort(want)
	slices.Sort(got)
	if !slices.Equal(want, got) {
		t.Errorf("table lists\n%q\necho answers\n%q", want, got)
	}
	if len(slices.Compact(slices.Clone(want))) != len(want) {
		t.Errorf("a route stands twice in the table: %q", want)
	}
}

func TestDecideRefusesWhatItDoesNotKnow(t *testing.T) {
	t.Parallel()
	for _, role := range []jobs.Role{"", jobs.Staff, jobs.Owner} {
		if got := decide("", role); got != refuse {
			t.Errorf("decide of no access, %q: %s", role, got)
		}
	}
	if got := decide(OwnerOnly, "visitor"); got != refuse {
		t.Errorf("an unknown role at an owner's page: %s", got)
	}
}

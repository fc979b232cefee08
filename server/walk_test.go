package server_test

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
	"wetside/server"
)

// reached is what the stand-in for every handler answers.
const reached = http.StatusTeapot

// Every route is asked by everybody, through the whole edge; only the handlers
// are stand-ins, so that reaching one is seen for certain.
func TestWhoGetsInWhere(t *testing.T) {
	t.Parallel()
	l := open(t)
	walked, err := server.NewWithStandIns(l.services, server.Options{Log: slog.New(slog.NewTextHandler(io.Discard, nil))},
		func(c echo.Context) error { return c.NoContent(reached) })
	if err != nil {
		t.Fatal(err)
	}
	listening := httptest.NewServer(walked.Handler())
	t.Cleanup(listening.Close)
	anonymous := browse(t, listening.URL)
	staff, owner := browse(t, listening.URL).signIn("Kit"), browse(t, listening.URL).signIn("Wren")
	allowed := map[server.Access]struct{ anonymous, staff, owner bool }{
		server.Open:        {true, true, true},
		server.Public:      {true, true, true},
		server.PrivateLink: {true, true, true},
		server.StaffOnly:   {false, true, true},
		server.OwnerOnly:   {false, false, true},
	}
	for _, route := range walked.Routes() {
		want, ok := allowed[route.Access]
		if !ok {
			t.Errorf("%s %s: access %q is none that is known", route.Method, route.Path, route.Access)
			continue
		}
		if route.Path == "/sign-in" {
			continue
		}
		path := pathParameter.ReplaceAllString(route.Path, "1")
		for _, one := range []struct {
			name string
			who  *browser
			in   bool
		}{{"anonymous", anonymous, want.anonymous}, {"staff", staff, want.staff}, {"owner", owner, want.owner}} {
			got := one.who.do(route.Method, path, nil)
			switch {
			case (got.StatusCode == reached) != one.in:
				t.Errorf("%s at %s %s (%s): %s", one.name, route.Method, route.Path, route.Access, got.Status)
			case one.in:
			case one.name == "anonymous":
				checkTurnedAway(t, route, got)
			case got.StatusCode != http.StatusForbidden:
				t.Errorf("%s at %s %s: %s, want 403", one.name, route.Method, route.Path, got.Status)
			}
		}
	}
}

var pathParameter = regexp.MustCompile(`:[a-z_]+|\*$`)

// checkTurnedAway: somebody who opens a page is sent to the sign-in; anything
// else is told 401.
func checkTurnedAway(t *testing.T, route server.Route, got answer) {
	t.Helper()
	if route.Method != http.MethodGet || strings.HasPrefix(route.Path, "/api/") {
		if got.StatusCode != http.StatusUnauthorized {
			t.Errorf("anonymous at %s %s: %s, want 401", route.Method, route.Path, got.Status)
		}
		return
	}
	if got.StatusCode != http.StatusSeeOther || !strings.HasPrefix(got.Header.Get("Location"), "/sign-in") {
		t.Errorf("anonymous at %s: %s to %q, want the sign-in", route.Path, got.Status, got.Header.Get("Location"))
	}
}

// What echo answers is what the table lists: nothing gets past it.
func TestEveryRouteIsInTheTable(t *testing.T) {
	t.Parallel()
	made, err := server.New(server.Services{}, server.Options{})
	if err != nil {
		t.Fatal(err)
	}
	var want, got []string
	for _, route := range made.Routes() {
		want = append(want, route.Method+" "+route.Path)
		if route.Name == "" || route.Handler == nil {
			t.Errorf("%s %s has no name or no handler", route.Method, route.Path)
		}
	}
	for _, route := range made.Answered() {
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

func TestUnknownAccessAndRolesAreRefused(t *testing.T) {
	t.Parallel()
	for _, role := range []jobs.Role{"", jobs.Staff, jobs.Owner} {
		if server.Enters("", role) {
			t.Errorf("role %q enters a route without access", role)
		}
	}
	if server.Enters(server.OwnerOnly, "visitor") || server.Enters(server.StaffOnly, "visitor") {
		t.Error("an unknown role enters")
	}
}

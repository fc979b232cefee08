package server

import (
	"net/http"
	"net/url"
	"strings"

	"github.com/labstack/echo/v4"

	"wetside/jobs"
)

// Access says who may enter a route.
type Access string

// The kinds of access.
const (
	Open        Access = "open"         // anyone, and nobody looks who asks: assets, health
	Public      Access = "public"       // anyone
	PrivateLink Access = "private link" // whoever holds the secret in the address
	StaffOnly   Access = "staff"        // staff and owners
	OwnerOnly   Access = "owner"        // owners
)

// verdict is the answer to "may this person enter?".
type verdict string

const (
	enter  verdict = "enter"
	signIn verdict = "sign in first"
	refuse verdict = "refuse"
)

// decide says whether somebody in a role may enter; "" is nobody who signed
// in. What it does not know it refuses.
func decide(access Access, role jobs.Role) verdict {
	needed := jobs.Owner
	switch access {
	case Open, Public, PrivateLink:
		return enter
	case StaffOnly:
		needed = jobs.Staff
	case OwnerOnly:
	default:
		return refuse
	}
	switch {
	case role == "":
		return signIn
	case role.May(needed):
		return enter
	}
	return refuse
}

// roleOf is the role of whoever is signed in, "" for nobody.
func roleOf(c echo.Context) jobs.Role {
	person, _ := personOf(c)
	return person.Role
}

// guard lets in whom the route's access lets in, and sets what browsers and
// search engines may keep of it.
func guard(access Access) echo.MiddlewareFunc {
	return func(next echo.HandlerFunc) echo.HandlerFunc {
		return func(c echo.Context) error {
			header := c.Response().Header()
			if _, signed := personOf(c); signed || access != Public {
				header.Set(echo.HeaderCacheControl, "no-store")
			}
			if access == PrivateLink {
				header.Set("Referrer-Policy", "no-referrer")
				header.Set("X-Robots-Tag", "noindex, nofollow")
			}
			switch decide(access, roleOf(c)) {
			case enter:
				return next(c)
			case signIn:
				return jobs.Errorf(jobs.Unauthorised, "Sign in to see this page.")
			}
			return jobs.Errorf(jobs.Forbidden, "Only an owner may do this.")
		}
	}
}

// mayOverride refuses a reason to override the rules from anybody but an owner.
func mayOverride(c echo.Context, reason string) error {
	if reason == "" || roleOf(c).May(jobs.Owner) {
		return nil
	}
	return jobs.Errorf(jobs.Forbidden, "Only an owner may override what speaks against it.")
}

// signInPath is where somebody who is not signed in is sent, to come back to
// the page that was asked for.
func signInPath(r *http.Request) string {
	if r.URL.Path == "/" {
		return "/sign-in"
	}
	return "/sign-in?next=" + url.QueryEscape(r.URL.RequestURI())
}

// localPath returns an address on this server, or the fallback for anything
// that could lead elsewhere.
func localPath(address, fallback string) string {
	parsed, err := url.Parse(address)
	if err != nil || parsed.Scheme != "" || parsed.Host != "" || parsed.User != nil ||
		!strings.HasPrefix(address, "/") || strings.HasPrefix(address, "//") || strings.ContainsAny(address, "\\\r\n\t") {
		return fallback
	}
	return address
}

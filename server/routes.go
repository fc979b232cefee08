package server

import (
	"net/http"

	"github.com/labstack/echo/v4"
)

// Route is one address with who may enter it and what answers.
type Route struct {
	Method  string
	Path    string
	Name    string // what it is, in two words
	Access  Access
	Nav     string   // its label among the main links, "" when it is not there
	Limit   *limiter // how often one network may ask without signing in; nil for as often as it likes
	Handler echo.HandlerFunc
}

// table lists everything that the server answers. The main links of a page
// stand in the order of the table.
func table(s *site) []Route {
	const get, post = http.MethodGet, http.MethodPost
	front := frontPages{s}
	door := newSignInPages(s)
	return []Route{
		{get, "/healthz", "health", Open, "", nil, s.health},
		{get, "/assets/*", "asset", Open, "", nil, s.asset},

		{get, "/", "front page", Public, "", nil, front.front},

		{get, "/sign-in", "sign-in form", Public, "", nil, door.form},
		{post, "/sign-in", "sign in", Public, "", nil, door.enter},
		{post, "/sign-out", "sign out", Public, "", nil, door.leave},
	}
}

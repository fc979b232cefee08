package server

import (
	"net/http"
	"slices"
	"time"

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
	door := newSignInPages(s)
	return slices.Concat(publicRoutes(s, door), staffRoutes(s), importRoutes(s), chemistryRoutes(s), doseRoutes(s), stockRoutes(s), wasteRoutes(s), setUpRoutes(s), stripRoutes(s), traceRoutes(s), forecastRoutes(s), whatIfRoutes(s), apiRoutes(s, door))
}

// publicRoutes lists what is answered before anybody signs in.
func publicRoutes(s *site, door signInPages) []Route {
	const get, post = http.MethodGet, http.MethodPost
	front := frontPages{s}
	orders := newOrderPages(s)
	tracking := trackingPages{s}
	// Typing at an order asks for the lab's reading again and again.
	typing, guessing := newLimiter(200, 2*time.Second), newLimiter(20, 10*time.Second)
	return []Route{
		{get, "/healthz", "health", Open, "", nil, s.health},
		{get, "/assets/*", "asset", Open, "", nil, s.asset},

		{get, "/", "front page", Public, "", nil, front.front},
		{get, "/send", "order form", Public, "Send film", nil, orders.blank},
		{post, "/send", "order form, all steps", Public, "", typing, orders.take},
		{get, "/where", "link form", Public, "Where is my film?", nil, tracking.where},
		{post, "/where", "follow a link", Public, "", guessing, tracking.follow},
		{get, "/o/:token", "order", PrivateLink, "", nil, tracking.order},
		{get, "/o/:token/slip", "packing slip", PrivateLink, "", nil, tracking.slip},

		{get, "/sign-in", "sign-in form", Public, "Staff sign-in", nil, door.form},
		{post, "/sign-in", "sign in", Public, "", nil, door.enter},
		{post, "/sign-out", "sign out", Public, "", nil, door.leave},
	}
}

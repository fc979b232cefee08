package server_test

import (
	"fmt"
	"net/http"
	"strings"
	"testing"

	"wetside/jobs"
	"wetside/server/api"
)

// orderOf is the body of an order with these rolls.
func orderOf(rolls string) string {
	return `{"name":"Fern Hollow","email":"fern@example.org","return":"collect","rolls":[` + rolls + `]}`
}

func TestBadOrdersAreRefusedWhole(t *testing.T) {
	t.Parallel()
	l := open(t)
	c := l.caller(t)
	sedge, marl := stockCalled(t, c, "Sedge 640"), stockCalled(t, c, "Marl 400")
	good := fmt.Sprintf(`{"stock":%d,"format":"135"}`, sedge)
	with := func(more string) string {
		return orderOf(good + fmt.Sprintf(`,{"stock":%d,"format":"135",%s}`, sedge, more))
	}
	const invalid = http.StatusUnprocessableEntity
	for _, test := range []struct {
		body, field, says string
	}{
		{orderOf(good + `,{"stock":9999,"format":"135"}`), "rolls[1].stock", "does not take this film stock"},
		{orderOf(fmt.Sprintf(`{"stock":%d,"format":"135"}`, l.stocks["Sedge 80"].ID)), "rolls[0].stock", "does not take this film stock"},
		{orderOf(`{"format":"135"}`), "rolls[0].stock", "missing"},
		{orderOf(`{"stock":-1,"format":"135"}`), "rolls[0].stock", "at least 1"},
		{orderOf(fmt.Sprintf(`{"stock":%d,"format":"110"}`, sedge)), "rolls[0].format", "135, 120, 220, 4x5"},
		{with(`"push":6`), "rolls[1].push", "push"},
		{with(`"push":0.77`), "rolls[1].push", "0.77"},
		{with(`"push":99`), "rolls[1].push", "99"},
		{with(`"push":-11`), "rolls[1].push", "-11"},
		{with(`"push":"1"`), "rolls[1].push", "a number is wanted"},
		{with(`"ei":0`), "rolls[1].ei", "at least 1"},
		{with(`"ei":-200`), "rolls[1].ei", "at least 1"},
		{with(`"ei":102401`), "rolls[1].ei", "at most 102400"},
		{with(`"ei":99999999999999999999`), "rolls[1].ei", "whole number"},
		{with(`"ei":2.5`), "rolls[1].ei", "whole number"},
		{with(`"ei":"fast"`), "rolls[1].ei", "a whole number is wanted here, not text"},
		{with(`"ei":1`), "rolls[1].ei", "no rating"},
		{with(`"push":1,"note":"please push 2 stops"`), "rolls[1].note", "two requests in one roll"},
		{with(`"note":"first half push 1, second half normal"`), "rolls[1].note", "two requests in one roll"},
		{with(`"note":"push 1 and push 2"`), "rolls[1].note", "two requests in one roll"},
		{with(`"exposures":251`), "rolls[1].exposures", "at most 250"},
		{with(`"exposures":-1`), "rolls[1].exposures", "at least 0"},
		{with(`"light":"candle"`), "rolls[1].light", "daylight"},
		{with(`"filter":"rose-tinted"`), "rolls[1].filter", "rose-tinted"},
		{with(`"solution":1`), "rolls[1].solution", "black-and-white"},
		{orderOf(fmt.Sprintf(`{"stock":%d,"format":"135","solution":9999}`, marl)), "rolls[0].solution", "no such solution"},
		{with(`"note":"` + strings.Repeat("x", 2001) + `"`), "rolls[1].note", "at most 2000"},
		{with(`"note":"a\u0000b"`), "rolls[1].note", "U+0000"},
		{orderOf(strings.Repeat(good+",", 50) + good), "rolls", "at most 50"},
		{orderOf(""), "rolls", "at least 1"},
		{`{"name":"Fern","email":"fern@example.org","return":"collect"}`, "rolls", "missing"},
		{`{"name":"Fern","email":"fern@example.org","return":"collect","rolls":null}`, "rolls", "missing"},
		{`{"name":"Fern","email":"fern@example.org","return":"collect","rolls":{}}`, "rolls", "a list is wanted"},
		{strings.Replace(orderOf(good), "fern@example.org", "fern", 1), "email", "e-mail address"},
		{strings.Replace(orderOf(good), "Fern Hollow", " ", 1), "name", "missing"},
		{strings.Replace(orderOf(good), "Fern Hollow", "Fern\\u202eHollow", 1), "name", "U+202E"},
		{strings.Replace(orderOf(good), "collect", "pigeon", 1), "return", "collect, post"},
		{strings.Replace(orderOf(good), "collect", "post", 1), "address", "missing"},
		{`null`, "name", "missing"},
		{`[]`, "", "an object is wanted"},
	} {
		c.refused(http.MethodPost, "/orders", test.body, invalid, jobs.Invalid, test.field, test.says)
	}
	c.refused(http.MethodPost, "/orders", orderOf(good), invalid, jobs.Invalid, "Idempotency-Key", "at most 200", "Idempotency-Key", strings.Repeat("k", 201))
	c.refused(http.MethodPost, "/roll-readings", fmt.Sprintf(`{"stock":%d,"format":"135","push":0.77}`, sedge), invalid, jobs.Invalid, "push", "0.77")
	if orders := ask[api.Orders](l.signedIn(t, "Kit"), http.MethodGet, "/orders", "", http.StatusOK); len(orders.Orders) != 0 {
		t.Errorf("kept of orders that were refused: %+v", orders)
	}
}

func TestBrokenBodiesAreRefused(t *testing.T) {
	t.Parallel()
	l := open(t)
	c := l.caller(t)
	good := orderOf(fmt.Sprintf(`{"stock":%d,"format":"135"}`, stockCalled(t, c, "Sedge 640")))
	for _, test := range []struct {
		body   string
		kind   string
		status int
		code   jobs.Code
		says   string
	}{
		{good[:len(good)-3], "application/json", 400, "bad_request", "ends too early"},
		{strings.Replace(good, ":", "=", 1), "application/json", 400, "bad_request", "at byte"},
		{" ", "application/json", 400, "bad_request", "it is empty"},
		{good + good, "application/json", 400, "bad_request", "more text after"},
		{good + "x", "application/json", 400, "bad_request", "at byte"},
		{strings.Replace(good, `"format"`, `"fromat"`, 1), "application/json", 400, "bad_request", "fromat"},
		{good, "text/plain", 415, "unsupported_media_type", "application/json"},
		{good, "application/x-www-form-urlencoded", 415, "unsupported_media_type", "application/json"},
		{good, "", 415, "unsupported_media_type", "application/json"},
		{strings.Replace(good, "{", "{"+strings.Repeat(" ", 300_000), 1), "application/json", 413, "too_large", "256K"},
		{strings.Repeat("[", 200_000), "application/json", 400, "bad_request", "depth"},
	} {
		c.refused(http.MethodPost, "/orders", test.body, test.status, test.code, "", test.says, "Content-Type", test.kind)
	}
	if orders := ask[api.Orders](l.signedIn(t, "Kit"), http.MethodGet, "/orders", "", http.StatusOK); len(orders.Orders) != 0 {
		t.Errorf("kept of bodies that were refused: %+v", orders)
	}
}

func TestAddressesThatAreNone(t *testing.T) {
	t.Parallel()
	l := open(t)
	c := l.signedIn(t, "Wren")
	for _, test := range []struct {
		method, path string
		status       int
		code         jobs.Code
		field        string
	}{
		{"GET", "/nowhere", 404, jobs.NotFound, ""},
		{"GET", "/orders/1/nowhere", 404, jobs.NotFound, ""},
		{"DELETE", "/orders", 405, "method_not_allowed", ""},
		{"PUT", "/tracking/x", 405, "method_not_allowed", ""},
		{"GET", "/orders/abc", 404, jobs.NotFound, ""},
		{"GET", "/rolls/0", 404, jobs.NotFound, ""},
		{"GET", "/rolls/-1", 404, jobs.NotFound, ""},
		{"GET", "/rolls/99999999999999999999", 404, jobs.NotFound, ""},
		{"GET", "/rolls/9223372036854775807", 404, jobs.NotFound, ""},
		{"GET", "/rolls/9223372036854775807/events", 404, jobs.NotFound, ""},
		{"GET", "/batches/9223372036854775807/run-sheet", 404, jobs.NotFound, ""},
		{"GET", "/batches/9223372036854775807/events", 404, jobs.NotFound, ""},
		{"GET", "/fills/9223372036854775807", 404, jobs.NotFound, ""},
		{"GET", "/twin-checks/ZZ-999", 404, jobs.NotFound, ""},
		{"GET", "/twin-checks/a%00b", 422, jobs.Invalid, "twin_check"},
		{"GET", "/tracking/no-such-token", 404, jobs.NotFound, ""},
		{"GET", "/tracking/a%00b", 404, jobs.NotFound, ""},
		{"GET", "/tracking/%ff", 404, jobs.NotFound, ""},
		{"GET", "/orders?limit=0x10", 422, jobs.Invalid, "limit"},
		{"GET", "/orders?limit=101", 422, jobs.Invalid, "limit"},
		{"GET", "/orders?limit=-1", 422, jobs.Invalid, "limit"},
		{"GET", "/orders?before=-1", 422, jobs.Invalid, "before"},
		{"GET", "/orders?before=99999999999999999999", 422, jobs.Invalid, "before"},
		{"GET", "/batches?open=perhaps", 422, jobs.Invalid, "open"},
		{"GET", "/rolls?after=x", 422, jobs.Invalid, "after"},
		{"GET", "/rolls?state=lost", 422, jobs.Invalid, "state[0]"},
		{"GET", "/rolls?search=a%00b", 422, jobs.Invalid, "search"},
		{"GET", "/rolls?search=" + strings.Repeat("x", 81), 422, jobs.Invalid, "search"},
	} {
		c.refused(test.method, test.path, "", test.status, test.code, test.field, "")
	}
}

func TestAnonymousProgramsAreTurnedAway(t *testing.T) {
	t.Parallel()
	l := open(t)
	c := l.caller(t)
	c.refused(http.MethodGet, "/rolls", "", http.StatusUnauthorized, jobs.Unauthorised, "", "")
	c.refused(http.MethodPost, "/session", `{"name":"Kit","password":"not it at all"}`, http.StatusUnauthorized, jobs.Unauthorised, "", "")
	c.refused(http.MethodPost, "/session", `{"name":"Kit"}`, http.StatusUnprocessableEntity, jobs.Invalid, "password", "missing")
	l.signedIn(t, "Kit").refused(http.MethodGet, "/people", "", http.StatusForbidden, jobs.Forbidden, "", "owner")
	for range 20 {
		if got := c.send(http.MethodPost, "/session", `{"name":"Kit","password":"not it at all"}`); got.StatusCode == http.StatusTooManyRequests {
			c.refused(http.MethodPost, "/session", `{"name":"Kit","password":"`+password+`"}`, http.StatusTooManyRequests, jobs.TooMany, "", "Wait")
			// The page and the API count together.
			browse(t, l.URL).enter("Kit", password).status(http.StatusTooManyRequests)
			return
		}
	}
	t.Error("passwords can be tried for ever")
}

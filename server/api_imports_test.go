package server_test

import (
	"net/http"
	"strings"
	"testing"

	"wetside/chemistry"
	"wetside/jobs"
	"wetside/server/api"
)

// asCSV says that a body is a file of orders.
var asCSV = []string{"Content-Type", "text/csv; charset=utf-8"}

func TestImportingOrdersByProgram(t *testing.T) {
	t.Parallel()
	l := open(t)
	c := l.signedIn(t, "Kit")
	template := c.send(http.MethodGet, "/orders/import", "").status(http.StatusOK)
	if template.Header.Get("Content-Type") != "text/csv" || !strings.Contains(template.body, "# stock (needed): One of: Marl 400;") {
		t.Errorf("the empty file: %s\n%s", template.Header.Get("Content-Type"), template.body)
	}
	read := ask[api.OrderFileReading](c, http.MethodPost, "/orders/import/reading", jobs.OrderFileExample, http.StatusOK, asCSV...)
	if len(read.Orders) != 2 || len(read.Orders[0].Rolls) != 2 || read.Before != 0 || read.Orders[0].Reference != "A-17" {
		t.Fatalf("read %+v", read)
	}
	first := read.Orders[0].Rolls[0]
	// 14 minutes for two stops more in MQ borax (the times of the fixture).
	if first.Line != 2 || first.Stock != l.stocks["Marl 400"].ID || first.Reading.Asked != 2*chemistry.Stop || first.Reading.Ei != 1600 ||
		first.Reading.DevelopS != 840 || first.Reading.Confirm || first.Reading.HereBy.IsZero() {
		t.Errorf("first roll %+v", first)
	}
	if orders := ask[api.Orders](c, http.MethodGet, "/orders", "", http.StatusOK); len(orders.Orders) != 0 {
		t.Fatalf("reading it stored %+v", orders)
	}

	taken := ask[api.Import](c, http.MethodPost, "/orders/import", jobs.OrderFileExample, http.StatusCreated, asCSV...)
	if taken.By != "Kit" || len(taken.Orders) != 2 || len(taken.Orders[0].Rolls) != 2 || taken.Orders[1].Reference != "A-18" {
		t.Fatalf("taken %+v", taken)
	}
	for i, order := range taken.Orders {
		if !order.Due.Equal(read.Orders[i].Rolls[0].Reading.Ready) {
			t.Errorf("order %d was read to be ready at %v and is promised for %v", i, read.Orders[i].Rolls[0].Reading.Ready, order.Due)
		}
		if tracked := ask[api.Tracking](l.caller(t), http.MethodGet, strings.TrimPrefix(order.Tracking, "/api/v1"), "", http.StatusOK); tracked.Number != order.Number {
			t.Errorf("its private link leads to %+v", tracked)
		}
	}
	for _, again := range []string{jobs.OrderFileExample, "\ufeff" + strings.ReplaceAll(jobs.OrderFileExample, "\n", "\r\n")} {
		same := ask[api.Import](c, http.MethodPost, "/orders/import", again, http.StatusOK, asCSV...)
		if same.Id != taken.Id || same.Orders[0].Token != taken.Orders[0].Token {
			t.Errorf("sent again it is %+v", same)
		}
	}
	if read := ask[api.OrderFileReading](c, http.MethodPost, "/orders/import/reading", jobs.OrderFileExample, http.StatusOK, asCSV...); read.Before != taken.Id || read.Orders[1].SameReference != taken.Orders[1].Number {
		t.Errorf("it is not said that it was taken: %+v", read)
	}
	// A key of its own takes the same words for other film.
	keyed := append([]string{"Idempotency-Key", "week 10"}, asCSV...)
	other := ask[api.Import](c, http.MethodPost, "/orders/import", jobs.OrderFileExample, http.StatusCreated, keyed...)
	if other.Id == taken.Id {
		t.Error("a key of its own is not looked at")
	}
	ask[api.Import](c, http.MethodPost, "/orders/import", jobs.OrderFileExample, http.StatusOK, keyed...)
	c.refused(http.MethodPost, "/orders/import", strings.Replace(jobs.OrderFileExample, "push 2", "push 1", 1), http.StatusConflict, jobs.Duplicate, "", "another file was sent with this key", keyed...)
	found := ask[api.Orders](c, http.MethodGet, "/orders?search=a-18", "", http.StatusOK)
	if len(found.Orders) != 2 || found.Orders[0].Reference != "A-18" {
		t.Errorf("found by its reference: %+v", found)
	}
}

func TestBadFilesOfOrdersAreRefusedWhole(t *testing.T) {
	t.Parallel()
	l := open(t)
	c := l.signedIn(t, "Kit")
	const head = "name,email,stock,format,ei\n"
	const good = "Fern,fern@example.org,Sedge 160,135,\n"
	for _, path := range []string{"/orders/import", "/orders/import/reading"} {
		for _, test := range []struct {
			body, kind string
			status     int
			code       jobs.Code
			field      string
			says       string
		}{
			{head + good + "Ivy,ivy@example.org,Sedge 160,135,fast\n", "text/csv", refusedInput, jobs.Invalid, "lines[3].ei", "line 3, ei:"},
			{head + good + "Ivy,ivy@example.org,Sedge 200,135,\n", "text/csv", refusedInput, jobs.Invalid, "lines[3].stock", "the lab takes Marl 400"},
			{head + good + "Ivy,ivy@example.org\n", "text/csv", refusedInput, jobs.Invalid, "lines[3]", "it has 2 cells"},
			{"film,name,email,stock,format\n", "text/csv", refusedInput, jobs.Invalid, "csv", "no column"},
			{head, "text/csv", refusedInput, jobs.Invalid, "csv", "no orders"},
			{head + good, "application/json", http.StatusUnsupportedMediaType, "unsupported_media_type", "", "text/csv"},
			{head + good, "", http.StatusUnsupportedMediaType, "unsupported_media_type", "", "text/csv"},
			{head + strings.Repeat("x", 300_000), "text/csv", http.StatusRequestEntityTooLarge, "too_large", "", "256K"},
		} {
			c.refused(http.MethodPost, path, test.body, test.status, test.code, test.field, test.says, "Content-Type", test.kind)
		}
		l.caller(t).refused(http.MethodPost, path, head+good, http.StatusUnauthorized, jobs.Unauthorised, "", "", asCSV...)
	}
	c.refused(http.MethodPost, "/orders/import", head+good, refusedInput, jobs.Invalid, "Idempotency-Key", "at most 200",
		append([]string{"Idempotency-Key", strings.Repeat("k", 201)}, asCSV...)...)
	if orders := ask[api.Orders](c, http.MethodGet, "/orders", "", http.StatusOK); len(orders.Orders) != 0 {
		t.Errorf("kept of files that were refused: %+v", orders)
	}
}

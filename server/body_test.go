package server_test

import (
	"encoding/json"
	"io"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"time"

	"github.com/labstack/echo/v4"

	"wetside/chemistry"
	"wetside/server"
	"wetside/server/api"
)

// body is what the stand-in below reads: a number, a checked name, a list and
// an amount that reads itself.
type body struct {
	Count int    `json:"count"`
	Name  string `json:"name" validate:"required,max=5"`
	Rolls []struct {
		EI int `json:"ei" validate:"min=0,max=100"`
	} `json:"rolls" validate:"max=2,dive"`
	Push *chemistry.Stops `json:"push"`
	Due  []time.Time      `json:"due,omitempty"`
}

// reading starts a server whose every handler reads a body.
func reading(t *testing.T) *browser {
	t.Helper()
	l := open(t)
	made, err := server.NewWithStandIns(l.services, server.Options{Log: slog.New(slog.NewTextHandler(io.Discard, nil))}, func(c echo.Context) error {
		var b body
		if err := c.Bind(&b); err != nil {
			return err
		}
		if err := c.Validate(b); err != nil {
			return err
		}
		return c.JSON(http.StatusOK, b)
	})
	if err != nil {
		t.Fatal(err)
	}
	listening := httptest.NewServer(made.Handler())
	t.Cleanup(listening.Close)
	return browse(t, listening.URL)
}

func TestJSONBodiesAreReadStrictly(t *testing.T) {
	t.Parallel()
	b := reading(t)
	for _, test := range []struct {
		body   string
		status int
		want   string
	}{
		{`{"name":"a","count":2,"rolls":[{"ei":5}],"push":1.3333}`, http.StatusOK, `"push":1.3333`},
		{``, http.StatusBadRequest, "it is empty"},
		{`{"name":"a"`, http.StatusBadRequest, "ends too early"},
		{`{"name":"a"} {}`, http.StatusBadRequest, "more text after"},
		{`{"name":"a"}]`, http.StatusBadRequest, "at byte"},
		{`{name:1}`, http.StatusBadRequest, "at byte"},
		{`{"name":"a","nmae":"b"}`, http.StatusBadRequest, "nmae"},
		{`{"name":"a","push":0.77}`, http.StatusBadRequest, "0.77"},
		{`{"name":"a","count":"2"}`, http.StatusUnprocessableEntity, "count: a whole number is wanted here, not text"},
		{`{"name":"a","rolls":{}}`, http.StatusUnprocessableEntity, "rolls: a list is wanted here, not an object"},
		{`{"name":"a","rolls":[{"ei":1},{"ei":{"a":1}}]}`, http.StatusUnprocessableEntity, "rolls[1].ei: a whole number is wanted here, not an object"},
		{`{"name":"a","rolls":[{"ei":1.5}]}`, http.StatusUnprocessableEntity, "rolls[0].ei: a whole number is wanted here, not 1.5"},
		{`{"name":"a","due":["2026-03-02T17:00:00Z","2026-03-02 17:00"]}`, http.StatusUnprocessableEntity, `due[1]: "2026-03-02 17:00" is no such moment; write it like 2026-03-02T17:00:00Z`},
		{`{"name":"a","due":["2026-02-30T17:00:00Z"]}`, http.StatusUnprocessableEntity, "due[0]"},
		{`{"name":"a","due":["\u0031"]}`, http.StatusUnprocessableEntity, "the whole body"},
		{`{"name":true}`, http.StatusUnprocessableEntity, "name: text is wanted here, not true or false"},
		{`[]`, http.StatusUnprocessableEntity, "the whole body: an object is wanted here, not a list"},
		{`{}`, http.StatusUnprocessableEntity, "name is missing"},
		{`{"name":"toolong"}`, http.StatusUnprocessableEntity, "at most 5 characters"},
		{`{"name":"a","rolls":[{},{"ei":101}]}`, http.StatusUnprocessableEntity, "EI must be at most 100"},
		{`{"name":"a","rolls":[{},{},{}]}`, http.StatusUnprocessableEntity, "at most 2"},
	} {
		got := b.do(http.MethodPost, "/send", strings.NewReader(test.body), "Content-Type", "application/json; charset=utf-8")
		if got.StatusCode != test.status || !strings.Contains(strings.ReplaceAll(got.body, "&#34;", `"`), test.want) {
			t.Errorf("%s: %s %s, want %d with %q", test.body, got.Status, got.body, test.status, test.want)
		}
	}
	b.do(http.MethodPost, "/send", strings.NewReader(`{"name":"a"}`), "Content-Type", "text/plain").status(http.StatusUnsupportedMediaType)
}

// Programs are told the same as JSON.
func TestProgramsAreToldWhatIsWrong(t *testing.T) {
	t.Parallel()
	l := open(t)
	got := browse(t, l.URL).get("/api/v1/nowhere").status(http.StatusNotFound)
	if kind := got.Header.Get("Content-Type"); kind != "application/json" {
		t.Errorf("content type %q", kind)
	}
	var told api.Error
	if err := json.Unmarshal([]byte(got.body), &told); err != nil {
		t.Fatal(err)
	}
	if told.Error.Code != "not_found" || told.Error.Message == "" || told.Error.RequestId != got.Header.Get("X-Request-Id") {
		t.Errorf("told %+v", told)
	}
}

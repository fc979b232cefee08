package server_test

import (
	"encoding/json"
	"io"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"wetside/server"
	"wetside/server/api"
)

// Whatever is sent as an order, it is answered with what was taken or with
// what is wrong, as JSON, and never with a fault of ours.
func FuzzOrderBody(f *testing.F) {
	for _, seed := range []string{
		orderOf(`{"stock":1,"format":"135"}`),
		orderOf(`{"stock":2,"format":"120","push":-0.5,"ei":320,"light":"mixed","filter":"85b","note":"push 2 ½"}`),
		orderOf(`{"stock":1,"format":"4x5","exposures":250,"solution":2,"scan":false,"return_negatives":null}`),
		orderOf(`{"stock":1e3,"format":"135","push":1e308}`), orderOf(`{"stock":9223372036854775807,"format":"135","ei":102400}`),
		orderOf(`{},{},[]`), `{"rolls":[{"push":"\ud800"}]}`, `{"name":"` + "\xff\x00" + `"}`, `{"NAME":"x","name":"y","rolls":null}`,
		`null`, `[]`, `0`, ``, `{"a":`, strings.Repeat("[", 20_000), `{} {}`, "\ufeff{}", `{"rolls":{"0":1}}`, `{"email":{"a":[1,{"b":2}]}}`,
	} {
		f.Add(seed)
	}
	var looks atomic.Int64 // every look at the clock is later, so that nobody is held back
	made, err := server.New(server.Services{Catalogue: shelf{}, Orders: counter{}}, server.Options{
		Log: slog.New(slog.NewTextHandler(io.Discard, nil)),
		Now: func() time.Time { return start.Add(time.Duration(looks.Add(1)) * time.Hour) },
	})
	if err != nil {
		f.Fatal(err)
	}
	f.Fuzz(func(t *testing.T, body string) {
		for _, path := range []string{"/api/v1/orders", "/api/v1/roll-readings"} {
			request := httptest.NewRequestWithContext(t.Context(), http.MethodPost, path, strings.NewReader(body))
			request.Header.Set("Content-Type", "application/json")
			answered := httptest.NewRecorder()
			made.Handler().ServeHTTP(answered, request)
			var told api.Error
			switch answered.Code {
			case http.StatusOK, http.StatusCreated:
			case http.StatusBadRequest, http.StatusUnprocessableEntity, http.StatusRequestEntityTooLarge:
				if err := json.Unmarshal(answered.Body.Bytes(), &told); err != nil || told.Error.Code == "" || told.Error.Message == "" {
					t.Errorf("%s %q: %d\n%s", path, body, answered.Code, answered.Body)
				}
			default:
				t.Errorf("%s %q: %d\n%s", path, body, answered.Code, answered.Body)
			}
		}
	})
}

package server_test

import (
	"encoding/json"
	"net/http"
	"slices"
	"strings"
	"testing"

	"wetside/jobs"
	"wetside/server/api"
)

// caller is a program that uses the API, with its cookies.
type caller struct{ *browser }

// call returns a new program that nobody has signed in.
func (l *lab) caller(t *testing.T) caller {
	t.Helper()
	return caller{browse(t, l.URL)}
}

// signedIn returns a program that works in somebody's name.
func (l *lab) signedIn(t *testing.T, name string) caller {
	t.Helper()
	c := l.caller(t)
	got := ask[api.Session](c, http.MethodPost, "/session", `{"name":"`+name+`","password":"`+password+`"}`, http.StatusOK)
	if got.Name != name {
		t.Fatalf("signed in as %+v", got)
	}
	return c
}

// send calls an operation with a body of JSON, "" for none.
func (c caller) send(method, path, body string, header ...string) answer {
	c.t.Helper()
	if body == "" {
		return c.do(method, "/api/v1"+path, nil, header...)
	}
	return c.do(method, "/api/v1"+path, strings.NewReader(body), append([]string{"Content-Type", "application/json"}, header...)...)
}

// ask calls an operation, checks the status and reads the answer, in which
// nothing may stand that its type does not know.
func ask[T any](c caller, method, path, body string, status int, header ...string) T {
	c.t.Helper()
	got := c.send(method, path, body, header...)
	var read T
	if got.StatusCode != status {
		c.t.Fatalf("%s %s %s: %s %s, want %d", method, path, body, got.Status, got.body, status)
	}
	if kind := got.Header.Get("Content-Type"); kind != "application/json" {
		c.t.Fatalf("%s %s: content type %q", method, path, kind)
	}
	decoder := json.NewDecoder(strings.NewReader(got.body))
	decoder.DisallowUnknownFields()
	if err := decoder.Decode(&read); err != nil {
		c.t.Fatalf("%s %s: %v in %s", method, path, err, got.body)
	}
	return read
}

// refused calls an operation that must fail: with this status and code, saying
// this, and naming this field unless it is "".
func (c caller) refused(method, path, body string, status int, code jobs.Code, field, says string, header ...string) {
	c.t.Helper()
	got := c.send(method, path, body, header...)
	var told api.Error
	if err := json.Unmarshal([]byte(got.body), &told); err != nil {
		c.t.Errorf("%s %s: %s, no error in %s", method, path, got.Status, got.body)
		return
	}
	fault := told.Error
	named := field == "" && len(fault.Fields) == 0 || slices.ContainsFunc(fault.Fields, func(f jobs.FieldError) bool { return f.Field == field })
	if got.StatusCode != status || fault.Code != code || !named || !strings.Contains(got.body, says) || fault.RequestId == "" || fault.Message == "" {
		c.t.Errorf("%s %s %.200s\ngot %s %s\nwant %d %s, field %q, %q", method, path, body, got.Status, got.body, status, code, field, says)
	}
}

// put sends one order of one roll and returns the roll.
func (c caller) order(roll string) api.RollTaken {
	c.t.Helper()
	taken := ask[api.OrderTaken](c, http.MethodPost, "/orders",
		`{"name":"Fern Hollow","email":"fern@example.org","return":"collect","rolls":[`+roll+`]}`, http.StatusCreated)
	return taken.Rolls[0]
}

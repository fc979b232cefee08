package server_test

import (
	"fmt"
	"net/http"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"wetside/jobs"
	"wetside/server/api"
)

const (
	refusedInput = http.StatusUnprocessableEntity
	conflict     = http.StatusConflict
)

func TestBadChangesOfRollsAreRefused(t *testing.T) {
	t.Parallel()
	l := open(t)
	c := l.signedIn(t, "Kit")
	sedge := fmt.Sprintf(`{"stock":%d,"format":"135"}`, l.stocks["Sedge 640"].ID)
	roll, other := c.order(sedge), c.order(sedge)
	checkIn, post := rollPath(roll.Id, "check-in"), http.MethodPost
	ask[api.Roll](c, post, rollPath(other.Id, "check-in"), `{"version":1,"twin_check":"ab-100"}`, http.StatusOK)
	before := ask[api.Rolls](c, http.MethodGet, "/rolls", "", http.StatusOK)
	for _, test := range []struct {
		path, body string
		status     int
		code       jobs.Code
		field      string
		says       string
	}{
		{checkIn, `{}`, refusedInput, jobs.Invalid, "version", "missing"},
		{checkIn, `{"version":-1}`, refusedInput, jobs.Invalid, "version", "at least 1"},
		{checkIn, `{"version":3000000000}`, refusedInput, jobs.Invalid, "version", "at most"},
		{checkIn, `{"version":1,"twin_check":"AB-100"}`, conflict, jobs.Duplicate, "twin_check", "another roll"},
		{checkIn, `{"version":1,"twin_check":"a b"}`, refusedInput, jobs.Invalid, "twin_check", "3 to 16"},
		{checkIn, `{"version":1,"stock":9999}`, refusedInput, jobs.Invalid, "stock", "no such film stock"},
		{checkIn, `{"version":1,"format":"110"}`, refusedInput, jobs.Invalid, "format", "135"},
		{checkIn, `{"version":1,"remjet":"sticky"}`, refusedInput, jobs.Invalid, "remjet", "removed"},
		{checkIn, `{"version":1,"push":1}`, refusedInput, jobs.Invalid, "confirmed", "push and ei"},
		{checkIn, `{"version":1,"confirmed":true,"push":0.77}`, refusedInput, jobs.Invalid, "push", "0.77"},
		{checkIn, `{"version":1,"confirmed":true,"ei":0}`, refusedInput, jobs.Invalid, "ei", "at least 1"},
		{checkIn, `{"version":7}`, conflict, jobs.Stale, "", "it is now expected"},
		{rollPath(other.Id, "check-in"), `{"version":2}`, conflict, jobs.WrongState, "", "queued"},
		{rollPath(other.Id, "hold"), `{"version":1,"question":"which?"}`, conflict, jobs.Stale, "", "it is now queued"},
		{rollPath(other.Id, "hold"), `{"version":2}`, refusedInput, jobs.Invalid, "question", "missing"},
		{rollPath(other.Id, "answer"), `{"version":2,"answer":"yes"}`, conflict, jobs.WrongState, "", "nothing waits"},
		{rollPath(other.Id, "answer"), `{"version":2,"answer":"yes","push":12}`, refusedInput, jobs.Invalid, "push", "12"},
		{rollPath(other.Id, "queue"), `{"version":2}`, conflict, jobs.WrongState, "", "queued"},
		{rollPath(other.Id, "advance"), `{"version":2}`, conflict, jobs.WrongState, "", "dry side"},
		{rollPath(other.Id, "cancel"), `{"version":2,"reason":""}`, refusedInput, jobs.Invalid, "reason", "missing"},
		{rollPath(other.Id, "spoil"), `{"version":2,"reason":"` + strings.Repeat("x", 501) + `"}`, refusedInput, jobs.Invalid, "reason", "at most 500"},
		{rollPath(other.Id, "spoil"), `{"version":2,"reason":"torn","why":"?"}`, http.StatusBadRequest, "bad_request", "", "why"},
		{rollPath(other.Id, "move"), `{"version":2,"batch":9999}`, http.StatusNotFound, jobs.NotFound, "", ""},
		{rollPath(9999, "advance"), `{"version":1}`, http.StatusNotFound, jobs.NotFound, "", ""},
		{"/deliveries", `{"rolls":[],"how":"collect"}`, refusedInput, jobs.Invalid, "rolls", "at least 1"},
		{"/deliveries", `{"rolls":[0],"how":"collect"}`, refusedInput, jobs.Invalid, "rolls[0]", "at least 1"},
		{"/deliveries", fmt.Sprintf(`{"rolls":[%d],"how":"post"}`, other.Id), refusedInput, jobs.Invalid, "tracking", "missing"},
		{"/deliveries", fmt.Sprintf(`{"rolls":[%d],"how":"drone"}`, other.Id), refusedInput, jobs.Invalid, "how", "collect, post"},
		{"/deliveries", fmt.Sprintf(`{"rolls":[%d],"how":"collect"}`, other.Id), conflict, jobs.WrongState, "", "queued"},
		{"/deliveries", fmt.Sprintf(`{"rolls":[%d,%d],"how":"collect"}`, other.Id, other.Id), refusedInput, jobs.Invalid, "rolls[1]", "twice"},
	} {
		c.refused(post, test.path, test.body, test.status, test.code, test.field, test.says)
	}
	if diff := cmp.Diff(before, ask[api.Rolls](c, http.MethodGet, "/rolls", "", http.StatusOK)); diff != "" {
		t.Errorf("changed by what was refused:\n%s", diff)
	}
}

func TestBadChangesOfBatchesAreRefused(t *testing.T) {
	t.Parallel()
	l := open(t)
	c := l.signedIn(t, "Kit")
	var keys []string
	for range 7 { // one too many beside the first: the drum takes five rolls of 135
		roll := c.order(fmt.Sprintf(`{"stock":%d,"format":"135"}`, l.stocks["Sedge 640"].ID))
		ask[api.Roll](c, http.MethodPost, rollPath(roll.Id, "check-in"), `{"version":1}`, http.StatusOK)
		keys = append(keys, fmt.Sprint(roll.Id))
	}
	bare := c.order(fmt.Sprintf(`{"stock":%d,"format":"135"}`, l.stocks["Reedmace 320T bare"].ID))
	held := ask[api.Roll](c, http.MethodPost, rollPath(bare.Id, "check-in"), `{"version":1,"remjet":"present"}`, http.StatusOK)
	if held.State != jobs.Held || !strings.Contains(held.Question, "remjet") {
		t.Fatalf("film with remjet is %s: %q", held.State, held.Question)
	}
	line := ask[api.Lines](c, http.MethodGet, "/lines", "", http.StatusOK).Lines[0].Id
	draft := func(rolls string) string { return fmt.Sprintf(`{"line":%d,"rolls":[%s]}`, line, rolls) }
	batch := ask[api.Batch](c, http.MethodPost, "/batches", draft(keys[0]), http.StatusCreated)
	path, post, version := func(what string) string { return batchPath(batch.Id, what) }, http.MethodPost, fmt.Sprintf(`"version":%d`, batch.Version)
	for _, test := range []struct {
		path, body string
		status     int
		code       jobs.Code
		field      string
		says       string
	}{
		{"/batches", draft(strings.Join(keys[1:], ",")), refusedInput, jobs.Refused, "", "15"},
		{"/batches", draft(fmt.Sprint(bare.Id)), conflict, jobs.Stale, "", "held"},
		{"/batches", draft(keys[0]), conflict, jobs.Stale, "", "batched"},
		{"/batches", draft("9999"), http.StatusNotFound, jobs.NotFound, "", ""},
		{"/batches", `{"line":9999,"rolls":[` + keys[1] + `]}`, http.StatusNotFound, jobs.NotFound, "", ""},
		{"/batches", `{"rolls":[` + keys[1] + `]}`, refusedInput, jobs.Invalid, "line", "missing"},
		{"/batches", fmt.Sprintf(`{"line":%d}`, line), refusedInput, jobs.Invalid, "rolls", "missing"},
		{"/batches", fmt.Sprintf(`{"line":%d,"rolls":["1"]}`, line), refusedInput, jobs.Invalid, "rolls[0]", "a whole number is wanted"},
		{"/batches", fmt.Sprintf(`{"line":%d,"rolls":[%s],"planned_start":"noon"}`, line, keys[1]), refusedInput, jobs.Invalid, "planned_start", "noon"},
		{path("start"), `{` + version + `}`, refusedInput, jobs.Invalid, "developer_c", "missing"},
		{path("start"), `{` + version + `,"developer_c":25}`, refusedInput, jobs.Refused, "developer_c", "37.8"},
		{path("start"), `{` + version + `,"developer_c":100}`, refusedInput, jobs.Invalid, "developer_c", "100"},
		{path("start"), `{` + version + `,"developer_c":1e999}`, refusedInput, jobs.Invalid, "developer_c", "1e999"},
		{path("start"), `{"version":99,"developer_c":37.8}`, conflict, jobs.Stale, "", "accepted"},
		{path("finish"), `{` + version + `}`, conflict, jobs.WrongState, "", "accepted"},
		{path("stop"), `{` + version + `,"reason":"power cut"}`, refusedInput, jobs.Invalid, "outcomes", "missing"},
		{path("readings"), `{"step":"bleach","temp_c":38}`, conflict, jobs.WrongState, "", "while it runs"},
		{path("unlock"), `{` + version + `}`, conflict, jobs.WrongState, "", "accepted"},
		{path("cancel"), `{` + version + `}`, refusedInput, jobs.Invalid, "reason", "missing"},
		{path("split"), `{` + version + `}`, refusedInput, jobs.Invalid, "rolls", "missing"},
		{path("split"), `{` + version + `,"rolls":[` + keys[0] + `]}`, refusedInput, jobs.Invalid, "rolls", "at least one roll stays"},
		{path("split"), `{` + version + `,"rolls":[` + keys[1] + `]}`, refusedInput, jobs.Invalid, "rolls[0]", "no such roll"},
		{path("split"), `{"version":99,"rolls":[` + keys[0] + `]}`, conflict, jobs.Stale, "", "accepted"},
	} {
		c.refused(post, test.path, test.body, test.status, test.code, test.field, test.says)
	}
	queued := ask[api.Rolls](c, http.MethodGet, "/rolls?state=queued", "", http.StatusOK)
	open := ask[api.Batches](c, http.MethodGet, "/batches?open=true", "", http.StatusOK)
	if len(queued.Rolls) != 6 || len(open.Batches) != 1 || cmp.Diff(batch, open.Batches[0]) != "" {
		t.Errorf("changed by what was refused: %d rolls queued, batches %+v", len(queued.Rolls), open.Batches)
	}
}

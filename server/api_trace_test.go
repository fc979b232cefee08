package server_test

import (
	"fmt"
	"net/http"
	"testing"

	"github.com/google/go-cmp/cmp"

	"wetside/jobs"
	"wetside/server/api"
)

func TestTracesThroughTheAPI(t *testing.T) {
	t.Parallel()
	l := open(t)
	fill, rolls := l.touchedFilm(t)
	c := l.signedIn(t, "Kit")
	at := fmt.Sprintf("/traces/fill/%d", fill.ID)
	trace := ask[api.Trace](c, "GET", at, "", http.StatusOK)
	if diff := cmp.Diff(map[string]int{"delivered": 1, "ready": 1, "drying": 1}, trace.Counts); diff != "" || trace.Cause != jobs.FromFill || trace.Id != int64(fill.ID) {
		t.Errorf("trace of %s %d:\n%s", trace.Cause, trace.Id, diff)
	}
	one := trace.Rolls[0]
	if one.Roll.Id != rolls[0].ID || one.Email != "fen@example.org" || one.LineName != "Drum" || !one.StartedAt.Equal(start) || one.Inspection != 0 {
		t.Errorf("traced: %+v", one)
	}
	if later := ask[api.Trace](c, "GET", at+"?since=2026-03-03T00:00:00Z", "", http.StatusOK); len(later.Rolls) != 0 {
		t.Errorf("a day later: %+v", later.Rolls)
	}
	c.refused("GET", at+"?since=noon", "", refusedInput, jobs.Invalid, "since", "RFC 3339")
	c.refused("GET", at+"?since=2026-03-03T00:00:00Z&until=2026-03-02T00:00:00Z", "", refusedInput, jobs.Invalid, "until", "is not after")
	c.refused("GET", "/traces/bath/1", "", refusedInput, jobs.Invalid, "cause", "fill, mix, lot, strip")
	for _, kind := range jobs.CauseKinds {
		c.refused("GET", fmt.Sprintf("/traces/%s/99", kind), "", http.StatusNotFound, jobs.NotFound, "", "no such")
	}
	back := ask[api.RollTrace](c, "GET", rollPath(rolls[0].ID, "trace"), "", http.StatusOK)
	if len(back.Runs) != 1 || back.Runs[0].Fills[0].Fill != fill.ID || back.Runs[0].StartedBy != "Kit" || len(back.Runs[0].Readings) != 1 {
		t.Errorf("back: %+v", back)
	}
	c.refused("GET", "/rolls/99/trace", "", http.StatusNotFound, jobs.NotFound, "", "no such roll")
}

func TestInspectionsThroughTheAPI(t *testing.T) {
	t.Parallel()
	l := open(t)
	fill, rolls := l.touchedFilm(t)
	c, owner := l.signedIn(t, "Kit"), l.signedIn(t, "Wren")
	mark := func(more string) string { return fmt.Sprintf(`{"cause":"fill","cause_id":%d%s}`, fill.ID, more) }
	c.refused("POST", "/inspections", mark(""), refusedInput, jobs.Invalid, "why", "missing")
	c.refused("POST", "/inspections", mark(`,"why":"flat","rolls":[999]`), refusedInput, jobs.Invalid, "rolls[0]", "not among those")
	c.refused("POST", "/inspections", mark(`,"why":"flat","since":"2026-03-03T00:00:00Z","until":"2026-03-02T00:00:00Z"`), refusedInput, jobs.Invalid, "until", "is not after")
	c.refused("POST", "/inspections", `{"cause":"bath","cause_id":1,"why":"flat"}`, refusedInput, jobs.Invalid, "cause", "fill, mix, lot, strip")
	marked := ask[api.Marked](c, "POST", "/inspections", mark(`,"why":"flat"`), http.StatusCreated)
	want := api.Marked{Marked: []jobs.RollID{rolls[1].ID, rolls[2].ID}, Already: []jobs.RollID{}, Delivered: []jobs.RollID{rolls[0].ID}, Spoiled: []jobs.RollID{}}
	if diff := cmp.Diff(want, marked); diff != "" {
		t.Error(diff)
	}
	c.refused("POST", "/deliveries", fmt.Sprintf(`{"rolls":[%d],"how":"collect"}`, rolls[1].ID), refusedInput, jobs.Refused, "", "write what was found")
	if roll := ask[api.Roll](c, "GET", rollPath(rolls[1].ID, ""), "", http.StatusOK); !roll.Inspect {
		t.Error("the roll does not say that it is to be looked at")
	}
	list := ask[api.Inspections](c, "GET", "/inspections?open=true&cause=fill&limit=1", "", http.StatusOK)
	rest := ask[api.Inspections](c, "GET", fmt.Sprintf("/inspections?open=true&limit=1&before=%d", list.Next), "", http.StatusOK)
	if len(list.Inspections) != 1 || len(rest.Inspections) != 1 || list.Inspections[0].Why != "flat" || list.Inspections[0].By != "Kit" {
		t.Fatalf("listed: %+v, %+v", list, rest)
	}
	finding := func(id jobs.InspectionID, outcome string) string {
		return fmt.Sprintf(`{"inspections":[%d],"outcome":%q,"finding":"seen"}`, id, outcome)
	}
	last, first := list.Inspections[0].Id, rest.Inspections[0].Id
	c.refused("POST", "/inspections/close", finding(last, "perfect"), refusedInput, jobs.Invalid, "outcome", "good, spoiled, let go")
	c.refused("POST", "/inspections/close", finding(999, "good"), http.StatusNotFound, jobs.NotFound, "", "no such inspection")
	c.refused("POST", "/inspections/close", finding(last, "let go"), http.StatusForbidden, jobs.Forbidden, "", "Only an owner")
	ask[api.Inspections](owner, "POST", "/inspections/close", finding(last, "let go"), http.StatusOK)
	c.refused("POST", "/inspections/close", finding(last, "good"), conflict, jobs.WrongState, "", "closed already, by Wren")
	closed := ask[api.Inspections](c, "POST", "/inspections/close", finding(first, "spoiled"), http.StatusOK).Inspections[0]
	if closed.Outcome != jobs.FoundSpoiled || closed.DoneBy != "Kit" || closed.Roll.State != jobs.Spoiled || closed.Roll.Reason != "seen" {
		t.Errorf("closed: %+v", closed)
	}
}

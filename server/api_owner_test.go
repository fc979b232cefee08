package server_test

import (
	"fmt"
	"net/http"
	"testing"

	"github.com/google/go-cmp/cmp"

	"wetside/chemistry"
	"wetside/jobs"
	"wetside/server/api"
)

func TestOwnersKeepTheCatalogueThroughTheAPI(t *testing.T) {
	t.Parallel()
	l := open(t)
	c, anyone := l.signedIn(t, "Wren"), l.caller(t)
	developer := ask[api.Solution](c, http.MethodPost, "/solutions",
		`{"name":"PQ liquid 1+9","process":"BW","family":"black-and-white developer","use":"one-shot","temp_c":20}`, http.StatusCreated)
	// Times published for a conventional ISO 400 film in PQ liquid 1+4 (HARMAN
	// technology, information sheet of July 2004, p. 3).
	stock := fmt.Sprintf(`{"name":"Marl 200","process":"BW","kind":"black and white","remjet":"none","balance":"panchromatic","iso_daylight":200,
		"max_push":2.5,"max_pull":1,"solution":%[1]d,"times":[{"solution":%[1]d,"source":"maker's sheet","rows":[{"temp_c":20,"develop_s":540}],
		"push_rows":[{"push":1,"develop_s":600},{"push":2,"develop_s":780}]}]`, developer.Id)
	added := ask[api.Stock](c, http.MethodPost, "/stocks", stock+"}", http.StatusCreated)
	if added.MaxPush != 15 || len(added.Times) != 1 || len(added.Times[0].PushRows) != 2 || !*added.Active || added.Version != 1 {
		t.Errorf("added: %+v", added)
	}
	path := fmt.Sprintf("/stocks/%d", added.Id)
	changed := ask[api.Stock](c, http.MethodPut, path, stock+`,"active":false,"version":1}`, http.StatusOK)
	if *changed.Active || changed.Version != 2 {
		t.Errorf("changed: %+v", changed)
	}
	for _, shown := range ask[api.Stocks](anyone, http.MethodGet, "/stocks", "", http.StatusOK).Stocks {
		if shown.Id == added.Id || shown.Times != nil || shown.Active != nil || shown.Version != 0 {
			t.Errorf("shown to anybody: %+v", shown)
		}
	}
	offered := ask[api.Solutions](anyone, http.MethodGet, "/solutions", "", http.StatusOK).Solutions
	if len(offered) != 3 || offered[2].Name != "PQ liquid 1+9" || offered[2].Version != 0 {
		t.Errorf("developers shown to anybody: %+v", offered)
	}
	for _, test := range []struct {
		method, path, body string
		status             int
		code               jobs.Code
		field, says        string
	}{
		{"PUT", path, stock + `,"version":1}`, conflict, jobs.Stale, "", "somebody else"},
		{"PUT", path, stock + `}`, refusedInput, jobs.Invalid, "version", "missing"},
		{"PUT", "/stocks/9999", stock + `,"version":1}`, http.StatusNotFound, jobs.NotFound, "", "9999"},
		{"POST", "/stocks", stock + `,"version":1}`, refusedInput, jobs.Invalid, "version", "no version"},
		{"POST", "/stocks", stock + `}`, conflict, jobs.Duplicate, "name", "this name"},
		{"POST", "/stocks", `{"name":"Fen 100","process":"C-41","kind":"colour negative","remjet":"present","balance":"daylight","iso_daylight":100}`, refusedInput, jobs.Invalid, "remjet", "fouls"},
		{"POST", "/stocks", `{"name":"Fen 100","process":"K-14","kind":"reversal","remjet":"none","balance":"daylight","iso_daylight":100}`, refusedInput, jobs.Invalid, "process", "C-41"},
		{"POST", "/stocks", `{"name":"Fen 100","process":"C-41","kind":"colour negative","remjet":"none","balance":"daylight","iso_daylight":100,"max_push":0.77}`, refusedInput, jobs.Invalid, "max_push", "0.77"},
		{"POST", "/solutions", `{"name":"Warm","process":"C-41","family":"fixer","use":"reused","temp_c":200}`, refusedInput, jobs.Invalid, "temp_c", "at most 60"},
		{"POST", "/solutions", `{"name":"Warm","process":"C-41","family":"syrup","use":"reused","temp_c":38}`, refusedInput, jobs.Invalid, "family", "bleach"},
		{"POST", "/lines", `{"name":"Tub","runs":[{"process":"C-41"}],"capacity":2,"takes":{"135":3}}`, refusedInput, jobs.Invalid, "takes[135]", "1 to"},
		{"POST", "/lines", `{"name":"Tub","runs":[],"capacity":2,"takes":{"135":1}}`, refusedInput, jobs.Invalid, "runs", "at least 1"},
		{"PUT", "/tested-times/BW", `{"times":[]}`, refusedInput, jobs.Invalid, "process", "C-41"},
		{"PUT", "/tested-times/C-41", `{"times":[{"push":1,"develop_s":10,"source":"strips"}]}`, refusedInput, jobs.Invalid, "times", "push"},
		{"PUT", "/tested-times/C-41", `{"times":[{"push":0.77,"develop_s":230,"source":"strips"}]}`, refusedInput, jobs.Invalid, "times[0].push", "0.77"},
	} {
		c.refused(test.method, test.path, test.body, test.status, test.code, test.field, test.says)
	}
}

func TestOwnersSetTheLabUpThroughTheAPI(t *testing.T) {
	t.Parallel()
	l := open(t)
	c := l.signedIn(t, "Wren")
	line := ask[api.Line](c, http.MethodPost, "/lines",
		`{"name":"Hand tanks","runs":[{"process":"BW"}],"capacity":4,"takes":{"135":1,"4x5":2},"turnaround_s":1800}`, http.StatusCreated)
	line = ask[api.Line](c, http.MethodPut, fmt.Sprintf("/lines/%d", line.Id),
		`{"name":"Hand tanks","runs":[{"process":"BW"},{"process":"C-41","variant":"rapid-access"}],"capacity":8,"takes":{"135":1},"active":false,"version":1}`, http.StatusOK)
	want := api.Line{Id: line.Id, Name: "Hand tanks", Capacity: 8, Takes: map[string]int{"135": 1}, Version: 2,
		Runs: []api.LineProcess{{Process: chemistry.BW}, {Process: chemistry.C41, Variant: "rapid-access"}}}
	if diff := cmp.Diff(want, line); diff != "" {
		t.Errorf("line:\n%s", diff)
	}
	solutions := ask[api.Solutions](c, http.MethodGet, "/solutions", "", http.StatusOK).Solutions
	saved := ask[api.Solution](c, http.MethodPut, fmt.Sprintf("/solutions/%d", solutions[0].Id),
		`{"name":"MQ borax","process":"BW","family":"black-and-white developer","use":"reused","temp_c":21,"per_roll_percent":8,"version":1}`, http.StatusOK)
	if saved.TempC != 21 || saved.PerRollPercent != 8 || saved.CapacityM2PerL != 0 || saved.Version != 2 {
		t.Errorf("solution: %+v", saved)
	}

	c.send(http.MethodPut, "/tested-times/C-41", `{"times":[{"push":1,"develop_s":230,"source":"strips of March"}]}`).status(http.StatusNoContent)
	tested := ask[api.TestedTimes](c, http.MethodGet, "/tested-times", "", http.StatusOK)
	if diff := cmp.Diff([]api.TestedTime{{Process: chemistry.C41, Push: chemistry.Stop, DevelopS: 230, Source: "strips of March"}}, tested.TestedTimes); diff != "" {
		t.Errorf("tested times:\n%s", diff)
	}

	lab := ask[api.Lab](c, http.MethodGet, "/lab", "", http.StatusOK)
	body := `{"name":"Sallow Quay","ready_hours":48,"combine_bw":true,"tolerance_percent":10,"opens_at":9,"closes_at":17,"open_on":["monday","saturday"],"time_zone":"%s","return_address":"","version":%d}`
	ask[api.Lab](c, http.MethodPut, "/lab", fmt.Sprintf(body, "Europe/Lisbon", lab.Version), http.StatusOK)
	if got := ask[api.Lab](l.caller(t), http.MethodGet, "/lab", "", http.StatusOK); got.Name != "Sallow Quay" || got.ReadyHours != 48 || got.Version != lab.Version+1 {
		t.Errorf("lab: %+v", got)
	}
	browse(t, l.URL).get("/").says("header", "Sallow Quay")
	c.refused(http.MethodPut, "/lab", fmt.Sprintf(body, "Europe/Lisbon", lab.Version), conflict, jobs.Stale, "", "somebody else")
	c.refused(http.MethodPut, "/lab", fmt.Sprintf(body, "Europe/Atlantis", lab.Version+1), refusedInput, jobs.Invalid, "time_zone", "Atlantis")
}

func TestOwnersKeepThePeopleThroughTheAPI(t *testing.T) {
	t.Parallel()
	l := open(t)
	c := l.signedIn(t, "Wren")
	added := ask[api.Person](c, http.MethodPost, "/people", `{"name":"Rook","role":"staff","password":"`+password+`"}`, http.StatusCreated)
	rook, path := l.signedIn(t, "Rook"), fmt.Sprintf("/people/%d", added.Id)
	c.send(http.MethodPut, path+"/active", `{"active":false}`).status(http.StatusNoContent)
	rook.refused(http.MethodGet, "/today", "", http.StatusUnauthorized, jobs.Unauthorised, "", "")
	c.send(http.MethodPut, path+"/active", `{"active":true}`).status(http.StatusNoContent)
	c.send(http.MethodPut, path+"/password", `{"password":"nine dry towels"}`).status(http.StatusNoContent)
	rook.refused(http.MethodPost, "/session", `{"name":"Rook","password":"`+password+`"}`, http.StatusUnauthorized, jobs.Unauthorised, "", "")
	ask[api.Session](rook, http.MethodPost, "/session", `{"name":"Rook","password":"nine dry towels"}`, http.StatusOK)

	people := ask[api.People](c, http.MethodGet, "/people", "", http.StatusOK).People
	if len(people) != 3 {
		t.Errorf("people: %+v", people)
	}
	for _, test := range []struct {
		method, path, body string
		status             int
		code               jobs.Code
		field, says        string
	}{
		{"POST", "/people", `{"name":"rook","role":"staff","password":"` + password + `"}`, conflict, jobs.Duplicate, "name", "this name"},
		{"POST", "/people", `{"name":"Crow","role":"king","password":"` + password + `"}`, refusedInput, jobs.Invalid, "role", "staff, owner"},
		{"POST", "/people", `{"name":"Crow","role":"staff","password":"short"}`, refusedInput, jobs.Invalid, "password", "at least 10"},
		{"PUT", path + "/active", `{}`, refusedInput, jobs.Invalid, "active", ""},
		{"PUT", path + "/password", `{"password":"aaaaaaaaaaaa"}`, refusedInput, jobs.Invalid, "password", "over and over"},
		{"PUT", "/people/9999/password", `{"password":"` + password + `"}`, http.StatusNotFound, jobs.NotFound, "", ""},
	} {
		c.refused(test.method, test.path, test.body, test.status, test.code, test.field, test.says)
	}
	for _, person := range people {
		if person.Name == "Wren" {
			c.refused("PUT", fmt.Sprintf("/people/%d/active", person.Id), `{"active":false}`, refusedInput, jobs.Refused, "", "last owner")
		}
	}
}

package server_test

import (
	"fmt"
	"math"
	"net/http"
	"testing"

	"github.com/google/go-cmp/cmp"

	"wetside/jobs"
	"wetside/server/api"
)

const wholeRecipe = `"name":"Colour developer","process":"C-41","family":"colour developer","use":"replenished","temp_c":37.8`

func TestWholeRecipesThroughTheAPI(t *testing.T) {
	t.Parallel()
	l := open(t)
	c := l.signedIn(t, "Wren")
	added := ask[api.Solution](c, http.MethodPost, "/solutions", "{"+wholeRecipe+`,"replenish_ml_per_m2":872,"replenish_push_factor":1.1,
		"minimum_ml_per_roll":120,"bromide_release_mg":50,"bromide_replenisher_g_per_l":0.4,"bromide_start_g_per_l":1.3,"cost_per_l":4,
		"replenisher_cost_per_l":3,"keeping":[{"storage":"open tank","days":10,"source":"own test"},{"months":2}],
		"parts":[{"preparation":"replenisher","name":"Part A","amount_per_l":110,"unit":"mL"},
		{"preparation":"working","name":"Starter","amount_per_l":25,"unit":"mL","acid":true}]}`, http.StatusCreated)
	want := api.Solution{
		Id: added.Id, Name: "Colour developer", Process: "C-41", Family: "colour developer", Use: "replenished", TempC: 37.8, Active: added.Active, Version: 1,
		ReplenishMlPerM2: 872, ReplenishPushFactor: 1.1, MinimumMlPerRoll: 120, BromideReleaseMg: 50, BromideReplenisherGPerL: 0.4,
		BromideStartGPerL: 1.3, CostPerL: 4, ReplenisherCostPerL: 3, Waste: "developer",
		Keeping: []api.Keeping{{Storage: "open tank", Days: 10, Source: "own test"}, {Months: 2}},
		Parts: []api.Part{{Preparation: "working", Name: "Starter", AmountPerL: 25, Unit: "mL", Acid: true},
			{Preparation: "replenisher", Name: "Part A", AmountPerL: 110, Unit: "mL"}},
	}
	if diff := cmp.Diff(want, added); diff != "" {
		t.Error(diff)
	}
	// Whoever knows nothing of the recipe's further figures takes none away.
	path := fmt.Sprintf("/solutions/%d", added.Id)
	want.TempC, want.Version = 38, 2
	old := ask[api.Solution](c, http.MethodPut, path, `{"name":"Colour developer","process":"C-41","family":"colour developer","use":"replenished","temp_c":38,"version":1}`, http.StatusOK)
	if diff := cmp.Diff(want, old); diff != "" {
		t.Error(diff)
	}
	want.ReplenishMlPerM2, want.Parts, want.Keeping, want.TempC, want.Version = 0, nil, nil, 37.8, 3
	less := ask[api.Solution](c, http.MethodPut, path, "{"+wholeRecipe+`,"replenish_ml_per_m2":0,"parts":[],"keeping":[],"version":2}`, http.StatusOK)
	if diff := cmp.Diff(want, less); diff != "" {
		t.Error(diff)
	}
	versions := ask[api.RecipeVersions](l.signedIn(t, "Kit"), http.MethodGet, path+"/versions", "", http.StatusOK).Versions
	if len(versions) != 3 || versions[0].By != "Wren" || versions[2].Solution.ReplenishMlPerM2 != 872 || len(versions[2].Changes) != 0 {
		t.Fatalf("versions: %+v", versions)
	}
	if diff := cmp.Diff([]api.RecipeChange{{Name: "Working temperature", Was: "37.8 °C", Now: "38 °C"}}, versions[1].Changes); diff != "" {
		t.Error(diff)
	}
	for _, test := range []struct {
		method, path, body string
		status             int
		code               jobs.Code
		field, says        string
	}{
		{"GET", "/solutions/9999/versions", "", http.StatusNotFound, jobs.NotFound, "", "no such"},
		{"POST", "/solutions", "{" + wholeRecipe + `,"replenish_ml_per_m2":-1}`, refusedInput, jobs.Invalid, "replenish_ml_per_m2", "at least 0"},
		{"POST", "/solutions", "{" + wholeRecipe + `,"keeping":[{"storage":"shelf","days":1}]}`, refusedInput, jobs.Invalid, "keeping[0].storage", "open tank"},
		{"POST", "/solutions", "{" + wholeRecipe + `,"keeping":[{"days":-1}]}`, refusedInput, jobs.Invalid, "keeping[0].days", "at least 0"},
		{"POST", "/solutions", "{" + wholeRecipe + `,"parts":[{"preparation":"syrup","name":"A","amount_per_l":1,"unit":"g"}]}`, refusedInput, jobs.Invalid, "parts[0].preparation", "working"},
		{"POST", "/solutions", "{" + wholeRecipe + `,"parts":[{"preparation":"working","name":"A","amount_per_l":1,"unit":"oz"}]}`, refusedInput, jobs.Invalid, "parts[0].unit", "mL, g"},
		{"POST", "/solutions", "{" + wholeRecipe + `,"parts":[{"preparation":"working","name":"A","amount_per_l":0,"unit":"g"}]}`, refusedInput, jobs.Invalid, "parts[0].amount_per_l", ""},
	} {
		c.refused(test.method, test.path, test.body, test.status, test.code, test.field, test.says)
	}
}

func TestTanksThroughTheAPI(t *testing.T) {
	t.Parallel()
	l := open(t)
	c := l.signedIn(t, "Wren")
	mq := l.solution(t, "MQ borax").ID
	const line = `{"name":"Hand tanks","runs":[{"process":"BW"}],"capacity":4,"takes":{"135":1}`
	added := ask[api.Line](c, http.MethodPost, "/lines", fmt.Sprintf(line+`,"tanks":{"%d":{"volume_ml":1500,"storage":"open tank"}}}`, mq), http.StatusCreated)
	want := map[string]api.LineTank{fmt.Sprint(mq): {VolumeMl: 1500, Storage: "open tank"}}
	if diff := cmp.Diff(want, added.Tanks); diff != "" {
		t.Error(diff)
	}
	path := fmt.Sprintf("/lines/%d", added.Id)
	if kept := ask[api.Line](c, http.MethodPut, path, line+`,"version":1}`, http.StatusOK); cmp.Diff(want, kept.Tanks) != "" {
		t.Errorf("an old request took the tanks away: %v", kept.Tanks)
	}
	for field, tanks := range map[string]string{
		"tanks[x]": `{"x":{"volume_ml":1}}`, "tanks[99]": `{"99":{"volume_ml":1}}`,
		fmt.Sprintf("tanks[%d].volume_ml", mq): fmt.Sprintf(`{"%d":{"volume_ml":0}}`, mq), fmt.Sprintf("tanks[%d].storage", mq): fmt.Sprintf(`{"%d":{"volume_ml":1,"storage":"shelf"}}`, mq),
	} {
		c.refused(http.MethodPut, path, line+`,"tanks":`+tanks+`,"version":2}`, refusedInput, jobs.Invalid, field, "")
	}
	if gone := ask[api.Line](c, http.MethodPut, path, line+`,"tanks":{},"version":2}`, http.StatusOK); len(gone.Tanks) != 0 {
		t.Errorf("left: %v", gone.Tanks)
	}
}

func TestWhatIfThroughTheAPI(t *testing.T) {
	t.Parallel()
	l := open(t)
	fill := l.tankOfDeveloper(t)
	c := l.signedIn(t, "Wren")
	as := ask[api.WhatIf](c, http.MethodGet, fmt.Sprintf("/what-if?fill=%d", fill.ID), "", http.StatusOK)
	if diff := cmp.Diff(as.AsItIs, as.Changed); diff != "" || as.Fill != fill.ID || as.AsItIs.VolumeMl != 9000 || as.AsItIs.Days != 30 || len(as.Unknown) == 0 {
		t.Errorf("as it is: %+v\n%s", as, diff)
	}
	changed := ask[api.WhatIf](c, http.MethodPost, "/what-if", fmt.Sprintf(`{"fill":%d,"rolls_per_day":20,"replenisher_ml":4500,"days":10}`, fill.ID), http.StatusOK)
	// A tenth of the tank a day; the first turnover is 63.2 % of the way to
	// 50 mg in 45 mL (mass balance).
	got := changed.Changed
	for _, figure := range []struct{ got, want, within float64 }{
		{got.TurnoversPerDay, 0.1, 1e-9}, {got.ShareAfter, 0.632, 0.0005}, {got.BromideSteadyGPerL, 1.11, 0.005},
		{got.BromideAfterGPerL, 0.702, 0.001}, {got.MlPerDay, 900, 1e-6}, {got.CostPerMonth, 81, 1e-6}, {got.DaysToSteady, 30, 1e-6},
	} {
		if math.Abs(figure.got-figure.want) > figure.within {
			t.Errorf("%v, want %v", figure.got, figure.want)
		}
	}
	if got.ReplenisherEnds == "" || got.RunsOut != got.ReplenisherEnds || *got.RollsAtOnce != 36 || changed.AsItIs.RollsPerDay != 0 {
		t.Errorf("changed: %+v", changed)
	}
	fresh := ask[api.WhatIf](c, http.MethodGet, fmt.Sprintf("/what-if?solution=%d", fill.Solution), "", http.StatusOK)
	if fresh.Fill != 0 || fresh.AsItIs.VolumeMl != 1000 {
		t.Errorf("fresh: %+v", fresh)
	}
	for _, test := range []struct {
		method, path, body string
		status             int
		code               jobs.Code
		field, says        string
	}{
		{"GET", "/what-if", "", refusedInput, jobs.Invalid, "fill", "one of the two"},
		{"GET", "/what-if?fill=1&solution=1", "", refusedInput, jobs.Invalid, "fill", "one of the two"},
		{"GET", "/what-if?fill=x", "", refusedInput, jobs.Invalid, "fill", "whole number"},
		{"GET", "/what-if?fill=999", "", http.StatusNotFound, jobs.NotFound, "", "no such fill"},
		{"POST", "/what-if", `{"solution":999}`, http.StatusNotFound, jobs.NotFound, "", "no such solution"},
		{"POST", "/what-if", fmt.Sprintf(`{"fill":%d,"volume_ml":0}`, fill.ID), refusedInput, jobs.Invalid, "volume_ml", ""},
		{"POST", "/what-if", fmt.Sprintf(`{"fill":%d,"rolls_per_day":-1}`, fill.ID), refusedInput, jobs.Invalid, "rolls_per_day", ""},
		{"POST", "/what-if", fmt.Sprintf(`{"solution":%d,"replenish_ml_per_m2":10}`, l.solution(t, "MQ borax").ID), refusedInput, jobs.Invalid, "replenish_ml_per_m2", "no replenisher"},
	} {
		c.refused(test.method, test.path, test.body, test.status, test.code, test.field, test.says)
	}
	l.signedIn(t, "Kit").refused("GET", "/what-if?fill=1", "", http.StatusForbidden, jobs.Forbidden, "", "")
}

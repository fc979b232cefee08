package server_test

import (
	"fmt"
	"math"
	"net/http"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"wetside/chemistry"
	"wetside/jobs"
)

// solution finds a solution by name.
func (l *lab) solution(t *testing.T, name string) jobs.Solution {
	t.Helper()
	for _, solution := range l.catalogue(t).Solutions {
		if solution.Name == name {
			return solution
		}
	}
	t.Fatalf("there is no solution %q", name)
	return jobs.Solution{}
}

func TestAddASolution(t *testing.T) {
	t.Parallel()
	l := open(t)
	b := browse(t, l.URL).signIn("Wren")
	form := b.get("/solutions/new").status(http.StatusOK).typed("main form")
	form.Set("name", "Rapid fixer")
	form.Set("process", "BW")
	form.Set("family", "fixer")
	form.Set("use", "reused")
	form.Set("temp_c", "68F")
	form.Set("capacity_m2_per_l", "20 rolls")
	path := b.post("/solutions/new", form).status(http.StatusSeeOther).Header.Get("Location")
	saved := l.solution(t, "Rapid fixer")
	if path != fmt.Sprintf("/solutions/%d", saved.ID) {
		t.Errorf("led on to %s", path)
	}
	// 68 °F is 20 °C; 20 rolls of 80 in² (0.05161 m²) are 1.0322 m².
	if math.Abs(saved.TempC-20) > 1e-9 || math.Abs(saved.CapacityM2PerL-1.0322) > 1e-9 || saved.Use != chemistry.Reused || !saved.Active {
		t.Errorf("saved %+v", saved)
	}
	page := b.get(path).status(http.StatusOK)
	page.says(".notice.done", "Rapid fixer is added")
	for _, want := range []string{"Mixing and pouring", "Running film", "Dumping", "sulfur dioxide", chemistry.Deferral} {
		page.says("[aria-labelledby=cautions]", want)
	}
	if n := strings.Count(page.text("[aria-labelledby=cautions]"), chemistry.Deferral); n != 3 {
		t.Errorf("deferred %d times, want with every kind of work", n)
	}
	b.get("/solutions").says("main", "1.032 m² a litre, 20 rolls")
}

func TestSlipsInASolution(t *testing.T) {
	t.Parallel()
	l := open(t)
	b := browse(t, l.URL).signIn("Wren")
	page := fmt.Sprintf("/solutions/%d", l.solution(t, "MQ borax").ID)
	l.trySlips(t, b, page, []slip{
		{"name", "", "", "missing"},
		{"name", strings.Repeat("x", 81), "", "at most 80"},
		{"name", "pq FINE grain 1+4", "", "already"},
		{"process", "", "", "Choose the process"},
		{"process", "C-41", "family", "belongs to BW"},
		{"family", "", "", "Choose what it does"},
		{"family", "fixer", "process", "stays a black-and-white developer"},
		{"temp_c", "", "", "0 to 50"},
		{"temp_c", "68", "", "looks like Fahrenheit"},
		{"temp_c", "2", "", "5 to 60"},
		{"per_roll_percent", "51", "", "0 to 50"},
		{"per_roll_percent", "ten", "", "no number"},
		{"capacity_m2_per_l", "-1", "", "0 to 100"},
		{"capacity_m2_per_l", "some rolls", "", "no number"},
		{"b", "0.4", "", "0 to 0.3"},
		{"b", "Inf", "", "0 to 0.3"},
		{"push_factor", "1", "", "above 1 up to 3"},
		{"minimum_ml_per_roll", "-1", "", "0 to 100000"},
		{"replenish_ml_per_m2", "45 a roll", "", "Only a replenished solution"},
		{"replenish_ml_per_m2", "a lot", "", "no number"},
		{"replenish_push_factor", "3", "", "0.5 to 2"},
		{"bromide_release_mg", "2000", "", "0 to 1000"},
		{"bromide_replenisher_g_per_l", "x", "", "no number"},
		{"bromide_start_g_per_l", "101", "", "0 to 100"},
		{"keeping[3].for", "soon", "", "no length of time"},
		{"keeping[3].for", "2 months and a bit", "", "no length of time"},
		{"keeping[3].for", "0 days", "", "a day at least"},
		{"keeping[4].for", "11 years", "", "0 to 120"},
		{"keeping[0].source", "own test", "keeping[0].for", "Say how long"},
		{"working", "Part A", "", "no part"},
		{"working", "Part A = much mL", "", "no part"},
		{"working", "Part A = 0 mL", "", "above 0 to 1000"},
		{"working", " = 10 mL", "", "name is missing"},
		{"working", "Part A = 600 mL\nPart B = 401 mL", "", "come to 1001 mL"},
		{"working", "Part A = 60 mL\nPART A = 40 mL", "", "named twice"},
		{"replenisher", "Part A = 10 mL", "", "Only a replenished solution"},
		{"cost_per_l", "-2", "", "0 to 100000"},
		{"replenisher_cost_per_l", "free", "", "no number"},
	})
	tryStale(t, b, browse(t, l.URL).signIn("Wren"), page, "per_roll_percent", "12", "8")
}

// A form without a choice says what to choose, not that "" is unknown.
func TestAnEmptySolution(t *testing.T) {
	t.Parallel()
	l := open(t)
	b := browse(t, l.URL).signIn("Wren")
	got := b.post("/solutions/new", nil).status(http.StatusUnprocessableEntity)
	form := b.get("/solutions/new").typed("main form")
	form.Set("use", "twice")
	if fault := b.post("/solutions/new", form).status(http.StatusUnprocessableEntity).faultBeside("use"); !strings.Contains(fault, "one-shot, reused, replenished") {
		t.Errorf("a use that is none: %q", fault)
	}
	for field, want := range map[string]string{"name": "missing", "process": "Choose the process", "family": "Choose what it does", "use": "Choose how it is used", "temp_c": "0 to 50"} {
		if fault := got.faultBeside(field); !strings.Contains(fault, want) {
			t.Errorf("%s: %q, want %q", field, fault, want)
		}
	}
}

// A recipe is typed as it stands on the supplier's sheet, and its form shows it
// so again.
func TestAWholeRecipe(t *testing.T) {
	t.Parallel()
	l := open(t)
	b := browse(t, l.URL).signIn("Wren")
	form := b.get("/solutions/new").status(http.StatusOK).typed("main form")
	for field, typed := range map[string]string{
		"name": "Colour developer LR", "process": "C-41", "family": "colour developer", "use": "replenished", "temp_c": "37.8",
		"replenish_ml_per_m2": "22 mL a roll", "replenish_push_factor": "1,1", "minimum_ml_per_roll": "120",
		"bromide_release_mg": "50", "bromide_replenisher_g_per_l": "0.4", "bromide_start_g_per_l": "1.3",
		"keeping[3].for": "6 weeks", "keeping[3].source": "supplier's sheet", "keeping[2].for": "1 Month, 15 days",
		"working":     "Part A = 100 mL\n\nSulfite = 2,5 g\nStarter = 25 mL acid",
		"replenisher": "Part A = 110 ml", "cost_per_l": "4.20", "replenisher_cost_per_l": "3",
	} {
		form.Set(field, typed)
	}
	path := b.post("/solutions/new", form).status(http.StatusSeeOther).Header.Get("Location")
	saved := l.solution(t, "Colour developer LR")
	own := func(text string) chemistry.Source { return chemistry.Source{Standing: chemistry.LabsOwn, Text: text} }
	want := jobs.Solution{
		ID: saved.ID, Version: 1, Name: "Colour developer LR", Process: chemistry.C41, Family: chemistry.ColourDeveloper,
		Use: chemistry.Replenished, TempC: 37.8, MinimumMLPerRoll: 120, Active: true, CostPerL: 4.2, ReplenisherCostPerL: 3,
		// 22 mL for 80 in², which is 0.05161 m²: 426.27 mL for a m².
		Replenisher: chemistry.ReplenishRate{MLPerM2: 426.27, PushFactor: 1.1},
		Bromide:     chemistry.BromideFigures{ReleasedMGPerRoll: 50, ReplenisherGPerL: 0.4, StartGPerL: 1.3},
		Keeping: []chemistry.Keeping{{Storage: chemistry.FloatingLid, Months: 1, Days: 15, Source: own("")},
			{Storage: chemistry.OpenTank, Days: 42, Source: own("supplier's sheet")}},
		Parts: []jobs.Part{{Preparation: jobs.Working, Name: "Part A", AmountPerL: 100, Unit: jobs.Millilitres},
			{Preparation: jobs.Working, Name: "Sulfite", AmountPerL: 2.5, Unit: jobs.Grams},
			{Preparation: jobs.Working, Name: "Starter", AmountPerL: 25, Unit: jobs.Millilitres, Acid: true},
			{Preparation: jobs.ReplenisherMixture, Name: "Part A", AmountPerL: 110, Unit: jobs.Millilitres}},
	}
	if diff := cmp.Diff(want, saved); diff != "" {
		t.Error(diff)
	}
	page := b.get(path).status(http.StatusOK)
	page.says("[aria-labelledby=cautions]", "developer waste")
	// The rates to start from are those of its process, its own bath marked.
	page.says("tr.this", "45 mL")
	page.says("[aria-labelledby=replenishment]", "22 mL")
	if rates := page.text("[aria-labelledby=replenishment]"); strings.Contains(rates, "Z-119") {
		t.Error("rates of another process are shown")
	}
	b.get(fmt.Sprintf("/chemistry/what-if?of=solution-%d", saved.ID)).says("h2#compared", "Colour developer LR")
	page.says(".page-head", "What if it were changed?")
	again := page.typed("main form")
	again.Set("replenish_ml_per_m2", "872")
	again.Set("replenisher", "")
	b.post(path, again).status(http.StatusSeeOther)

	for _, who := range []string{"Wren", "Kit"} {
		versions := browse(t, l.URL).signIn(who).get(path + "/versions").status(http.StatusOK)
		versions.says("section:nth-of-type(1)", "Version 2 in force")
		versions.says("section:nth-of-type(1) table", "872 mL for a m²")
		versions.says("section:nth-of-type(1) table", "Part A in the replenisher mixture110 mL for a litrenot said")
		versions.says("section:nth-of-type(2)", "The oldest version on record")
		versions.says("section:nth-of-type(2)", "25 mL for a litre, an acid")
	}
	b.get("/solutions/9999/versions").status(http.StatusNotFound)
}

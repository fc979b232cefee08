package server_test

import (
	"fmt"
	"math"
	"net/http"
	"strings"
	"testing"

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

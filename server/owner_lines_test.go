package server_test

import (
	"fmt"
	"net/http"
	"testing"

	"github.com/google/go-cmp/cmp"

	"wetside/chemistry"
	"wetside/jobs"
)

// line finds a line by name.
func (l *lab) line(t *testing.T, name string) jobs.Line {
	t.Helper()
	for _, line := range l.catalogue(t).Lines {
		if line.Name == name {
			return line
		}
	}
	t.Fatalf("there is no line %q", name)
	return jobs.Line{}
}

func TestAddALine(t *testing.T) {
	t.Parallel()
	l := open(t)
	b := browse(t, l.URL).signIn("Wren")
	form := b.get("/lines/new").status(http.StatusOK).typed("main form")
	form.Set("name", "Dip-and-dunk")
	form.Set("capacity", "24")
	form.Set("turnaround", "37.5")
	form.Set("runs[0].variant", "rapid-access")
	form.Set("runs[2].variant", "standard")
	form.Set("takes[0].units", "1")
	form.Set("takes[2].units", "2")
	path := b.post("/lines/new", form).status(http.StatusSeeOther).Header.Get("Location")
	saved := l.line(t, "Dip-and-dunk")
	want := jobs.Line{
		ID: saved.ID, Version: 1, Name: "Dip-and-dunk", Capacity: 24, Turnaround: 2250, Active: true,
		Runs:  []jobs.LineProcess{{Process: chemistry.C41, Variant: chemistry.VariantRapid}, {Process: chemistry.ECN2}},
		Takes: map[chemistry.Format]int{chemistry.Format135: 1, chemistry.Format220: 2},
	}
	if diff := cmp.Diff(want, saved); diff != "" {
		t.Error(diff)
	}
	// The form shows what was saved, and saving it again changes nothing.
	again := b.get(path).status(http.StatusOK).typed("main form")
	b.post(path, again).status(http.StatusSeeOther)
	want.Version = 2
	if diff := cmp.Diff(want, l.line(t, "Dip-and-dunk")); diff != "" {
		t.Error(diff)
	}
	list := b.get("/lines")
	list.says("main", "24 × 135 or 12 × 220")
	list.says("main", "C-41 (rapid-access), ECN-2")
}

func TestSlipsInALine(t *testing.T) {
	t.Parallel()
	l := open(t)
	b := browse(t, l.URL).signIn("Wren")
	page := fmt.Sprintf("/lines/%d", l.line(t, "Drum").ID)
	l.trySlips(t, b, page, []slip{
		{"name", "", "", "missing"},
		{"capacity", "0", "", "1 to 10000"},
		{"capacity", "1.5", "", "whole number"},
		{"capacity", "2", "takes[0].units", "1 to the line's 2"},
		{"turnaround", "1441", "", "0 to 1440"},
		{"turnaround", "-1", "", "0 to 1440"},
		{"turnaround", "NaN", "", "0 to 1440"},
		{"turnaround", "soon", "", "no number"},
		{"takes[1].units", "0", "", "1 to the line's 15"},
		{"takes[1].units", "16", "", "1 to the line's 15"},
		{"takes[1].units", "x", "", "whole number"},
	})
	tryStale(t, b, browse(t, l.URL).signIn("Wren"), page, "turnaround", "30", "35")
}

func TestALineThatRunsOrTakesNothing(t *testing.T) {
	t.Parallel()
	l := open(t)
	b := browse(t, l.URL).signIn("Wren")
	got := b.post("/lines/new", nil).status(http.StatusUnprocessableEntity)
	for field, want := range map[string]string{
		"name": "A name is missing", "runs[0].variant": "A line runs at least one process",
		"takes[0].units": "A line takes at least one format", "capacity": "0 is outside what is allowed, 1 to 10000",
	} {
		if fault := got.faultBeside(field); fault != want {
			t.Errorf("%s: %q, want %q", field, fault, want)
		}
	}
	form := b.get("/lines/new").typed("main form")
	form.Set("name", "Odd")
	form.Set("capacity", "3")
	form.Set("takes[0].units", "3")
	form.Set("runs[1].variant", "standard")
	form.Set("runs[3].variant", "persulfate") // not of this process
	odd := b.post("/lines/new", form).status(http.StatusUnprocessableEntity)
	if fault := odd.faultBeside("runs[3].variant"); fault == "" {
		t.Errorf("nothing is said of the variant: %s", odd.text("#problems"))
	}
	form.Set("runs[4].variant", "standard")
	b.post("/lines/new", form).status(http.StatusUnprocessableEntity)
}

func TestTanksOfALine(t *testing.T) {
	t.Parallel()
	l := open(t)
	b := browse(t, l.URL).signIn("Wren")
	_, err := l.services.Catalogue.SaveSolution(t.Context(), jobs.Program, jobs.Solution{Name: "C-41 developer", Process: chemistry.C41,
		Family: chemistry.ColourDeveloper, Use: chemistry.Replenished, TempC: 37.8, Active: true})
	if err != nil {
		t.Fatal(err)
	}
	page := fmt.Sprintf("/lines/%d", l.line(t, "Drum").ID)
	shown := b.get(page).status(http.StatusOK)
	form := shown.typed("main form")
	tank := func(name string) string {
		id := fmt.Sprint(l.solution(t, name).ID)
		for i := range 20 {
			if form.Get(fmt.Sprintf("tanks[%d].solution", i)) == id {
				return fmt.Sprintf("tanks[%d]", i)
			}
		}
		t.Fatalf("the form does not ask for a tank of %s", name)
		return ""
	}
	mq, c41 := tank("MQ borax"), tank("C-41 developer")
	form.Set(mq+".volume_ml", "1.5 L")
	form.Set(mq+".storage", string(chemistry.FullBottle))
	form.Set(c41+".volume_ml", "5000")
	b.post(page, form).status(http.StatusSeeOther)
	want := map[jobs.SolutionID]jobs.LineTank{
		l.solution(t, "MQ borax").ID:       {VolumeML: 1500, Storage: chemistry.FullBottle},
		l.solution(t, "C-41 developer").ID: {VolumeML: 5000},
	}
	if diff := cmp.Diff(want, l.line(t, "Drum").Tanks); diff != "" {
		t.Error(diff)
	}
	l.trySlips(t, b, page, []slip{
		{mq + ".volume_ml", "0", "", "1 to 1000000"},
		{mq + ".volume_ml", "1001 L", "", "1 to 1000000"},
		{mq + ".volume_ml", "a bucket", "", "no number"},
		{mq + ".volume_ml", "NaN", "", "1 to 1000000"},
		{mq + ".volume_ml", "", "", "Say what the tank holds"},
		{"runs[0].variant", "", c41 + ".volume_ml", "does not run"},
	})
	form = b.get(page).typed("main form")
	form.Set(mq+".volume_ml", "")
	form.Set(mq+".storage", "")
	b.post(page, form).status(http.StatusSeeOther)
	if got := l.line(t, "Drum").Tanks; len(got) != 1 {
		t.Errorf("tanks left: %v", got)
	}
	b.get("/lines/new").says("[aria-labelledby=tanks]", "Add the line first")
}

package chemistry

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// printed writes a cycle's steps as a table prints them.
func printed(c Cycle) []string {
	var lines []string
	for _, s := range c.Steps {
		line := s.Name + " " + FormatClock(s.Seconds)
		if s.MaxSeconds != 0 {
			line += " to " + FormatClock(s.MaxSeconds)
		}
		lines = append(lines, fmt.Sprintf("%s at %.4g–%.4g", line, s.LowC, s.HighC))
	}
	return lines
}

func TestCyclesAsPublished(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		source  string
		process Process
		variant string
		want    []string
	}{
		{"Kodak Z-131, table 2-1", C41, "", []string{
			"developer 3:15 at 37.65–37.95", "bleach 4:20 to 6:30 at 35–41", "wash after bleach 1:05 at 24–41", "fixer 4:20 at 35–41",
			"wash after fixer 3:15 at 24–41", "final rinse 1:05 at 24–41", "dry 0:00 at 0–60"}},
		{"Kodak Z-131, table 4-1", C41, VariantRapid, []string{
			"developer 3:15 at 37.65–37.95", "bleach 1:00 at 35–41", "fixer 1:30 at 35–41", "final rinse 1:00 at 35–41", "dry 0:00 at 0–60"}},
		{"encyclopaedia, six-bath table, for the first developer's time; the rest is a starting point", E6, "", []string{
			"first developer 6:00 at 37.7–38.3", "first wash 2:00 at 33–39", "reversal bath 2:00 at 24–39", "colour developer 6:00 at 37.4–38.6",
			"pre-bleach 2:00 at 24–39", "bleach 6:00 at 33–39", "fixer 4:00 at 33–39", "final wash 4:00 at 33–39", "final rinse 1:00 at 0–0", "dry 0:00 at 0–60"}},
		{"Kodak H-24, module 7", ECN2, "", []string{
			"prebath 0:10 at 26–28", "backing removal and rinse 0:00 at 27–38", "developer 3:00 at 41–41.2", "stop 0:30 at 27–38", "wash after stop 0:30 at 27–38",
			"bleach 3:00 at 37–39", "wash after bleach 1:00 at 27–38", "fixer 2:00 at 37–39", "wash after fixer 2:00 at 27–38", "final rinse 0:10 at 27–38", "dry 0:00 at 0–60"}},
	} {
		got, err := CycleFor(c.process, c.variant)
		if diff := cmp.Diff(c.want, printed(got)); err != nil || diff != "" {
			t.Errorf("%s (%s): %v, (−want +got)\n%s", got.Name, c.source, err, diff)
		}
	}
	persulfate, err := CycleFor(ECN2, VariantPersulfate)
	if i, _ := persulfate.step("bleach"); err != nil || persulfate.Steps[i].Seconds != 60 || persulfate.Steps[i].Solution != "persulfate bleach" {
		t.Errorf("persulfate bleach: %+v, %v; Kodak H-24, module 7 has 1:00", persulfate, err)
	}
}

// What the program relies on in every cycle.
func TestCyclesAreWhole(t *testing.T) {
	t.Parallel()
	for _, process := range Processes {
		variants := Variants(process)
		if len(variants) == 0 || variants[0] != "" {
			t.Errorf("%s has the variants %q, the standard one first is wanted", process, variants)
		}
		for _, variant := range variants {
			cycle, err := CycleFor(process, variant)
			if err != nil || cycle.Process != process || cycle.Variant != variant {
				t.Fatalf("%s %q: %+v, %v", process, variant, cycle, err)
			}
			names, developing := map[string]bool{}, 0
			for _, step := range cycle.Steps {
				if names[step.Name] || step.Name == "" || step.Source.Standing == "" || step.Source.Text == "" {
					t.Errorf("%s: step %+v has no name of its own or no source", cycle.Name, step)
				}
				names[step.Name] = true
				if step.Develop {
					developing++
					temp, tolerance, err := DeveloperTemp(process)
					if err != nil || step.TempC != temp || process != BW && math.Abs(step.HighC-temp-tolerance) > 1e-9 || !step.Exact {
						t.Errorf("%s: the developing step is %+v, its temperature %v ± %v", cycle.Name, step, temp, tolerance)
					}
					if d, err := ColourTime(process, 0, nil); process != BW && (err != nil || d.Seconds != step.Seconds) {
						t.Errorf("%s: develops %d s, the table has %d (%v)", cycle.Name, step.Seconds, d.Seconds, err)
					}
				}
				if err := step.checkBounds(); err != nil {
					t.Errorf("%s: %v", cycle.Name, err)
				}
			}
			if developing != 1 || cycle.Steps[len(cycle.Steps)-1].Name != "dry" {
				t.Errorf("%s: %d developing steps, ends with %q", cycle.Name, developing, cycle.Steps[len(cycle.Steps)-1].Name)
			}
		}
	}
	if got, err := CycleFor(C41, "three-bath"); !errors.Is(err, ErrCycle) {
		t.Errorf("no such variant: %+v, %v", got, err)
	}
	if got, err := CycleFor("", ""); !errors.Is(err, ErrCycle) || Variants("") != nil {
		t.Errorf("no such process: %+v, %v", got, err)
	}
}

func TestCycleWithDevelopment(t *testing.T) {
	t.Parallel()
	cycle, err := CycleFor(C41, "")
	if err != nil {
		t.Fatal(err)
	}
	push, err := ColourTime(C41, Stop, nil)
	if err != nil {
		t.Fatal(err)
	}
	got := cycle.WithDevelopment(push)
	want := append([]string{"developer 3:45 at 37.65–37.95"}, printed(cycle)[1:]...)
	if diff := cmp.Diff(want, printed(got)); diff != "" {
		t.Errorf("(−want +got)\n%s", diff)
	}
	if !slices.Equal(got.Steps[0].Cautions, push.Cautions) || cycle.Steps[0].Seconds != 195 || len(cycle.Steps[0].Cautions) != 0 {
		t.Errorf("cautions %q; the shipped step is now %+v", got.Steps[0].Cautions, cycle.Steps[0])
	}
}

func TestCycleWithTheLabsOwn(t *testing.T) {
	t.Parallel()
	cycle, err := CycleFor(C41, "")
	if err != nil {
		t.Fatal(err)
	}
	got, err := cycle.With([]StepChange{
		{Step: "fixer", Seconds: 300, MaxSeconds: 360, Note: "tested in May"},
		{Step: "fixer", TempC: 37, LowC: 35, HighC: 40, Agitation: "rotary", Drain: "15 s", Note: "tested in June"},
		{Step: "bleach", MaxSeconds: 480},
		{Step: "dry", HighC: 55},
	})
	if err != nil {
		t.Fatal(err)
	}
	fixer := got.Steps[3]
	if fixer.Seconds != 300 || fixer.MaxSeconds != 360 || fixer.TempC != 37 || fixer.Agitation != "rotary" || fixer.Drain != "15 s" ||
		fixer.Source != (Source{LabsOwn, "tested in June"}) {
		t.Errorf("the lab's own fixer is %+v", fixer)
	}
	if diff := cmp.Diff(&cycle.Steps[3], fixer.Original); diff != "" {
		t.Errorf("the original beside it (−shipped +kept)\n%s", diff)
	}
	if bleach := got.Steps[1]; bleach.Seconds != 260 || bleach.MaxSeconds != 480 || bleach.Original.MaxSeconds != 390 {
		t.Errorf("the lab's own bleach is %+v", bleach)
	}
	if dry := got.Steps[6]; dry.HighC != 55 || got.Steps[0].Original != nil || cycle.Steps[3].Original != nil {
		t.Errorf("dry %+v; an unchanged step or the shipped cycle was changed", dry)
	}
}

func TestCycleRefusesChanges(t *testing.T) {
	t.Parallel()
	cycle, err := CycleFor(C41, "")
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		change StepChange
		want   error
		words  string
	}{
		{StepChange{Step: "stop"}, ErrCycle, `no step "stop"`},
		{StepChange{Step: "developer", Seconds: 200}, ErrCycle, "the lab's own tested developing time"},
		{StepChange{Step: "fixer", Seconds: -1}, ErrClock, "-1 s"},
		{StepChange{Step: "fixer", MaxSeconds: 20000}, ErrClock, "20000 s"},
		{StepChange{Step: "fixer", TempC: 100, LowC: 95, HighC: 105}, ErrTemperature, "Fahrenheit"},
		{StepChange{Step: "fixer", HighC: 60}, ErrTemperature, "60 °C"},
		{StepChange{Step: "dry", HighC: 61}, ErrTemperature, "61 °C"},
		{StepChange{Step: "fixer", TempC: math.NaN()}, ErrTemperature, "NaN"},
		{StepChange{Step: "fixer", Seconds: 300, MaxSeconds: 200}, ErrCycle, "5:00 at least and 3:20 at most"},
		{StepChange{Step: "fixer", LowC: 40, HighC: 30}, ErrCycle, "from 40 to 30"},
		{StepChange{Step: "fixer", TempC: 20, LowC: 30, HighC: 40}, ErrCycle, "at 20 °C, from 30 to 40"},
	} {
		if got, err := cycle.With([]StepChange{c.change}); !errors.Is(err, c.want) || !strings.Contains(err.Error(), c.words) {
			t.Errorf("%+v: %+v, %v; want %v saying %q", c.change, got, err, c.want, c.words)
		}
	}
}

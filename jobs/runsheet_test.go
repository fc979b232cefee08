package jobs

import (
	"slices"
	"strings"
	"testing"

	"wetside/chemistry"
)

// sheetOf makes a batch of rolls and its run sheet.
func sheetOf(t *testing.T, w WetSide, line LineID, rolls ...RollView) RunSheet {
	t.Helper()
	b, err := assemble(w, line, rolls...)
	if err != nil {
		t.Fatal(err)
	}
	sheet, err := w.RunSheet(b, monday)
	if err != nil {
		t.Fatal(err)
	}
	return sheet
}

func developStep(t *testing.T, sheet RunSheet) chemistry.Step {
	t.Helper()
	i := slices.IndexFunc(sheet.Cycle.Steps, func(s chemistry.Step) bool { return s.Develop })
	if i < 0 {
		t.Fatal("no step of the sheet develops")
	}
	return sheet.Cycle.Steps[i]
}

func TestTheRunSheetHasThePublishedTimes(t *testing.T) {
	t.Parallel()
	w := testLab()
	for _, test := range []struct {
		name      string // with the source
		line      LineID
		roll      RollView
		clock     string
		tempC     float64
		tolerance float64
	}{
		{"C-41 normal, Kodak Z-131 table 2-1", drum, w.roll(1, sedge160), "3:15", 37.8, 0.15},
		{"C-41 push 1, Kodak TI-2420 push table and Z-131 table 2-7", drum, w.roll(1, sedge160, pushed(1)), "3:45", 37.8, 0.15},
		{"ECN-2, Kodak H-24 module 7", dipAndDunk, w.roll(1, reedmaceWithRemjet), "3:00", 41.1, 0.1},
		{"MQ borax push 1, HARMAN sheet July 2004 p. 3", handTanks, w.roll(1, marl400, pushed(1)), "10:30", 20, 0},
	} {
		sheet := sheetOf(t, w, test.line, test.roll)
		step := developStep(t, sheet)
		if got := chemistry.FormatClock(step.Seconds); got != test.clock || sheet.Batch.Develop != step.Seconds {
			t.Errorf("%s: the step takes %s and the batch %d s, want %s", test.name, got, sheet.Batch.Develop, test.clock)
		}
		if step.TempC != test.tempC || sheet.Development.TempTolC != test.tolerance {
			t.Errorf("%s: at %g ± %g °C, want %g ± %g", test.name, step.TempC, sheet.Development.TempTolC, test.tempC, test.tolerance)
		}
		if len(sheet.Development.Factors) == 0 || sheet.Development.Factors[0].Source == "" {
			t.Errorf("%s: the sum behind the time is missing", test.name)
		}
	}
}

// Only the developer's time follows the push; every other step stays
// (Kodak Z-131 table 2-1: bleach 4:20 to 6:30, fixer 4:20, final rinse 1:05).
func TestAPushChangesTheDeveloperAlone(t *testing.T) {
	t.Parallel()
	w := testLab()
	sheet := sheetOf(t, w, drum, w.roll(1, sedge160, pushed(2)))
	want := map[string][2]int{"developer": {255, 0}, "bleach": {260, 390}, "fixer": {260, 0}, "final rinse": {65, 0}}
	for _, step := range sheet.Cycle.Steps {
		if times, ok := want[step.Name]; ok {
			if [2]int{step.Seconds, step.MaxSeconds} != times {
				t.Errorf("%s takes %d to %d s, want %v", step.Name, step.Seconds, step.MaxSeconds, times)
			}
			delete(want, step.Name)
		}
	}
	if len(want) > 0 {
		t.Errorf("steps missing: %v", want)
	}
}

func TestTheRunSheetFollowsTheLinesVariant(t *testing.T) {
	t.Parallel()
	w := testLab()
	line := w.Lines[drum]
	line.Runs = []LineProcess{{chemistry.C41, chemistry.VariantRapid}}
	w.Lines[drum] = line
	sheet := sheetOf(t, w, drum, w.roll(1, sedge160))
	bleach := slices.IndexFunc(sheet.Cycle.Steps, func(s chemistry.Step) bool { return s.Name == "bleach" })
	// Kodak Z-131 table 4-1.
	if bleach < 0 || sheet.Cycle.Steps[bleach].Seconds != 60 {
		t.Errorf("the rapid-access bleach takes a minute; the sheet has %+v", sheet.Cycle.Steps)
	}
}

func TestTheRunSheetCautions(t *testing.T) {
	t.Parallel()
	w := testLab()
	for name, sheet := range map[string]RunSheet{
		"C-41": sheetOf(t, w, drum, w.roll(1, sedge160)),
		"BW":   sheetOf(t, w, handTanks, w.roll(1, marl400)),
	} {
		if last := sheet.Cautions[len(sheet.Cautions)-1]; last != chemistry.Deferral {
			t.Errorf("%s: the last line is %q, want the deferral", name, last)
		}
		seen := map[string]bool{}
		for _, caution := range sheet.Cautions {
			if seen[caution] {
				t.Errorf("%s: %q stands there twice", name, caution)
			}
			seen[caution] = true
		}
		for _, family := range []chemistry.SolutionFamily{chemistry.Fixer} {
			for _, caution := range chemistry.Cautions(family) {
				if !strings.Contains(strings.Join(sheet.Cautions, "\n"), caution) {
					t.Errorf("%s: the fixer's %q is missing", name, caution)
				}
			}
		}
	}
	sheet := sheetOf(t, w, handTanks, w.roll(1, marl400))
	text := strings.Join(sheet.Cautions, "\n")
	if !strings.Contains(text, "MQ borax: Hydroquinone may sensitise skin") {
		t.Errorf("the developer's own caution is missing:\n%s", text)
	}
	if len(sheet.Against) != 1 || !strings.Contains(sheet.Against[0], "pour a fill") {
		t.Errorf("nobody is told to pour the developer first: %q", sheet.Against)
	}
}

func TestTheRunSheetNamesNoCustomer(t *testing.T) {
	t.Parallel()
	w := testLab()
	sheet := sheetOf(t, w, drum, w.roll(1, sedge160, func(r *RollView) { r.Note = "from my wedding" }))
	if roll := sheet.Batch.Rolls[0]; roll.CustomerName != "" || roll.Note != "" || roll.TwinCheck != "100001" {
		t.Errorf("the sheet holds %+v", roll)
	}
}

func TestNoRunSheetWithoutRolls(t *testing.T) {
	t.Parallel()
	w := testLab()
	for _, state := range []BatchState{BatchAccepted, BatchCancelled} {
		if _, err := w.RunSheet(Batch{ID: 5, State: state, Line: drum, Process: chemistry.C41}, monday); CodeOf(err) != WrongState {
			t.Errorf("%s: got %v, want WrongState", state, err)
		}
	}
}

func TestCheckReading(t *testing.T) {
	t.Parallel()
	w := testLab()
	sheet := sheetOf(t, w, drum, w.roll(1, sedge160))
	running := Batch{ID: 5, State: BatchDeveloping}
	kept, err := sheet.CheckReading(running, Reading{Step: "bleach", TempC: 38.2, Note: " steady "})
	if err != nil || kept.Note != "steady" {
		t.Errorf("got %+v, %v", kept, err)
	}
	for _, test := range []struct {
		name    string
		batch   Batch
		reading Reading
		want    Code
	}{
		{"not running", Batch{State: BatchFinished}, Reading{Step: "bleach", TempC: 38}, WrongState},
		{"no such step", running, Reading{Step: "toner", TempC: 38}, Invalid},
		{"Fahrenheit", running, Reading{Step: "bleach", TempC: 100}, Invalid},
		{"endless note", running, Reading{Step: "bleach", TempC: 38, Note: strings.Repeat("x", MaxReason+1)}, Invalid},
	} {
		if _, err := sheet.CheckReading(test.batch, test.reading); CodeOf(err) != test.want {
			t.Errorf("%s: got %v, want %s", test.name, err, test.want)
		}
	}
}

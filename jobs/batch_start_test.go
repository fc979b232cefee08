package jobs

import (
	"strings"
	"testing"

	"wetside/chemistry"
)

func TestStart(t *testing.T) {
	t.Parallel()
	w := testLab()
	b, err := assemble(w, drum, w.roll(1, sedge160, pushed(1)))
	if err != nil {
		t.Fatal(err)
	}
	b.ID, b.Version = 5, 2
	started, sheet, err := w.Start(b, BatchStart{DeveloperC: 37.9}, monday)
	if err != nil {
		t.Fatal(err)
	}
	if started.State != BatchDeveloping || !started.StartedAt.Equal(monday) || started.Develop != 225 {
		t.Errorf("got %+v", started)
	}
	if sheet.Batch.Version != 3 || sheet.Batch.State != BatchDeveloping {
		t.Errorf("the sheet is of version %d, %s", sheet.Batch.Version, sheet.Batch.State)
	}
	if m := sheet.Measured(37.9); m.Step != "developer" || m.TempC != 37.9 {
		t.Errorf("the first reading is %+v", m)
	}
}

// Tolerances: C-41 37.8 ± 0.15 °C (Kodak Z-131 table 2-1), ECN-2 41.1 ± 0.1 °C
// (Kodak H-24 module 7).
func TestStartAsksForTheTemperature(t *testing.T) {
	t.Parallel()
	w := testLab()
	colour, _ := assemble(w, drum, w.roll(1, sedge160))
	cine, _ := assemble(w, dipAndDunk, w.roll(1, reedmaceWithRemjet))
	for _, test := range []struct {
		name  string
		batch Batch
		tempC float64
		want  Code
		says  string
	}{
		{"lowest", colour, 37.65, "", ""},
		{"highest", colour, 37.95, "", ""},
		{"too cool", colour, 37.6, Refused, "warm it"},
		{"too warm", colour, 38.0, Refused, "cool it"},
		{"ECN-2 highest", cine, 41.2, "", ""},
		{"ECN-2 too warm", cine, 41.3, Refused, "cool it"},
		{"Fahrenheit", colour, 100, Invalid, "Fahrenheit"},
		{"not measured", colour, -1, Invalid, "0 to 50"},
	} {
		_, _, err := w.Start(test.batch, BatchStart{DeveloperC: test.tempC}, monday)
		if CodeOf(err) != test.want || err != nil && !strings.Contains(err.Error(), test.says) {
			t.Errorf("%s: got %v, want %q %q", test.name, err, test.want, test.says)
		}
	}
}

// One-shot developer is mixed for the load; for any other a fill must be there.
func TestStartAsksForTheFill(t *testing.T) {
	t.Parallel()
	w := testLab()
	reused, _ := assemble(w, handTanks, w.roll(1, marl400))
	if _, _, err := w.Start(reused, BatchStart{DeveloperC: 20}, monday); CodeOf(err) != Refused || !strings.Contains(err.Error(), "no MQ borax in Hand tanks") {
		t.Errorf("got %v, want Refused that names what is missing", err)
	}
	oneShot, err := assemble(w, handTanks, w.roll(1, marl125, func(r *RollView) { r.Solution = pqFineGrain }))
	if err != nil {
		t.Fatal(err)
	}
	if _, _, err := w.Start(oneShot, BatchStart{DeveloperC: 20}, monday); err != nil {
		t.Errorf("one-shot: %v", err)
	}
	w.Fills = []Fill{{ID: 1, Solution: mqBorax, Line: handTanks, VolumeML: 1000, NowML: 1000, Rolls: 2, AreaM2: 2 * chemistry.FilmUnitArea}}
	started, _, err := w.Start(reused, BatchStart{DeveloperC: 20}, monday)
	if err != nil || started.Develop != 540 { // 450 · 1.2, common practice, no source
		t.Errorf("got %d s (%v), want the time of a fill that two rolls went through", started.Develop, err)
	}
}

// Warmer developer takes less time; for ISO 400 film in MQ borax 7 minutes at
// 20 °C and 5½ at 24 °C (Kodak F-32 part 2).
func TestABlackAndWhiteTimeFollowsTheMeasuredTemperature(t *testing.T) {
	t.Parallel()
	w := testLab()
	stock := w.Stocks[marl400]
	stock.Times = []StockTimes{{Solution: mqBorax, Rows: []chemistry.BWRow{{TempC: 20, Seconds: 420}, {TempC: 24, Seconds: 330}}}}
	w.Stocks[marl400] = stock
	w.Fills = []Fill{{ID: 1, Solution: mqBorax, Line: handTanks, VolumeML: 1000, NowML: 1000}}
	b, _ := assemble(w, handTanks, w.roll(1, marl400))
	for tempC, seconds := range map[float64]int{20: 420, 24: 330} {
		started, sheet, err := w.Start(b, BatchStart{DeveloperC: tempC}, monday)
		if err != nil || started.Develop != seconds || started.TempC != tempC || sheet.Development.Seconds != seconds {
			t.Errorf("at %g °C: %d s at %g °C (%v), want %d s", tempC, started.Develop, started.TempC, err, seconds)
		}
	}
}

func TestStartWantsRollsAndAStateThatAllowsIt(t *testing.T) {
	t.Parallel()
	w := testLab()
	empty := Batch{ID: 5, Line: drum, Process: chemistry.C41, State: BatchAccepted}
	if _, _, err := w.Start(empty, BatchStart{DeveloperC: 37.8}, monday); CodeOf(err) != Refused || !strings.Contains(err.Error(), "at least one roll") {
		t.Errorf("empty: got %v", err)
	}
	if _, _, err := w.Start(running(w), BatchStart{DeveloperC: 37.8}, monday); CodeOf(err) != WrongState {
		t.Errorf("running: got %v", err)
	}
}

package jobs

import (
	"strings"
	"testing"

	"wetside/chemistry"
)

func TestDevelopmentForARoll(t *testing.T) {
	t.Parallel()
	full := func(volume, rolls int) []Fill {
		return []Fill{{ID: 1, Solution: mqBorax, Line: handTanks, VolumeML: volume, Rolls: rolls, AreaM2: float64(rolls) * chemistry.FilmUnitArea}}
	}
	tests := []struct {
		name  string // with the source of the time
		roll  RollView
		line  LineID
		fills []Fill
		want  int // seconds
	}{
		{"C-41 normal, Kodak Z-131 table 2-1", testLab().roll(1, sedge160), drum, nil, 195},
		{"C-41 push 1, Kodak TI-2420 push table and Z-131 table 2-7", testLab().roll(1, sedge160, pushed(1)), drum, nil, 225},
		{"C-41 push 2, Kodak Z-131 table 2-7", testLab().roll(1, sedge160, pushed(2)), drum, nil, 255},
		{"ECN-2, Kodak H-24 module 7", testLab().roll(1, reedmaceWithRemjet), dipAndDunk, nil, 180},
		{"MQ borax normal, HARMAN sheet July 2004 p. 3", testLab().roll(1, marl400), handTanks, nil, 450},
		{"MQ borax push 1, HARMAN sheet July 2004 p. 3", testLab().roll(1, marl400, pushed(1)), handTanks, nil, 630},
		{"MQ borax push 2, HARMAN sheet July 2004 p. 3", testLab().roll(1, marl400, pushed(2)), handTanks, nil, 840},
		{"MQ borax pull 1, HARMAN sheet Sept 2002 p. 3", testLab().roll(1, marl125, pushed(-1)), handTanks, nil, 420},
		{"three films through 1 L, 10 % each (common practice, no source)", testLab().roll(1, marl400), handTanks, full(1000, 3), 585},
		{"three films through 2 L, 5 % each", testLab().roll(1, marl400), handTanks, full(2000, 3), 520},
		{"a fill of another line does not count", testLab().roll(1, marl400), blackDrum, full(1000, 3), 385},
		{"rotary takes 15 % off (HARMAN processing chart Aug 2004)", testLab().roll(1, marl400), blackDrum, nil, 385},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			t.Parallel()
			w := testLab()
			w.Fills = test.fills
			tank, err := w.Tank(w.Lines[test.line], test.roll.Process, test.roll.Solution)
			if err != nil {
				t.Fatal(err)
			}
			got, err := w.DevelopmentFor(test.roll.Roll, tank)
			if err != nil || got.Seconds != test.want {
				t.Errorf("got %d s (%v), want %d s", got.Seconds, err, test.want)
			}
		})
	}
}

func TestTestedTimesComeFirst(t *testing.T) {
	t.Parallel()
	w := testLab()
	w.Tested = []TestedTime{
		{chemistry.C41, chemistry.PushTime{Push: chemistry.Stop, Seconds: 220}},
		{chemistry.E6, chemistry.PushTime{Push: chemistry.Stop, Seconds: 470}},
	}
	roll := w.roll(1, sedge160, pushed(1))
	tank, _ := w.Tank(w.Lines[drum], roll.Process, 0)
	got, err := w.DevelopmentFor(roll.Roll, tank)
	if err != nil || got.Seconds != 220 {
		t.Errorf("got %d s (%v), want the lab's own 220 s", got.Seconds, err)
	}
}

// A lab that reuses its developer without saying by how much gets the starting
// point for each litre, and the replenished one stays as it is.
func TestReuseFollowsTheSolution(t *testing.T) {
	t.Parallel()
	for _, test := range []struct {
		use     chemistry.UseMode
		percent float64
		want    int
	}{
		{chemistry.Reused, 5, 540},  // 450 · (1 + 4 · 0.05)
		{chemistry.Reused, 0, 630},  // 450 · (1 + 4 · 0.10), common practice
		{chemistry.OneShot, 5, 450}, // mixed for the load
		{chemistry.Replenished, 5, 450},
	} {
		w := testLab()
		developer := w.Solutions[mqBorax]
		developer.Use, developer.PerRollPercent = test.use, test.percent
		w.Solutions[mqBorax] = developer
		w.Fills = []Fill{{ID: 1, Solution: mqBorax, Line: handTanks, VolumeML: 1000, AreaM2: 4 * chemistry.FilmUnitArea}}
		roll := w.roll(1, marl400)
		tank, _ := w.Tank(w.Lines[handTanks], roll.Process, roll.Solution)
		got, err := w.DevelopmentFor(roll.Roll, tank)
		if err != nil || got.Seconds != test.want {
			t.Errorf("%s at %g %%: got %d s (%v), want %d s", test.use, test.percent, got.Seconds, err, test.want)
		}
	}
}

func TestNoDevelopingTimeSaysWhy(t *testing.T) {
	t.Parallel()
	w := testLab()
	for _, test := range []struct {
		name     string
		roll     RollView
		solution SolutionID
		want     string
	}{
		{"no rows for the developer", w.roll(1, marl400), pqFineGrain, "there is no developing time for Marl 400 in PQ fine grain"},
		{"push beyond the rows", w.roll(1, marl400, pushed(3)), mqBorax, "0 to +2"},
		{"push beyond the table", w.roll(1, sedge160, pushed(4)), 0, "+4"},
	} {
		tank, err := w.Tank(w.Lines[handTanks], test.roll.Process, test.solution)
		if err != nil {
			t.Fatal(err)
		}
		_, err = w.DevelopmentFor(test.roll.Roll, tank)
		if CodeOf(err) != Refused || !strings.Contains(err.Error(), test.want) || !strings.Contains(err.Error(), "roll 100001") {
			t.Errorf("%s: got %v, want Refused with the roll and %q", test.name, err, test.want)
		}
	}
}

// Two windows touch exactly when the longer time is within the tolerance.
func TestWindowsMeetWithinTheTolerance(t *testing.T) {
	t.Parallel()
	lab := Lab{CombineBW: true, TolerancePercent: 5}
	for _, test := range []struct {
		a, b int
		meet bool
	}{{300, 300, true}, {300, 315, true}, {300, 320, false}, {450, 470, true}, {450, 480, false}, {1000, 1050, true}, {1000, 1055, false}} {
		a, b := lab.windowOf(chemistry.BW, test.a), lab.windowOf(chemistry.BW, test.b)
		if got := !a.meet(b).empty(); got != test.meet {
			t.Errorf("%d s and %d s: meet is %v, want %v", test.a, test.b, got, test.meet)
		}
	}
	if w := lab.windowOf(chemistry.C41, 225); w != (window{225, 225}) {
		t.Errorf("a colour time widened to %v", w)
	}
	if w := (Lab{TolerancePercent: 5}).windowOf(chemistry.BW, 450); w != (window{450, 450}) {
		t.Errorf("a lab that does not combine widened to %v", w)
	}
}

package jobs

import (
	"strings"
	"testing"
	"time"

	"wetside/chemistry"
)

// withTank pours MQ borax that takes eight rolls of 80 in² a litre into the
// hand tanks, so many of which went through already.
func (w WetSide) withTank(volumeML int, rolls float64) WetSide {
	developer := w.Solutions[mqBorax]
	developer.CapacityM2PerL = 8 * chemistry.FilmUnitArea
	w.Solutions[mqBorax] = developer
	fill := Fill{ID: 1, Solution: mqBorax, SolutionName: "MQ borax", Line: handTanks, LineName: "Hand tanks", VolumeML: volumeML,
		NowML: float64(volumeML), FilledAt: monday.Add(-time.Hour), Rolls: int(rolls), AreaM2: rolls * chemistry.FilmUnitArea}
	w.Fills = []Fill{fill}
	w.Ledgers = map[FillID][]Entry{1: fill.whole()}
	return w
}

// About 10 % a film in a litre: common practice, no source. A fill
// is used as far as its capacity, and past it where an owner says so.
func TestATankStartsFilmOverItsWholeLife(t *testing.T) {
	t.Parallel()
	const owner = "the strip was good"
	for _, test := range []struct {
		volumeML int
		through  float64
		override string
		develop  int    // 450 · (1 + 0.10 · rolls / litres)
		says     string // where it is refused
	}{
		{500, 0, "", 450, ""},
		{500, 3, "", 720, ""},
		{500, 3.5, "", 765, ""},
		{500, 4, "", 0, "takes no more film: 100 % of its capacity used"},
		{500, 4, owner, 810, ""},
		{5000, 39, "", 800, ""},
		{5000, 40, owner, 810, ""},
		{72000, 101, "", 515, ""},
		{72000, 575, "", 810, ""},
		{72000, 576, owner, 810, ""},
		{72000, 7200, owner, 4950, ""},
		{72000, 7201, owner, 0, "7201 rolls of 80 in² already through 72 L of developer, allowed are 0 to 7200"},
	} {
		fresh := testLab().withTank(test.volumeML, 0)
		b, err := assemble(fresh, handTanks, fresh.roll(1, marl400))
		if err != nil {
			t.Fatal(err)
		}
		w := testLab().withTank(test.volumeML, test.through)
		started, _, err := w.Start(b, BatchStart{DeveloperC: 20, Override: test.override}, monday)
		if test.says != "" {
			if CodeOf(err) != Refused || !strings.Contains(err.Error(), test.says) {
				t.Errorf("%v rolls through %d mL: %v, want Refused saying %q", test.through, test.volumeML, err, test.says)
			}
		} else if err != nil || started.Develop != test.develop {
			t.Errorf("%v rolls through %d mL: %d s, %v; want %d s", test.through, test.volumeML, started.Develop, err, test.develop)
		}
	}
}

// The starting point says so of itself on the run sheet.
func TestAStartingPointForReuseIsNotCalledTheLabsOwn(t *testing.T) {
	t.Parallel()
	w := testLab().withTank(1000, 4)
	developer := w.Solutions[mqBorax]
	developer.PerRollPercent = 0
	w.Solutions[mqBorax] = developer
	roll := w.roll(1, marl400)
	tank, _ := w.Tank(w.Lines[handTanks], roll.Process, roll.Solution)
	got, err := w.DevelopmentFor(roll.Roll, tank)
	if err != nil || !strings.Contains(strings.Join(got.Cautions, "\n"), "starting point (10 % a roll)") {
		t.Errorf("%+v, %v", got, err)
	}
}

// A fill that is long past its end in one line keeps no film out of another;
// film planned for its own line is told what to do.
func TestAWornOutTankHoldsUpOnlyItsOwnLine(t *testing.T) {
	t.Parallel()
	w := testLab().withTank(5000, 501)
	worn := propose(t, w, monday, nil, w.roll(1, marl400))
	if placed := len(worn.Batches) + len(worn.Left); placed != 1 {
		t.Errorf("%+v", worn)
	}
	for _, left := range worn.Left {
		if !strings.Contains(left.Reason, "pour a fresh fill") {
			t.Errorf("left for %q", left.Reason)
		}
	}
	only := testLab().withTank(5000, 501)
	delete(only.Lines, blackDrum)
	left := propose(t, only, monday, nil, only.roll(1, marl400)).Left
	if len(left) != 1 || !strings.Contains(left[0].Reason, "501 rolls of 80 in² already through 5 L of developer") {
		t.Errorf("alone: %+v", left)
	}
	other := testLab().withTank(5000, 501)
	other.Lines[handTanks] = func(l Line) Line { l.Takes = map[chemistry.Format]int{chemistry.Format120: 5}; return l }(other.Lines[handTanks])
	if p := propose(t, other, monday, nil, other.roll(1, marl400)); len(p.Batches) != 1 || p.Batches[0].Line != blackDrum {
		t.Errorf("beside it: %+v", p)
	}
}

// Promises count with a fill that has taken all it may; the most that a recipe
// may say has a time.
func TestPromisesAtTheLargestCapacity(t *testing.T) {
	t.Parallel()
	w := testLab()
	developer := w.Solutions[mqBorax]
	developer.CapacityM2PerL = chemistry.MaxReuseM2PerL
	if _, err := CheckSolution(developer, w.Catalogue); err != nil {
		t.Errorf("the most: %v", err)
	}
	w.Solutions[mqBorax] = developer
	if got := w.longestTime(w.roll(1, marl400).Kind()); got != 4950 { // 450 · 11
		t.Errorf("%d s", got)
	}
	developer.CapacityM2PerL += 0.001
	if _, err := CheckSolution(developer, w.Catalogue); CodeOf(err) != Invalid || !strings.Contains(err.Error(), "5.161") {
		t.Errorf("more than that: %v", err)
	}
	developer.Family, developer.Process = chemistry.Fixer, chemistry.C41
	developer.ID = 0
	if _, err := CheckSolution(developer, w.Catalogue); err != nil {
		t.Errorf("a fixer: %v", err)
	}
}

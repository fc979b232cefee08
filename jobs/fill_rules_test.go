package jobs

import (
	"math"
	"strings"
	"testing"

	"wetside/chemistry"
)

func TestCheckPour(t *testing.T) {
	t.Parallel()
	w := testLab()
	old := w.Solutions[colourBleach]
	old.Active = false
	w.Solutions[colourBleach] = old
	for _, test := range []struct {
		name     string
		solution SolutionID
		line     LineID
		volume   int
		want     Code
	}{
		{"fits", mqBorax, handTanks, 1000, ""},
		{"smallest", mqBorax, handTanks, 1, ""},
		{"largest", mqBorax, handTanks, 1_000_000, ""},
		{"nothing", mqBorax, handTanks, 0, Invalid},
		{"a lake", mqBorax, handTanks, 1_000_001, Invalid},
		{"no such solution", 99, handTanks, 1000, Invalid},
		{"no such line", mqBorax, 99, 1000, Invalid},
		{"another process", mqBorax, drum, 1000, Refused},
		{"out of use", colourBleach, drum, 1000, Refused},
	} {
		if err := w.CheckPour(test.solution, test.line, test.volume); CodeOf(err) != test.want {
			t.Errorf("%s: got %v, want %q", test.name, err, test.want)
		}
	}
}

func TestCheckDump(t *testing.T) {
	t.Parallel()
	w := testLab()
	fill := Fill{ID: 1, Solution: colourBleach, Line: drum, VolumeML: 1000, SolutionName: "C-41 bleach"}
	inIt := running(w)
	elsewhere := running(w)
	elsewhere.Line = handTanks
	waiting := running(w)
	waiting.State = BatchLocked
	if reason, err := w.CheckDump(fill, []Batch{elsewhere, waiting}, " exhausted "); err != nil || reason != "exhausted" {
		t.Errorf("got %q, %v", reason, err)
	}
	if _, err := w.CheckDump(fill, []Batch{inIt}, "exhausted"); CodeOf(err) != WrongState || !strings.Contains(err.Error(), "batch 5 is running") {
		t.Errorf("running in it: got %v", err)
	}
	if _, err := w.CheckDump(fill, nil, ""); CodeOf(err) != Invalid {
		t.Errorf("no reason: got %v", err)
	}
	fill.DumpedAt = monday
	if _, err := w.CheckDump(fill, nil, "exhausted"); CodeOf(err) != WrongState {
		t.Errorf("dumped before: got %v", err)
	}
}

// A black-and-white batch passes its own developer and every other bath of the
// line; what stands in another line, or was dumped, it does not.
func TestPost(t *testing.T) {
	t.Parallel()
	w := testLab()
	w.Fills = []Fill{
		{ID: 1, Solution: mqBorax, Line: handTanks}, {ID: 2, Solution: pqFineGrain, Line: handTanks},
		{ID: 3, Solution: bwFixer, Line: handTanks}, {ID: 4, Solution: bwFixer, Line: blackDrum},
		{ID: 5, Solution: colourBleach, Line: handTanks}, {ID: 6, Solution: mqBorax, Line: handTanks, DumpedAt: monday},
	}
	b := Batch{ID: 5, Line: handTanks, Process: chemistry.BW, Solution: mqBorax, State: BatchDeveloping}
	move := func(id RollID, to RollState, change ...func(*RollView)) *RollMove {
		roll := w.roll(id, marl400, change...).Roll
		roll.State = to
		return &RollMove{Roll: roll}
	}
	got := w.Post(b, []*RollMove{
		move(1, Drying), move(2, Spoiled, in(chemistry.Format220)), move(3, Queued),
		move(4, Drying, func(r *RollView) { r.Exposures = 24 }),
	})
	// One 135-36, one 220 of two units, two thirds of a unit for 135-24.
	area := (1 + 2 + 2.0/3) * chemistry.FilmUnitArea
	if len(got) != 2 || got[0].Fill != 1 || got[1].Fill != 3 {
		t.Fatalf("posted to %+v, want fills 1 and 3", got)
	}
	for _, p := range got {
		if p.Rolls != 3 || math.Abs(p.AreaM2-area) > 1e-12 {
			t.Errorf("posted %+v, want 3 rolls and %g m²", p, area)
		}
	}
	if got := w.Post(b, []*RollMove{move(1, Queued)}); len(got) != 0 {
		t.Errorf("nothing got wet, yet %+v was posted", got)
	}
}

package jobs

import (
	"math"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

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
		if err := w.CheckPour(Pour{Solution: test.solution, Line: test.line, VolumeML: test.volume}, Mix{}, monday); CodeOf(err) != test.want {
			t.Errorf("%s: got %v, want %q", test.name, err, test.want)
		}
	}
}

func TestCheckDump(t *testing.T) {
	t.Parallel()
	w := testLab()
	fill := Fill{ID: 1, Solution: colourBleach, Line: drum, VolumeML: 1000, NowML: 900, SolutionName: "C-41 bleach"}
	inIt := running(w)
	elsewhere := running(w)
	elsewhere.Line = handTanks
	waiting := running(w)
	waiting.State = BatchLocked
	containers := Containers{
		1: {ID: 1, Name: "Drain", Kind: chemistry.WashWaste, Active: true},
		2: {ID: 2, Name: "Old drum", Kind: chemistry.SilverWaste},
		3: {ID: 3, Name: "Silver drum", Kind: chemistry.SilverWaste, VolumeML: 2000, HoldsML: 1100, Active: true},
		4: {ID: 4, Name: "Full drum", Kind: chemistry.SilverWaste, VolumeML: 2000, HoldsML: 1100.5, Active: true},
	}
	entries, err := w.CheckDump(fill, []Batch{elsewhere, waiting}, containers, Dump{Reason: " exhausted "})
	want := []Entry{
		{Kind: EntryDumped, Fill: 1, Amount: -900, Why: "exhausted"},
		{Kind: EntryDumped, Container: 3, Amount: 900, Why: "exhausted"},
	}
	if diff := cmp.Diff(want, entries); diff != "" || err != nil {
		t.Errorf("got %v:\n%s", err, diff)
	}
	dumped := fill
	dumped.DumpedAt = monday
	for _, test := range []struct {
		name string
		fill Fill
		open []Batch
		dump Dump
		code Code
		says string
	}{
		{"running in it", fill, []Batch{inIt}, Dump{Reason: "exhausted"}, WrongState, "batch 5 is running"},
		{"no reason", fill, nil, Dump{}, Invalid, "reason"},
		{"dumped before", dumped, nil, Dump{Reason: "exhausted"}, WrongState, "already"},
		{"no such container", fill, nil, Dump{"exhausted", 9}, Invalid, "no such container"},
		{"silver into the wash", fill, nil, Dump{"exhausted", 1}, Refused, "keep them apart"},
		{"out of use", fill, nil, Dump{"exhausted", 2}, Refused, "out of use"},
		{"too full by half a millilitre", fill, nil, Dump{"exhausted", 4}, Refused, "cannot take"},
	} {
		_, err := w.CheckDump(test.fill, test.open, containers, test.dump)
		if CodeOf(err) != test.code || !strings.Contains(err.Error(), test.says) {
			t.Errorf("%s: got %v, want %s with %q", test.name, err, test.code, test.says)
		}
	}
}

// A fill comes from a mix of its own solution, and from no more than is left.
func TestAFillComesFromItsMix(t *testing.T) {
	t.Parallel()
	w := testLab()
	line := w.Lines[handTanks]
	line.Tanks = map[SolutionID]LineTank{mqBorax: {VolumeML: 1000}}
	w.Lines[handTanks] = line
	mix := Mix{ID: 7, Solution: mqBorax, Preparation: Working, LeftML: 800}
	for _, test := range []struct {
		name     string
		solution SolutionID
		ml       int
		mix      Mix
		want     Code
	}{
		{"all of it", mqBorax, 800, mix, ""},
		{"more than is left", mqBorax, 801, mix, Refused},
		{"another solution", pqFineGrain, 100, mix, Refused},
		{"a replenisher", mqBorax, 100, Mix{ID: 7, Solution: mqBorax, Preparation: ReplenisherMixture, LeftML: 800}, Refused},
		{"larger than the tank", mqBorax, 1001, Mix{ID: 7, Solution: mqBorax, Preparation: Working, LeftML: 5000}, Invalid},
	} {
		pour := Pour{Solution: test.solution, Line: handTanks, VolumeML: test.ml, Mix: 7}
		if err := w.CheckPour(pour, test.mix, monday); CodeOf(err) != test.want {
			t.Errorf("%s: got %v, want %q", test.name, err, test.want)
		}
	}
	want := []Entry{{Kind: EntryFilled, Fill: 3, Amount: 800}, {Kind: EntryFilled, Mix: 7, Amount: -800}}
	if diff := cmp.Diff(want, Pour{VolumeML: 800, Mix: 7}.Entries(3)); diff != "" {
		t.Error(diff)
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

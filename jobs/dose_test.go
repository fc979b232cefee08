package jobs

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"wetside/chemistry"
)

var ignoreRounding = cmpopts.EquateApprox(0, 1e-6)

// The rate is that of 45 mL for 80 in² (from memory, as a starting point); the
// sum is what is tested here.
func TestFilmCallsForReplenisher(t *testing.T) {
	t.Parallel()
	w, b := batchInTanks(t, 3)
	developer := w.Solutions[colourDeveloper]
	developer.Replenisher, developer.Version = chemistry.ReplenishRate{MLPerM2: 45 / chemistry.FilmUnitArea}, 7
	w.Solutions[colourDeveloper] = developer
	load, err := w.LoadOf(b, b.Rolls, 0)
	if err != nil {
		t.Fatal(err)
	}
	want := []Dose{{Line: drum, LineName: "Drum", Solution: colourDeveloper, SolutionName: "C-41 developer", Fill: 1, FillML: 1000,
		Rolls: 3, AreaM2: 3 * chemistry.FilmUnitArea, CalledML: 135, Recipe: 7}}
	if diff := cmp.Diff(want, w.CalledFor(b, load), ignoreRounding); diff != "" {
		t.Error(diff)
	}
}

// A one-shot solution is mixed for the load; one that stands in the tank as a
// fill is not, and one that the line has no tank for is not used there.
func TestFilmCallsForOneShotSolutions(t *testing.T) {
	t.Parallel()
	const stop, otherDeveloper SolutionID = 21, 22
	w := testLab()
	pq := w.Solutions[pqFineGrain]
	pq.MinimumMLPerRoll = 250
	w.Solutions[pqFineGrain] = pq
	w.Solutions[stop] = Solution{ID: stop, Name: "stop bath", Process: chemistry.BW, Family: chemistry.StopBath, Use: chemistry.OneShot, MinimumMLPerRoll: 300}
	w.Solutions[otherDeveloper] = Solution{ID: otherDeveloper, Process: chemistry.BW, Family: chemistry.BWDeveloper, Use: chemistry.OneShot, MinimumMLPerRoll: 300}
	line := w.Lines[handTanks]
	line.Tanks = map[SolutionID]LineTank{stop: {VolumeML: 1000}, otherDeveloper: {VolumeML: 1000}}
	w.Lines[handTanks] = line
	fine := func(r *RollView) { r.Solution = pqFineGrain }
	b, err := assemble(w, handTanks, w.roll(1, marl125, fine), w.roll(2, marl125, fine))
	if err != nil {
		t.Fatal(err)
	}
	moves, err := b.MoveRolls(Batched, "", "")
	if err != nil {
		moves = nil
	}
	for _, roll := range b.Rolls {
		move := roll.Move()
		move.Roll.State = Drying
		moves = append(moves, move)
	}
	moves = moves[len(moves)-2:]
	got := w.Post(b, moves)
	want := []Entry{
		{Kind: EntryFilm, Solution: pqFineGrain, Rolls: 2, AreaM2: 2 * chemistry.FilmUnitArea, CalledML: 500},
		{Kind: EntryFilm, Solution: stop, Rolls: 2, AreaM2: 2 * chemistry.FilmUnitArea, CalledML: 600},
	}
	if diff := cmp.Diff(want, got, ignoreRounding); diff != "" {
		t.Error(diff)
	}
	w.Fills = []Fill{{ID: 1, Solution: stop, Line: handTanks}, {ID: 2, Solution: pqFineGrain, Line: blackDrum}}
	if got := w.Post(b, moves); len(got) != 2 || got[0].Fill != 1 || got[1].Solution != pqFineGrain {
		t.Errorf("posted %+v", got)
	}
}

func TestConfirmADose(t *testing.T) {
	t.Parallel()
	dose := Dose{ID: 31, Batch: 5, Solution: colourDeveloper, SolutionName: "C-41 developer", LineName: "Drum", Fill: 1, FillML: 1000, CalledML: 100.4, Recipe: 2}
	small := dose
	small.CalledML = 0.6
	dumped := dose
	dumped.DumpedAt = monday
	given := dose
	given.Given = &Poured{By: "Bea", ML: 100}
	solution := testLab().Solutions[colourDeveloper]
	full, low := Fill{ID: 1, VolumeML: 1000, NowML: 1000}, Fill{ID: 1, VolumeML: 1000, NowML: 950}
	mix := Mix{ID: 4, Solution: colourDeveloper, Preparation: ReplenisherMixture, LeftML: 100}
	containers := Containers{1: {ID: 1, Name: "Dev", Kind: chemistry.DeveloperWaste, Active: true, VolumeML: 10, HoldsML: 10}}
	in := func(ml float64, why string) Entry {
		return Entry{Kind: EntryReplenished, Fill: 1, Amount: ml, Batch: 5, Recipe: 2, Answers: 31, Why: why}
	}
	over := func(ml float64, why string) []Entry {
		return []Entry{{Kind: EntryReplenished, Fill: 1, Amount: -ml, Why: why}, {Kind: EntryReplenished, Container: 1, Amount: ml, Why: why}}
	}
	for _, test := range []struct {
		name string
		dose Dose
		fill Fill
		c    Confirmation
		code Code
		says string
		want []Entry
	}{
		{"as called, into a full tank", dose, full, Confirmation{ML: 100}, "", "", append([]Entry{in(100, "")}, over(100, "")...)},
		{"from its mix, half of it flows over", dose, low, Confirmation{ML: 100, Mix: 4}, "", "",
			append([]Entry{in(100, ""), {Kind: EntryReplenished, Mix: 4, Amount: -100, Batch: 5}}, over(50, "")...)},
		{"none flows over", dose, Fill{ID: 1, VolumeML: 1000, NowML: 900}, Confirmation{ML: 100}, "", "", []Entry{in(100, "")}},
		{"a fifth less", dose, full, Confirmation{ML: 81}, "", "", append([]Entry{in(81, "")}, over(81, "")...)},
		{"more than a fifth less", dose, full, Confirmation{ML: 80}, Invalid, "say why", nil},
		{"more than a fifth more", dose, full, Confirmation{ML: 121}, Invalid, "say why", nil},
		{"with a note", dose, full, Confirmation{ML: 121, Why: " spilt some "}, "", "", append([]Entry{in(121, "spilt some")}, over(121, "spilt some")...)},
		{"nothing", dose, full, Confirmation{}, Invalid, "say why", nil},
		{"nothing, with a note", dose, full, Confirmation{Mix: 4, Why: "none left"}, "", "", []Entry{in(0, "none left")}},
		{"one mL is the least that is poured", small, full, Confirmation{ML: 1}, "", "", append([]Entry{in(1, "")}, over(1, "")...)},
		{"negative", dose, full, Confirmation{ML: -1, Why: "x"}, Invalid, "0 to 1000 mL", nil},
		{"more than the tank", dose, full, Confirmation{ML: 1001, Why: "x"}, Invalid, "0 to 1000 mL", nil},
		{"more than the mix", dose, full, Confirmation{ML: 101, Mix: 4}, Refused, "100 mL are left", nil},
		{"confirmed before", given, full, Confirmation{ML: 100}, WrongState, "confirmed already by Bea", nil},
		{"dumped", dumped, Fill{ID: 1, VolumeML: 1000}, Confirmation{ML: 100}, WrongState, "confirm 0 mL with a note", nil},
		{"dumped, nothing poured", dumped, Fill{ID: 1, VolumeML: 1000}, Confirmation{Why: "dumped before"}, "", "", []Entry{in(0, "dumped before")}},
	} {
		got, err := test.dose.Confirm(test.c, solution, test.fill, mix, containers)
		if CodeOf(err) != test.code || err != nil && !strings.Contains(err.Error(), test.says) {
			t.Errorf("%s: %v, want %q %q", test.name, err, test.code, test.says)
		}
		for i := range test.want {
			if test.want[i].Answers != 0 {
				test.want[i].Batch = 5
			}
		}
		if diff := cmp.Diff(test.want, got, ignoreRounding); diff != "" {
			t.Errorf("%s:\n%s", test.name, diff)
		}
	}
	working := mix
	working.Preparation = Working
	if _, err := dose.Confirm(Confirmation{ML: 100, Mix: 4}, solution, full, working, containers); CodeOf(err) != Refused {
		t.Errorf("from a working solution: %v", err)
	}
	if _, err := dose.Confirm(Confirmation{ML: 100}, solution, full, mix, nil); CodeOf(err) != Refused {
		t.Errorf("nowhere to flow to: %v", err)
	}
}

// A one-shot solution goes from its mix to waste.
func TestConfirmAOneShotDose(t *testing.T) {
	t.Parallel()
	dose := Dose{ID: 31, Batch: 5, Solution: pqFineGrain, SolutionName: "PQ fine grain", CalledML: 500, Recipe: 1}
	mix := Mix{ID: 4, Solution: pqFineGrain, Preparation: Working, LeftML: 600}
	containers := Containers{1: {ID: 1, Kind: chemistry.DeveloperWaste, Active: true}}
	got, err := dose.Confirm(Confirmation{ML: 600, Mix: 4}, testLab().Solutions[pqFineGrain], Fill{}, mix, containers)
	want := []Entry{
		{Kind: EntryUsedOnce, Container: 1, Amount: 600, Batch: 5, Recipe: 1, Answers: 31},
		{Kind: EntryUsedOnce, Mix: 4, Amount: -600, Batch: 5},
	}
	if diff := cmp.Diff(want, got); diff != "" || err != nil {
		t.Errorf("%v\n%s", err, diff)
	}
	if _, err := dose.Confirm(Confirmation{ML: 1001, Why: "x"}, Solution{}, Fill{}, mix, containers); CodeOf(err) != Invalid {
		t.Errorf("more than twice what is called for: %v", err)
	}
}

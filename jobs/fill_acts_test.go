package jobs

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"wetside/chemistry"
)

var developerWaste = Containers{1: {ID: 1, Name: "Dev", Kind: chemistry.DeveloperWaste, Active: true}}

func TestActsOnAFill(t *testing.T) {
	t.Parallel()
	solution := testLab().Solutions[colourDeveloper]
	fill := Fill{ID: 1, Solution: colourDeveloper, SolutionName: "C-41 developer", LineName: "Drum", VolumeML: 1000, NowML: 980.5}
	gone, empty := fill, fill
	gone.DumpedAt, empty.NowML = monday, 0.5
	seen := []Entry{{ID: 40, Kind: EntryFilled, By: "Ada"}, {ID: 41, Kind: EntryToppedUp, By: "Bea"}}
	own := Mix{ID: 4, Solution: colourDeveloper, Preparation: ReplenisherMixture, LeftML: 100}
	other := Mix{ID: 5, Solution: colourBleach, SolutionName: "C-41 bleach", Preparation: ReplenisherMixture, LeftML: 100}
	topUp := func(f Fill, from Mix, up TopUp) func() ([]Entry, error) {
		return func() ([]Entry, error) { return f.TopUp(up, solution, seen, from, developerWaste) }
	}
	spill := func(f Fill, s Spill) func() ([]Entry, error) {
		return func() ([]Entry, error) { return f.Spill(s, seen) }
	}
	foul := func(f Fill, from Mix, x Fouling) func() ([]Entry, error) {
		return func() ([]Entry, error) { return f.Foul(x, solution, seen, from, developerWaste) }
	}
	for _, test := range []struct {
		name string
		act  func() ([]Entry, error)
		code Code
		says string
		want []Entry
	}{
		{"top up", topUp(fill, own, TopUp{ML: 30, Mix: 4, Reason: " idle ", Seen: 41}), "", "", []Entry{
			{Kind: EntryToppedUp, Fill: 1, Amount: 30, Why: "idle"}, {Kind: EntryToppedUp, Mix: 4, Amount: -30, Why: "idle"},
			{Kind: EntryToppedUp, Fill: 1, Amount: -10.5, Why: "idle"}, {Kind: EntryToppedUp, Container: 1, Amount: 10.5, Why: "idle"}}},
		{"top up to the brim", topUp(fill, Mix{}, TopUp{ML: 19, Reason: "idle"}), "", "", []Entry{{Kind: EntryToppedUp, Fill: 1, Amount: 19, Why: "idle"}}},
		{"top up twice", topUp(fill, own, TopUp{ML: 30, Reason: "idle", Seen: 40}), Stale, "Bea recorded “topped up”", nil},
		{"top up with nothing", topUp(fill, own, TopUp{Reason: "idle"}), Invalid, "1 to 1000 mL", nil},
		{"top up without a reason", topUp(fill, own, TopUp{ML: 10}), Invalid, "reason", nil},
		{"top up by more than the tank", topUp(fill, own, TopUp{ML: 1001, Reason: "idle"}), Invalid, "1 to 1000 mL", nil},
		{"top up from too little", topUp(fill, own, TopUp{ML: 101, Mix: 4, Reason: "idle"}), Refused, "100 mL are left", nil},
		{"top up with bleach", topUp(fill, other, TopUp{ML: 10, Mix: 5, Reason: "idle"}), Refused, "another solution", nil},
		{"top up what was dumped", topUp(gone, own, TopUp{ML: 10, Reason: "idle"}), WrongState, "was dumped", nil},

		{"spill", spill(fill, Spill{ML: 980, Reason: "the lid"}), "", "", []Entry{{Kind: EntrySpilled, Fill: 1, Amount: -980, Why: "the lid"}}},
		{"spill more than is in it", spill(fill, Spill{ML: 981, Reason: "the lid"}), Invalid, "1 to 980 mL", nil},
		{"spill nothing", spill(fill, Spill{Reason: "the lid"}), Invalid, "1 to 980 mL", nil},
		{"spill a negative volume", spill(fill, Spill{ML: -5, Reason: "the lid"}), Invalid, "1 to 980 mL", nil},
		{"spill from an empty tank", spill(empty, Spill{ML: 1, Reason: "the lid"}), Invalid, "nothing is left", nil},
		{"spill without a reason", spill(fill, Spill{ML: 1}), Invalid, "reason", nil},
		{"spill twice", spill(fill, Spill{ML: 1, Reason: "the lid", Seen: 40}), Stale, "changed in the meantime", nil},
		{"spill what was dumped", spill(gone, Spill{ML: 1, Reason: "the lid"}), WrongState, "was dumped", nil},

		{"a splash", foul(fill, Mix{}, Fouling{What: " fixer "}), "", "", []Entry{{Kind: EntryFouled, Fill: 1, Why: "fixer"}}},
		{"a wrong pour", foul(fill, other, Fouling{What: "bleach replenisher", ML: 20, Mix: 5}), "", "", []Entry{
			{Kind: EntryFouled, Fill: 1, Amount: 20, Why: "bleach replenisher"}, {Kind: EntryFouled, Mix: 5, Amount: -20, Why: "bleach replenisher"},
			{Kind: EntryFouled, Fill: 1, Amount: -0.5, Why: "bleach replenisher"}, {Kind: EntryFouled, Container: 1, Amount: 0.5, Why: "bleach replenisher"}}},
		{"a wrong pour of nothing", foul(fill, other, Fouling{What: "bleach", Mix: 5}), Invalid, "1 to 1000 mL", nil},
		{"a wrong pour of too much", foul(fill, other, Fouling{What: "bleach", ML: 101, Mix: 5}), Refused, "100 mL are left", nil},
		{"fouled by its own replenisher", foul(fill, own, Fouling{What: "?", ML: 10, Mix: 4}), Refused, "top-up", nil},
		{"fouled by nobody knows what", foul(fill, Mix{}, Fouling{ML: 10}), Invalid, "say what got in", nil},
		{"fouled twice", foul(fill, Mix{}, Fouling{What: "fixer", Seen: 40}), Stale, "look at it again", nil},
		{"fouled after it was dumped", foul(gone, Mix{}, Fouling{What: "fixer"}), WrongState, "was dumped", nil},
	} {
		got, err := test.act()
		if CodeOf(err) != test.code || err != nil && !strings.Contains(err.Error(), test.says) {
			t.Errorf("%s: %v, want %q %q", test.name, err, test.code, test.says)
		}
		if diff := cmp.Diff(test.want, got, ignoreRounding); diff != "" {
			t.Errorf("%s:\n%s", test.name, diff)
		}
	}
}

// Whatever is poured, a tank never holds more than its volume, and what is
// posted adds up to nothing: mL are moved, not made.
func TestAFillNeverHoldsMoreThanItsVolume(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		fill := Fill{ID: 1, Solution: colourDeveloper, VolumeML: rapid.IntRange(1, 1e6).Draw(t, "volume")}
		fill.NowML = float64(rapid.IntRange(0, fill.VolumeML*1000).Draw(t, "now")) / 1000
		ml := rapid.IntRange(1, fill.VolumeML).Draw(t, "ml")
		mix := Mix{ID: 4, Solution: colourDeveloper, Preparation: ReplenisherMixture, LeftML: 1e9}
		entries, err := fill.TopUp(TopUp{ML: ml, Mix: 4, Reason: "x"}, testLab().Solutions[colourDeveloper], nil, mix, developerWaste)
		if err != nil {
			t.Fatal(err)
		}
		holds, all := fill.NowML, 0.0
		for _, e := range entries {
			all += e.Amount
			if e.Fill != 0 {
				holds += e.Amount
			}
		}
		if holds > float64(fill.VolumeML)+1e-6 || all > 1e-6 || all < -1e-6 {
			t.Errorf("it holds %g mL, and %g mL came from nowhere", holds, all)
		}
	})
}

// The rules on clearing tests: NAVEDTRA 14209.
func TestClearingTests(t *testing.T) {
	t.Parallel()
	fixer := testLab().Solutions[bwFixer]
	first := Fill{ID: 1, SolutionName: "fixer", LineName: "Hand tanks"}
	later, gone := first, first
	later.Clearing, gone.DumpedAt = &chemistry.ClearingTest{FreshS: 30, NowS: 40}, monday
	for _, test := range []struct {
		name       string
		fill       Fill
		solution   Solution
		fresh, now float64
		code       Code
		want       chemistry.ClearingTest
	}{
		{"the first", first, fixer, 30, 31, "", chemistry.ClearingTest{FreshS: 30, NowS: 31}},
		{"the first needs a fresh time", first, fixer, 0, 31, Invalid, chemistry.ClearingTest{}},
		{"the fresh time is remembered", later, fixer, 0, 50, "", chemistry.ClearingTest{FreshS: 30, NowS: 50}},
		{"and may be said again", later, fixer, 30, 50, "", chemistry.ClearingTest{FreshS: 30, NowS: 50}},
		{"but not otherwise", later, fixer, 31, 50, Invalid, chemistry.ClearingTest{}},
		{"in no time", later, fixer, 0, 0.9, Invalid, chemistry.ClearingTest{}},
		{"in more than an hour", later, fixer, 0, 3601, Invalid, chemistry.ClearingTest{}},
		{"a developer", first, testLab().Solutions[mqBorax], 30, 31, Refused, chemistry.ClearingTest{}},
		{"dumped", gone, fixer, 30, 31, WrongState, chemistry.ClearingTest{}},
	} {
		got, err := test.fill.TestClearing(test.solution, chemistry.ClearingTest{FreshS: test.fresh, NowS: test.now})
		if CodeOf(err) != test.code || err == nil && got != test.want {
			t.Errorf("%s: %+v, %v; want %+v, %q", test.name, got, err, test.want, test.code)
		}
	}
}

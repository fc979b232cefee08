package jobs

import (
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"wetside/chemistry"
)

func ptr[T any](v T) *T { return &v }

var wasteContainers = Containers{
	1: {ID: 1, Name: "Developer drum", Kind: chemistry.DeveloperWaste, VolumeML: 20_000, HoldsML: 19_000, Active: true},
	2: {ID: 2, Name: "Silver drum", Kind: chemistry.SilverWaste, Active: true},
	3: {ID: 3, Name: "Odds and ends", Kind: chemistry.OtherWaste, Active: true},
	4: {ID: 4, Name: "Old drum", Kind: chemistry.DeveloperWaste, HoldsML: 300},
}

func TestLoseMix(t *testing.T) {
	t.Parallel()
	c := mixingLab()
	mix := Mix{ID: 7, Solution: colourDeveloper, SolutionName: "C-41 developer", Preparation: Working, VolumeML: 5000, LeftML: 1000.5}
	for _, test := range []struct {
		name string
		left float64
		loss Loss
		code Code
		says string
		want []Entry
	}{
		{"all of it", 1000, Loss{Reason: " too old "}, "", "", []Entry{
			{Kind: EntryDumped, Mix: 7, Amount: -1000, Why: "too old"}, {Kind: EntryDumped, Container: 1, Amount: 1000, Why: "too old"}}},
		{"the odd half millilitre too", 100.5, Loss{Reason: "too old"}, "", "", []Entry{
			{Kind: EntryDumped, Mix: 7, Amount: -100.5, Why: "too old"}, {Kind: EntryDumped, Container: 1, Amount: 100.5, Why: "too old"}}},
		{"some spilled", 1000, Loss{Amount: ptr(250.0), Reason: "dropped", Spilled: true}, "", "", []Entry{{Kind: EntrySpilled, Mix: 7, Amount: -250, Why: "dropped"}}},
		{"a dump of nothing", 0, Loss{Reason: "too old"}, WrongState, "nothing is left", nil},
		{"zero", 1000, Loss{Amount: ptr(0.0), Reason: "too old"}, Invalid, "no amount", nil},
		{"less than nothing", 1000, Loss{Amount: ptr(-1.0), Reason: "too old"}, Invalid, "no amount", nil},
		{"no number", 1000, Loss{Amount: ptr(math.NaN()), Reason: "too old"}, Invalid, "no amount", nil},
		{"more than there is", 1000, Loss{Amount: ptr(1001.0), Reason: "too old"}, Refused, "1000 mL are left", nil},
		{"half a millilitre", 1000, Loss{Amount: ptr(1.5), Reason: "too old"}, Invalid, "whole mL", nil},
		{"no reason", 1000, Loss{}, Invalid, "reason", nil},
		{"the wrong kind of container", 1000, Loss{Reason: "too old", Container: 2}, Refused, "keep them apart", nil},
		{"out of use", 1000, Loss{Reason: "too old", Container: 4}, Refused, "out of use", nil},
		{"container too full", 1001, Loss{Reason: "too old"}, Refused, "holds 19000 of 20000 mL", nil},
		{"no such container", 1000, Loss{Reason: "too old", Container: 9}, Invalid, "no such container", nil},
	} {
		m := mix
		m.LeftML = test.left
		got, err := c.LoseMix(m, wasteContainers, test.loss)
		if CodeOf(err) != test.code || err != nil && !strings.Contains(err.Error(), test.says) {
			t.Errorf("%s: %v, want %q with %q", test.name, err, test.code, test.says)
		}
		if diff := cmp.Diff(test.want, got); diff != "" {
			t.Errorf("%s:\n%s", test.name, diff)
		}
	}
}

func TestLoseLot(t *testing.T) {
	t.Parallel()
	c := mixingLab()
	concentrate := Lot{ID: 3, Part: "part a", Number: "4411", Unit: Millilitres, Left: 500.25}
	salt := Lot{ID: 4, Part: "Salt", Number: "1", Unit: Grams, Left: 40}
	stranger := Lot{ID: 5, Part: "Sulfite", Number: "1", Unit: Millilitres, Left: 40}
	for _, test := range []struct {
		name string
		lot  Lot
		loss Loss
		code Code
		says string
		into ContainerID
		ml   float64
	}{
		{"with what is mixed from it", concentrate, Loss{Reason: "expired"}, "", "", 1, 500.25},
		{"as chosen", concentrate, Loss{Reason: "expired", Container: 3}, "", "", 3, 500.25},
		{"a powder in its packaging", salt, Loss{Reason: "expired"}, "", "", 1, 0},
		{"a powder dissolved", salt, Loss{Reason: "expired", TakesML: 400}, "", "", 1, 400},
		{"a powder that takes less than nothing", salt, Loss{Reason: "expired", TakesML: -1}, Invalid, "takes_ml", 0, 0},
		{"a powder that takes too much", salt, Loss{Reason: "expired", TakesML: 1001}, Refused, "cannot take", 0, 0},
		{"in no recipe, unchosen", stranger, Loss{Reason: "expired"}, Invalid, "choose the container", 0, 0},
		{"in no recipe, chosen", stranger, Loss{Reason: "expired", Container: 2}, "", "", 2, 40},
		{"the wrong kind of container", concentrate, Loss{Reason: "expired", Container: 2}, Refused, "keep them apart", 0, 0},
		{"no such container", concentrate, Loss{Reason: "expired", Container: 9}, Invalid, "container", 0, 0},
	} {
		got, err := c.LoseLot(test.lot, wasteContainers, test.loss)
		if CodeOf(err) != test.code || err != nil && !strings.Contains(err.Error(), test.says) {
			t.Errorf("%s: %v, want %q with %q", test.name, err, test.code, test.says)
		}
		if err == nil && (len(got) != 2 || got[0].Amount != -test.lot.Left || got[1].Container != test.into || got[1].Amount != test.ml) {
			t.Errorf("%s: %+v", test.name, got)
		}
	}
	broken, err := c.LoseLot(salt, nil, Loss{Reason: "the jar broke", Spilled: true})
	if diff := cmp.Diff([]Entry{{Kind: EntrySpilled, Lot: 4, Amount: -40, Why: "the jar broke"}}, broken); diff != "" || err != nil {
		t.Errorf("%v\n%s", err, diff)
	}
	if kinds := c.WasteKinds("PART A"); !slices.Equal(kinds, []chemistry.WasteKind{chemistry.DeveloperWaste, chemistry.OtherWaste}) {
		t.Errorf("part A goes with %v", kinds)
	}
	if kinds := c.WasteKinds("Sulfite"); !slices.Equal(kinds, chemistry.WasteKinds) {
		t.Errorf("what no recipe names goes with %v", kinds)
	}
}

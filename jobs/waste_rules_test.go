package jobs

import (
	"math"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"wetside/chemistry"
)

func TestCheckContainer(t *testing.T) {
	t.Parallel()
	for _, test := range []struct {
		name      string
		container Container
		code      Code
		says      string
	}{
		{"a new one", Container{Name: " Wash drum ", Kind: chemistry.WashWaste, VolumeML: 1, Active: true}, "", ""},
		{"of unknown size", Container{Name: "Wash drum", Kind: chemistry.WashWaste}, "", ""},
		{"the largest", Container{Name: "Wash drum", Kind: chemistry.WashWaste, VolumeML: 10_000_000}, "", ""},
		{"larger", Container{Name: "Wash drum", Kind: chemistry.WashWaste, VolumeML: 10_000_001}, Invalid, "volume_ml"},
		{"less than nothing", Container{Name: "Wash drum", Kind: chemistry.WashWaste, VolumeML: -1}, Invalid, "volume_ml"},
		{"no name", Container{Name: " ", Kind: chemistry.WashWaste}, Invalid, "name"},
		{"no such kind", Container{Name: "Bin", Kind: "paper"}, Invalid, "allowed are developer"},
		{"not there", Container{ID: 9, Name: "Bin", Kind: chemistry.WashWaste}, NotFound, "no such container"},
		{"renamed", Container{ID: 1, Name: "Drum 1", Kind: chemistry.DeveloperWaste, VolumeML: 19_000, Active: true}, "", ""},
		{"smaller than what it holds", Container{ID: 1, Name: "Drum 1", Kind: chemistry.DeveloperWaste, VolumeML: 18_999, Active: true}, Invalid, "holds 19000 mL"},
		{"of another kind while it holds something", Container{ID: 4, Name: "Old drum", Kind: chemistry.WashWaste}, Refused, "have it collected"},
		{"the last of its kind out of use", Container{ID: 2, Name: "Silver drum", Kind: chemistry.SilverWaste}, Refused, "only container in use"},
		{"the last of its kind for another", Container{ID: 2, Name: "Silver drum", Kind: chemistry.WashWaste, Active: true}, Refused, "only container in use"},
		{"back in use", Container{ID: 4, Name: "Old drum", Kind: chemistry.DeveloperWaste, Active: true}, "", ""},
	} {
		got, err := wasteContainers.CheckContainer(test.container)
		if CodeOf(err) != test.code || err != nil && !strings.Contains(err.Error(), test.says) {
			t.Errorf("%s: %v, want %q with %q", test.name, err, test.code, test.says)
		}
		if err == nil && got.Name != strings.TrimSpace(test.container.Name) {
			t.Errorf("%s: %+v", test.name, got)
		}
	}
}

func TestCheckCollection(t *testing.T) {
	t.Parallel()
	good := NewCollection{Container: 1, VolumeML: 19_000, Hauler: " Tern Haulage ", Document: " 77/12 "}
	got, err := wasteContainers.CheckCollection(good)
	want := Entry{Kind: EntryCollected, Container: 1, Amount: -19_000, Why: "Tern Haulage, document 77/12"}
	if diff := cmp.Diff(want, got.Entry()); diff != "" || err != nil {
		t.Errorf("%v\n%s", err, diff)
	}
	for _, test := range []struct {
		name   string
		change func(*NewCollection)
		code   Code
		says   string
	}{
		{"from one out of use", func(n *NewCollection) { n.Container, n.VolumeML = 4, 300 }, "", ""},
		{"more than is in it", func(n *NewCollection) { n.VolumeML = 19_001 }, Refused, "holds 19000 mL"},
		{"from an empty one", func(n *NewCollection) { n.Container, n.VolumeML = 2, 1 }, Refused, "holds 0 mL"},
		{"nothing", func(n *NewCollection) { n.VolumeML = 0 }, Invalid, "nothing to collect"},
		{"less than nothing", func(n *NewCollection) { n.VolumeML = -5 }, Invalid, "nothing to collect"},
		{"no hauler", func(n *NewCollection) { n.Hauler = " " }, Invalid, "hauler"},
		{"no document", func(n *NewCollection) { n.Document = "" }, Invalid, "document"},
		{"no such container", func(n *NewCollection) { n.Container = 9 }, Invalid, "no such container"},
	} {
		n := good
		test.change(&n)
		if _, err := wasteContainers.CheckCollection(n); CodeOf(err) != test.code || err != nil && !strings.Contains(err.Error(), test.says) {
			t.Errorf("%s: %v, want %q with %q", test.name, err, test.code, test.says)
		}
	}
}

func TestWasteTotals(t *testing.T) {
	t.Parallel()
	log := []WasteEntry{
		{WasteKind: chemistry.SilverWaste, Entry: Entry{Amount: 500}},
		{WasteKind: chemistry.DeveloperWaste, Entry: Entry{Amount: 40.5}},
		{WasteKind: chemistry.SilverWaste, Entry: Entry{Amount: -300}},
		{WasteKind: chemistry.SilverWaste, Entry: Entry{Amount: 250}},
	}
	want := []WasteTotal{{chemistry.DeveloperWaste, 40.5, 0}, {chemistry.SilverWaste, 750, 300}}
	if diff := cmp.Diff(want, WasteTotals(log)); diff != "" {
		t.Error(diff)
	}
}

// Film is coated with 3 to 10 g of silver per m² (ABC der Röntgentechnik);
// colour film leaves all of it in the solutions (Kodak J-210), black-and-white
// film keeps what makes its image.
func TestTheSilverOfTheFilm(t *testing.T) {
	t.Parallel()
	got, err := SilverSince{ColourM2: 4, BlackWhite: 2}.Estimate()
	if err != nil || math.Abs(got.LowG-12) > 1e-9 || math.Abs(got.HighG-60) > 1e-9 {
		t.Errorf("%+v, %v", got, err)
	}
	if text := got.String(); !strings.Contains(text, "order of magnitude only") {
		t.Error(text)
	}
}

package jobs

import (
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"wetside/chemistry"
)

// mixingLab has a colour developer of two parts and a starter, with a
// replenisher of the two parts. The amounts are made up.
func mixingLab() Catalogue {
	c := testLab().Catalogue
	developer := c.Solutions[colourDeveloper]
	developer.Name, developer.Active, developer.Version, developer.Use = "C-41 developer", true, 3, chemistry.Replenished
	developer.Parts = []Part{
		{Working, "Part A", 62.5, Millilitres, false},
		{Working, "Part B", 31.25, Millilitres, true},
		{Working, "Salt", 7.3333, Grams, false},
		{ReplenisherMixture, "Part A", 70, Millilitres, false},
	}
	developer.Keeping = []chemistry.Keeping{{Storage: chemistry.FullBottle, Months: 2}, {Storage: chemistry.PartBottle, Days: 28}}
	c.Solutions[colourDeveloper] = developer
	return c
}

var lotsOfA = []Lot{
	{ID: 1, Part: "Part A", Number: "undated", Unit: Millilitres, Left: 5000},
	{ID: 2, Part: "part A", Number: "late", Unit: Millilitres, Left: 5000, ExpiresOn: day(2027, 1, 1)},
	{ID: 3, Part: "Part A", Number: "soon", Unit: Millilitres, Left: 100, ExpiresOn: day(2026, 3, 2)},
	{ID: 4, Part: "Part A", Number: "gone by", Unit: Millilitres, Left: 5000, ExpiresOn: day(2026, 3, 1)},
	{ID: 5, Part: "Part A", Number: "empty", Unit: Millilitres, ExpiresOn: day(2026, 3, 2)},
	{ID: 6, Part: "Part B", Number: "small", Unit: Millilitres, Left: 100},
	{ID: 7, Part: "Salt", Number: "by volume", Unit: Millilitres, Left: 100},
}

// 5 L take 5 × 62.5 = 312.5 mL of part A, 5 × 31.25 = 156.25 of part B and
// 5 × 7.3333 = 36.667 g of salt.
func TestTheMixingSheetScalesTheRecipe(t *testing.T) {
	t.Parallel()
	c := mixingLab()
	sheet, err := c.MixingSheet(MixRequest{colourDeveloper, Working, 5000}, lotsOfA, monday)
	if err != nil {
		t.Fatal(err)
	}
	parts := c.Solutions[colourDeveloper].Parts
	want := []SheetPart{
		{Part: parts[0], Amount: 312.5, Lots: []LotUse{{3, 100}, {2, 212.5}}},
		{Part: parts[1], Amount: 156.25, Lots: []LotUse{{6, 100}}, Missing: 56.25},
		{Part: parts[2], Amount: 36.667, Missing: 36.667}, // the only lot of it is measured in mL
	}
	if diff := cmp.Diff(want, sheet.Parts); diff != "" {
		t.Error(diff)
	}
	if sheet.WaterML != 5000-312.5-156.25 {
		t.Errorf("water: %g mL", sheet.WaterML)
	}
	if len(sheet.Keeps) != 2 || !sheet.Keeps[0].Until.Equal(monday.AddDate(0, 2, 0)) || !sheet.Keeps[1].Until.Equal(monday.AddDate(0, 0, 28)) {
		t.Errorf("keeps %+v", sheet.Keeps)
	}
	if last := sheet.Cautions[len(sheet.Cautions)-1]; last != chemistry.Deferral {
		t.Errorf("the last caution is %q", last)
	}
	steps := strings.Join(sheet.Steps(), "\n")
	for _, want := range []string{"acid goes into water", "the acid, Part B, to the water", "Never water to acid"} {
		if !strings.Contains(steps, want) {
			t.Errorf("%q is not in\n%s", want, steps)
		}
	}
	replenisher, err := c.MixingSheet(MixRequest{colourDeveloper, ReplenisherMixture, 1000}, lotsOfA, monday)
	if err != nil || len(replenisher.Parts) != 1 || replenisher.Parts[0].Amount != 70 || strings.Contains(strings.Join(replenisher.Steps(), ""), "acid") {
		t.Errorf("replenisher: %+v, %v", replenisher.Parts, err)
	}
	ready, err := c.MixingSheet(MixRequest{bwFixer, Working, 1000}, lotsOfA, monday)
	if err != nil || len(ready.Parts) != 0 || len(ready.Steps()) != 1 {
		t.Errorf("bought ready: %+v, %v", ready, err)
	}
}

func TestWhatCannotBeMixed(t *testing.T) {
	t.Parallel()
	c := mixingLab()
	old := c.Solutions[colourBleach]
	old.Active = false
	c.Solutions[colourBleach] = old
	for _, test := range []struct {
		name   string
		wanted MixRequest
		want   Code
	}{
		{"smallest", MixRequest{colourDeveloper, Working, 1}, ""},
		{"largest", MixRequest{colourDeveloper, Working, 1_000_000}, ""},
		{"nothing", MixRequest{colourDeveloper, Working, 0}, Invalid},
		{"less than nothing", MixRequest{colourDeveloper, Working, -1}, Invalid},
		{"a lake", MixRequest{colourDeveloper, Working, 1_000_001}, Invalid},
		{"no such solution", MixRequest{99, Working, 1000}, Invalid},
		{"no such preparation", MixRequest{colourDeveloper, "stock", 1000}, Invalid},
		{"out of use", MixRequest{colourBleach, Working, 1000}, Refused},
		{"a replenisher of a reused solution", MixRequest{mqBorax, ReplenisherMixture, 1000}, Refused},
	} {
		if _, err := c.MixingSheet(test.wanted, nil, monday); CodeOf(err) != test.want {
			t.Errorf("%s: got %v, want %q", test.name, err, test.want)
		}
	}
}

// Whatever is in stock: the lots and what is missing come to the amount, no lot
// gives more than it has or after its last day, and none that expires later is
// begun while an earlier one has something left.
func TestTheLotsOfASheetAddUp(t *testing.T) {
	t.Parallel()
	c := mixingLab()
	rapid.Check(t, func(rt *rapid.T) {
		var lots []Lot
		for i := range rapid.IntRange(0, 8).Draw(rt, "lots") {
			lot := Lot{ID: LotID(i + 1), Part: rapid.SampledFrom([]string{"Part A", "PART B", "Salt"}).Draw(rt, "part"),
				Unit: rapid.SampledFrom(Units).Draw(rt, "unit"), Left: float64(rapid.IntRange(0, 900_000).Draw(rt, "left")) / 1000}
			if days := rapid.IntRange(-3, 10).Draw(rt, "days"); days < 9 {
				lot.ExpiresOn = calendarDay(monday).AddDate(0, 0, days)
			}
			lots = append(lots, lot)
		}
		sheet, err := c.MixingSheet(MixRequest{colourDeveloper, Working, rapid.IntRange(1, 20_000).Draw(rt, "mL")}, lots, monday)
		if err != nil {
			rt.Fatal(err)
		}
		for _, part := range sheet.Parts {
			sum := part.Missing
			for i, use := range part.Lots {
				lot := lots[use.Lot-1]
				sum += use.Amount
				if use.Amount <= 0 || use.Amount > lot.Left || lot.Expired(monday) || lot.Unit != part.Unit || !lot.of(part.Name) {
					rt.Fatalf("%g of %+v for %+v", use.Amount, lot, part.Part)
				}
				if i > 0 && soonestFirst(lots[part.Lots[i-1].Lot-1], lot) > 0 {
					rt.Fatalf("lot %d before lot %d, which expires first", part.Lots[i-1].Lot, use.Lot)
				}
				if (i < len(part.Lots)-1 || part.Missing > 0) && use.Amount != lot.Left {
					rt.Fatalf("lot %d is not used up, and more is taken elsewhere", use.Lot)
				}
			}
			if math.Abs(sum-part.Amount) > 1e-6 {
				rt.Fatalf("%g is asked for and comes to %g", part.Amount, sum)
			}
		}
	})
}

func TestCheckMix(t *testing.T) {
	t.Parallel()
	c := mixingLab()
	lots := map[LotID]Lot{}
	for _, lot := range append(lotsOfA, Lot{ID: 8, Part: "Salt", Number: "s", Unit: Grams, Left: 50}, Lot{ID: 9, Part: "Sulfite", Number: "x", Unit: Grams, Left: 50}) {
		lots[lot.ID] = lot
	}
	request := MixRequest{colourDeveloper, Working, 1000}
	full := []LotUse{{2, 62.5}, {6, 31.25}, {8, 7.333}}
	for _, test := range []struct {
		name  string
		mixed NewMix
		code  Code
		says  string
	}{
		{"as the sheet says", NewMix{request, chemistry.FullBottle, full, ""}, "", ""},
		{"another amount", NewMix{request, "", []LotUse{{2, 80}, {6, 31.25}, {8, 7.333}}, ""}, "", ""},
		{"two lots of one part", NewMix{request, "", append([]LotUse{{3, 10}}, full...), ""}, "", ""},
		{"all of a lot", NewMix{request, "", []LotUse{{2, 62.5}, {6, 100}, {8, 7.333}}, ""}, "", ""},
		{"more than is left", NewMix{request, "", []LotUse{{2, 62.5}, {6, 100.001}, {8, 7.333}}, ""}, Refused, "100 mL are left of Part B, lot small, 100.001 mL are asked for"},
		{"more than is left, in two goes", NewMix{request, "", append([]LotUse{{6, 70}}, full...), ""}, Refused, "101.25 mL are asked for"},
		{"expired", NewMix{request, "", []LotUse{{4, 62.5}, {6, 31.25}, {8, 7.333}}, ""}, Refused, "expired on 1 March 2026"},
		{"no such lot", NewMix{request, "", append([]LotUse{{99, 1}}, full...), ""}, Invalid, "lots[0].lot"},
		{"a negative amount", NewMix{request, "", append([]LotUse{{2, -1}}, full...), ""}, Invalid, "lots[0].amount"},
		{"a part unnamed", NewMix{request, "", full[:2], ""}, Invalid, "no lot is named for the Salt"},
		{"a part unnamed, with a note", NewMix{request, "", full[:2], "the label was gone"}, "", ""},
		{"something else", NewMix{request, "", append([]LotUse{{9, 5}}, full...), ""}, Invalid, "Sulfite, lot x, is not in the recipe"},
		{"something else, with a note", NewMix{request, "", append([]LotUse{{9, 5}}, full...), "against stains"}, "", ""},
		{"in the wrong unit", NewMix{request, "", []LotUse{{2, 62.5}, {6, 31.25}, {7, 7.333}}, ""}, Invalid, "measured in mL"},
		{"stored in a bucket", NewMix{request, "bucket", full, ""}, Invalid, "storage"},
		{"too many lots", NewMix{request, "", make([]LotUse, 51), "all of them"}, Invalid, "at most 50"},
		{"bought ready", NewMix{MixRequest{bwFixer, Working, 1000}, "", nil, ""}, "", ""},
		{"bought ready, with its lot", NewMix{MixRequest{bwFixer, Working, 1000}, "", []LotUse{{9, 5}}, ""}, "", ""},
		{"nothing", NewMix{MixRequest{colourDeveloper, Working, 0}, "", full, ""}, Invalid, "no volume"},
	} {
		err := c.CheckMix(test.mixed, lots, monday)
		if CodeOf(err) != test.code || err != nil && !strings.Contains(err.Error(), test.says) {
			t.Errorf("%s: got %v, want %q with %q", test.name, err, test.code, test.says)
		}
	}
	want := []Entry{{Kind: EntryMixed, Mix: 4, Amount: 1000, Why: "so"}, {Kind: EntryMixed, Lot: 2, Amount: -62.5}}
	if diff := cmp.Diff(want, NewMix{request, "", full[:1], " so "}.Entries(4)); diff != "" {
		t.Error(diff)
	}
}

func TestAMixComparesWithItsRecipe(t *testing.T) {
	t.Parallel()
	record := MixRecord{
		Mix:    Mix{ID: 4, Preparation: Working, VolumeML: 2000},
		Recipe: mixingLab().Solutions[colourDeveloper],
		Lots:   map[LotID]Lot{},
		Moves: []Entry{
			{Kind: EntryMixed, Mix: 4, Amount: 2000}, {Kind: EntryMixed, Lot: 3, Amount: -100}, {Kind: EntryMixed, Lot: 2, Amount: -20.5},
			{Kind: EntryMixed, Lot: 9, Amount: -5}, {Kind: EntryFilled, Mix: 4, Amount: -1000},
		},
	}
	for _, lot := range append(lotsOfA, Lot{ID: 9, Part: "Sulfite", Unit: Grams}) {
		record.Lots[lot.ID] = lot
	}
	want := []PartUse{
		{"Part A", Millilitres, 125, 120.5, []LotUse{{3, 100}, {2, 20.5}}},
		{"Part B", Millilitres, 62.5, 0, nil},
		{"Salt", Grams, 14.667, 0, nil},
		{"Sulfite", Grams, 0, 5, []LotUse{{9, 5}}},
	}
	if diff := cmp.Diff(want, record.Uses()); diff != "" {
		t.Error(diff)
	}
}

// A mix is used until its keeping time is over; after that an owner has to say
// why. Once begun, a full bottle is no full bottle any more.
func TestAMixKeeps(t *testing.T) {
	t.Parallel()
	c := mixingLab()
	drumLine := c.Lines[drum]
	drumLine.Tanks = nil
	c.Lines[drum] = drumLine
	mix := Mix{ID: 7, Solution: colourDeveloper, SolutionName: "C-41 developer", Preparation: Working, VolumeML: 5000, LeftML: 5000,
		MixedAt: monday, Storage: chemistry.FullBottle}
	full, begun := monday.AddDate(0, 2, 0), monday.AddDate(0, 0, 28)
	for _, test := range []struct {
		storage chemistry.Storage
		left    float64
		want    time.Time
	}{
		{chemistry.FullBottle, 5000, full}, {chemistry.FullBottle, 4999, begun}, {chemistry.PartBottle, 5000, begun},
		{chemistry.OpenTank, 5000, time.Time{}}, {"", 100, time.Time{}},
	} {
		m := mix
		m.Storage, m.LeftML = test.storage, test.left
		if got := m.KeepsUntil(c.Solutions[colourDeveloper], time.UTC); !got.Equal(test.want) {
			t.Errorf("%q with %g mL left keeps until %s, want %s", test.storage, test.left, got, test.want)
		}
	}
	pour := Pour{Solution: colourDeveloper, Line: drum, VolumeML: 1000, Mix: 7}
	for _, test := range []struct {
		at       time.Time
		override string
		want     Code
	}{
		{full.Add(-time.Second), "", ""}, {full, "", Refused}, {full, "  ", Refused}, {full, "a strip was good", ""},
		{full, strings.Repeat("x", MaxReason+1), Invalid},
	} {
		pour.Override = test.override
		if err := c.CheckPour(pour, mix, test.at); CodeOf(err) != test.want {
			t.Errorf("at %s with %q: %v, want %q", test.at, test.override, err, test.want)
		}
	}
	pour.Override = " a strip was good "
	for _, entry := range pour.Entries(1) {
		if entry.Why != "a strip was good" {
			t.Errorf("the ledger says %q", entry.Why)
		}
	}
	if err := fmt.Sprint(mix.CheckAge(c.Solutions[colourDeveloper], full, "")); !strings.Contains(err, "kept until 2 May 2026") {
		t.Error(err)
	}
}

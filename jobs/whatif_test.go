package jobs

import (
	"math"
	"strings"
	"testing"
	"time"

	"wetside/chemistry"
)

// whatIfRecords is a lab whose developer of 9 L in one line took 20 rolls of
// 80 in² on each of ten days, all replenished for but the last day's, and whose
// other line took half of that.
func whatIfRecords(now time.Time) WhatIfRecords {
	developer := replenishedRecipe()
	developer.ID, developer.Version, developer.CapacityM2PerL = 11, 3, 0.5
	developer.Replenisher = chemistry.ReplenishRate{MLPerM2: 45 / chemistry.FilmUnitArea}
	fixer := Solution{ID: 12, Name: "Fixer", Process: chemistry.C41, Family: chemistry.Fixer, Use: chemistry.Reused, TempC: 38, CapacityM2PerL: 1, Active: true}
	filled := now.AddDate(0, 0, -11)
	r := WhatIfRecords{
		Catalogue: Catalogue{
			Solutions: map[SolutionID]Solution{11: developer, 12: fixer},
			Lines: map[LineID]Line{1: {ID: 1, Tanks: map[SolutionID]LineTank{11: {9000, chemistry.OpenTank}}},
				2: {ID: 2, Tanks: map[SolutionID]LineTank{11: {5000, ""}}}},
		},
		Fills: []Fill{
			{ID: 1, Solution: 11, Line: 1, LineName: "Drum", VolumeML: 9000, FilledAt: filled, MixedAt: filled, Storage: chemistry.OpenTank},
			{ID: 2, Solution: 11, Line: 2, VolumeML: 5000, FilledAt: filled},
			{ID: 3, Solution: 12, Line: 1, VolumeML: 5000, FilledAt: filled, AreaM2: 2},
			{ID: 4, Solution: 11, Line: 2, VolumeML: 5000, FilledAt: filled, DumpedAt: now},
		},
		Ledgers: map[FillID][]Entry{3: {{ID: 900, Kind: EntryFilm, At: now.AddDate(0, 0, -2), Rolls: 1, AreaM2: 2}}},
		Mixes: []Mix{
			{Solution: 11, Preparation: ReplenisherMixture, LeftML: 4000, MixedAt: now.AddDate(0, 0, -3)},
			{Solution: 11, Preparation: ReplenisherMixture, LeftML: 500, MixedAt: now.AddDate(0, 0, -1)},
			{Solution: 11, Preparation: ReplenisherMixture, LeftML: 7000, MixedAt: now.AddDate(0, -3, 0)}, // too old
			{Solution: 11, Preparation: Working, LeftML: 9000, MixedAt: now},
			{Solution: 12, Preparation: ReplenisherMixture, LeftML: 9000, MixedAt: now},
		},
	}
	for back := 10; back >= 1; back-- {
		at := now.AddDate(0, 0, -back)
		film := Entry{ID: int64(100 - 2*back), Kind: EntryFilm, At: at, Rolls: 20, AreaM2: 20 * chemistry.FilmUnitArea, CalledML: 900}
		r.Ledgers[1] = append(r.Ledgers[1], film)
		if back > 1 {
			r.Ledgers[1] = append(r.Ledgers[1], Entry{ID: film.ID + 1, Kind: EntryReplenished, At: at, Answers: film.ID, Amount: 900})
		}
		film.ID, film.AreaM2 = film.ID+200, film.AreaM2/2
		r.Ledgers[2] = append(r.Ledgers[2], film)
	}
	return r
}

func TestWhatIfBeginsWithTheRecords(t *testing.T) {
	t.Parallel()
	now := monday.Add(12 * time.Hour)
	r := whatIfRecords(now)
	near := func(what string, got, want float64) {
		t.Helper()
		if !(math.Abs(got-want) <= 1e-6*max(1, math.Abs(want))) {
			t.Errorf("%s: %v, want %v", what, got, want)
		}
	}
	drum, err := r.OfFill(1, now)
	if err != nil {
		t.Fatal(err)
	}
	use := drum.Supposed(WhatIfChange{})
	near("the line's own work", use.RollsPerDay, 20)
	near("volume", use.VolumeML, 9000)
	near("replenisher ready", use.StockML, 4500)
	near("film not made up for", use.UsedM2, 20*chemistry.FilmUnitArea)
	near("cost", use.ReplenisherCostPerL, 3)
	near("days", use.Days, 30)
	// Bromide as package chemistry has it for the fill.
	state, err := r.Fills[0].State(r.Solutions[11], r.Ledgers[1], now)
	if err != nil || use.BromideGPerL != state.BromideGPerL || state.BromideGPerL == 0 || !use.KeepsUntil.Equal(now.AddDate(0, 0, -1)) {
		t.Errorf("%v, %v; bromide %v, keeps until %v", state.BromideGPerL, err, use.BromideGPerL, use.KeepsUntil)
	}

	fresh, err := r.OfSolution(11, now)
	if err != nil {
		t.Fatal(err)
	}
	use = fresh.Supposed(WhatIfChange{})
	near("the work of both lines", use.RollsPerDay, 30)
	near("the largest tank", use.VolumeML, 9000)
	near("nothing used yet", use.UsedM2, 0)
	near("bromide of a fresh fill", use.BromideGPerL, 1.3)
	if want := now.AddDate(0, 0, 10); !use.KeepsUntil.Equal(want) {
		t.Errorf("keeps until %v, want %v", use.KeepsUntil, want)
	}

	fixer, err := r.OfFill(3, now)
	if err != nil {
		t.Fatal(err)
	}
	near("what a fixer took", fixer.Supposed(WhatIfChange{}).UsedM2, 2)
	r.Lines = nil
	if fresh, err = r.OfSolution(12, now); err != nil || fresh.Supposed(WhatIfChange{}).VolumeML != 1000 {
		t.Errorf("%+v, %v", fresh, err)
	}
	for _, of := range []func() (WhatIf, error){
		func() (WhatIf, error) { return r.OfFill(4, now) }, // dumped
		func() (WhatIf, error) { return r.OfFill(9, now) },
		func() (WhatIf, error) { return r.OfSolution(9, now) },
	} {
		_, err := of()
		wantCode(t, err, NotFound)
	}
}

func TestWhatIfChanges(t *testing.T) {
	t.Parallel()
	now := monday.Add(12 * time.Hour)
	figure := func(value float64) *float64 { return &value }
	drum, err := whatIfRecords(now).OfFill(1, now)
	if err != nil {
		t.Fatal(err)
	}
	before, err := drum.Prospect(WhatIfChange{}, now)
	if err != nil {
		t.Fatal(err)
	}
	after, err := drum.Prospect(WhatIfChange{MLPerM2: figure(22 / chemistry.FilmUnitArea), RollsPerDay: figure(10), DaysAhead: figure(7)}, now)
	if err != nil || after.TurnoversPerDay >= before.TurnoversPerDay/4 || after.BromideSteadyGPerL <= before.BromideSteadyGPerL {
		t.Errorf("%+v, %v", after, err)
	}
	if again, err := drum.Prospect(WhatIfChange{}, now); err != nil || again != before {
		t.Errorf("what was supposed stayed: %+v, %v", again, err)
	}
	// Without a rate its capacity counts again.
	if bare, err := drum.Prospect(WhatIfChange{MLPerM2: figure(0)}, now); err != nil || !bare.CapacityEnds.IsZero() {
		t.Errorf("a recipe without a rate says nothing of its capacity: %+v, %v", bare, err)
	}
	for _, test := range []struct {
		change WhatIfChange
		field  string
	}{
		{WhatIfChange{MLPerM2: figure(-1)}, "replenish_ml_per_m2"}, {WhatIfChange{MLPerM2: figure(100_001)}, "replenish_ml_per_m2"},
		{WhatIfChange{VolumeML: figure(0)}, "volume_ml"}, {WhatIfChange{VolumeML: figure(1_000_001)}, "volume_ml"},
		{WhatIfChange{RollsPerDay: figure(math.NaN())}, "rolls_per_day"}, {WhatIfChange{RollsPerDay: figure(10_001)}, "rolls_per_day"},
		{WhatIfChange{StockML: figure(-1)}, "replenisher_ml"}, {WhatIfChange{ReplenisherPerL: figure(-1)}, "replenisher_cost_per_l"},
		{WhatIfChange{DaysAhead: figure(0)}, "days"}, {WhatIfChange{DaysAhead: figure(731)}, "days"},
	} {
		_, err := drum.Prospect(test.change, now)
		wantFields(t, err, test.field)
	}
	fixer, err := whatIfRecords(now).OfFill(3, now)
	if err != nil {
		t.Fatal(err)
	}
	_, err = fixer.Prospect(WhatIfChange{MLPerM2: figure(10)}, now)
	wantFields(t, err, "replenish_ml_per_m2")
}

func TestWhatIfSaysWhatIsNotKnown(t *testing.T) {
	t.Parallel()
	now := monday.Add(12 * time.Hour)
	r := whatIfRecords(now)
	unknown := func(w WhatIf, err error) int {
		if err != nil {
			t.Fatal(err)
		}
		return len(w.Unknown(w.Supposed(WhatIfChange{})))
	}
	if n := unknown(r.OfSolution(11, now)); n != 0 {
		t.Errorf("%d things are not known of a whole recipe", n)
	}
	for _, test := range []struct {
		change func(*Solution)
		want   int
	}{
		{func(s *Solution) { s.Keeping = nil }, 1},
		{func(s *Solution) { s.ReplenisherCostPerL = 0 }, 1},
		{func(s *Solution) { s.Bromide = chemistry.BromideFigures{} }, 1},
		{func(s *Solution) { s.Replenisher.MLPerM2 = 0 }, 1},
		{func(s *Solution) { s.Replenisher.MLPerM2, s.CapacityM2PerL = 0, 0 }, 2},
		{func(s *Solution) { s.Use, s.Parts, s.CapacityM2PerL, s.CostPerL = chemistry.Reused, nil, 0, 0 }, 2},
		{func(s *Solution) { s.Use, s.MinimumMLPerRoll = chemistry.OneShot, 0 }, 1},
	} {
		changed := r.Solutions[11]
		test.change(&changed)
		with := r
		with.Solutions = map[SolutionID]Solution{11: changed}
		if n := unknown(with.OfSolution(11, now)); n != test.want {
			t.Errorf("%+v: %d things are not known, want %d", changed, n, test.want)
		}
	}
	r.Fills, r.Mixes = nil, nil
	if n := unknown(r.OfSolution(11, now)); n != 2 { // no work, no replenisher
		t.Errorf("%d things are not known of a new lab", n)
	}
}

func TestWhatIfWithTheClockSetBack(t *testing.T) {
	t.Parallel()
	now := monday.Add(12 * time.Hour)
	_, err := whatIfRecords(now).OfFill(1, now.AddDate(0, 0, -20))
	if CodeOf(err) != WrongState || !strings.Contains(err.Error(), "cannot be told") {
		t.Errorf("%v", err)
	}
}

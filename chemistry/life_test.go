package chemistry_test

import (
	"errors"
	"math"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"wetside/chemistry"
)

func rollsThrough(rolls float64, at time.Time) chemistry.Pass {
	return chemistry.Pass{At: at, AreaM2: rolls * chemistry.FilmUnitArea}
}

func capacityOf(t *testing.T, name string) chemistry.CapacityFigure {
	t.Helper()
	for _, capacity := range chemistry.Capacities {
		if capacity.Name == name {
			return capacity
		}
	}
	t.Fatalf("no capacity of %q", name)
	return chemistry.CapacityFigure{}
}

// Where a fixer's capacity is unknown: 20 rolls of 80 in² a litre, acid, and 25,
// alkaline (Darkroom Cookbook, 3rd edition, p. 108); stop bath SB-5 about 12
// rolls (p. 268); X-ray developer 2 m² a litre (ABC der Röntgentechnik, 38.75
// rolls of 80 in²).
func TestPublishedCapacities(t *testing.T) {
	t.Parallel()
	for name, rolls := range map[string]int{"fixer, acid": 20, "fixer, alkaline": 25, "stop bath SB-5": 12, "X-ray developer": 38} {
		figure := capacityOf(t, name)
		solution := chemistry.Solution{Family: figure.Family, Use: chemistry.Reused, CapacityM2PerL: figure.M2PerL}
		fill := chemistry.Fill{VolumeML: 1000, Filled: monday}
		for through := 0; through <= rolls; through++ {
			state, err := chemistry.Assess(solution, fill, monday)
			if err != nil || state.RollsLeft() != rolls-through {
				t.Fatalf("%s after %d: %d rolls left, %v", name, through, state.RollsLeft(), err)
			}
			if gone := state.Verdict == chemistry.Exhausted; gone != (through == rolls && name != "X-ray developer") {
				t.Errorf("%s after %d rolls: %s", name, through, state.Verdict)
			}
			fill.Through = append(fill.Through, rollsThrough(1, monday))
		}
	}
}

// The verdict by share of a capacity of 20 rolls: the warning comes at four
// fifths, the lab's 16th roll.
func TestVerdictByCapacity(t *testing.T) {
	t.Parallel()
	solution := chemistry.Solution{Family: chemistry.Fixer, Use: chemistry.Reused, CapacityM2PerL: 20 * chemistry.FilmUnitArea}
	for rolls, want := range map[float64]chemistry.Verdict{
		0: chemistry.Fresh, 0.1: chemistry.InUse, 15.9: chemistry.InUse, 16: chemistry.DueSoon, 19.9: chemistry.DueSoon, 20: chemistry.Exhausted, 30: chemistry.Exhausted,
	} {
		fill := chemistry.Fill{VolumeML: 1000, Filled: monday}
		if rolls > 0 {
			// In thirds, because sums of areas do not come out even.
			fill.Through = []chemistry.Pass{rollsThrough(rolls/3, monday), rollsThrough(rolls/3, monday), rollsThrough(rolls/3, monday)}
		}
		state, err := chemistry.Assess(solution, fill, monday)
		if err != nil || state.Verdict != want || math.Abs(state.CapacityUsed-rolls/20) > 1e-9 {
			t.Errorf("%v rolls: %s, %v used, %v", rolls, state.Verdict, state.CapacityUsed, err)
		}
		if left := max(0, 20-rolls) * chemistry.FilmUnitArea; math.Abs(state.AreaLeftM2-left) > 1e-9 {
			t.Errorf("%v rolls: %v m² left, want %v", rolls, state.AreaLeftM2, left)
		}
	}
}

// MQ borax stock: about 10 % a film after the first in 1 L; small C-41 kits about
// 2 % a roll (common practice, no source).
func TestTimeCompensation(t *testing.T) {
	t.Parallel()
	for _, rise := range chemistry.TimeRises {
		solution := chemistry.Solution{Family: rise.Family, Use: chemistry.Reused, TimePercentPerRoll: rise.PercentPerRoll}
		want := map[string]float64{"MQ borax, stock": 10, "small C-41 kit": 2}[rise.Name]
		for rolls := range 6 {
			for litres, per := range map[float64]float64{1: want, 2: want / 2} {
				fill := chemistry.Fill{VolumeML: 1000 * litres, Filled: monday, Through: []chemistry.Pass{rollsThrough(float64(rolls), monday)}}
				state, err := chemistry.Assess(solution, fill, monday)
				if err != nil || math.Abs(state.TimePercent-per*float64(rolls)) > 1e-9 {
					t.Errorf("%s, %d rolls through %v L: %v %%, %v", rise.Name, rolls, litres, state.TimePercent, err)
				}
			}
		}
		if rise.Source.Standing != chemistry.CommonPractice {
			t.Errorf("%s stands as %s", rise.Name, rise.Source.Standing)
		}
	}
}

func TestOnlyReusedSolutionsTakeLonger(t *testing.T) {
	t.Parallel()
	for _, use := range []chemistry.UseMode{chemistry.OneShot, chemistry.Replenished} {
		solution := chemistry.Solution{Family: chemistry.BWDeveloper, Use: use, TimePercentPerRoll: 10}
		state, err := chemistry.Assess(solution, chemistry.Fill{VolumeML: 1000, Filled: monday, Through: []chemistry.Pass{rollsThrough(3, monday)}}, monday)
		if err != nil || state.TimePercent != 0 {
			t.Errorf("%s: %v %%, %v", use, state.TimePercent, err)
		}
	}
}

func TestOneShotIsDumpedAfterUse(t *testing.T) {
	t.Parallel()
	solution := chemistry.Solution{Family: chemistry.BWDeveloper, Use: chemistry.OneShot, CapacityM2PerL: 1}
	fill := chemistry.Fill{VolumeML: 1000, Filled: monday}
	before, err1 := chemistry.Assess(solution, fill, monday)
	fill.Through = []chemistry.Pass{rollsThrough(1, monday)}
	after, err2 := chemistry.Assess(solution, fill, monday)
	if errors.Join(err1, err2) != nil || before.Verdict != chemistry.Fresh || before.RollsLeft() != 19 {
		t.Errorf("before: %s, %d rolls, %v %v", before.Verdict, before.RollsLeft(), err1, err2)
	}
	if after.Verdict != chemistry.Exhausted || after.RollsLeft() != 0 || !strings.Contains(reasonTexts(after), "one-shot") {
		t.Errorf("after: %s, %d rolls, %v", after.Verdict, after.RollsLeft(), after.Reasons)
	}
}

// A litre of X-ray developer takes at most 2 m² without replenishment (ABC der
// Röntgentechnik); replenished at 1 L for 2.00 m² it takes any amount.
func TestReplenisherRestoresCapacity(t *testing.T) {
	t.Parallel()
	solution := chemistry.Solution{
		Family: chemistry.BWDeveloper, Use: chemistry.Replenished, CapacityM2PerL: 2, Replenisher: chemistry.ReplenishRate{MLPerM2: 500},
	}
	for _, test := range []struct {
		areaM2, addedML, used, dueML float64
		want                         chemistry.Verdict
	}{
		{10, 5000, 0, 0, chemistry.InUse},
		{10, 9000, 0, 0, chemistry.InUse},
		{10, 4500, 0.5, 500, chemistry.InUse},
		{10, 4200, 0.8, 800, chemistry.DueSoon},
		{2, 0, 1, 1000, chemistry.Exhausted},
		{10, 4000, 1, 1000, chemistry.Exhausted},
	} {
		fill := chemistry.Fill{VolumeML: 1000, Filled: monday, Through: []chemistry.Pass{{At: monday, AreaM2: test.areaM2, ReplenisherML: test.addedML}}}
		state, err := chemistry.Assess(solution, fill, monday)
		if err != nil || state.Verdict != test.want || math.Abs(state.CapacityUsed-test.used) > 1e-9 || math.Abs(state.ReplenisherDueML-test.dueML) > 1e-9 {
			t.Errorf("%+v: %s, used %v, due %v mL, %v", test, state.Verdict, state.CapacityUsed, state.ReplenisherDueML, err)
		}
		if math.Abs(state.Turnovers-test.addedML/1000) > 1e-12 {
			t.Errorf("%+v: %v turnovers", test, state.Turnovers)
		}
	}
}

func TestReplenishedWithoutRateCountsAllFilm(t *testing.T) {
	t.Parallel()
	solution := chemistry.Solution{Family: chemistry.Fixer, Use: chemistry.Replenished, CapacityM2PerL: 1}
	fill := chemistry.Fill{VolumeML: 1000, Filled: monday, Through: []chemistry.Pass{{At: monday, AreaM2: 0.25, ReplenisherML: 100}}}
	state, err := chemistry.Assess(solution, fill, monday)
	if err != nil || state.CapacityUsed != 0.25 || state.AreaLeftM2 != 0.75 {
		t.Errorf("used %v, left %v, %v", state.CapacityUsed, state.AreaLeftM2, err)
	}
}

// One turnover of replenisher brings the tank 63.2 % of the way to 50 mg / 45 mL =
// 1.11 g/L (mass balance), however the film is split into batches.
func TestBromideOfAFill(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		solution := chemistry.Solution{
			Family: chemistry.ColourDeveloper, Use: chemistry.Replenished,
			Replenisher: chemistry.ReplenishRate{MLPerM2: 45 / chemistry.FilmUnitArea},
			Bromide:     chemistry.BromideFigures{ReleasedMGPerRoll: 50},
		}
		fill := chemistry.Fill{VolumeML: 4500, Filled: monday}
		for left := 100; left > 0; {
			rolls := rapid.IntRange(1, left).Draw(t, "rolls")
			pass := rollsThrough(float64(rolls), monday)
			pass.ReplenisherML = 45 * float64(rolls)
			fill.Through = append(fill.Through, pass)
			left -= rolls
		}
		state, err := chemistry.Assess(solution, fill, monday)
		if err != nil || math.Abs(state.Turnovers-1) > 1e-9 || math.Abs(100*state.BromideSteadyShare-63.2) > 0.05 {
			t.Errorf("%v turnovers, %v of the way, %v", state.Turnovers, state.BromideSteadyShare, err)
		}
		if math.Abs(state.BromideSteadyGPerL-1.11) > 0.005 || math.Abs(state.BromideGPerL-0.632*50/45) > 0.001 {
			t.Errorf("%v g/L, tends to %v", state.BromideGPerL, state.BromideSteadyGPerL)
		}
	})
}

func TestBromideOfOtherFills(t *testing.T) {
	t.Parallel()
	fill := chemistry.Fill{VolumeML: 1000, Filled: monday, Through: []chemistry.Pass{rollsThrough(10, monday)}}
	reused := chemistry.Solution{Family: chemistry.BWDeveloper, Use: chemistry.Reused, Bromide: chemistry.BromideFigures{ReleasedMGPerRoll: 50}}
	state, err := chemistry.Assess(reused, fill, monday)
	if err != nil || math.Abs(state.BromideGPerL-0.5) > 1e-9 || state.BromideSteadyGPerL != 0 {
		t.Errorf("reused: %v g/L tends to %v, %v", state.BromideGPerL, state.BromideSteadyGPerL, err)
	}
	// A seasoned tank at its steady state is all the way there, and stays.
	seasoned := chemistry.Solution{
		Family: chemistry.ColourDeveloper, Use: chemistry.Replenished, Replenisher: chemistry.ReplenishRate{MLPerM2: 50 / chemistry.FilmUnitArea},
		Bromide: chemistry.BromideFigures{ReleasedMGPerRoll: 50, StartGPerL: 1},
	}
	fill.Through[0].ReplenisherML = 500
	if state, err = chemistry.Assess(seasoned, fill, monday); err != nil || math.Abs(state.BromideGPerL-1) > 1e-9 || state.BromideSteadyShare != 1 {
		t.Errorf("seasoned: %v g/L, share %v, %v", state.BromideGPerL, state.BromideSteadyShare, err)
	}
	if state, err = chemistry.Assess(chemistry.Solution{Family: chemistry.Fixer, Use: chemistry.Reused}, fill, monday); err != nil || state.BromideKnown {
		t.Errorf("bromide of a fixer is known: %v, %v", state.BromideGPerL, err)
	}
}

// Idle developer, two days: 3 % of the tank (US Army SS0514). Oxidation at low
// use shows as low HD − LD (Kodak CIS-254).
func TestUpkeepOfAReplenishedDeveloper(t *testing.T) {
	t.Parallel()
	developer := chemistry.Solution{Family: chemistry.ColourDeveloper, Use: chemistry.Replenished, Replenisher: chemistry.ReplenishRate{MLPerM2: 1000}}
	fixer := developer
	fixer.Family = chemistry.Fixer
	reused := chemistry.Solution{Family: chemistry.ColourDeveloper, Use: chemistry.Reused}
	// In two weeks the rule for idle tanks would add 7 × 3 % of 10 L: 2.1 L,
	// which 2.1 m² of film call for.
	for name, test := range map[string]struct {
		solution chemistry.Solution
		areaM2   float64
		days     int
		idleML   float64
		low      bool
	}{
		"busy":              {developer, 2.2, 20, 300, false},
		"little film":       {developer, 2.0, 20, 300, true},
		"not two weeks yet": {developer, 0.1, 13, 300, false},
		"a fixer":           {fixer, 0.1, 20, 0, false},
		"reused":            {reused, 0.1, 20, 0, false},
	} {
		now := monday.AddDate(0, 0, test.days)
		pass := chemistry.Pass{At: now.AddDate(0, 0, -2), AreaM2: test.areaM2, ReplenisherML: 1000 * test.areaM2}
		early := chemistry.Pass{At: monday, AreaM2: 5, ReplenisherML: 5000}
		state, err := chemistry.Assess(test.solution, chemistry.Fill{VolumeML: 10000, Filled: monday, Through: []chemistry.Pass{early, pass}}, now)
		if err != nil || math.Abs(state.IdleTopUpML-test.idleML) > 1e-9 || state.LowUse != test.low {
			t.Errorf("%s: idle %v mL, low %v, %v", name, state.IdleTopUpML, state.LowUse, err)
		}
		if strings.Contains(reasonTexts(state), "low HD − LD") != test.low || strings.Contains(reasonTexts(state), "stood idle") != (test.idleML > 0) {
			t.Errorf("%s: %v", name, state.Reasons)
		}
	}
}

// Film only ever makes a fill worse.
func TestVerdictNeverImprovesAsFilmGoesThrough(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		solution := drawSolution(t)
		fill := chemistry.Fill{VolumeML: rapid.Float64Range(250, 5000).Draw(t, "volume"), Filled: monday}
		if rapid.Bool().Draw(t, "tested") {
			fill.Clearing = &chemistry.ClearingTest{FreshS: 30, NowS: rapid.Float64Range(30, 70).Draw(t, "clears")}
		}
		now := monday.AddDate(0, 0, rapid.IntRange(0, 80).Draw(t, "days"))
		before, err := chemistry.Assess(solution, fill, now)
		if err != nil {
			t.Fatal(err)
		}
		for range rapid.IntRange(1, 12).Draw(t, "passes") {
			fill.Through = append(fill.Through, chemistry.Pass{
				At: now, AreaM2: rapid.Float64Range(0, 0.3).Draw(t, "area"), Push: chemistry.Stops(rapid.IntRange(-6, 18).Draw(t, "push")),
			})
			after, err := chemistry.Assess(solution, fill, now)
			if err != nil {
				t.Fatal(err)
			}
			if before.Verdict.Worse(after.Verdict) || after.CapacityUsed < before.CapacityUsed || after.TimePercent < before.TimePercent ||
				after.BromideGPerL < before.BromideGPerL || after.RollsLeft() > before.RollsLeft() {
				t.Fatalf("from %+v to %+v", before, after)
			}
			worst := chemistry.Fresh
			for _, reason := range after.Reasons {
				if reason.Verdict.Worse(worst) {
					worst = reason.Verdict
				}
			}
			if worst != after.Verdict {
				t.Fatalf("the verdict is %s, its reasons say %v", after.Verdict, after.Reasons)
			}
			before = after
		}
	})
}

func drawSolution(t *rapid.T) chemistry.Solution {
	solution := chemistry.Solution{
		Family:             rapid.SampledFrom(chemistry.SolutionFamilies).Draw(t, "family"),
		Use:                rapid.SampledFrom(chemistry.UseModes).Draw(t, "use"),
		CapacityM2PerL:     rapid.SampledFrom([]float64{0, 0.5, 1, 2}).Draw(t, "capacity"),
		TimePercentPerRoll: rapid.Float64Range(0, 20).Draw(t, "rise"),
		Replenisher:        chemistry.ReplenishRate{MLPerM2: rapid.SampledFrom([]float64{0, 500, 900}).Draw(t, "rate"), PushFactor: 1.1},
		Bromide:            chemistry.BromideFigures{ReleasedMGPerRoll: 50},
	}
	if rapid.Bool().Draw(t, "keeps") {
		solution.Keeping = []chemistry.Keeping{chemistry.FixerKeeping}
	}
	return solution
}

func TestAssessRefusesNonsense(t *testing.T) {
	t.Parallel()
	nan := math.NaN()
	now := monday.AddDate(0, 0, 1)
	pass := func(p chemistry.Pass) func(*chemistry.Solution, *chemistry.Fill) {
		return func(_ *chemistry.Solution, f *chemistry.Fill) { f.Through = []chemistry.Pass{p} }
	}
	for name, test := range map[string]struct {
		spoil func(*chemistry.Solution, *chemistry.Fill)
		want  error
		says  string
	}{
		"no volume":      {func(_ *chemistry.Solution, f *chemistry.Fill) { f.VolumeML = 0 }, chemistry.ErrAmount, "volume in mL 0, allowed are 1 to 10000000"},
		"volume":         {func(_ *chemistry.Solution, f *chemistry.Fill) { f.VolumeML = nan }, chemistry.ErrAmount, "NaN"},
		"huge volume":    {func(_ *chemistry.Solution, f *chemistry.Fill) { f.VolumeML = 1e300 }, chemistry.ErrAmount, "1e+300"},
		"clock set back": {func(_ *chemistry.Solution, f *chemistry.Fill) { f.Filled = now.Add(time.Second) }, chemistry.ErrOrder, "now 2026-03-03T08:00:00Z"},
		"mixed later":    {func(_ *chemistry.Solution, f *chemistry.Fill) { f.Mixed = f.Filled.Add(time.Hour) }, chemistry.ErrOrder, "mixed"},
		"film too early": {pass(rollsThrough(1, monday.Add(-time.Second))), chemistry.ErrOrder, "film through"},
		"film to come":   {pass(rollsThrough(1, now.Add(time.Second))), chemistry.ErrOrder, "now"},
		"negative area":  {pass(chemistry.Pass{At: now, AreaM2: -1}), chemistry.ErrAmount, "area through in m² -1"},
		"infinite area":  {pass(chemistry.Pass{At: now, AreaM2: math.Inf(1)}), chemistry.ErrAmount, "+Inf"},
		"push":           {pass(chemistry.Pass{At: now, Push: 11 * chemistry.Stop}), chemistry.ErrAmount, "push in stops 11, allowed are -10 to 10"},
		"replenisher":    {pass(chemistry.Pass{At: now, ReplenisherML: -1}), chemistry.ErrAmount, "replenisher"},
		"clearing":       {func(_ *chemistry.Solution, f *chemistry.Fill) { f.Clearing = &chemistry.ClearingTest{NowS: 30} }, chemistry.ErrAmount, "fresh"},
		"clearing now": {func(_ *chemistry.Solution, f *chemistry.Fill) {
			f.Clearing = &chemistry.ClearingTest{FreshS: 30, NowS: nan}
		}, chemistry.ErrAmount, "now"},
		"capacity":       {func(s *chemistry.Solution, _ *chemistry.Fill) { s.CapacityM2PerL = -1 }, chemistry.ErrAmount, "capacity"},
		"time rise":      {func(s *chemistry.Solution, _ *chemistry.Fill) { s.TimePercentPerRoll = nan }, chemistry.ErrAmount, "time rise"},
		"least solution": {func(s *chemistry.Solution, _ *chemistry.Fill) { s.MinimumMLPerRoll = -1 }, chemistry.ErrAmount, "least solution"},
		"rate":           {func(s *chemistry.Solution, _ *chemistry.Fill) { s.Replenisher.MLPerM2 = nan }, chemistry.ErrAmount, "mL/m²"},
		"bromide":        {func(s *chemistry.Solution, _ *chemistry.Fill) { s.Bromide.StartGPerL = nan }, chemistry.ErrAmount, "bromide"},
		"keeping":        {func(s *chemistry.Solution, _ *chemistry.Fill) { s.Keeping = []chemistry.Keeping{{}} }, chemistry.ErrAmount, "keeping"},
		"keeping months": {func(s *chemistry.Solution, _ *chemistry.Fill) { s.Keeping = []chemistry.Keeping{{Months: -1, Days: 5}} }, chemistry.ErrAmount, "months"},
		"a day's work": {func(_ *chemistry.Solution, f *chemistry.Fill) {
			f.Recent = []chemistry.DayWork{{Day: now, AreaM2: -1}}
		}, chemistry.ErrAmount, "a day"},
	} {
		solution := chemistry.Solution{Family: chemistry.Fixer, Use: chemistry.Reused}
		fill := chemistry.Fill{VolumeML: 1000, Filled: monday}
		test.spoil(&solution, &fill)
		_, err := chemistry.Assess(solution, fill, now)
		if !errors.Is(err, test.want) || !strings.Contains(err.Error(), test.says) {
			t.Errorf("%s: %v", name, err)
		}
		if typed := new(chemistry.RangeError); !errors.As(err, &typed) || typed.Allowed == "" {
			t.Errorf("%s: %T does not say what is allowed", name, err)
		}
	}
}

func TestUnknownVerdictIsNoWorse(t *testing.T) {
	t.Parallel()
	if chemistry.Verdict("").Worse(chemistry.Fresh) || !chemistry.Exhausted.Worse(chemistry.DueSoon) || chemistry.InUse.Worse(chemistry.InUse) {
		t.Error("the order of verdicts is not fresh, in use, due soon, exhausted")
	}
}

// What does not belong in a fill keeps film out, however fresh it is, and takes
// nothing from the other reasons.
func TestAFouledFillTakesNoFilm(t *testing.T) {
	t.Parallel()
	solution := chemistry.Solution{Family: chemistry.ColourDeveloper, Use: chemistry.Replenished, CapacityM2PerL: 1}
	clean := chemistry.Fill{VolumeML: 1000, Filled: monday}
	fouled := clean
	fouled.Fouled = "bleach replenisher"
	before, err := chemistry.Assess(solution, clean, monday)
	if err != nil || before.Verdict != chemistry.Fresh {
		t.Fatalf("clean: %s, %v", before.Verdict, err)
	}
	after, err := chemistry.Assess(solution, fouled, monday)
	if err != nil || after.Verdict != chemistry.Exhausted || len(after.Reasons) != len(before.Reasons)+1 ||
		!strings.Contains(after.Reasons[0].Text, "bleach replenisher") {
		t.Errorf("fouled: %s, %v, %v", after.Verdict, after.Reasons, err)
	}
	if after.RunsOut.Date.After(monday) {
		t.Errorf("it is said to run out on %s", after.RunsOut.Date)
	}
}

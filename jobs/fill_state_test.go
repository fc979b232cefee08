package jobs

import (
	"math"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"wetside/chemistry"
)

// ledger is a batch of so many rolls of 80 in² on each of the days after
// monday.
func ledger(rolls ...int) []Entry {
	var entries []Entry
	for day, n := range rolls {
		entries = append(entries, Entry{
			Kind: EntryFilm, At: monday.AddDate(0, 0, day), Batch: BatchID(day + 1), Rolls: n, AreaM2: float64(n) * chemistry.FilmUnitArea,
		})
	}
	return entries
}

func TestFillState(t *testing.T) {
	t.Parallel()
	reused := Solution{Name: "MQ borax", Process: chemistry.BW, Family: chemistry.BWDeveloper, Use: chemistry.Reused,
		PerRollPercent: 10, CapacityM2PerL: 10 * chemistry.FilmUnitArea}
	oneShot := Solution{Name: "PQ", Process: chemistry.BW, Family: chemistry.BWDeveloper, Use: chemistry.OneShot}
	replenished := Solution{Name: "colour developer", Process: chemistry.C41, Family: chemistry.ColourDeveloper,
		Use: chemistry.Replenished, CapacityM2PerL: 10 * chemistry.FilmUnitArea}
	unknown := reused
	unknown.CapacityM2PerL, unknown.PerRollPercent = 0, 0
	for _, test := range []struct {
		name     string
		solution Solution
		rolls    []int
		verdict  chemistry.Verdict
		used     float64 // share of the capacity
		longer   float64 // per cent
	}{
		{"fresh", reused, nil, chemistry.Fresh, 0, 0},
		{"a roll in two litres", reused, []int{1}, chemistry.InUse, 0.05, 5},
		{"just before four fifths", reused, []int{10, 5}, chemistry.InUse, 0.75, 75},
		{"four fifths", reused, []int{10, 6}, chemistry.DueSoon, 0.8, 80},
		{"all of it", reused, []int{10, 10}, chemistry.Exhausted, 1, 100},
		{"one-shot once", oneShot, []int{1}, chemistry.Exhausted, 0, 0},
		{"no capacity in the recipe", unknown, []int{100}, chemistry.InUse, 0, 500},
		{"replenished, far beyond its capacity", replenished, []int{100}, chemistry.InUse, 0, 0},
	} {
		fill := Fill{VolumeML: 2000, FilledAt: monday}
		state, err := fill.State(test.solution, ledger(test.rolls...), monday.AddDate(0, 0, 2))
		if err != nil {
			t.Errorf("%s: %v", test.name, err)
			continue
		}
		if state.Verdict != test.verdict || math.Abs(state.CapacityUsed-test.used) > 1e-9 || math.Abs(state.TimePercent-test.longer) > 1e-9 {
			t.Errorf("%s: %s, %g of the capacity, %g %% longer; want %s, %g, %g", test.name,
				state.Verdict, state.CapacityUsed, state.TimePercent, test.verdict, test.used, test.longer)
		}
		if len(state.Reasons) == 0 {
			t.Errorf("%s: no reason", test.name)
		}
	}
}

// A working fixer lasts two months at most, whatever its use (Darkroom
// Cookbook, 3rd edition, p. 108). That speaks of black and white, not of the
// fixer of a replenished colour line.
func TestAnOldFixerIsExhausted(t *testing.T) {
	t.Parallel()
	fixer := Solution{Process: chemistry.BW, Family: chemistry.Fixer, Use: chemistry.Reused, CapacityM2PerL: 1}
	colour := Solution{Process: chemistry.C41, Family: chemistry.Fixer, Use: chemistry.Replenished}
	fill := Fill{VolumeML: 1000, FilledAt: monday}
	for _, test := range []struct {
		name     string
		solution Solution
		now      time.Time
		want     chemistry.Verdict
	}{
		{"the day before", fixer, monday.AddDate(0, 2, -1), chemistry.DueSoon},
		{"two months on", fixer, monday.AddDate(0, 2, 0), chemistry.Exhausted},
		{"colour", colour, monday.AddDate(0, 2, 0), chemistry.Fresh},
	} {
		state, err := fill.State(test.solution, nil, test.now)
		if err != nil || state.Verdict != test.want {
			t.Errorf("%s: %s, %v; want %s", test.name, state.Verdict, err, test.want)
		}
	}
}

func TestAFillFromTheFutureCannotBeJudged(t *testing.T) {
	t.Parallel()
	fill := Fill{VolumeML: 1000, FilledAt: monday}
	_, err := fill.State(Solution{Family: chemistry.Fixer, Use: chemistry.Reused}, nil, monday.Add(-time.Second))
	if err == nil || !strings.Contains(err.Error(), "filled") {
		t.Errorf("got %v", err)
	}
}

func TestUnrecorded(t *testing.T) {
	t.Parallel()
	keeps := []chemistry.Keeping{{Months: 1}}
	colour := Solution{Process: chemistry.C41, Family: chemistry.ColourDeveloper, Use: chemistry.Replenished,
		Replenisher: chemistry.ReplenishRate{MLPerM2: 900}, CapacityM2PerL: 0.5, Keeping: keeps}
	rateless, endless, ageless := colour, colour, colour
	rateless.Replenisher, endless.CapacityM2PerL, ageless.Keeping = chemistry.ReplenishRate{}, 0, nil
	fixer := Solution{Process: chemistry.BW, Family: chemistry.Fixer, Use: chemistry.Reused, CapacityM2PerL: 1}
	tested := Fill{Clearing: &chemistry.ClearingTest{FreshS: 20, NowS: 22}}
	for _, test := range []struct {
		name     string
		fill     Fill
		solution Solution
		strips   bool
		want     []string
	}{
		{"everything is on record", Fill{}, colour, true, nil},
		{"not watched by strips", Fill{}, colour, false, []string{"Control strips"}},
		{"no rate", Fill{}, rateless, true, []string{"The rate"}},
		{"no capacity", Fill{}, endless, true, []string{"The capacity"}},
		{"no keeping", Fill{}, ageless, true, []string{"How long"}},
		{"a fixer keeps two months as published, but was never tested", Fill{}, fixer, false, []string{"Clearing tests"}},
		{"a fixer that was tested", tested, fixer, false, nil},
		{"one-shot", Fill{}, Solution{Family: chemistry.BWDeveloper, Use: chemistry.OneShot, Keeping: keeps}, true, nil},
	} {
		missing := test.fill.Unrecorded(test.solution, test.strips)
		right := len(missing) == len(test.want)
		for i := 0; right && i < len(missing); i++ {
			right = strings.HasPrefix(missing[i], test.want[i])
		}
		if !right {
			t.Errorf("%s: %q, want %q", test.name, missing, test.want)
		}
	}
}

// What got into a fill keeps film out of it until it is dumped.
func TestAFouledFillIsExhausted(t *testing.T) {
	t.Parallel()
	entries := append(ledger(1), Entry{ID: 9, Kind: EntryFouled, At: monday, Why: "a splash of fixer"},
		Entry{ID: 10, Kind: EntryFouled, At: monday, Amount: -5, Why: "what ran over"})
	state, err := Fill{VolumeML: 1000, FilledAt: monday}.State(Solution{Family: chemistry.BWDeveloper, Use: chemistry.Reused}, entries, monday)
	if err != nil || state.Verdict != chemistry.Exhausted || !strings.Contains(state.Reasons[0].Text, "a splash of fixer") {
		t.Errorf("%s, %v, %v", state.Verdict, state.Reasons, err)
	}
}

// An entry by somebody whose turn came first does not make a fill one from the
// future; a clock that was set back does.
func TestTheNextTurnSeesWhatTheLastOneDid(t *testing.T) {
	t.Parallel()
	solution := Solution{Family: chemistry.Fixer, Use: chemistry.Reused}
	entries := []Entry{{Kind: EntryFilm, At: monday.Add(time.Hour), Rolls: 1, AreaM2: chemistry.FilmUnitArea}}
	fill := Fill{VolumeML: 1000, FilledAt: monday}
	if _, err := fill.State(solution, entries, monday.Add(time.Hour-slack)); err != nil {
		t.Error(err)
	}
	if _, err := fill.State(solution, entries, monday.Add(time.Hour-slack-1)); err == nil {
		t.Error("a fill from the future was judged")
	}
}

// However much film goes through, more of it never makes a fill better.
func TestMoreFilmNeverMakesAFillBetter(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		solution := Solution{
			Process: chemistry.BW, Family: rapid.SampledFrom(chemistry.SolutionFamilies).Draw(t, "family"),
			Use:            rapid.SampledFrom(chemistry.UseModes).Draw(t, "use"),
			PerRollPercent: rapid.Float64Range(0, 50).Draw(t, "per roll"),
			CapacityM2PerL: rapid.Float64Range(0, 100).Draw(t, "capacity"),
		}
		fill := Fill{VolumeML: rapid.IntRange(MinVolumeML, MaxVolumeML).Draw(t, "volume"), FilledAt: monday}
		rolls := rapid.SliceOfN(rapid.IntRange(0, 50), 1, 10).Draw(t, "rolls")
		now := monday.AddDate(0, 0, 10)
		less, err := fill.State(solution, ledger(rolls[:len(rolls)-1]...), now)
		if err != nil {
			t.Fatal(err)
		}
		more, err := fill.State(solution, ledger(rolls...), now)
		if err != nil {
			t.Fatal(err)
		}
		if less.Verdict.Worse(more.Verdict) || more.CapacityUsed < less.CapacityUsed || more.TimePercent < less.TimePercent {
			t.Errorf("with less: %s, %g, %g; with more: %s, %g, %g", less.Verdict, less.CapacityUsed, less.TimePercent,
				more.Verdict, more.CapacityUsed, more.TimePercent)
		}
	})
}

package jobs

import (
	"math"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
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
	for _, test := range []struct {
		name     string
		solution Solution
		want     []string
	}{
		{"replenished developer", Solution{Family: chemistry.ColourDeveloper, Use: chemistry.Replenished}, []string{"The replenisher", "Control strips", "How long"}},
		{"reused developer", Solution{Process: chemistry.BW, Family: chemistry.BWDeveloper, Use: chemistry.Reused, CapacityM2PerL: 0.5}, []string{"Control strips", "How long"}},
		{"fixer without capacity", Solution{Process: chemistry.BW, Family: chemistry.Fixer, Use: chemistry.Reused}, []string{"The capacity", "Clearing tests"}},
		{"replenished bleach", Solution{Family: chemistry.Bleach, Use: chemistry.Replenished, CapacityM2PerL: 1}, []string{"The replenisher", "How long"}},
	} {
		var got []string
		missing := Fill{}.Unrecorded(test.solution)
		for i, text := range missing {
			if i < len(test.want) && strings.HasPrefix(text, test.want[i]) {
				text = test.want[i]
			}
			got = append(got, text)
		}
		if diff := cmp.Diff(test.want, got); diff != "" {
			t.Errorf("%s:\n%s", test.name, diff)
		}
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

package chemistry_test

import (
	"errors"
	"math"
	"strings"
	"testing"
	"time"

	"wetside/chemistry"
)

var monday = time.Date(2026, 3, 2, 8, 0, 0, 0, time.UTC)

// A working fixer lasts two months at most (Darkroom Cookbook, 3rd edition, p. 108).
func TestFixerKeepsTwoMonths(t *testing.T) {
	t.Parallel()
	if got, want := chemistry.FixerKeeping.Until(monday), time.Date(2026, 5, 2, 8, 0, 0, 0, time.UTC); !got.Equal(want) {
		t.Errorf("fixer mixed on %v keeps until %v, want %v", monday, got, want)
	}
}

// Fix at least twice the clearing time; discard when it has doubled (NAVEDTRA 14209).
func TestClearingTest(t *testing.T) {
	t.Parallel()
	for _, test := range []struct {
		freshS, nowS float64
		spent        bool
		fixS, used   float64
	}{
		{30, 30, false, 60, 0}, {30, 25, false, 50, 0}, {30, 45, false, 90, 0.5},
		{30, 59.9, false, 119.8, 0.9967}, {30, 60, true, 120, 1}, {30, 90, true, 180, 2},
	} {
		clearing := chemistry.ClearingTest{FreshS: test.freshS, NowS: test.nowS}
		if err := clearing.Check(); err != nil {
			t.Error(err)
		}
		if clearing.Spent() != test.spent || math.Abs(clearing.FixAtLeastS()-test.fixS) > 1e-9 || math.Abs(clearing.Used()-test.used) > 1e-4 {
			t.Errorf("%+v: spent %v, fix %v s, used %v", test, clearing.Spent(), clearing.FixAtLeastS(), clearing.Used())
		}
	}
}

// Two idle days: add 3 % of the tank (US Army SS0514).
func TestIdleTopUp(t *testing.T) {
	t.Parallel()
	for idle, want := range map[time.Duration]float64{
		0: 0, 47 * time.Hour: 0, 48 * time.Hour: 300, 95 * time.Hour: 300, 96 * time.Hour: 600, 24 * 365 * time.Hour: 10000,
	} {
		got, err := chemistry.IdleTopUpML(10000, monday, monday.Add(idle))
		if err != nil || math.Abs(got-want) > 1e-9 {
			t.Errorf("10 L idle for %v: %v mL, %v; want %v", idle, got, err, want)
		}
	}
	if _, err := chemistry.IdleTopUpML(0, monday, monday); !errors.Is(err, chemistry.ErrAmount) {
		t.Errorf("no tank: %v", err)
	}
	if _, err := chemistry.IdleTopUpML(100, monday, monday.Add(-time.Second)); !errors.Is(err, chemistry.ErrOrder) {
		t.Errorf("clock set back: %v", err)
	}
}

func TestKeepingGoesByStorage(t *testing.T) {
	t.Parallel()
	solution := chemistry.Solution{
		Family: chemistry.BWDeveloper, Use: chemistry.Reused,
		Keeping: []chemistry.Keeping{
			{Storage: chemistry.FullBottle, Months: 6},
			{Storage: chemistry.OpenTank, Days: 7},
			{Months: 12},
		},
	}
	for storage, want := range map[chemistry.Storage]time.Time{
		chemistry.FullBottle:  monday.AddDate(0, 6, 0),
		chemistry.OpenTank:    monday.AddDate(0, 0, 7),
		chemistry.FloatingLid: monday.AddDate(1, 0, 0),
		"":                    monday.AddDate(1, 0, 0),
	} {
		state, err := chemistry.Assess(solution, chemistry.Fill{VolumeML: 1000, Filled: monday, Storage: storage}, monday)
		if err != nil || !state.KeepsUntil.Equal(want) {
			t.Errorf("%q keeps until %v, %v; want %v", storage, state.KeepsUntil, err, want)
		}
	}
}

func TestKeepingDecidesTheVerdict(t *testing.T) {
	t.Parallel()
	solution := chemistry.Solution{Family: chemistry.Fixer, Use: chemistry.Reused, Keeping: []chemistry.Keeping{{Days: 10}}}
	for _, test := range []struct {
		mixed time.Time
		days  float64
		want  chemistry.Verdict
	}{
		{time.Time{}, 0, chemistry.Fresh},
		{time.Time{}, 7.9, chemistry.Fresh},
		{time.Time{}, 8, chemistry.DueSoon},
		{time.Time{}, 9.99, chemistry.DueSoon},
		{time.Time{}, 10, chemistry.Exhausted},
		{monday.AddDate(0, 0, -5), 2.9, chemistry.Fresh}, // keeping counts from mixing
		{monday.AddDate(0, 0, -5), 3, chemistry.DueSoon},
		{monday.AddDate(0, 0, -5), 5, chemistry.Exhausted},
	} {
		now := monday.Add(time.Duration(test.days * 24 * float64(time.Hour)))
		state, err := chemistry.Assess(solution, chemistry.Fill{VolumeML: 1000, Mixed: test.mixed, Filled: monday}, now)
		if err != nil || state.Verdict != test.want {
			t.Errorf("%+v: %s, %v; %v", test, state.Verdict, err, state.Reasons)
		}
	}
}

// When bath 1's clearing time doubles: discard 1, bath 2 becomes 1 (NAVEDTRA 14209).
func TestTwoBathRule(t *testing.T) {
	t.Parallel()
	solution := chemistry.Solution{Family: chemistry.Fixer, Use: chemistry.Reused}
	for nowS, want := range map[float64]chemistry.Verdict{40: chemistry.Fresh, 54: chemistry.DueSoon, 60: chemistry.Exhausted} {
		fill := chemistry.Fill{VolumeML: 1000, Filled: monday, TwoBath: true, Clearing: &chemistry.ClearingTest{FreshS: 30, NowS: nowS}}
		state, err := chemistry.Assess(solution, fill, monday)
		if err != nil || state.Verdict != want || state.FixAtLeastS != 2*nowS {
			t.Errorf("clears in %v s: %s, fix %v s, %v", nowS, state.Verdict, state.FixAtLeastS, err)
		}
		moves := strings.Contains(reasonTexts(state), chemistry.TwoBathRule)
		if moves != (want == chemistry.Exhausted) {
			t.Errorf("clears in %v s: %v", nowS, state.Reasons)
		}
	}
}

func reasonTexts(state chemistry.State) string {
	var texts []string
	for _, reason := range state.Reasons {
		texts = append(texts, reason.Text)
	}
	return strings.Join(texts, "\n")
}

func TestFilmClearsInFixersOnly(t *testing.T) {
	t.Parallel()
	for _, family := range chemistry.SolutionFamilies {
		if want := family == chemistry.Fixer || family == chemistry.BleachFix; family.Clears() != want {
			t.Errorf("film clears in %s: %v", family, family.Clears())
		}
	}
}

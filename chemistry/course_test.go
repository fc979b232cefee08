package chemistry_test

import (
	"errors"
	"math"
	"testing"
	"time"

	"pgregory.net/rapid"

	"wetside/chemistry"
)

// Four rolls a day into a litre that takes sixteen: a quarter of the capacity
// and, at 50 mg a roll, 0.2 g/L of bromide each day (mass balance).
func TestCourseOfAReusedFill(t *testing.T) {
	t.Parallel()
	solution := chemistry.Solution{
		Family: chemistry.BWDeveloper, Use: chemistry.Reused, CapacityM2PerL: 16 * chemistry.FilmUnitArea,
		Bromide: chemistry.BromideFigures{ReleasedMGPerRoll: 50, StartGPerL: 0.1},
	}
	fill := chemistry.Fill{VolumeML: 1000, Filled: monday}
	for day := range 3 {
		fill.Through = append(fill.Through, rollsThrough(4, monday.AddDate(0, 0, day)))
	}
	points, err := chemistry.Course(solution, fill)
	if err != nil || len(points) != 4 {
		t.Fatalf("%d points, %v", len(points), err)
	}
	for i, point := range points {
		if math.Abs(point.CapacityUsed-float64(i)/4) > 1e-9 || math.Abs(point.BromideGPerL-0.1-0.2*float64(i)) > 1e-9 {
			t.Errorf("point %d: %+v", i, point)
		}
		if at := monday.AddDate(0, 0, max(0, i-1)); !point.At.Equal(at) {
			t.Errorf("point %d is at %s, want %s", i, point.At, at)
		}
	}
}

// Replenished as it should be, a fill stays where it is, and its bromide comes
// to within 2 % of the steady state after four turnovers (mass balance).
func TestCourseOfAReplenishedFill(t *testing.T) {
	t.Parallel()
	solution := chemistry.Solution{
		Family: chemistry.ColourDeveloper, Use: chemistry.Replenished, CapacityM2PerL: 0.5,
		Replenisher: chemistry.ReplenishRate{MLPerM2: 45 / chemistry.FilmUnitArea},
		Bromide:     chemistry.BromideFigures{ReleasedMGPerRoll: 50},
	}
	fill := chemistry.Fill{VolumeML: 1800, Filled: monday}
	for i := range 160 { // 40 rolls bring a turnover of 1800 mL
		pass := rollsThrough(1, monday.Add(time.Duration(i)*time.Hour))
		pass.ReplenisherML = 45
		fill.Through = append(fill.Through, pass)
	}
	points, err := chemistry.Course(solution, fill)
	if err != nil {
		t.Fatal(err)
	}
	if last := points[160]; last.CapacityUsed != 0 || last.BromideGPerL < 0.98*50/45 || last.BromideGPerL > 50.0/45 {
		t.Errorf("%+v", last)
	}
}

// The course ends where the state stands, whatever went through.
func TestCourseEndsAtTheState(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		solution := drawSolution(t)
		fill := chemistry.Fill{VolumeML: rapid.Float64Range(250, 5000).Draw(t, "volume"), Filled: monday}
		at := monday
		for range rapid.IntRange(0, 12).Draw(t, "passes") {
			at = at.Add(time.Duration(rapid.IntRange(0, 90).Draw(t, "hours")) * time.Hour)
			fill.Through = append(fill.Through, chemistry.Pass{
				At: at, AreaM2: rapid.Float64Range(0, 0.3).Draw(t, "area"), Push: chemistry.Stops(rapid.IntRange(-6, 18).Draw(t, "push")),
				ReplenisherML: rapid.SampledFrom([]float64{0, 50, 400}).Draw(t, "added"),
			})
		}
		points, err := chemistry.Course(solution, fill)
		if err != nil || len(points) != len(fill.Through)+1 {
			t.Fatalf("%d points, %v", len(points), err)
		}
		state, err := chemistry.Assess(solution, fill, at)
		if err != nil {
			t.Fatal(err)
		}
		last := points[len(points)-1]
		if last.AreaM2 != state.AreaM2 || last.CapacityUsed != state.CapacityUsed || last.BromideGPerL != state.BromideGPerL || !last.At.Equal(at) {
			t.Fatalf("the course ends at %+v, the state is %+v", last, state)
		}
	})
}

func TestCourseRefusesNonsense(t *testing.T) {
	t.Parallel()
	if _, err := chemistry.Course(chemistry.Solution{}, chemistry.Fill{Filled: monday}); !errors.Is(err, chemistry.ErrAmount) {
		t.Errorf("no volume: %v", err)
	}
	early := chemistry.Fill{VolumeML: 1000, Filled: monday, Through: []chemistry.Pass{rollsThrough(1, monday.Add(-time.Hour))}}
	if _, err := chemistry.Course(chemistry.Solution{}, early); !errors.Is(err, chemistry.ErrOrder) {
		t.Errorf("film before the fill: %v", err)
	}
}

// The work ahead reaches an area on the day on which that area runs out.
func TestForecastWorkAgreesWithTheRunOut(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		now := date(3, 2).Add(time.Duration(rapid.IntRange(0, 86399).Draw(t, "seconds")) * time.Second)
		var work []chemistry.DayWork
		for back := range rapid.IntRange(1, 40).Draw(t, "days") {
			work = append(work, chemistry.DayWork{Day: now.AddDate(0, 0, -back), AreaM2: rapid.Float64Range(0, 2).Draw(t, "area")})
		}
		left := rapid.Float64Range(0.1, 20).Draw(t, "left")
		const days = 120
		ahead, err := chemistry.ForecastWork(work, now, days)
		if err != nil {
			t.Fatal(err)
		}
		out, err := chemistry.ForecastRunOut(work, left, now, time.Time{})
		if err != nil {
			t.Fatal(err)
		}
		first := func(reached func(chemistry.WorkAhead) float64) time.Time {
			for _, day := range ahead {
				if reached(day) >= left*(1-1e-9) {
					return day.Day
				}
			}
			return time.Time{}
		}
		end := date(3, 2).AddDate(0, 0, days-1)
		for name, pair := range map[string][2]time.Time{
			"date":     {first(func(w chemistry.WorkAhead) float64 { return w.M2 }), out.Date},
			"earliest": {first(func(w chemistry.WorkAhead) float64 { return w.HighM2 }), out.Earliest},
			"latest":   {first(func(w chemistry.WorkAhead) float64 { return w.LowM2 }), out.Latest},
		} {
			if pair[1].After(end) {
				pair[1] = time.Time{}
			}
			if !pair[0].Equal(pair[1]) {
				t.Fatalf("%s: the work reaches it on %s, it runs out on %s", name, pair[0], pair[1])
			}
		}
		for _, day := range ahead {
			if day.LowM2 > day.M2 || day.M2 > day.HighM2 || day.LowM2 < 0 {
				t.Fatalf("%+v", day)
			}
		}
	})
}

func TestForecastWorkWithNothingToGoBy(t *testing.T) {
	t.Parallel()
	if ahead, err := chemistry.ForecastWork(nil, date(3, 10), 30); err != nil || ahead != nil {
		t.Errorf("%v, %v", ahead, err)
	}
	if _, err := chemistry.ForecastWork(nil, date(3, 10), -1); !errors.Is(err, chemistry.ErrAmount) {
		t.Errorf("days to come: %v", err)
	}
	if _, err := chemistry.ForecastWork([]chemistry.DayWork{{Day: date(3, 11)}}, date(3, 10), 30); !errors.Is(err, chemistry.ErrOrder) {
		t.Errorf("work to come: %v", err)
	}
}

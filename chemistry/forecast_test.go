package chemistry_test

import (
	"errors"
	"math"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"pgregory.net/rapid"

	"wetside/chemistry"
)

func date(month time.Month, day int) time.Time {
	return time.Date(2026, month, day, 0, 0, 0, 0, time.UTC)
}

// daily is the same rolls on each of the days before now.
func daily(rolls float64, days int, now time.Time) []chemistry.DayWork {
	var work []chemistry.DayWork
	for back := days; back >= 1; back-- {
		work = append(work, chemistry.DayWork{Day: now.AddDate(0, 0, -back), AreaM2: rolls * chemistry.FilmUnitArea})
	}
	return work
}

func TestForecastOfSteadyWork(t *testing.T) {
	t.Parallel()
	now := time.Date(2026, 3, 10, 7, 0, 0, 0, time.UTC)
	// Ten rolls left at two a day, today included: the last goes on the 14th.
	got, err := chemistry.ForecastRunOut(daily(2, 5, now), 10*chemistry.FilmUnitArea, now, time.Time{})
	if err != nil || !got.Date.Equal(date(3, 14)) || !got.Earliest.Before(got.Date) || !got.Latest.After(got.Date) {
		t.Errorf("%+v, %v", got, err)
	}
	// With today's two already done it takes a day longer.
	work := append(daily(2, 5, now), chemistry.DayWork{Day: now, AreaM2: 2 * chemistry.FilmUnitArea})
	if got, err = chemistry.ForecastRunOut(work, 10*chemistry.FilmUnitArea, now, time.Time{}); err != nil || !got.Date.Equal(date(3, 15)) {
		t.Errorf("after today's work: %+v, %v", got, err)
	}
	// More than usual today does not make up for tomorrow.
	work[len(work)-1].AreaM2 *= 3
	if got, err = chemistry.ForecastRunOut(work, 10*chemistry.FilmUnitArea, now, time.Time{}); err != nil || !got.Date.Equal(date(3, 15)) {
		t.Errorf("after much work today: %+v, %v", got, err)
	}
}

// Ten rolls on weekdays, two on Saturdays, none on Sundays, for three weeks.
func TestForecastTellsWeekdaysApart(t *testing.T) {
	t.Parallel()
	start := date(3, 2) // a Monday
	week := []float64{10, 10, 10, 10, 10, 2, 0}
	var work []chemistry.DayWork
	for day := range 21 {
		work = append(work, chemistry.DayWork{Day: start.AddDate(0, 0, day), AreaM2: week[day%7] * chemistry.FilmUnitArea})
	}
	for _, test := range []struct {
		now, want time.Time
		left      float64
	}{
		{date(3, 23), date(3, 23), 10}, // on Monday the day's own work does it
		{date(3, 23), date(3, 24), 11},
		{date(3, 23), date(3, 28), 52}, // Saturday counts for two
		{date(3, 23), date(3, 30), 53}, // Sunday for none
		{date(3, 23), date(4, 6), 105},
		{date(3, 28), date(3, 30), 12}, // from Saturday over Sunday into Monday
	} {
		history := work
		for day := date(3, 23); day.Before(test.now); day = day.AddDate(0, 0, 1) {
			history = append(history, chemistry.DayWork{Day: day, AreaM2: week[int(day.Weekday()+6)%7] * chemistry.FilmUnitArea})
		}
		got, err := chemistry.ForecastRunOut(history, test.left*chemistry.FilmUnitArea, test.now, time.Time{})
		if err != nil || !got.Date.Equal(test.want) {
			t.Errorf("%v rolls left on %s: %s, %v; want %s", test.left, test.now.Format("Mon 2 Jan"), got.Date.Format("Mon 2 Jan"), err, test.want.Format("Mon 2 Jan"))
		}
	}
}

// The lab of the test above, closed for some days: nothing runs out on them, and
// days gone by that were closed do not make it look slower.
func TestForecastPassesOverClosedDays(t *testing.T) {
	t.Parallel()
	start, now := date(3, 2), date(3, 23) // Mondays
	week := []float64{10, 10, 10, 10, 10, 2, 0}
	film := func(closed ...time.Time) []chemistry.DayWork {
		var work []chemistry.DayWork
		for _, day := range closed {
			work = append(work, chemistry.DayWork{Day: day, Closed: true})
		}
		for day := range 21 {
			if at := start.AddDate(0, 0, day); !slices.Contains(closed, at) {
				work = append(work, chemistry.DayWork{Day: at, AreaM2: week[day%7] * chemistry.FilmUnitArea})
			}
		}
		return work
	}
	for _, test := range []struct {
		name   string
		closed []time.Time
		left   float64
		want   time.Time
	}{
		{"none", nil, 11, date(3, 24)},
		{"today", []time.Time{now}, 10, date(3, 24)},
		{"tomorrow", []time.Time{date(3, 24)}, 11, date(3, 25)},
		{"four days from today on", []time.Time{now, date(3, 24), date(3, 25), date(3, 26)}, 11, date(3, 28)},
		{"a day that was closed", []time.Time{date(3, 16)}, 10, now},
		{"two Mondays that were closed", []time.Time{date(3, 9), date(3, 16)}, 8, date(3, 24)}, // too few to tell weekdays apart
		{"beyond what runs out", []time.Time{date(3, 25)}, 11, date(3, 24)},
	} {
		got, err := chemistry.ForecastRunOut(film(test.closed...), test.left*chemistry.FilmUnitArea, now, time.Time{})
		if err != nil || !got.Date.Equal(test.want) {
			t.Errorf("%s: %s, %v; want %s", test.name, got.Date.Format("Mon 2 Jan"), err, test.want.Format("Mon 2 Jan"))
		}
	}
	if got, err := chemistry.ForecastRunOut(film(date(3, 23)), 0, now, time.Time{}); err != nil || !got.Date.Equal(now) {
		t.Errorf("used up on a closed day: %+v, %v", got, err)
	}
}

func TestForecastStopsAtKeeping(t *testing.T) {
	t.Parallel()
	now := time.Date(2026, 3, 10, 7, 0, 0, 0, time.UTC)
	keeps := time.Date(2026, 3, 13, 12, 0, 0, 0, time.UTC)
	for name, test := range map[string]struct {
		work                   []chemistry.DayWork
		left                   float64
		date, earliest, latest time.Time
	}{
		"no work":     {nil, 1, date(3, 13), date(3, 13), date(3, 13)},
		"no capacity": {daily(2, 5, now), math.Inf(1), date(3, 13), date(3, 13), date(3, 13)},
		"much left":   {daily(2, 5, now), 100, date(3, 13), date(3, 13), date(3, 13)},
		// Today 2 ± 1.28·√(2·1.2) = 2 ± 1.98 rolls are done: just short of four.
		"four rolls left": {daily(2, 5, now), 4 * chemistry.FilmUnitArea, date(3, 11), date(3, 11), date(3, 13)},
		"nothing left":    {daily(2, 5, now), 0, date(3, 10), date(3, 10), date(3, 10)},
	} {
		got, err := chemistry.ForecastRunOut(test.work, test.left, now, keeps)
		if err != nil || !got.Date.Equal(test.date) || !got.Earliest.Equal(test.earliest) || !got.Latest.Equal(test.latest) {
			t.Errorf("%s: %+v, %v", name, got, err)
		}
	}
}

func TestForecastWithNothingToGoBy(t *testing.T) {
	t.Parallel()
	now := date(3, 10)
	for name, work := range map[string][]chemistry.DayWork{
		"no work":        nil,
		"only today":     {{Day: now, AreaM2: 1}},
		"only long ago":  {{Day: now.AddDate(0, 0, -57), AreaM2: 1}},
		"only idle days": {{Day: now.AddDate(0, 0, -9), AreaM2: 0}},
		"eleven years":   daily(1, 5, now),
	} {
		left := 4000 * chemistry.FilmUnitArea
		if got, err := chemistry.ForecastRunOut(work, left, now, time.Time{}); err != nil || got != (chemistry.Forecast{}) {
			t.Errorf("%s: %+v, %v", name, got, err)
		}
	}
}

func TestForecastRange(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		now := date(3, 2).Add(time.Duration(rapid.IntRange(0, 1e6).Draw(t, "seconds")) * time.Second)
		var work []chemistry.DayWork
		for back := range rapid.IntRange(0, 70).Draw(t, "days") {
			work = append(work, chemistry.DayWork{Day: now.AddDate(0, 0, -back), AreaM2: rapid.Float64Range(0, 2).Draw(t, "area")})
		}
		left := rapid.Float64Range(0, 50).Draw(t, "left")
		got, err := chemistry.ForecastRunOut(work, left, now, time.Time{})
		if err != nil {
			t.Fatal(err)
		}
		today := time.Date(now.Year(), now.Month(), now.Day(), 0, 0, 0, 0, time.UTC)
		if !got.Date.IsZero() && (got.Earliest.Before(today) || got.Earliest.IsZero() || got.Earliest.After(got.Date)) {
			t.Errorf("earliest %v, date %v", got.Earliest, got.Date)
		}
		if !got.Latest.IsZero() && (got.Date.IsZero() || got.Date.After(got.Latest)) {
			t.Errorf("date %v, latest %v", got.Date, got.Latest)
		}
		// With more left it never runs out sooner.
		more, err := chemistry.ForecastRunOut(work, left+1, now, time.Time{})
		if err != nil || (!more.Date.IsZero() && more.Date.Before(got.Date)) {
			t.Errorf("with more left %v, %v; with less %v", more.Date, err, got.Date)
		}
	})
}

// Five days of two rolls and five of ten hide more scatter than ten of six, so the
// range is wider, about the same day.
func TestForecastRangeWidensWithScatter(t *testing.T) {
	t.Parallel()
	now := date(3, 12)
	scattered := daily(2, 10, now)
	for i := range scattered {
		if i%2 == 1 {
			scattered[i].AreaM2 *= 5
		}
	}
	left := 60 * chemistry.FilmUnitArea
	even, err1 := chemistry.ForecastRunOut(daily(6, 10, now), left, now, time.Time{})
	uneven, err2 := chemistry.ForecastRunOut(scattered, left, now, time.Time{})
	if errors.Join(err1, err2) != nil || !even.Date.Equal(uneven.Date) || !even.Date.Equal(date(3, 21)) {
		t.Fatalf("%+v, %v; %+v, %v", even, err1, uneven, err2)
	}
	if !uneven.Earliest.Before(even.Earliest) || !uneven.Latest.After(even.Latest) {
		t.Errorf("even work %+v, uneven work %+v", even, uneven)
	}
}

// The range says at least eight in ten. Labs whose rolls come by chance, with weekends at
// a fifth, are followed until the fill is really used up.
func TestForecastRangeHoldsEightInTen(t *testing.T) {
	t.Parallel()
	random := rand.New(rand.NewPCG(1, 2))
	rollsOn := func(day time.Time, mean float64) float64 {
		if weekday := day.Weekday(); weekday == time.Saturday || weekday == time.Sunday {
			mean /= 5
		}
		rolls, limit := 0.0, math.Exp(-mean) // Knuth's way to draw from a Poisson law
		for product := random.Float64(); product > limit; product *= random.Float64() {
			rolls++
		}
		return rolls
	}
	const labs = 1500
	held := 0
	for range labs {
		mean, now := 3+9*random.Float64(), date(6, 1+random.IntN(7))
		var work []chemistry.DayWork
		for back := 20 + random.IntN(30); back >= 1; back-- {
			day := now.AddDate(0, 0, -back)
			work = append(work, chemistry.DayWork{Day: day, AreaM2: rollsOn(day, mean) * chemistry.FilmUnitArea})
		}
		left := 40 + 60*random.Float64()
		got, err := chemistry.ForecastRunOut(work, left*chemistry.FilmUnitArea, now, time.Time{})
		if err != nil {
			t.Fatal(err)
		}
		day := now
		for used := rollsOn(day, mean); used < left; used += rollsOn(day, mean) {
			day = day.AddDate(0, 0, 1)
		}
		if !day.Before(got.Earliest) && (got.Latest.IsZero() || !day.After(got.Latest)) {
			held++
		}
	}
	share := float64(held) / labs
	t.Logf("the range held in %.1f %% of the labs", 100*share)
	if share < 0.80 || share > 0.95 {
		t.Errorf("%.1f %% is not eight to nine and a half in ten", 100*share)
	}
}

// Days are those of the lab's clock: film at 23:30 UTC is next day's at +02:00.
func TestForecastGoesByTheLabsDays(t *testing.T) {
	t.Parallel()
	east := time.FixedZone("east", 2*3600)
	solution := chemistry.Solution{Family: chemistry.Fixer, Use: chemistry.Reused, CapacityM2PerL: 8 * chemistry.FilmUnitArea}
	fill := chemistry.Fill{VolumeML: 1000, Filled: time.Date(2026, 3, 8, 22, 30, 0, 0, time.UTC)}
	fill.Through = []chemistry.Pass{rollsThrough(4, time.Date(2026, 3, 8, 23, 30, 0, 0, time.UTC))}
	now := time.Date(2026, 3, 10, 7, 0, 0, 0, east)
	// Filled and used on the 9th: one day of four rolls, and four are left.
	state, err := chemistry.Assess(solution, fill, now)
	if err != nil || !state.RunsOut.Date.Equal(date(3, 10)) {
		t.Errorf("%+v, %v", state.RunsOut, err)
	}
	// By UTC it was used on the 8th and stood idle on the 9th: two a day.
	if state, err = chemistry.Assess(solution, fill, now.UTC()); err != nil || !state.RunsOut.Date.Equal(date(3, 11)) {
		t.Errorf("%+v, %v", state.RunsOut, err)
	}
}

func TestForecastOfAFill(t *testing.T) {
	t.Parallel()
	now := monday.AddDate(0, 0, 4) // Friday
	base := chemistry.Fill{VolumeML: 1000, Filled: monday}
	for day := range 4 {
		base.Through = append(base.Through, rollsThrough(2, monday.AddDate(0, 0, day)))
	}
	plain := chemistry.Solution{Family: chemistry.Fixer, Use: chemistry.Reused, CapacityM2PerL: 20 * chemistry.FilmUnitArea}
	replenished := plain
	replenished.Use, replenished.Replenisher = chemistry.Replenished, chemistry.ReplenishRate{MLPerM2: 500}
	noRate := replenished
	noRate.Replenisher = chemistry.ReplenishRate{}
	withReplenisher := func(share float64) chemistry.Fill {
		fill := base
		fill.Through = append([]chemistry.Pass(nil), base.Through...)
		for i := range fill.Through {
			fill.Through[i].ReplenisherML = share * 500 * fill.Through[i].AreaM2
		}
		return fill
	}
	recent := base
	recent.Recent = daily(4, 3, now)
	used := base
	used.Through = append([]chemistry.Pass{rollsThrough(12, monday)}, base.Through...)
	for name, test := range map[string]struct {
		solution chemistry.Solution
		fill     chemistry.Fill
		want     time.Time
	}{
		"twelve left at two a day":          {plain, base, date(3, 11)},
		"the lab does four a day now":       {plain, recent, date(3, 8)},
		"exhausted":                         {plain, used, date(3, 6)},
		"replenished as it should":          {replenished, withReplenisher(1), time.Time{}},
		"replenished at an unknown rate":    {noRate, withReplenisher(1), date(3, 11)},
		"not replenished at all":            {replenished, withReplenisher(0), date(3, 11)},
		"half replenished: 16 at one a day": {replenished, withReplenisher(0.5), date(3, 21)},
	} {
		state, err := chemistry.Assess(test.solution, test.fill, now)
		if err != nil || !state.RunsOut.Date.Equal(test.want) {
			t.Errorf("%s: %+v, %v", name, state.RunsOut, err)
		}
	}
}

func TestForecastRefusesNonsense(t *testing.T) {
	t.Parallel()
	now := date(3, 10)
	for name, test := range map[string]struct {
		work []chemistry.DayWork
		left float64
		want error
	}{
		"area not a number": {nil, math.NaN(), chemistry.ErrAmount},
		"negative area":     {nil, -1, chemistry.ErrAmount},
		"negative day":      {[]chemistry.DayWork{{Day: now, AreaM2: -1}}, 1, chemistry.ErrAmount},
		"infinite day":      {[]chemistry.DayWork{{Day: now, AreaM2: math.Inf(1)}}, 1, chemistry.ErrAmount},
		"a day to come":     {[]chemistry.DayWork{{Day: now.AddDate(0, 0, 1)}}, 1, chemistry.ErrOrder},
	} {
		if got, err := chemistry.ForecastRunOut(test.work, test.left, now, time.Time{}); !errors.Is(err, test.want) {
			t.Errorf("%s: %+v, %v", name, got, err)
		}
	}
}

func BenchmarkForecast(b *testing.B) {
	now := date(3, 10)
	work := daily(3, 56, now)
	for b.Loop() {
		if _, err := chemistry.ForecastRunOut(work, 10, now, time.Time{}); err != nil {
			b.Fatal(err)
		}
	}
}

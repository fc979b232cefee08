package jobs

import (
	"math"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"wetside/chemistry"
)

// roll is a full roll of 80 in², in m².
const roll = chemistry.FilmUnitArea

// foretold is a lab with one fill, to be foretold.
type foretold struct {
	Catalogue
	fill   Fill
	ledger []Entry
	demand Demand
}

// forecastLab has a litre of MQ borax in its hand tanks that takes 40 rolls,
// filled five weeks before a Monday, and ran two rolls on every weekday.
func forecastLab(now time.Time) *foretold {
	lab := testLab()
	mq := lab.Solutions[mqBorax]
	mq.CapacityM2PerL = 40 * roll
	lab.Solutions[mqBorax] = mq
	f := &foretold{Catalogue: lab.Catalogue, fill: Fill{
		ID: 7, Solution: mqBorax, SolutionName: mq.Name, Line: handTanks, LineName: "Hand tanks", VolumeML: 1000, FilledAt: now.AddDate(0, 0, -7),
	}}
	tank := TankKey{handTanks, mqBorax}
	f.demand.Since = map[TankKey]time.Time{tank: now.AddDate(0, 0, -35)}
	for back := 34; back >= 1; back-- {
		if day := now.AddDate(0, 0, -back); day.Weekday() != time.Saturday && day.Weekday() != time.Sunday {
			f.ran(day, 2, tank)
		}
	}
	return f
}

// ran lets rolls go through on a day: through the present fill where it was
// filled by then.
func (f *foretold) ran(day time.Time, rolls float64, tank TankKey) {
	f.demand.Days = append(f.demand.Days, FilmDay{TankKey: tank, Day: dayOf(day), AreaM2: rolls * roll})
	if !day.Before(f.fill.FilledAt) && tank.Line == f.fill.Line {
		f.ledger = append(f.ledger, Entry{ID: int64(len(f.ledger) + 1), Kind: EntryFilm, At: day, AreaM2: rolls * roll})
	}
}

func (f *foretold) outlook(now time.Time) Outlook {
	return f.Outlooks([]Fill{f.fill}, map[FillID][]Entry{f.fill.ID: f.ledger}, f.demand, now)[f.fill.ID]
}

// change alters the recipe.
func (f *foretold) change(how func(*Solution)) {
	solution := f.Solutions[f.fill.Solution]
	how(&solution)
	f.Solutions[f.fill.Solution] = solution
}

// Ten of forty rolls went through the fill in the week since it was filled; at
// two a weekday the other thirty take fifteen weekdays: the last one on the
// Friday of the third week.
func TestForecastGoesByWhatUsuallyComesIn(t *testing.T) {
	t.Parallel()
	now := monday
	f := forecastLab(now)
	o := f.outlook(now)
	want := time.Date(2026, 3, 20, 0, 0, 0, 0, time.UTC)
	if o.Cause != CapacityUsed || !o.RunsOut.Date.Equal(want) || math.Abs(o.DailyM2-48.0/34*roll) > 1e-9 {
		t.Errorf("%+v", o)
	}
	if o.Mix == nil || o.Mix.ML != 1000 || !o.Mix.By.Before(o.RunsOut.Earliest) || o.Mix.By.Weekday() == time.Saturday || o.Mix.By.Weekday() == time.Sunday {
		t.Errorf("to mix: %+v", o.Mix)
	}
	for _, part := range []string{"MQ borax in Hand tanks runs out about Fri 20 Mar 2026 (", "when its capacity is used: mix 1000 mL of MQ borax by "} {
		if !strings.Contains(o.Says, part) {
			t.Errorf("%q is not in %q", part, o.Says)
		}
	}
	// The tank is larger than its present fill: the next one fills it.
	line := f.Lines[handTanks]
	line.Tanks = map[SolutionID]LineTank{mqBorax: {VolumeML: 2500}}
	f.Lines[handTanks] = line
	if o = f.outlook(now); o.Mix.ML != 2500 {
		t.Errorf("%d mL are to be mixed", o.Mix.ML)
	}
	// A mix that will do stands ready; one that is too old or too little does not.
	f.demand.Mixes = []Mix{{ID: 3, Solution: mqBorax, Preparation: Working, VolumeML: 3000, LeftML: 2499, MixedAt: now}}
	if o = f.outlook(now); o.Mix.Ready != 0 {
		t.Error("2499 mL are taken for 2500")
	}
	f.demand.Mixes[0].LeftML = 2500
	if o = f.outlook(now); o.Mix.Ready != 3 || !strings.Contains(o.Says, "stand mixed") {
		t.Errorf("%+v: %s", o.Mix, o.Says)
	}
	f.change(func(s *Solution) { s.Keeping = []chemistry.Keeping{{Days: 12}} })
	f.fill.MixedAt = now.AddDate(0, 0, -1).Add(-6 * 24 * time.Hour)
	if o = f.outlook(now); o.Cause != TooOld || o.Mix.Ready != 3 {
		t.Errorf("%s, %+v", o.Cause, o.Mix)
	}
	f.demand.Mixes[0].MixedAt = now.AddDate(0, 0, -9)
	if o = f.outlook(now); o.Mix.Ready != 0 {
		t.Error("a mix is ready that is older than the fill")
	}
}

// A week of holidays puts the end off by a week, and nobody mixes on a closed day.
func TestForecastPassesOverHolidays(t *testing.T) {
	t.Parallel()
	f := forecastLab(monday)
	before := f.outlook(monday)
	f.Lab.Closures = []Closure{closing("2026-03-09", "2026-03-15")}
	closed := f.outlook(monday)
	if want := before.RunsOut.Date.AddDate(0, 0, 7); !closed.RunsOut.Date.Equal(want) || closed.DailyM2 != before.DailyM2 {
		t.Errorf("%+v, want %v and %v m² a day", closed, want, before.DailyM2)
	}
	days := []chemistry.DayWork{{Day: time.Date(2026, 2, 27, 0, 0, 0, 0, time.UTC), AreaM2: 1}, {Day: monday, AreaM2: 1}} // a Friday and a Monday
	day := func(d int) time.Time { return time.Date(2026, 3, d, 0, 0, 0, 0, time.UTC) }
	for _, test := range []struct {
		name     string
		closedOn Weekdays
		closed   []Closure
		days     []chemistry.DayWork
		runsOut  time.Time
		want     time.Time
	}{
		{"on a working day", 0, nil, days, day(14), day(13)},
		{"the Friday is a holiday", 0, []Closure{closing("2026-03-13", "2026-03-13")}, days, day(14), day(9)},
		{"nothing ran yet", WeekdaysOf(time.Sunday), nil, nil, day(9), day(7)},
		{"closed now on all days on which film ran", WeekdaysOf(time.Monday, time.Friday), nil, days, day(14), day(2)},
		{"never before today", WeekdaysOf(time.Sunday), nil, nil, day(2), day(2)},
	} {
		lab := Lab{TimeZone: "UTC", ClosedOn: test.closedOn, Closures: test.closed}
		if got := lab.beforeWork(test.runsOut, test.days, monday); !got.Equal(test.want) {
			t.Errorf("%s: by %v, want %v", test.name, got, test.want)
		}
	}
}

// What waits as usual changes nothing; what waits beyond it comes on top.
func TestForecastCountsTheQueue(t *testing.T) {
	t.Parallel()
	now := monday
	f := forecastLab(now)
	f.demand.Wait = 34 * time.Hour // 48 rolls in 34 days: two usually wait
	bw := func(line LineID, rolls float64) WaitingFilm {
		return WaitingFilm{Line: line, Process: chemistry.BW, Solution: mqBorax, AreaM2: rolls * roll}
	}
	usual := f.outlook(now)
	for name, test := range map[string]struct {
		waiting []WaitingFilm
		extra   float64
	}{
		"as many as usual":         {[]WaitingFilm{bw(0, 1), bw(handTanks, 1)}, 0},
		"ten more":                 {[]WaitingFilm{bw(0, 6), bw(handTanks, 6)}, 10},
		"in a batch elsewhere":     {[]WaitingFilm{bw(drum, 12)}, 0},
		"for another developer":    {[]WaitingFilm{{Process: chemistry.BW, Solution: pqFineGrain, AreaM2: 20 * roll}}, 0},
		"of another process":       {[]WaitingFilm{{Process: chemistry.C41, AreaM2: 20 * roll}}, 0},
		"more than the fill takes": {[]WaitingFilm{bw(0, 60)}, 58},
	} {
		f.demand.Waiting = test.waiting
		o := f.outlook(now)
		if math.Abs(o.ExtraM2-test.extra*roll) > 1e-9 {
			t.Errorf("%s: %v rolls on top, want %v", name, o.ExtraM2/roll, test.extra)
		}
		if earlier := o.RunsOut.Date.Before(usual.RunsOut.Date); earlier != (test.extra > 0) {
			t.Errorf("%s: %s, without it %s", name, o.RunsOut.Date, usual.RunsOut.Date)
		}
	}
	// A second line that did as much takes half of what has no batch.
	other := TankKey{drum, mqBorax}
	f.demand.Since[other] = f.demand.Since[TankKey{handTanks, mqBorax}]
	for _, day := range f.demand.Days {
		day.TankKey = other
		f.demand.Days = append(f.demand.Days, day)
	}
	f.demand.Waiting = []WaitingFilm{bw(0, 24)}
	if o := f.outlook(now); math.Abs(o.ExtraM2-10*roll) > 1e-9 {
		t.Errorf("of 24 rolls for two lines %v come on top", o.ExtraM2/roll)
	}
}

// replenishedLab is the same fill with a replenished developer: 900 mL/m².
func replenishedLab(now time.Time) *foretold {
	f := forecastLab(now)
	f.change(func(s *Solution) {
		s.Use, s.Family, s.Replenisher = chemistry.Replenished, chemistry.BWDeveloper, chemistry.ReplenishRate{MLPerM2: 900}
	})
	for _, film := range f.ledger {
		f.ledger = append(f.ledger, Entry{ID: film.ID + 100, Kind: EntryReplenished, Answers: film.ID, Amount: 900 * film.AreaM2, At: film.At})
	}
	return f
}

func TestForecastOfAReplenishedFill(t *testing.T) {
	t.Parallel()
	now := monday
	for name, test := range map[string]struct {
		change func(*foretold)
		cause  RunOutCause
		date   time.Time
		says   string
	}{
		"as it should be": {func(*foretold) {}, "", time.Time{}, "no mix of its replenisher is on record"},
		"it keeps a fortnight": {func(f *foretold) { f.change(func(s *Solution) { s.Keeping = []chemistry.Keeping{{Days: 14}} }) },
			TooOld, time.Date(2026, 3, 9, 0, 0, 0, 0, time.UTC), "keeps until Mon 9 Mar 2026: mix 1000 mL of MQ borax by Fri 6 Mar 2026"},
		// Nothing was added: as a reused fill, thirty rolls more.
		"nothing was added": {func(f *foretold) { f.ledger = f.ledger[:5] },
			NotReplenished, time.Date(2026, 3, 20, 0, 0, 0, 0, time.UTC), "because replenisher was not added"},
		// 900 mL/m² and two rolls a weekday: 929 mL keep ten weekdays going.
		"the replenisher ends": {func(f *foretold) {
			f.demand.Mixes = []Mix{{Solution: mqBorax, Preparation: ReplenisherMixture, VolumeML: 5000, LeftML: 20 * roll * 900, MixedAt: now}}
		}, ReplenisherOut, time.Date(2026, 3, 13, 0, 0, 0, 0, time.UTC), "The replenisher of MQ borax runs out about Fri 13 Mar 2026"},
		"no replenisher is left": {func(f *foretold) {
			f.demand.Mixes = []Mix{{Solution: mqBorax, Preparation: ReplenisherMixture, VolumeML: 5000, MixedAt: now}}
		}, ReplenisherOut, time.Date(2026, 3, 2, 0, 0, 0, 0, time.UTC), "runs out today: mix 5000 mL of MQ borax replenisher today"},
		"the rate is not known": {func(f *foretold) { f.change(func(s *Solution) { s.Replenisher.MLPerM2 = 0 }) },
			"", time.Time{}, "does not say how much replenisher film calls for"},
	} {
		f := replenishedLab(now)
		test.change(f)
		o := f.outlook(now)
		if o.Cause != test.cause || !o.RunsOut.Date.Equal(test.date) || !strings.Contains(o.Says, test.says) {
			t.Errorf("%s: %s on %s: %s", name, o.Cause, o.RunsOut.Date.Format("2 Jan"), o.Says)
		}
	}
}

// What today's film calls for is poured when there is time: until the day is
// over it counts as poured, and the sentence says so.
func TestForecastCountsTodaysDosesAsPoured(t *testing.T) {
	t.Parallel()
	now := monday.Add(5 * time.Hour)
	f := replenishedLab(now)
	f.demand.Mixes = []Mix{{Solution: mqBorax, Preparation: ReplenisherMixture, VolumeML: 5000, LeftML: 20 * roll * 900, MixedAt: now}}
	today := Entry{ID: 500, Kind: EntryFilm, At: monday, AreaM2: 10 * roll, CalledML: 9000 * roll}
	f.ledger = append(f.ledger, today)
	o := f.outlook(now)
	// Half of what is mixed goes to film that has run: five weekdays are left.
	if want := time.Date(2026, 3, 6, 0, 0, 0, 0, time.UTC); o.Cause != ReplenisherOut || !o.RunsOut.Date.Equal(want) {
		t.Errorf("%s on %s: %s", o.Cause, o.RunsOut.Date, o.Says)
	}
	if o.Verdict != chemistry.InUse || !strings.HasSuffix(o.Says, " 464 mL that film of today calls for are not confirmed and count as poured.") {
		t.Errorf("%s: %s", o.Verdict, o.Says)
	}
	course, err := f.Course(f.fill, f.ledger, []Fill{f.fill}, f.demand, now)
	if err != nil || course.Past[len(course.Past)-1].CapacityUsed != 0 || course.Ahead[0].Used != 0 {
		t.Errorf("the chart does not: %+v, %v", course.Ahead, err)
	}
	// On the next day it was not poured.
	f.demand.Mixes = nil
	if o = f.outlook(now.AddDate(0, 0, 1)); o.Cause != NotReplenished || strings.Contains(o.Says, "count as poured") {
		t.Errorf("the day after: %s: %s", o.Cause, o.Says)
	}
}

func TestForecastSaysWhatItDoesNotKnow(t *testing.T) {
	t.Parallel()
	now := monday
	for name, test := range map[string]struct {
		change func(*foretold)
		says   string
	}{
		"no capacity": {func(f *foretold) { f.change(func(s *Solution) { s.CapacityM2PerL = 0 }) }, "does not say how much film a litre takes, nor does it say how long it keeps"},
		"no capacity, but it keeps": {func(f *foretold) {
			f.change(func(s *Solution) { s.CapacityM2PerL, s.Keeping = 0, []chemistry.Keeping{{Months: 2}} })
		}, "How much film it still takes cannot be told"},
		"a new lab": {func(f *foretold) { f.demand, f.ledger, f.fill.FilledAt = Demand{}, nil, now }, "no whole day with film in it"},
		"a new lab with much to do": {func(f *foretold) {
			f.demand, f.ledger, f.fill.FilledAt = Demand{Waiting: []WaitingFilm{{Process: chemistry.BW, Solution: mqBorax, AreaM2: 41 * roll}}}, nil, now
		}, "what waits now is more than it takes"},
		"next to no work": {func(f *foretold) {
			f.demand.Days, f.ledger = f.demand.Days[:1], nil
			f.change(func(s *Solution) { s.CapacityM2PerL = 50 })
		}, "lasts for more than two years"},
		"one-shot":       {func(f *foretold) { f.change(func(s *Solution) { s.Use = chemistry.OneShot }) }, "is used once and then dumped"},
		"exhausted":      {func(f *foretold) { f.change(func(s *Solution) { s.CapacityM2PerL = roll }) }, "takes no more film: mix 1000 mL of MQ borax today"},
		"clock set back": {func(f *foretold) { f.fill.FilledAt = now.Add(time.Hour) }, "Nothing can be foretold of MQ borax in Hand tanks: time out of order: now 2026"},
	} {
		f := forecastLab(now)
		test.change(f)
		if o := f.outlook(now); !strings.Contains(o.Says, test.says) {
			t.Errorf("%s: %q", name, o.Says)
		}
	}
}

func TestForecastLeavesDumpedFillsAlone(t *testing.T) {
	t.Parallel()
	f := forecastLab(monday)
	f.fill.DumpedAt = monday
	if outlooks := f.Outlooks([]Fill{f.fill}, nil, f.demand, monday); len(outlooks) != 0 {
		t.Errorf("%v", outlooks)
	}
}

// notAfter reports whether a day is no later than another one; no day is never.
func notAfter(day, other time.Time) bool {
	return other.IsZero() || !day.IsZero() && !day.After(other)
}

// More work never makes a fill last longer, and more left never makes it end
// sooner; the range always holds the date.
func TestForecastLaws(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		now := monday.AddDate(0, 0, rapid.IntRange(0, 6).Draw(t, "weekday")).Add(time.Duration(rapid.IntRange(0, 9).Draw(t, "hour")) * time.Hour)
		f := forecastLab(now)
		if rapid.Bool().Draw(t, "replenished") {
			f = replenishedLab(now)
			f.demand.Mixes = []Mix{{Solution: mqBorax, Preparation: ReplenisherMixture, VolumeML: 5000, MixedAt: now,
				LeftML: rapid.Float64Range(0, 5000).Draw(t, "replenisher left")}}
		}
		if rapid.Bool().Draw(t, "keeps") {
			f.change(func(s *Solution) {
				s.Keeping = []chemistry.Keeping{{Days: rapid.IntRange(8, 60).Draw(t, "days")}}
			})
		}
		f.demand.Wait = time.Duration(rapid.IntRange(0, 96).Draw(t, "wait")) * time.Hour
		waits := rapid.Float64Range(0, 60).Draw(t, "waits")
		queue := func(rolls float64) {
			f.demand.Waiting = []WaitingFilm{{Process: chemistry.BW, Solution: mqBorax, AreaM2: rolls * roll}}
		}
		queue(waits)
		o := f.outlook(now)
		if r := o.RunsOut; !notAfter(r.Earliest, r.Date) || !notAfter(r.Date, r.Latest) {
			t.Fatalf("%s is not within %s to %s", r.Date, r.Earliest, r.Latest)
		}
		if (o.Cause == "") != o.RunsOut.Date.IsZero() || !o.RunsOut.Date.IsZero() && o.RunsOut.Date.Before(dayOf(now)) {
			t.Fatalf("%q on %s", o.Cause, o.RunsOut.Date)
		}
		if o.Mix != nil && (o.Mix.By.After(o.RunsOut.Earliest) || o.Mix.By.Before(dayOf(now))) {
			t.Fatalf("mix by %s, it may run out from %s on", o.Mix.By, o.RunsOut.Earliest)
		}
		queue(waits + rapid.Float64Range(0, 40).Draw(t, "more"))
		busier := f.outlook(now)
		for _, pair := range [][2]time.Time{{busier.RunsOut.Date, o.RunsOut.Date}, {busier.RunsOut.Earliest, o.RunsOut.Earliest}, {busier.RunsOut.Latest, o.RunsOut.Latest}} {
			if !notAfter(pair[0], pair[1]) {
				t.Fatalf("with more waiting %+v, with less %+v", busier.RunsOut, o.RunsOut)
			}
		}
		queue(0)
		o = f.outlook(now)
		more := rapid.IntRange(0, len(f.demand.Days)-1).Draw(t, "busier day")
		f.demand.Days[more].AreaM2 *= rapid.Float64Range(1, 5).Draw(t, "times")
		if busier = f.outlook(now); !notAfter(busier.RunsOut.Date, o.RunsOut.Date) {
			t.Fatalf("with a busier past %+v, with a quieter one %+v", busier.RunsOut, o.RunsOut)
		}
		f.change(func(s *Solution) { s.CapacityM2PerL *= rapid.Float64Range(1, 3).Draw(t, "capacity") })
		for i := range f.demand.Mixes {
			f.demand.Mixes[i].LeftML += rapid.Float64Range(0, 3000).Draw(t, "more replenisher")
		}
		larger := f.outlook(now)
		for _, pair := range [][2]time.Time{{busier.RunsOut.Date, larger.RunsOut.Date}, {busier.RunsOut.Earliest, larger.RunsOut.Earliest}, {busier.RunsOut.Latest, larger.RunsOut.Latest}} {
			if !notAfter(pair[0], pair[1]) {
				t.Fatalf("with more left %+v, with less %+v", larger.RunsOut, busier.RunsOut)
			}
		}
	})
}

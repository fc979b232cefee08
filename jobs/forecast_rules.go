package jobs

import (
	"maps"
	"math"
	"slices"
	"time"

	"wetside/chemistry"
)

// ending is one thing that will end a fill.
type ending struct {
	chemistry.Forecast
	cause RunOutCause
}

// forecaster foretells one fill.
type forecaster struct {
	Catalogue
	demand   Demand
	tanks    []TankKey // in use
	fill     Fill
	solution Solution
	now      time.Time // where the lab is
	days     []chemistry.DayWork
	dailyM2  float64
	extraM2  float64
	openML   float64 // as in [Outlook]
	dueML    float64 // see [Fill.WaitsForPours]
	waits    bool    // for replenisher that is due
	state    chemistry.State
}

// Outlooks foretells every fill in use from what went through it, what usually
// comes in and what waits. A fill of which nothing can be foretold says why.
func (c Catalogue) Outlooks(fills []Fill, ledgers map[FillID][]Entry, demand Demand, now time.Time) map[FillID]Outlook {
	now = now.In(c.Lab.Zone())
	var tanks []TankKey
	for _, fill := range fills {
		if fill.DumpedAt.IsZero() {
			tanks = append(tanks, TankKey{fill.Line, fill.Solution})
		}
	}
	outlooks := map[FillID]Outlook{}
	for _, fill := range fills {
		if fill.DumpedAt.IsZero() {
			f := forecaster{Catalogue: c, demand: demand, tanks: tanks, fill: fill, now: now}
			outlooks[fill.ID] = f.outlook(ledgers[fill.ID])
		}
	}
	return outlooks
}

// judge works out how the fill stands, and what it is asked for. What film of
// today calls for is poured when there is time, so that it counts as poured until
// the day is over; a start goes by what was confirmed.
func (f *forecaster) judge(ledger []Entry) (err error) {
	f.now = present(ledger, f.now)
	f.solution = f.Solutions[f.fill.Solution]
	f.days, f.dailyM2, f.extraM2 = f.asked(TankKey{f.fill.Line, f.fill.Solution})
	ledger, f.openML = asPoured(ledger, midnight(f.now))
	f.dueML, f.waits = f.fill.WaitsForPours(f.solution, ledger, f.now)
	life := f.fill.life(ledger)
	life.Recent = f.days
	f.state, err = chemistry.Assess(f.solution.life(), life, f.now)
	return err
}

// asked is what a tank of the fill's solution is asked for.
func (f *forecaster) asked(tank TankKey) (days []chemistry.DayWork, dailyM2, extraM2 float64) {
	days = f.demand.days(tank, f.now)
	dailyM2 = daily(days, f.now)
	days = append(days, f.Lab.closedDays(f.now)...)
	return days, dailyM2, f.demand.extra(tank, f.solution, f.tanks, dailyM2)
}

// outlook foretells the fill. A clock that was set back takes its forecast away,
// and no other.
func (f *forecaster) outlook(ledger []Entry) Outlook {
	o := Outlook{Fill: f.fill.ID, At: f.now.UTC()}
	err := f.judge(ledger)
	var endings []ending
	if err == nil {
		endings, err = f.endings()
	}
	if err != nil {
		o.Says = "Nothing can be foretold of " + f.fill.name() + ": " + err.Error() + "."
		return o
	}
	o.Verdict, o.DailyM2, o.ExtraM2, o.OpenML = f.state.Verdict, f.dailyM2, f.extraM2, f.openML
	o.RunsOut, o.Cause = first(endings)
	o.Mix = f.toMix(o)
	o.Ends = f.ends(o)
	o.Says = f.says(o)
	return o
}

// endings lists what will end the fill, as far as that can be foretold.
func (f *forecaster) endings() ([]ending, error) {
	var endings []ending
	add := func(cause RunOutCause, leftM2, extraM2 float64, days []chemistry.DayWork) error {
		if math.IsInf(leftM2, 1) {
			return nil
		}
		forecast, err := chemistry.ForecastRunOut(days, after(leftM2, extraM2), f.now, time.Time{})
		if !forecast.Date.IsZero() {
			endings = append(endings, ending{forecast, cause})
		}
		return err
	}
	cause := CapacityUsed
	switch {
	case f.state.Verdict == chemistry.Exhausted:
		cause = UsedUpNow
	case f.solution.Use == chemistry.Replenished && f.solution.Replenisher.MLPerM2 > 0:
		cause = NotReplenished
	}
	if err := add(cause, f.state.RunsThroughM2(f.solution.life()), f.extraM2, f.days); err != nil {
		return nil, err
	}
	if !f.state.KeepsUntil.IsZero() && f.state.Verdict != chemistry.Exhausted {
		day := dayOf(f.state.KeepsUntil.In(f.now.Location()))
		endings = append(endings, ending{chemistry.Forecast{Date: day, Earliest: day, Latest: day}, TooOld})
	}
	leftM2, extraM2, days := f.replenisherLeft()
	return endings, add(ReplenisherOut, leftM2, extraM2, days)
}

// after is what is left once film that waits beyond the usual has gone through.
// That takes its time, so a last roll stays to be waited for.
func after(leftM2, extraM2 float64) float64 {
	return max(leftM2-extraM2, min(leftM2, chemistry.FilmUnitArea))
}

// replenisherLeft is the film in m² that the mixed replenisher still keeps the
// solution going for, in all lines, once what is due has been poured; infinite
// where no mix of it is on record.
func (f *forecaster) replenisherLeft() (leftM2, extraM2 float64, days []chemistry.DayWork) {
	rate := f.solution.Replenisher.MLPerM2
	known, ml := false, -f.state.ReplenisherDueML-f.openML
	for _, mix := range f.demand.Mixes {
		if mix.Solution != f.solution.ID || mix.Preparation != ReplenisherMixture {
			continue
		}
		known = true
		if until := mix.KeepsUntil(f.solution, f.now.Location()); until.IsZero() || f.now.Before(until) {
			ml += mix.LeftML
		}
	}
	if !known || rate == 0 || f.solution.Use != chemistry.Replenished || f.state.Verdict == chemistry.Exhausted {
		return math.Inf(1), 0, nil
	}
	for _, tank := range f.tanks {
		if tank.Solution == f.solution.ID {
			more, _, extra := f.asked(tank)
			days = append(days, f.pushed(tank, more)...)
			extraM2 += extra
		}
	}
	return max(0, ml) / rate, extraM2, days
}

// pushed is the work of a tank as its replenisher sees it: pushed film calls for
// more, and counts for so much more area.
func (f *forecaster) pushed(tank TankKey, days []chemistry.DayWork) []chemistry.DayWork {
	life := f.solution.life()
	called := []chemistry.DayWork{}
	for _, work := range days {
		if work.AreaM2 == 0 {
			called = append(called, work)
		}
	}
	for _, film := range f.demand.Days {
		if film.TankKey == tank {
			y, m, day := film.Day.Date()
			called = append(called, chemistry.DayWork{
				Day:    time.Date(y, m, day, 0, 0, 0, 0, f.now.Location()),
				AreaM2: life.CalledForML(film.AreaM2, film.Push) / life.Replenisher.MLPerM2,
			})
		}
	}
	return called
}

// first is the ending that comes first. Each end of the range is the earliest of
// all endings, so that it holds for the fill and not for one cause alone.
func first(endings []ending) (chemistry.Forecast, RunOutCause) {
	var forecast chemistry.Forecast
	var cause RunOutCause
	earlier := func(day, than time.Time) bool { return !day.IsZero() && (than.IsZero() || day.Before(than)) }
	for _, e := range endings {
		if earlier(e.Date, forecast.Date) {
			forecast.Date, cause = e.Date, e.cause
		}
		if earlier(e.Earliest, forecast.Earliest) {
			forecast.Earliest = e.Earliest
		}
		if earlier(e.Latest, forecast.Latest) {
			forecast.Latest = e.Latest
		}
	}
	return forecast, cause
}

// toMix is what has to stand ready before the fill runs out: a fresh fill, or
// as much replenisher as was mixed the last time. A one-shot solution is mixed
// for its load, and nothing for a fill that only waits for what is due.
func (f *forecaster) toMix(o Outlook) *ToMix {
	if o.Cause == "" || f.solution.Use == chemistry.OneShot || f.waits {
		return nil
	}
	mix := &ToMix{Solution: f.solution.ID, Preparation: Working, ML: f.fill.VolumeML}
	if tank := f.Lines[f.fill.Line].Tanks[f.solution.ID]; tank.VolumeML > 0 {
		mix.ML = tank.VolumeML
	}
	if o.Cause == ReplenisherOut {
		mix.Preparation = ReplenisherMixture
		mix.ML = f.latestMix(ReplenisherMixture).VolumeML
	}
	mix.By = f.Lab.beforeWork(o.RunsOut.Earliest, f.days, f.now)
	for _, ready := range f.demand.Mixes {
		until := ready.KeepsUntil(f.solution, f.now.Location())
		if ready.Solution == f.solution.ID && ready.Preparation == Working && mix.Preparation == Working &&
			ready.LeftML >= float64(mix.ML) && (until.IsZero() || o.RunsOut.Date.Before(dayOf(until))) {
			mix.Ready = ready.ID
		}
	}
	return mix
}

// latestMix is the youngest mix of a preparation of the fill's solution.
func (f *forecaster) latestMix(preparation Preparation) Mix {
	var latest Mix
	for _, mix := range f.demand.Mixes {
		if mix.Solution == f.solution.ID && mix.Preparation == preparation && !mix.MixedAt.Before(latest.MixedAt) {
			latest = mix
		}
	}
	return latest
}

// Warnings are the events of fills that have come to a worse verdict than they
// were last foretold with. A fill of which nothing was said before is warned of
// when it has to be replaced now or soon.
func Warnings(last, now map[FillID]Outlook) []Event {
	var events []Event
	for _, id := range slices.Sorted(maps.Keys(now)) {
		before, outlook := last[id].Verdict, now[id]
		if outlook.Verdict.Worse(before) && outlook.Verdict.Worse(chemistry.InUse) {
			events = append(events, Event{By: Program, Kind: "warn", Fill: id, From: string(before), To: string(outlook.Verdict), Why: outlook.Says})
		}
	}
	return events
}

// Today is the day where the lab is, as midnight UTC.
func (l Lab) Today(now time.Time) time.Time { return dayOf(now.In(l.Zone())) }

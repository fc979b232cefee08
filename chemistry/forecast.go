package chemistry

import (
	"iter"
	"math"
	"slices"
	"time"
)

// DayWork is the film that ran on one day.
type DayWork struct {
	Day    time.Time // any time of that day; its own calendar date counts
	AreaM2 float64
	// Closed marks a day, gone by or to come, on which the lab is closed though it
	// is open on that weekday.
	Closed bool
}

// Forecast says when a fill runs out, as calendar days where the lab is, written
// as midnight UTC. A zero time means not within two years, or not to be told.
type Forecast struct {
	Date time.Time
	// Earliest and Latest hold the day at least eight times in ten, if the work
	// goes on as it did. Days are whole, so it is nearer nine.
	Earliest, Latest time.Time
}

const (
	historyDays = 56     // older work says little of what is to come
	horizonDays = 730    // further off nothing is foretold
	weekdaySeen = 2      // weekdays are told apart once so many of each were seen
	eightInTen  = 1.2816 // standard deviations that hold eight in ten
)

// ForecastRunOut foretells when an area of film in m² is used up, from the
// lab's recent days, and cuts it off when the solution no longer keeps. Days
// without work between the first day given and now count as idle; today counts
// as far as it goes. Closed days are passed over, and nothing is learnt of them. Weekdays that differ are told apart once two whole weeks
// are known. The range widens with the scatter of the days, with how few there
// were, and never shrinks below the scatter of customers who come by chance.
// An infinite area leaves keeping alone.
func ForecastRunOut(recent []DayWork, leftM2 float64, now, keepsUntil time.Time) (Forecast, error) {
	if math.IsNaN(leftM2) || leftM2 < 0 {
		return Forecast{}, within("area left in m²", leftM2, 0, math.Inf(1))
	}
	if err := checkWork(recent, now); err != nil {
		return Forecast{}, err
	}
	forecast := Forecast{}
	if pace := newPace(recent, now); leftM2 == 0 {
		today := calendarDay(now)
		forecast = Forecast{today, today, today}
	} else if pace.days > 0 && !math.IsInf(leftM2, 1) {
		forecast = pace.runOut(leftM2, now)
	}
	if !keepsUntil.IsZero() {
		end := calendarDay(keepsUntil.In(now.Location()))
		for _, day := range []*time.Time{&forecast.Date, &forecast.Earliest, &forecast.Latest} {
			if day.IsZero() || day.After(end) {
				*day = end
			}
		}
	}
	return forecast, nil
}

// WorkAhead is the film in m² that will have run from now until the end of a
// day, as a calendar day. The true figure lies between low and high at least
// eight times in ten.
type WorkAhead struct {
	Day               time.Time
	M2, LowM2, HighM2 float64
}

// ForecastWork foretells the work of so many days from today on, as
// [ForecastRunOut] does; nothing where there is nothing to go by.
func ForecastWork(recent []DayWork, now time.Time, days int) ([]WorkAhead, error) {
	if err := firstFault(checkWork(recent, now), within("days", float64(days), 0, horizonDays)); err != nil {
		return nil, err
	}
	p := newPace(recent, now)
	if p.days == 0 {
		return nil, nil
	}
	return slices.Collect(p.ahead(now, days)), nil
}

func checkWork(recent []DayWork, now time.Time) error {
	for _, work := range recent {
		if err := within("area of a day in m²", work.AreaM2, 0, maxAreaM2); err != nil {
			return err
		}
		if !work.Closed && calendarDay(now).Before(calendarDay(work.Day)) {
			return outOfOrder("now", now, "a day's work", work.Day)
		}
	}
	return nil
}

// pace is what a lab does in a day, by groups of weekdays that go together.
type pace struct {
	days     int        // whole days it was learnt from
	group    [7]int     // the group of each weekday
	mean     [7]float64 // m² a day in a group
	seen     [7]float64 // days of the group it was learnt from
	variance float64    // of a day about the mean of its group
	today    float64    // m² done today
	closed   map[time.Time]bool
}

// newPace learns the pace from whole days; today is noted apart.
func newPace(recent []DayWork, now time.Time) pace {
	today := calendarDay(now)
	areas, closed := map[time.Time]float64{}, map[time.Time]bool{}
	first := today
	for _, work := range recent {
		day := calendarDay(work.Day)
		if work.Closed {
			closed[day] = true
			continue
		}
		if day.Before(today.AddDate(0, 0, -historyDays)) {
			continue
		}
		areas[day] += work.AreaM2
		if day.Before(first) {
			first = day
		}
	}
	p := pace{today: areas[today], closed: closed}
	var days []time.Time
	for day := first; day.Before(today); day = day.AddDate(0, 0, 1) {
		if !closed[day] || areas[day] > 0 {
			days = append(days, day)
		}
	}
	p.learn(days, areas)
	return p
}

// learn finds the mean of each group of weekdays and the scatter about it. The
// scatter is no less than that of single rolls that come by chance (Poisson).
func (p *pace) learn(days []time.Time, areas map[time.Time]float64) {
	p.days = len(days)
	groups := 1
	var seen [7]int
	for _, day := range days {
		seen[day.Weekday()]++
	}
	if slices.Min(seen[:]) >= weekdaySeen {
		groups = len(p.group)
		for weekday := range p.group {
			p.group[weekday] = weekday
		}
	}
	total := 0.0
	for _, day := range days {
		group := p.group[day.Weekday()]
		p.seen[group]++
		p.mean[group] += (areas[day] - p.mean[group]) / p.seen[group]
		total += areas[day]
	}
	squares := 0.0
	for _, day := range days {
		off := areas[day] - p.mean[p.group[day.Weekday()]]
		squares += off * off
	}
	p.variance = max(squares/float64(max(1, p.days-groups)), FilmUnitArea*total/float64(max(1, p.days)))
}

// ahead walks day by day through what is to come.
func (p pace) ahead(now time.Time, days int) iter.Seq[WorkAhead] {
	return func(yield func(WorkAhead) bool) {
		var ahead [7]float64 // days ahead in each group
		work := WorkAhead{Day: calendarDay(now)}
		for i := range days {
			group := p.group[work.Day.Weekday()]
			share := 1.0
			if i == 0 {
				share = p.restOfToday(group)
			}
			if p.closed[work.Day] {
				share = 0
			}
			work.M2 += share * p.mean[group]
			ahead[group] += share
			half := eightInTen * math.Sqrt(p.variance*scatter(ahead, p.seen))
			// What has run never becomes less.
			work.LowM2 = max(work.LowM2, work.M2-half)
			work.HighM2 = max(work.HighM2, work.M2+half)
			if !yield(work) {
				return
			}
			work.Day = work.Day.AddDate(0, 0, 1)
		}
	}
}

// runOut walks ahead until the area is used: in the mean, and at the fast and
// the slow end of what the scatter allows.
func (p pace) runOut(leftM2 float64, now time.Time) Forecast {
	var forecast Forecast
	enough := leftM2 * (1 - shareError)
	for work := range p.ahead(now, horizonDays) {
		for _, end := range []struct {
			day  *time.Time
			used float64
		}{{&forecast.Earliest, work.HighM2}, {&forecast.Date, work.M2}, {&forecast.Latest, work.LowM2}} {
			if end.day.IsZero() && end.used >= enough {
				*end.day = work.Day
			}
		}
		if !forecast.Latest.IsZero() {
			break
		}
	}
	return forecast
}

// restOfToday is the share of a day's work that is still to come today.
func (p pace) restOfToday(group int) float64 {
	if p.mean[group] == 0 {
		return 0
	}
	return max(0, 1-p.today/p.mean[group])
}

// scatter is the variance of the work of days ahead, in variances of one day:
// each day's own, and that of the mean it was foretold from.
func scatter(ahead, seen [7]float64) float64 {
	sum := 0.0
	for group, days := range ahead {
		if days > 0 {
			sum += days + days*days/seen[group]
		}
	}
	return sum
}

// daysWork is what went through the fill, by day where the lab is. The first
// whole day after filling counts even if it was idle.
func (f Fill) daysWork(now time.Time) []DayWork {
	var work []DayWork
	if first := f.Filled.In(now.Location()).AddDate(0, 0, 1); first.Before(now) {
		work = append(work, DayWork{Day: first})
	}
	for _, pass := range f.Through {
		work = append(work, DayWork{Day: pass.At.In(now.Location()), AreaM2: pass.AreaM2})
	}
	return work
}

// calendarDay is the date of a time in its own location, as midnight UTC: days
// of 24 hours each, whatever the clocks do.
func calendarDay(t time.Time) time.Time {
	return time.Date(t.Year(), t.Month(), t.Day(), 0, 0, 0, 0, time.UTC)
}

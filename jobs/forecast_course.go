package jobs

import (
	"time"

	"wetside/chemistry"
)

// courseDays is how far ahead a course goes at most, and courseUnknown where no
// end is foretold.
const (
	courseDays    = 120
	courseUnknown = 28
)

// Course follows a fill from when it was filled, and on to its end as far as
// that is foretold.
func (c Catalogue) Course(fill Fill, ledger []Entry, fills []Fill, demand Demand, now time.Time) (FillCourse, error) {
	solution := c.Solutions[fill.Solution]
	now = present(ledger, now).In(c.Lab.Zone())
	poured := ledger
	if fill.DumpedAt.IsZero() {
		poured, _ = asPoured(ledger, midnight(now))
	}
	past, err := chemistry.Course(solution.life(), fill.life(poured))
	if err != nil {
		return FillCourse{}, err
	}
	course := FillCourse{Past: past}
	if !fill.DumpedAt.IsZero() {
		return course, nil
	}
	course.Outlook = c.Outlooks(fills, map[FillID][]Entry{fill.ID: ledger}, demand, now)[fill.ID]
	if course.Outlook.Cause == UsedUpNow || course.Outlook.Verdict == "" { // or a clock was set back, as the outlook says
		return course, nil
	}
	days := courseUnknown
	if end := course.Outlook.RunsOut.Latest; !end.IsZero() {
		days = min(courseDays, int(end.Sub(dayOf(now)).Hours()/24)+3)
	} else if date := course.Outlook.RunsOut.Date; !date.IsZero() {
		days = courseDays
	}
	usual := append(demand.days(TankKey{fill.Line, fill.Solution}, now), c.Lab.closedDays(now)...)
	work, err := chemistry.ForecastWork(usual, now, days)
	if err != nil {
		return FillCourse{}, err
	}
	ahead := newCourseAhead(solution.life(), fill, past[len(past)-1], course.Outlook.ExtraM2)
	for _, day := range work {
		by, err := ahead.by(day)
		if err != nil {
			return FillCourse{}, err
		}
		course.Ahead = append(course.Ahead, by)
	}
	return course, nil
}

// courseAhead carries a fill on from where it stands.
type courseAhead struct {
	from    chemistry.CoursePoint
	usedM2  float64 // of the capacity, for a m² of film
	extraM2 float64 // that waits beyond what usually waits, as the forecast counts it
	bleed   chemistry.Bleed
}

func newCourseAhead(solution chemistry.Solution, fill Fill, from chemistry.CoursePoint, extraM2 float64) courseAhead {
	ahead := courseAhead{from: from, extraM2: extraM2}
	if capacity := solution.CapacityM2PerL * float64(fill.VolumeML) / 1000; capacity > 0 {
		ahead.usedM2 = 1 / capacity
		// Replenished as it was so far, that share of the film counts.
		if solution.Use == chemistry.Replenished && solution.Replenisher.MLPerM2 > 0 {
			ahead.usedM2 = 0
			if from.AreaM2 > 0 {
				ahead.usedM2 = from.CapacityUsed / from.AreaM2
			}
		}
	}
	if ahead.usedM2 > 0 {
		leftM2 := max(0, 1-from.CapacityUsed) / ahead.usedM2
		ahead.extraM2 = leftM2 - after(leftM2, extraM2)
	}
	ahead.bleed = chemistry.Bleed{
		VolumeML: float64(fill.VolumeML), ReplenisherMLPerRoll: solution.CalledForML(chemistry.FilmUnitArea, 0), Bromide: solution.Bromide,
	}
	ahead.bleed.Bromide.StartGPerL = from.BromideGPerL
	return ahead
}

// by is how the fill is used by the end of a day.
func (a courseAhead) by(day chemistry.WorkAhead) (CourseAhead, error) {
	by := CourseAhead{Day: day.Day}
	for _, end := range []struct {
		m2            float64
		used, bromide *float64
	}{{day.M2, &by.Used, &by.Bromide}, {day.LowM2, &by.LowUsed, &by.LowBromide}, {day.HighM2, &by.HighUsed, &by.HighBromide}} {
		*end.used = a.from.CapacityUsed + a.usedM2*(end.m2+a.extraM2)
		*end.bromide = a.from.BromideGPerL
		if a.bleed.Bromide.ReleasedMGPerRoll > 0 {
			var err error
			if *end.bromide, err = a.bleed.After((end.m2 + a.extraM2) / chemistry.FilmUnitArea); err != nil {
				return CourseAhead{}, err
			}
		}
	}
	// A tank above its steady state comes down the faster the more film it gets.
	by.LowBromide, by.HighBromide = min(by.LowBromide, by.HighBromide), max(by.LowBromide, by.HighBromide)
	return by, nil
}

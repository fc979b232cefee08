package jobs

import (
	"time"

	"wetside/chemistry"
)

// takes reports whether waiting film will go through a solution.
func (f WaitingFilm) takes(solution Solution) bool {
	return f.Process == solution.Process && (solution.Family != chemistry.BWDeveloper || f.Solution == solution.ID)
}

// days is the work of a tank by day, in m²: from when it was first filled, so
// that the idle days after it count.
func (d Demand) days(tank TankKey, now time.Time) []chemistry.DayWork {
	days := []chemistry.DayWork{}
	if since, known := d.Since[tank]; known {
		if first := since.In(now.Location()).AddDate(0, 0, 1); first.Before(now) {
			days = append(days, chemistry.DayWork{Day: first})
		}
	}
	for _, film := range d.Days {
		if film.TankKey == tank {
			days = append(days, chemistry.DayWork{Day: film.Day, AreaM2: film.AreaM2})
		}
	}
	// The day that the database named is the lab's, whatever the zone says.
	for i := range days {
		y, m, day := days[i].Day.Date()
		days[i].Day = time.Date(y, m, day, 0, 0, 0, 0, now.Location())
	}
	return days
}

// closedDays are the days of the closures. Weekdays on which the lab is closed are
// not among them: nothing goes through on those, and that is learnt from them.
func (l Lab) closedDays(now time.Time) []chemistry.DayWork {
	var days []chemistry.DayWork
	for _, closure := range l.Closures {
		for d := closure.first(); d < closure.end(); d++ {
			y, m, day := d.day().Date()
			days = append(days, chemistry.DayWork{Day: time.Date(y, m, day, 0, 0, 0, 0, now.Location()), Closed: true})
		}
	}
	return days
}

// daily is the film in m² of a day in the mean, working day or not; 0 where no
// whole day is known.
func daily(days []chemistry.DayWork, now time.Time) float64 {
	today := dayOf(now)
	first, total := today, 0.0
	for _, work := range days {
		day := dayOf(work.Day)
		if day.Before(today.AddDate(0, 0, -DemandDays)) {
			day = today.AddDate(0, 0, -DemandDays)
		}
		if day.Before(first) {
			first = day
		}
		if day.Before(today) {
			total += work.AreaM2
		}
	}
	if !first.Before(today) {
		return 0
	}
	return total / (today.Sub(first).Hours() / 24)
}

// waits is the film in m² that waits for a tank: what batches of its line hold,
// and its share of what has no batch, by what the tanks took lately.
func (d Demand) waits(tank TankKey, solution Solution, tanks []TankKey) float64 {
	share := d.share(tank, tanks)
	area := 0.0
	for _, film := range d.Waiting {
		switch {
		case !film.takes(solution):
		case film.Line == tank.Line:
			area += film.AreaM2
		case film.Line == 0:
			area += share * film.AreaM2
		}
	}
	return area
}

// share is how much of the film for a solution goes through one of its tanks;
// even shares where none has run yet.
func (d Demand) share(tank TankKey, tanks []TankKey) float64 {
	own, all := 0.0, 0.0
	for _, film := range d.Days {
		if film.Solution == tank.Solution {
			all += film.AreaM2
			if film.Line == tank.Line {
				own += film.AreaM2
			}
		}
	}
	if all > 0 {
		return own / all
	}
	n := 0
	for _, other := range tanks {
		if other.Solution == tank.Solution {
			n++
		}
	}
	return 1 / float64(max(1, n))
}

// extra is the film in m² that waits for a tank beyond what usually waits: what
// comes in within the time that film usually waits.
func (d Demand) extra(tank TankKey, solution Solution, tanks []TankKey, dailyM2 float64) float64 {
	usual := dailyM2 * d.Wait.Hours() / 24
	return max(0, d.waits(tank, solution, tanks)-usual)
}

// beforeWork is the working day before a day: the nearest open one on whose
// weekday film went through lately, or simply the open day before. It is never
// before today.
func (l Lab) beforeWork(day time.Time, days []chemistry.DayWork, now time.Time) time.Time {
	var works [7]bool
	seen := false
	for _, work := range days {
		if work.AreaM2 > 0 {
			works[work.Day.Weekday()], seen = true, true
		}
	}
	today, before := dayOf(now), day.AddDate(0, 0, -1)
	for before.After(today) && (seen && !works[before.Weekday()] || !l.OpenOn(before)) {
		before = before.AddDate(0, 0, -1)
	}
	if before.Before(today) {
		return today
	}
	return before
}

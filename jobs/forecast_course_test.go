package jobs

import (
	"math"
	"strings"
	"testing"
	"time"

	"wetside/chemistry"
)

// The course reaches the end of the capacity on the days that are foretold.
func TestCourseEndsWhereTheForecastDoes(t *testing.T) {
	t.Parallel()
	now := monday
	saturday := now.AddDate(0, 0, -2)
	queue := forecastLab(saturday)
	queue.demand.Waiting = []WaitingFilm{{Process: chemistry.BW, Solution: mqBorax, AreaM2: 60 * roll}}
	pushed := replenishedLab(now)
	pushed.change(func(s *Solution) { s.Replenisher.PushFactor = 1.5 })
	for i := range pushed.ledger {
		pushed.ledger[i].Push = chemistry.Stop
	}
	for name, lab := range map[string]*foretold{
		"reused": forecastLab(now), "not replenished": replenishedLab(now), "pushed": pushed, "more waits than it takes, on a day off": queue,
	} {
		now := now
		if lab == queue {
			now = saturday
		}
		lab.change(func(s *Solution) { s.Bromide = chemistry.BromideFigures{ReleasedMGPerRoll: 50} })
		used := 0.25
		switch name {
		case "not replenished":
			lab.ledger = lab.ledger[:5]
		case "pushed":
			used = 0.125 // called for 1.5 times as much as was added
		}
		course, err := lab.Course(lab.fill, lab.ledger, []Fill{lab.fill}, lab.demand, now)
		if err != nil {
			t.Fatal(err)
		}
		first := func(used func(CourseAhead) float64) time.Time {
			for _, day := range course.Ahead {
				if used(day) >= 1-1e-9 {
					return day.Day
				}
			}
			return time.Time{}
		}
		out := course.Outlook.RunsOut
		for what, pair := range map[string][2]time.Time{
			"date":     {first(func(d CourseAhead) float64 { return d.Used }), out.Date},
			"earliest": {first(func(d CourseAhead) float64 { return d.HighUsed }), out.Earliest},
			"latest":   {first(func(d CourseAhead) float64 { return d.LowUsed }), out.Latest},
		} {
			if pair[1].IsZero() || !pair[0].Equal(pair[1]) {
				t.Errorf("%s, %s: the course ends on %s, the forecast says %s", name, what, pair[0], pair[1])
			}
		}
		if math.Abs(course.Past[len(course.Past)-1].CapacityUsed-used) > 1e-9 {
			t.Errorf("%s: past %+v", name, course.Past)
		}
		for i, day := range course.Ahead {
			if day.LowUsed > day.Used || day.Used > day.HighUsed || day.LowBromide > day.Bromide || day.Bromide > day.HighBromide {
				t.Errorf("%s: %+v", name, day)
			}
			if i > 0 && (day.Used < course.Ahead[i-1].Used || day.Bromide < course.Ahead[i-1].Bromide) {
				t.Errorf("%s: on %s less than the day before", name, day.Day)
			}
		}
	}
}

// Ten rolls of 50 mg in a litre are 0.5 g/L; reused it rises by 0.1 g/L for two
// rolls a weekday (mass balance).
func TestCourseOfBromide(t *testing.T) {
	t.Parallel()
	now := monday
	lab := forecastLab(now)
	lab.change(func(s *Solution) { s.Bromide = chemistry.BromideFigures{ReleasedMGPerRoll: 50} })
	course, err := lab.Course(lab.fill, lab.ledger, []Fill{lab.fill}, lab.demand, now)
	if err != nil {
		t.Fatal(err)
	}
	if got := course.Ahead[4].Bromide; math.Abs(got-1) > 1e-9 {
		t.Errorf("on Friday %v g/L, want 1", got)
	}
}

func TestCourseOfADumpedOrNewFill(t *testing.T) {
	t.Parallel()
	now := monday
	lab := forecastLab(now)
	lab.fill.DumpedAt = now
	course, err := lab.Course(lab.fill, lab.ledger, nil, lab.demand, now)
	if err != nil || len(course.Past) != 6 || len(course.Ahead) != 0 || course.Outlook.Says != "" {
		t.Errorf("dumped: %+v, %v", course, err)
	}
	lab.fill.DumpedAt, lab.fill.FilledAt = time.Time{}, now
	course, err = lab.Course(lab.fill, nil, []Fill{lab.fill}, Demand{}, now)
	if err != nil || len(course.Past) != 1 || len(course.Ahead) != 0 || course.Outlook.Says == "" {
		t.Errorf("new: %+v, %v", course, err)
	}
	lab.fill.VolumeML = 0
	if _, err := lab.Course(lab.fill, nil, []Fill{lab.fill}, Demand{}, now); err == nil {
		t.Error("a fill of nothing has a course")
	}
}

// A clock that was set back takes the forecast away, not the course.
func TestCourseWithTheClockSetBack(t *testing.T) {
	t.Parallel()
	lab := forecastLab(monday)
	course, err := lab.Course(lab.fill, lab.ledger, []Fill{lab.fill}, lab.demand, monday.AddDate(0, 0, -10))
	if err != nil || len(course.Past) != 6 || len(course.Ahead) != 0 || !strings.Contains(course.Outlook.Says, "Nothing can be foretold") {
		t.Errorf("%+v, %v", course, err)
	}
}

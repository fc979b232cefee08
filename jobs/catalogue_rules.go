package jobs

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"sync"
	"time"

	"wetside/chemistry"
)

// CheckSolution checks a solution and returns it as it is kept.
func CheckSolution(s Solution, c Catalogue) (Solution, error) {
	var wrong fieldErrors
	s.Name = strings.TrimSpace(s.Name)
	wrong.name("name", s.Name)
	wrong.oneOf("process", string(s.Process), names(chemistry.Processes))
	wrong.oneOf("family", string(s.Family), names(chemistry.SolutionFamilies))
	wrong.oneOf("use", string(s.Use), names(chemistry.UseModes))
	wrong.within("temp_c", s.TempC, 5, 60)
	wrong.within("per_roll_percent", s.PerRollPercent, 0, 50)
	wrong.within("capacity_m2_per_l", s.CapacityM2PerL, 0, 100)
	if s.Use == chemistry.Reused && s.Family == chemistry.BWDeveloper && s.CapacityM2PerL > chemistry.MaxReuseM2PerL && s.CapacityM2PerL <= 100 {
		wrong.add("capacity_m2_per_l", "a litre of reused developer does not take %g m², allowed are 0 to %.4g", s.CapacityM2PerL, chemistry.MaxReuseM2PerL)
	}
	wrong.within("b", s.B, 0, 0.3)
	if s.PushFactor != 0 && !(s.PushFactor > 1 && s.PushFactor <= 3) {
		wrong.add("push_factor", "a stop cannot multiply the time by %g, allowed are 0 for the starting point, and above 1 up to 3", s.PushFactor)
	}
	if s.Family == chemistry.BWDeveloper && s.Process != chemistry.BW {
		wrong.add("family", "a black-and-white developer belongs to BW, not to %s", s.Process)
	}
	for _, stock := range sortedStocks(c) {
		if s.ID != 0 && stock.uses(s.ID) && (s.Process != chemistry.BW || s.Family != chemistry.BWDeveloper) {
			wrong.add("process", "%s has developing times in this solution, so it stays a black-and-white developer", stock.Name)
			break
		}
	}
	wrong.tanksOf(s, c)
	s = wrong.recipe(s)
	return s, wrong.err("this solution cannot be saved")
}

// uses reports whether a stock is developed in a solution.
func (s Stock) uses(solution SolutionID) bool {
	return s.Solution == solution || slices.ContainsFunc(s.Times, func(t StockTimes) bool { return t.Solution == solution })
}

// CheckLine checks a line and returns it as it is kept.
func CheckLine(l Line, c Catalogue) (Line, error) {
	var wrong fieldErrors
	l.Name = strings.TrimSpace(l.Name)
	wrong.name("name", l.Name)
	wrong.within("capacity", float64(l.Capacity), 1, 10000)
	wrong.within("turnaround", float64(l.Turnaround), 0, 86400)
	if len(l.Runs) == 0 {
		wrong.add("runs", "a line runs at least one process")
	}
	seen := map[chemistry.Process]bool{}
	for i, run := range l.Runs {
		field := fmt.Sprintf("runs[%d]", i)
		if seen[run.Process] {
			wrong.add(field, "%s is named twice", run.Process)
		}
		seen[run.Process] = true
		if _, err := chemistry.CycleFor(run.Process, run.Variant); err != nil {
			wrong.add(field, "%v", err)
		}
	}
	if len(l.Takes) == 0 {
		wrong.add("takes", "a line takes at least one format")
	}
	for _, format := range slices.Sorted(maps.Keys(l.Takes)) {
		field := "takes[" + string(format) + "]"
		wrong.oneOf(field, string(format), names(chemistry.Formats))
		if units := l.Takes[format]; units < 1 || units > l.Capacity {
			wrong.add(field, "a roll of %s cannot fill %d units, allowed are 1 to the line's %d", format, units, l.Capacity)
		}
	}
	wrong.tanks(l, c)
	return l, wrong.err("this line cannot be saved")
}

// CheckTested checks the lab's own developing times of a colour process against
// each other and against the shipped ones.
func CheckTested(process chemistry.Process, times []chemistry.PushTime) error {
	if process == chemistry.BW || !slices.Contains(chemistry.Processes, process) {
		return InvalidField("process", "%q has no table of colour times, allowed are C-41, E-6 and ECN-2", string(process))
	}
	var wrong fieldErrors
	for i, t := range times {
		wrong.line(fmt.Sprintf("times[%d].source", i), t.Source.Text, maxSource)
	}
	if _, err := chemistry.ColourTimes(process, times); err != nil {
		wrong.add("times", "%v", err)
	}
	return wrong.err("these times cannot be saved")
}

// maxSource is the longest text that says where a figure is from.
const maxSource = 200

// CheckLab checks what the lab says about itself.
func CheckLab(lab Lab) (Lab, error) {
	var wrong fieldErrors
	lab.Name = strings.TrimSpace(lab.Name)
	wrong.name("name", lab.Name)
	wrong.within("ready_hours", float64(lab.ReadyHours), 1, 2400)
	wrong.within("tolerance_percent", lab.TolerancePercent, 0, 15)
	wrong.within("opens_at", float64(lab.OpensAt), 0, 23)
	wrong.within("closes_at", float64(lab.ClosesAt), 1, 24)
	if lab.ClosesAt <= lab.OpensAt {
		wrong.add("closes_at", "the lab cannot close at %d:00 when it opens at %d:00", lab.ClosesAt, lab.OpensAt)
	}
	if lab.ClosedOn >= WeekdaysOf(Week...) {
		wrong.add("open_on", "the lab is open on at least one weekday")
	} else {
		wrong.longClosed("open_on", lab)
	}
	if _, err := time.LoadLocation(lab.TimeZone); err != nil || lab.TimeZone == "" || lab.TimeZone == "Local" {
		wrong.add("time_zone", "%q is no time zone; write it like Europe/Lisbon or UTC", lab.TimeZone)
	}
	wrong.paragraph("return_address", lab.ReturnAddress, maxAddress)
	return lab, wrong.err("the lab's details cannot be saved")
}

// zones keeps the time zones that were asked for: reading one from the machine's
// list takes longer than most decisions that need it.
var zones sync.Map

// Zone is the lab's time zone.
func (l Lab) Zone() *time.Location {
	if zone, ok := zones.Load(l.TimeZone); ok {
		return zone.(*time.Location)
	}
	zone, err := time.LoadLocation(l.TimeZone)
	if err != nil {
		// The name was checked when it was saved; a machine that has lost its
		// list of zones still has to tell the time.
		return time.UTC
	}
	zones.Store(l.TimeZone, zone)
	return zone
}

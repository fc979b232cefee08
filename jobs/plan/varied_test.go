package plan_test

import (
	"fmt"
	"math/rand/v2"
	"time"

	"wetside/chemistry"
	"wetside/jobs/plan"
)

// variedDay draws a day of as many rolls as wanted, unlike any other: one to
// six lines, alike or not, with processes of their own or shared, of capacity
// 1 to 40; one stock or many; few windows or a window for every roll; promises
// for a few hours or for any second, from impossible to easy.
func variedDay(r *rand.Rand, rolls int) plan.Input {
	v := variety{r: r, processes: someOf(r, chemistry.Processes)}
	in := plan.Input{Start: morning}
	if r.IntN(2) == 0 {
		in.Combine = someOf(r, v.processes)
	}
	in.Lines = v.lines()
	v.windows = 1 + r.IntN(8)*r.IntN(2) + 30*(r.IntN(8)/7)
	v.pushes = 1 + r.IntN(3)*r.IntN(3)
	v.formats = someOf(r, []chemistry.Format{"135", "120", "220"})
	if r.IntN(4) == 0 {
		v.formats = append(v.formats, "4x5")
	}
	// The room of all lines together says how long the day has to be.
	room := 0.0
	for _, line := range in.Lines {
		room += float64(line.Capacity) / 4
	}
	seconds := float64(rolls) / room * 2400 * pick(r, []float64{0.3, 0.6, 0.9, 1.2, 2, 5})
	v.day = time.Duration(max(seconds, 4000)) * time.Second
	v.hours = r.IntN(2) * (1 + r.IntN(6))
	in.Until = morning.Add(v.day)
	for i := range rolls {
		in.Rolls = append(in.Rolls, v.roll(fmt.Sprintf("R%05d", i)))
	}
	return in
}

// variety is what the rolls of a day have in common.
type variety struct {
	r         *rand.Rand
	processes []chemistry.Process
	formats   []chemistry.Format
	windows   int // of each process
	pushes    int
	day       time.Duration
	hours     int // that promises are made for; 0 for any second
}

func (v *variety) lines() []plan.Line {
	var lines []plan.Line
	for i := range 1 + v.r.IntN(6) {
		line := plan.Line{
			ID: fmt.Sprintf("line %d", i), Processes: v.processes,
			Capacity: 1 + v.r.IntN(40), TurnaroundS: 300 * (2 + v.r.IntN(6)),
			Takes: map[chemistry.Format]int{"135": 1 + v.r.IntN(3), "120": 1 + v.r.IntN(6), "220": 2 + v.r.IntN(9)},
		}
		switch v.r.IntN(4) {
		case 0:
			line.Processes = someOf(v.r, v.processes)
		case 1:
			line.Processes = []chemistry.Process{pick(v.r, v.processes)}
		case 2:
			if i > 0 { // the twin of another
				id := line.ID
				line = pick(v.r, lines)
				line.ID = id
			}
		}
		lines = append(lines, line)
	}
	return lines
}

func (v *variety) roll(id string) plan.Roll {
	roll := plan.Roll{ID: id, Process: pick(v.r, v.processes), Format: pick(v.r, v.formats)}
	roll.Push = chemistry.Stops(v.r.IntN(v.pushes)) * chemistry.Stop
	develop := 195 + 30*int(roll.Push/chemistry.Stop)
	roll.DevelopS = plan.Window{develop, develop}
	if roll.Process == chemistry.BW {
		roll.Solution = "MQ borax"
		low := 300 + 20*v.r.IntN(v.windows)
		roll.DevelopS = plan.Window{low, low + low/8 + 10*v.r.IntN(v.windows)}
	}
	due := time.Duration(float64(v.day) * 1.3 * v.r.Float64())
	if v.hours > 0 {
		due = v.day * time.Duration(1+v.r.IntN(v.hours+1)) / time.Duration(v.hours)
	}
	roll.Due = morning.Add(due.Truncate(time.Second))
	return roll
}

// someOf draws one at least, in order.
func someOf[T any](r *rand.Rand, from []T) []T {
	var some []T
	for _, v := range from {
		if r.IntN(2) == 0 {
			some = append(some, v)
		}
	}
	if len(some) == 0 {
		some = append(some, pick(r, from))
	}
	return some
}

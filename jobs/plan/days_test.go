package plan_test

import (
	"fmt"
	"math/rand/v2"
	"time"

	"wetside/chemistry"
	"wetside/jobs/plan"
)

var morning = time.Date(2026, 3, 2, 8, 0, 0, 0, time.UTC)

// sort of day to draw at random.
type dayKind struct {
	name      string
	processes []chemistry.Process
	combine   bool
	lines     int
	tight     bool // whether the batches of a day hardly fit into it
	misfits   bool // whether some formats fit no line
	alike     bool // whether promises are made for few hours of the day
}

// dayKinds are all combinations.
func dayKinds() []dayKind {
	var kinds []dayKind
	for i, processes := range [][]chemistry.Process{
		{chemistry.C41, chemistry.E6}, {chemistry.BW}, {chemistry.C41, chemistry.BW, chemistry.ECN2},
	} {
		for lines := 1; lines <= 3; lines++ {
			for bits := range 16 {
				k := dayKind{"", processes, bits&1 > 0, lines, bits&2 > 0, bits&4 > 0, bits&8 > 0}
				k.name = fmt.Sprintf("processes %d, lines %d, combine %v, tight %v, misfits %v, alike %v",
					i, lines, k.combine, k.tight, k.misfits, k.alike)
				kinds = append(kinds, k)
			}
		}
	}
	return kinds
}

// draw makes a day with some rolls. The hours of promises shrink with hours.
func (k dayKind) draw(r *rand.Rand, rolls int, hours float64) plan.Input {
	in := plan.Input{Start: morning, Until: morning.Add(time.Duration(hours*3600) * time.Second)}
	if k.combine {
		in.Combine = []chemistry.Process{chemistry.BW, chemistry.C41}
	}
	for l := range k.lines {
		in.Lines = append(in.Lines, k.line(r, l))
	}
	formats := []chemistry.Format{"135", "135", "135", "120", "120", "220"}
	if k.misfits {
		formats = append(formats, "4x5", "4x5")
	}
	for i := range rolls {
		roll := plan.Roll{ID: fmt.Sprintf("R%03d", i), Process: pick(r, k.processes), Format: pick(r, formats)}
		k.develop(r, &roll)
		seconds := r.IntN(int(hours*3600*1.3)) - 600
		if k.alike {
			seconds = int(hours*3600) * (1 + r.IntN(5)) / 4
		}
		roll.Due = morning.Add(time.Duration(seconds) * time.Second)
		in.Rolls = append(in.Rolls, roll)
	}
	return in
}

func (k dayKind) line(r *rand.Rand, index int) plan.Line {
	line := plan.Line{
		ID: fmt.Sprintf("line %d", index), Capacity: 6 + r.IntN(12), TurnaroundS: 900 + 300*r.IntN(4),
		Takes: map[chemistry.Format]int{"135": 2 + r.IntN(2), "120": 3 + r.IntN(3), "220": 6 + r.IntN(5)},
	}
	if index > 0 && r.IntN(3) == 0 {
		delete(line.Takes, pick(r, []chemistry.Format{"135", "120", "220"}))
	}
	for _, process := range k.processes {
		if index == 0 || r.IntN(3) > 0 {
			line.Processes = append(line.Processes, process)
		}
	}
	return line
}

func (k dayKind) develop(r *rand.Rand, roll *plan.Roll) {
	roll.Push = chemistry.Stops(r.IntN(2)) * chemistry.Stop
	if roll.Process != chemistry.BW {
		seconds := 195 + 30*int(roll.Push/chemistry.Stop)
		roll.DevelopS = plan.Window{seconds, seconds}
		return
	}
	roll.Solution = pick(r, []string{"MQ borax", "PQ fine grain"})
	low := 300 + 30*r.IntN(8)
	roll.DevelopS = plan.Window{low, low + 30*r.IntN(6)}
}

// postpone makes two promises of three fall due after the end of the day, at
// moments of their own, so that many rolls compete to ride along.
func postpone(r *rand.Rand, in plan.Input) {
	for i := range in.Rolls {
		if r.IntN(3) > 0 {
			in.Rolls[i].Due = in.Until.Add(time.Duration(1+r.IntN(50_000)) * time.Second)
		}
	}
}

func pick[T any](r *rand.Rand, from []T) T { return from[r.IntN(len(from))] }

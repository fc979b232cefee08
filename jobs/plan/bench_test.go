package plan_test

import (
	"fmt"
	"math/rand/v2"
	"testing"
	"time"

	"wetside/chemistry"
	"wetside/jobs/plan"
)

// labDay is the day of a lab with a number of rolls: four lines, all processes,
// promises for four hours of the day and for the days after, and stocks with a
// few windows each in black and white. The day is as long as the rolls need.
func labDay(rolls int) plan.Input {
	r := rand.New(rand.NewPCG(uint64(rolls), 4))
	day := time.Duration(max(8, rolls/20)) * time.Hour
	in := plan.Input{Start: morning, Until: morning.Add(day), Combine: []chemistry.Process{chemistry.BW}}
	takes := map[chemistry.Format]int{"135": 3, "120": 5, "220": 10}
	for i, processes := range [][]chemistry.Process{
		{chemistry.C41}, {chemistry.C41, chemistry.E6}, {chemistry.BW}, {chemistry.BW, chemistry.ECN2},
	} {
		in.Lines = append(in.Lines, plan.Line{
			ID: fmt.Sprintf("line %d", i), Processes: processes, Capacity: 15 + 15*(i%2), Takes: takes, TurnaroundS: 1500,
		})
	}
	windows := []plan.Window{{360, 420}, {400, 480}, {450, 540}, {600, 660}}
	for i := range rolls {
		roll := plan.Roll{
			ID:       fmt.Sprintf("R%05d", i),
			Process:  pick(r, []chemistry.Process{chemistry.C41, chemistry.C41, chemistry.E6, chemistry.BW, chemistry.BW, chemistry.ECN2}),
			Format:   pick(r, []chemistry.Format{"135", "135", "135", "120", "120", "220"}),
			Due:      morning.Add(day * time.Duration(1+r.IntN(6)) / 4),
			DevelopS: plan.Window{195, 195},
		}
		if roll.Process == chemistry.BW {
			roll.Solution, roll.DevelopS = "MQ borax", pick(r, windows)
		} else if r.IntN(4) == 0 {
			roll.Push, roll.DevelopS = chemistry.Stop, plan.Window{225, 225}
		}
		in.Rolls = append(in.Rolls, roll)
	}
	return in
}

func BenchmarkSolve(b *testing.B) {
	for _, rolls := range []int{100, 1000, 10_000} {
		b.Run(fmt.Sprint(rolls), func(b *testing.B) {
			in := labDay(rolls)
			b.ReportAllocs()
			proven := 0.0
			for b.Loop() {
				out, err := plan.Solve(in)
				if err != nil {
					b.Fatal(err)
				}
				if out.Proven {
					proven = 1
				}
			}
			b.ReportMetric(proven, "proven")
		})
	}
}

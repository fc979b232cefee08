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
// few windows each in black and white. The day is as long as the rolls need, or,
// where it is loose, three times as long.
func labDay(rolls int, loose bool) plan.Input {
	r := rand.New(rand.NewPCG(uint64(rolls), 4))
	day := time.Duration(max(8, rolls/20)) * time.Hour
	if loose {
		day *= 3
	}
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

// solver is a way to plan a day.
type solver struct {
	name  string
	solve func(in plan.Input) (plan.Plan, error)
}

// solvers are the planner and what it is measured against in the same run.
var solvers = []solver{
	{"best", plan.Solve},
	{"first fit", func(in plan.Input) (plan.Plan, error) { return firstFit(in), nil }},
}

// BenchmarkSolve shows how planning grows with the rolls.
func BenchmarkSolve(b *testing.B) {
	for _, rolls := range []int{100, 1000, 10_000} {
		for _, loose := range []bool{false, true} {
			name := fmt.Sprintf("tight/%d", rolls)
			if loose {
				name = fmt.Sprintf("loose/%d", rolls)
			}
			days := []plan.Input{labDay(rolls, loose)}
			b.Run(name, func(b *testing.B) { benchmark(b, days, solvers...) })
		}
	}
}

// BenchmarkVaried plans days that have little in common, one after another.
func BenchmarkVaried(b *testing.B) {
	for _, rolls := range []int{12, 25, 50, 100, 1000, 10_000} {
		var days []plan.Input
		for i := range 24 {
			days = append(days, variedDay(rand.New(rand.NewPCG(uint64(i), 5)), rolls))
		}
		b.Run(fmt.Sprint(rolls), func(b *testing.B) { benchmark(b, days, solvers...) })
	}
}

// BenchmarkTrade plans days as labs have them, one after another.
func BenchmarkTrade(b *testing.B) {
	for _, rolls := range []int{12, 25, 50, 100, 300} {
		var days []plan.Input
		for i := range 24 {
			days = append(days, anyTradeDay(rand.New(rand.NewPCG(uint64(i), 6)), rolls))
		}
		b.Run(fmt.Sprint(rolls), func(b *testing.B) { benchmark(b, days, solvers...) })
	}
}

// BenchmarkPatience plans some of those days with and without patience.
func BenchmarkPatience(b *testing.B) {
	for _, rolls := range []int{25, 50, 100} {
		var days []plan.Input
		for i := range 24 {
			days = append(days, anyTradeDay(rand.New(rand.NewPCG(uint64(i), 6)), rolls))
		}
		patient := solver{"patient", plan.SolveThoroughly}
		b.Run(fmt.Sprint(rolls), func(b *testing.B) { benchmark(b, days, solvers[0], patient) })
	}
}

// benchmark plans the days in turn. It reports the share that was proven, the
// slowest day, and late rolls and batches of all days.
func benchmark(b *testing.B, days []plan.Input, solvers ...solver) {
	for _, s := range solvers {
		b.Run(s.name, func(b *testing.B) {
			b.ReportAllocs()
			proven, late, batches, slowest := 0, 0, 0, time.Duration(0)
			for b.Loop() {
				proven, late, batches = 0, 0, 0
				for _, in := range days {
					from := time.Now()
					out, err := s.solve(in)
					if err != nil {
						b.Fatal(err)
					}
					slowest = max(slowest, time.Since(from))
					late, batches = late+len(out.Late), batches+len(out.Batches)
					if out.Proven {
						proven++
					}
				}
			}
			b.ReportMetric(float64(proven)/float64(len(days)), "proven")
			b.ReportMetric(float64(slowest.Milliseconds()), "slowest-ms")
			b.ReportMetric(float64(late), "late")
			b.ReportMetric(float64(batches), "batches")
		})
	}
}

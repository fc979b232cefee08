package plan_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"time"

	"wetside/chemistry"
	"wetside/jobs/plan"
)

// promise says when the rolls of a lab's day are due.
type promise int

const (
	byTheHour   promise = iota // at a few hours of the day
	byTheMinute                // any minute, so nearly every roll has a promise of its own
	oneOfEach                  // some at noon and at the end, others at any minute
	promises
)

// tradeDay is a sort of day as a lab has them.
type tradeDay struct {
	rolls   int
	lines   int
	promise promise
	room    float64 // time in the day for what has to be done: below 1 some rolls must be late
	combine bool
	later   float64 // share of rolls due after the day
	alike   bool    // whether most rolls are of the same stock
}

// anyTradeDay draws a day of any sort.
func anyTradeDay(r *rand.Rand, rolls int) plan.Input {
	return tradeDay{
		rolls: rolls, lines: 1 + r.IntN(4), promise: promise(r.IntN(int(promises))),
		room: pick(r, []float64{0.3, 0.5, 0.8, 1.1, 2}), combine: r.IntN(2) == 0,
		later: pick(r, []float64{0, 0.3, 0.6}), alike: r.IntN(3) == 0,
	}.draw(r)
}

// draw makes a day of the sort.
func (k tradeDay) draw(r *rand.Rand) plan.Input {
	in := plan.Input{Start: morning}
	if k.combine {
		in.Combine = []chemistry.Process{chemistry.BW}
		if r.IntN(3) == 0 {
			in.Combine = append(in.Combine, chemistry.C41)
		}
	}
	processes := someOf(r, []chemistry.Process{chemistry.C41, chemistry.BW, chemistry.E6, chemistry.ECN2})
	in.Lines = tradeLines(r, k.lines, processes)
	for i := range k.rolls {
		roll := tradeRoll(r, pick(r, processes))
		if k.alike && i > 0 && r.IntN(4) > 0 {
			roll = in.Rolls[0]
			roll.Format = pick(r, []chemistry.Format{"135", "120"})
		}
		roll.ID = fmt.Sprintf("R%05d", i)
		in.Rolls = append(in.Rolls, roll)
	}
	day := time.Duration(k.room*aboutSeconds(in)) * time.Second
	day = max(day.Truncate(15*time.Minute), 30*time.Minute)
	in.Until = morning.Add(day)
	hours := 1 + r.IntN(5)
	for i := range in.Rolls {
		minute := day * time.Duration(1+r.IntN(1000)) / 1000
		hour := day * time.Duration(1+r.IntN(hours)) / time.Duration(hours)
		due := hour
		if k.promise == byTheMinute || k.promise == oneOfEach && r.IntN(2) == 0 {
			due = minute.Truncate(time.Minute)
		}
		if r.Float64() < k.later {
			due = day + time.Duration(1+r.IntN(48))*time.Hour
		}
		in.Rolls[i].Due = morning.Add(due)
	}
	return in
}

func tradeLines(r *rand.Rand, n int, processes []chemistry.Process) []plan.Line {
	var lines []plan.Line
	for i := range n {
		line := plan.Line{ID: fmt.Sprintf("line %d", i), Processes: processes}
		switch r.IntN(4) {
		case 0: // a rotary drum, measured in tenths
			line.Capacity, line.TurnaroundS = 15, 1500
			line.Takes = map[chemistry.Format]int{"135": 3, "120": 5, "220": 10, "4x5": 2}
		case 1: // hand tanks, counted in reels
			line.Capacity, line.TurnaroundS = 2+r.IntN(7), 1200+300*r.IntN(3)
			line.Takes = map[chemistry.Format]int{"135": 1, "120": 2, "220": 2}
		case 2: // racks
			line.Capacity, line.TurnaroundS = 12+4*r.IntN(5), 1800
			line.Takes = map[chemistry.Format]int{"135": 2, "120": 2, "220": 4, "4x5": 1}
		default: // another drum
			line.Capacity, line.TurnaroundS = 10+5*r.IntN(5), 900+300*r.IntN(4)
			line.Takes = map[chemistry.Format]int{"135": 2, "120": 3, "220": 6, "4x5": 1 + r.IntN(2)}
		}
		if i > 0 && r.IntN(3) == 0 {
			line.Processes = someOf(r, processes)
		}
		if i > 0 && r.IntN(4) == 0 {
			id := line.ID
			line = lines[i-1]
			line.ID = id
		}
		lines = append(lines, line)
	}
	return lines
}

func tradeRoll(r *rand.Rand, process chemistry.Process) plan.Roll {
	roll := plan.Roll{Process: process}
	roll.Format = pick(r, []chemistry.Format{"135", "135", "135", "135", "120", "120", "120", "220", "4x5"})
	push := pick(r, []int{0, 0, 0, 0, 0, 0, 1, 1, 2, -1, 3})
	roll.Push = chemistry.Stops(push) * chemistry.Stop
	base, more := 0, []int{}
	switch process {
	case chemistry.C41:
		base, more = 195, []int{-30, 0, 30, 75, 150}
	case chemistry.E6:
		base, more = 360, []int{-60, 0, 120, 300, 480}
	case chemistry.ECN2:
		base, more = 180, []int{-20, 0, 40, 90, 150}
	case chemistry.BW:
		stock := r.IntN(6)
		roll.Solution = []string{"MQ borax", "PQ fine grain"}[stock%2]
		base, more = []int{390, 420, 480, 540, 600, 660}[stock], []int{-80, 0, 160, 320, 500}
	}
	seconds := base + more[push+1]
	roll.DevelopS = plan.Window{seconds, seconds}
	if process == chemistry.BW {
		roll.DevelopS = plan.Window{seconds - seconds/20, seconds + seconds/20}
	}
	return roll
}

// aboutSeconds is about how long the lines need for all rolls: of each sort of
// roll the batches, shared by the lines that run it.
func aboutSeconds(in plan.Input) float64 {
	type sort struct {
		process  chemistry.Process
		solution string
		push     chemistry.Stops
	}
	need := map[sort]float64{}
	total := 0.0
	for _, roll := range in.Rolls {
		room, n, seconds := 0.0, 0, 0.0
		for _, l := range in.Lines {
			if fits(l, roll) {
				room += float64(l.Takes[roll.Format]) / float64(l.Capacity)
				seconds += float64(l.TurnaroundS + roll.DevelopS[0])
				n++
			}
		}
		if n == 0 {
			continue
		}
		key := sort{roll.Process, roll.Solution, roll.Push}
		before := math.Ceil(need[key])
		need[key] += room / float64(n)
		total += (math.Ceil(need[key]) - before) * seconds / float64(n)
	}
	return total / float64(len(in.Lines))
}

package plan

import (
	"math"
	"math/rand/v2"
)

// spot says which loads a column counts: columns of the same spot are freed or
// held together when the search looks around a known solution.
type spot struct{ family, line, class int }

// region is a way of choosing what is freed around a known solution.
type region int

const (
	disputed region = iota // where the continuous solution says otherwise
	families               // a few families
	lines                  // two lines
	stretch                // a stretch of breaks
	anywhere               // spots here and there
	regions
)

// lookAround betters a known solution, or one that is nearly a solution, by
// holding most loads and settling the rest over again. Its draws come from a
// fixed seed, so that the same program always takes the same way.
func (b *branching) lookAround(known []float64, allowed int) {
	draw := rand.New(rand.NewPCG(1, uint64(len(b.p.cols))))
	continuous := append([]float64(nil), b.s.x[:b.s.n]...)
	share := [regions]float64{0.5, 0.3, 0.5, 0.3, 0.2}
	idle := 0
	for turn := 0; idle < 4*int(regions) && b.s.work < allowed && b.s.value() <= b.limit() && !b.s.stopped; turn++ {
		how := region(turn) % regions
		if b.best.x != nil {
			known = b.best.x
		}
		free := b.choosing(how, share[how], draw, known, continuous)
		before := b.best.value
		finished := b.settleNear(known, free, min(allowed, b.s.work+(allowed-b.s.work)/12))
		switch {
		case b.best.value < before:
			idle = 0
		case finished:
			idle++
			share[how] = min(share[how]*1.4, 0.95)
		default:
			idle++
			share[how] *= 0.7
		}
	}
}

// choosing returns which spots to free.
func (b *branching) choosing(how region, share float64, draw *rand.Rand, known, continuous []float64) func(j int, at spot) bool {
	drawn := map[int]bool{}
	pick := func(key int, share float64) bool {
		if yes, ok := drawn[key]; ok {
			return yes
		}
		drawn[key] = draw.Float64() < share
		return drawn[key]
	}
	from := draw.IntN(64)
	switch how {
	case disputed:
		return func(j int, _ spot) bool {
			return math.Abs(continuous[j]-known[j]) > 1-share || continuous[j] > 0.01 && pick(j, share/4)
		}
	case families:
		return func(_ int, at spot) bool { return pick(at.family, share) }
	case lines:
		return func(_ int, at spot) bool { return pick(at.line, 0.6) && pick(1000+at.family, share) }
	case stretch:
		return func(_ int, at spot) bool {
			return float64((at.class*7+from)%21) < 21*share && pick(at.class, 0.9)
		}
	}
	return func(_ int, at spot) bool { return pick((at.family*64+at.line)*1024+at.class, share) }
}

// settleNear searches with all loads held as known but those that are free,
// and says whether it came to an end.
func (b *branching) settleNear(known []float64, free func(j int, at spot) bool, allowed int) bool {
	lo, up := append([]float64(nil), b.s.lo...), append([]float64(nil), b.s.up...)
	basic := append([]int(nil), b.s.basic...)
	for j, c := range b.p.cols {
		if c.rank == rankLoads && !free(j, c.spot) {
			at := min(max(known[j], lo[j]), up[j])
			b.s.lo[j], b.s.up[j] = at, at
		}
	}
	b.s.restart(basic)
	out := b.s.solve(b.limit()+1e-6, allowed)
	if out == solved {
		b.node(allowed)
	}
	finished := out != spent && b.best.proven
	b.best.proven = true
	b.s.lo, b.s.up = lo, up
	b.s.restart(basic)
	b.s.solve(math.Inf(1), math.MaxInt)
	return finished
}

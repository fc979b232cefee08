package chemistry

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// The curve passes through its points, keeps between its neighbours and never
// turns back, however unevenly the points lie.
func TestTimeCurve(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		levels := rapid.SliceOfNDistinct(rapid.Float64Range(-30, 30), 1, 8, func(l float64) int { return int(math.Round(l * 2)) }).Draw(t, "levels")
		slices.Sort(levels)
		sign := rapid.SampledFrom([]float64{-1, 1}).Draw(t, "direction")
		var points []timePoint
		log := 6.0
		for _, level := range levels {
			points = append(points, timePoint{level, math.Exp(log)})
			log += sign * rapid.Float64Range(0, 1).Draw(t, "step")
		}
		curve := newTimeCurve(points)
		before := curve.low().seconds
		for i := range points {
			if got := curve.seconds(points[i].level); got != points[i].seconds {
				t.Fatalf("at %v the curve has %v, the table %v", points[i].level, got, points[i].seconds)
			}
			for part := range 20 {
				if i+1 == len(points) {
					break
				}
				level := points[i].level + float64(part)/20*(points[i+1].level-points[i].level)
				got := curve.seconds(level)
				if sign*(got-before) < -1e-9*before {
					t.Fatalf("the curve turns back at %v: %v after %v", level, got, before)
				}
				before = got
				if below, above := curve.neighbours(level); below.level > level || above.level < level || sign*(got-below.seconds) < -1e-9*got || sign*(above.seconds-got) < -1e-9*got {
					t.Fatalf("%v at %v is not between %v and %v", got, level, below, above)
				}
			}
		}
	})
}

package note

import (
	"math"
	"slices"

	"wetside/chemistry"
)

// nominal are the film speeds that boxes and meters are marked with, a third of
// a stop apart, with the doublings that cameras add at the upper end.
var nominal = []int{
	6, 8, 10, 12, 16, 20, 25, 32, 40, 50, 64, 80, 100, 125, 160, 200, 250, 320, 400, 500, 640, 800, 1000, 1250, 1600,
	2000, 2500, 3200, 4000, 5000, 6400, 8000, 10000, 12800, 16000, 20000, 25600, 32000, 40000, 51200, 64000, 80000, 102400,
}

// isSpeed reports whether film is marked with this number.
func isSpeed(value float64) bool {
	return value == math.Trunc(value) && value < 1e6 && slices.Contains(nominal, int(value))
}

// speedAt returns the nominal speed so many stops above the box speed, to the
// nearest third; 0 where there is none.
func speedAt(iso int, up chemistry.Stops) int {
	wanted := float64(iso) * math.Pow(2, up.Float())
	best := 0
	for _, speed := range nominal {
		if best == 0 || math.Abs(math.Log2(float64(speed)/wanted)) < math.Abs(math.Log2(float64(best)/wanted)) {
			best = speed
		}
	}
	if off, err := chemistry.SpeedStops(iso, best); err != nil || stopsApart(off, up) > chemistry.Stop/3 {
		return 0
	}
	return best
}

// stopsUp is how far an EI is above the box speed; both are speeds.
func stopsUp(iso, ei int) chemistry.Stops {
	up, err := chemistry.SpeedStops(iso, ei)
	if err != nil {
		return 0 // speeds outside the range never become findings
	}
	return up
}

func stopsApart(a, b chemistry.Stops) chemistry.Stops { return max(a-b, b-a) }

package chemistry

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
)

// Strip is one test strip: how long it was developed and what contrast it
// reached (its average gradient).
type Strip struct{ Seconds, Contrast float64 }

// ContrastCurve is how contrast grows with developing time, γ(t) = γ∞·(1 −
// e^(−k(t − t0))) (C. E. K. Mees, Jahrbuch 25, 1911, pp. 167-170).
type ContrastCurve struct {
	Ceiling          float64 // γ∞, which no time reaches
	RatePerMinute    float64 // k
	InductionSeconds float64 // t0, before which nothing is seen; 0 with two strips
	Strips           []Strip // in rising order of time
	Residuals        []float64
	freedom          int           // strips left over once the curve is settled
	covariance       *mat.SymDense // of Ceiling, k per second and, where fitted, t0
}

// ErrCalibration is wrapped by errors about strips that cannot carry a curve,
// and about contrasts that a curve cannot give a time for.
var ErrCalibration = errors.New("the strips cannot carry this")

// Calibrate fits a contrast curve to strips. Two strips give it in closed form
// without induction time; three or more by least squares with it. It refuses
// strips whose contrast rises too little or too much for such a curve, and a
// poor fit, with [ErrCalibration].
func Calibrate(strips []Strip) (ContrastCurve, error) {
	strips = slices.Clone(strips)
	slices.SortFunc(strips, func(a, b Strip) int {
		switch {
		case a.Seconds < b.Seconds:
			return -1
		case a.Seconds > b.Seconds:
			return 1
		}
		return 0
	})
	if err := checkStrips(strips); err != nil {
		return ContrastCurve{}, err
	}
	if len(strips) == 2 {
		return calibrateTwo(strips)
	}
	return calibrateMany(strips)
}

// checkStrips refuses numbers that no strip has.
func checkStrips(strips []Strip) error {
	if len(strips) < 2 {
		return fmt.Errorf("%w: %d strips, two at least are needed", ErrCalibration, len(strips))
	}
	for i, strip := range strips {
		if !(strip.Seconds >= 1 && strip.Seconds <= MaxClockSeconds) {
			return &RangeError{ErrClock, fmt.Sprintf("a strip of %g s", strip.Seconds), "1 s to 180:00"}
		}
		if !(strip.Contrast > 0 && strip.Contrast <= 5) {
			return &RangeError{ErrCalibration, fmt.Sprintf("a contrast of %g", strip.Contrast), "above 0, up to 5"}
		}
		if i > 0 && strip.Seconds == strips[i-1].Seconds {
			return fmt.Errorf("%w: two strips at %s, their times must differ", ErrCalibration, FormatClock(int(strip.Seconds)))
		}
	}
	return nil
}

// calibrateTwo solves the curve through two strips. At t and 2t that is k =
// (1/t)·ln(γ1/(γ2 − γ1)) and γ∞ = γ1²/(2γ1 − γ2); at any other two times k is
// the root of the ratio of the two contrasts.
func calibrateTwo(strips []Strip) (ContrastCurve, error) {
	t1, t2 := strips[0].Seconds, strips[1].Seconds
	g1, g2 := strips[0].Contrast, strips[1].Contrast
	if g2 <= g1 {
		return ContrastCurve{}, fmt.Errorf("%w: contrast %.2f at %s and %.2f at %s, but it must rise with time; strips swapped, or the developer is spent",
			ErrCalibration, g1, FormatClock(int(t1)), g2, FormatClock(int(t2)))
	}
	if g2*t1 >= g1*t2 {
		return ContrastCurve{}, fmt.Errorf("%w: contrast %.2f at %s and %.2f at %s, but it must rise less than the time does; the first strip is too short, add a third",
			ErrCalibration, g1, FormatClock(int(t1)), g2, FormatClock(int(t2)))
	}
	var k float64
	if t2 == 2*t1 {
		k = math.Log(g1/(g2-g1)) / t1
	} else {
		k = contrastRate(t1, t2, g2/g1)
	}
	ceiling := g1 / -math.Expm1(-k*t1)
	return ContrastCurve{Ceiling: ceiling, RatePerMinute: k * 60, Strips: strips, Residuals: []float64{0, 0}}, nil
}

// contrastRate finds the k per second at which contrast grows by ratio from t1
// to t2. The growth falls steadily from t2/t1, at no rate, to 1.
func contrastRate(t1, t2, ratio float64) float64 {
	low, high := 1e-9/t1, 700/t1
	for range 200 {
		middle := math.Sqrt(low * high)
		if math.Expm1(-middle*t2)/math.Expm1(-middle*t1) > ratio {
			low = middle
		} else {
			high = middle
		}
	}
	return math.Sqrt(low * high)
}

// Contrast returns the contrast that a developing time in seconds gives.
func (c ContrastCurve) Contrast(seconds float64) float64 {
	return c.Ceiling * -math.Expm1(-c.RatePerMinute/60*max(0, seconds-c.InductionSeconds))
}

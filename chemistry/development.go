package chemistry

import (
	"fmt"
	"math"
)

// Factor is one number of the sum that leads to a developing time. The values
// of a development's factors, multiplied together, are its time in seconds: the
// first is a time (Unit "s"), the others have no unit.
type Factor struct {
	Name   string  `json:"name"`
	Value  float64 `json:"value"`
	Unit   string  `json:"unit,omitempty"`
	Source string  `json:"source"`
}

// Development is how long, and how warm, a film stays in its developer, with
// the sum behind it. TempTolC is 0 where no tolerance is known.
type Development struct {
	Seconds  int      `json:"develop_s"`
	TempC    float64  `json:"temp_c"`
	TempTolC float64  `json:"temp_tol_c,omitempty"`
	Factors  []Factor `json:"factors"`
	Cautions []string `json:"cautions"`
}

// RoundingSeconds is the step to which a computed developing time is rounded,
// once, at the end: nobody times a tank finer than that.
const RoundingSeconds = 5

// multiplied is the time that the factors lead to, in seconds.
func (d Development) multiplied() float64 {
	product := 1.0
	for _, factor := range d.Factors {
		product *= factor.Value
	}
	return product
}

// How rounding is named among the factors.
const (
	roundingName = "rounding"
	nearestRule  = "to the nearest 5 s"
)

// settle sets the time to a whole number of seconds and notes the rounding as
// the last factor, so that the factors still multiply to the time.
func (d *Development) settle(seconds int, rule string) {
	d.Seconds = seconds
	exact := d.multiplied()
	if math.Abs(exact-float64(seconds)) < 1e-6 {
		return
	}
	d.Factors = append(d.Factors, Factor{Name: roundingName, Value: float64(seconds) / exact, Source: rule})
}

// settleNearest settles on the exact time to the nearest [RoundingSeconds],
// unless nobody could time that.
func (d *Development) settleNearest() error {
	rounded := roundSeconds(d.multiplied())
	if rounded < RoundingSeconds || rounded > MaxClockSeconds {
		return &RangeError{ErrRecipe, fmt.Sprintf("a developing time of %.1f s", d.multiplied()), "5 s to 180:00"}
	}
	d.settle(rounded, nearestRule)
	return nil
}

// roundSeconds rounds a time to the nearest [RoundingSeconds].
func roundSeconds(seconds float64) int {
	return RoundingSeconds * int(math.Round(seconds/RoundingSeconds))
}

// caution adds a sentence to read before the film goes in.
func (d *Development) caution(format string, args ...any) {
	d.Cautions = append(d.Cautions, fmt.Sprintf(format, args...))
}

// cautionStarting warns of a time that is neither published nor the lab's own.
func (d *Development) cautionStarting(level string, source Source) {
	if source.Standing != Published && source.Standing != LabsOwn {
		d.caution("The time at %s is a starting point (%s): test it before customers' film goes in.", level, source)
	}
}

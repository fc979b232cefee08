package plan

import "math"

// fractionMin keeps away from equations whose sum is all but whole.
const fractionMin = 0.02

// equation says that some variables, each a number from 0 upwards and times
// its coefficient, add up to a sum, but for whole numbers.
type equation struct {
	parts []part
	sum   float64
}

// part is a variable of an equation.
type part struct {
	v      int
	a      float64
	whole  bool    // whether it is a whole number in every whole solution
	fromUp bool    // counted down from its upper end, not up from its lower
	at     float64 // where it stands at the present point
}

// rounding makes a cut of an equation: the variables, each times its weight,
// add up to 1 at least. The equation is taken so many times, and only the
// fractions of its coefficients count. Without a step it is Gomory's
// mixed-integer rounding; with one, Dash and Günlük's in two steps, which keeps
// the fraction f in strides of the step.
type rounding struct {
	times, f, step float64
	strides        float64 // ⌈f / step⌉
	rest           float64 // what of f is beyond whole strides
	unit           float64 // rest × strides × (1 − f)
}

// newRounding refuses fractions and steps that would not cut or would blow up.
func newRounding(times, sum, step float64) (rounding, bool) {
	r := rounding{times: times, step: step}
	r.f = times*sum - math.Floor(times*sum)
	if r.f < fractionMin || r.f > 1-fractionMin {
		return r, false
	}
	if step == 0 {
		return r, true
	}
	r.strides = math.Ceil(r.f / step)
	r.rest = r.f - step*math.Floor(r.f/step)
	r.unit = r.rest * r.strides * (1 - r.f)
	return r, step < r.f && r.rest > 0.01 && step-r.rest > 0.001 && 1/step >= r.strides && r.strides < 50
}

// weight is that of a variable in the cut.
func (r *rounding) weight(p *part) float64 {
	a := p.a * r.times
	if !p.whole {
		if a < 0 {
			return -a / (1 - r.f)
		}
		if r.step == 0 {
			return a / r.f
		}
		return a * (1 - r.rest*r.strides) / r.unit
	}
	v := a - math.Floor(a)
	if v < 1e-9 || v > 1-1e-9 {
		return 0
	}
	if r.step == 0 {
		return min(v/r.f, (1-v)/(1-r.f))
	}
	k := min(r.strides-1, math.Floor(v/r.step+1e-10))
	if v-k*r.step < r.rest {
		return (v*(1-r.rest*r.strides) - k*(r.step-r.rest)) / r.unit
	}
	return (k + 1 - r.strides*v) / (r.strides * (1 - r.f))
}

// deepest picks, among roundings of the equation taken so many times and with
// steps that are fractions of its own coefficients, the one that the present
// point is furthest beyond.
func (e equation) deepest(times []float64) (rounding, bool) {
	var best rounding
	most := 1e-3
	consider := func(times, step float64) {
		r, ok := newRounding(times, e.sum, step)
		if !ok {
			return
		}
		// Weights are never negative, so that what is too long already cannot
		// become deeper.
		norm, sum, longest := 0.0, 0.0, 1/(most*most)
		for i := range e.parts {
			p := &e.parts[i]
			g := r.weight(p)
			norm += g * g
			if norm > longest {
				return
			}
			sum += g * p.at
		}
		if depth := (1 - sum) / math.Sqrt(norm+1e-12); depth > most {
			best, most = r, depth
		}
	}
	for _, t := range times {
		consider(t, 0)
		steps := 0
		for _, p := range e.parts {
			a := p.a * t
			step := a - math.Floor(a)
			if r, ok := newRounding(t, e.sum, step); step > 0 && p.whole && ok && r.f > step {
				consider(t, step)
				if steps++; steps == 6 {
					break
				}
			}
		}
	}
	return best, most > 1e-3
}

package chemistry

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"
)

// maxContrastResidual is how far, in contrast, a strip may lie off a curve that
// is fit for use: more is a reading or a temperature gone wrong.
const maxContrastResidual = 0.04

// calibrateMany fits the three-parameter curve. For a given k it is a straight
// line in e^(−kt), so the search is in k alone; the induction time is held at 0
// where the best one would be negative.
func calibrateMany(strips []Strip) (ContrastCurve, error) {
	if strips[len(strips)-1].Contrast <= strips[0].Contrast {
		return ContrastCurve{}, fmt.Errorf("%w: contrast does not rise from the first strip (%.2f) to the last (%.2f)",
			ErrCalibration, strips[0].Contrast, strips[len(strips)-1].Contrast)
	}
	fit := bestRate(strips, lineThrough)
	if fit.ceiling > 0 && fit.induction < 0 {
		fit = bestRate(strips, lineFromOrigin)
	}
	if !(fit.ceiling > 0) || math.IsNaN(fit.induction) {
		return ContrastCurve{}, fmt.Errorf("%w: the strips show no bend towards a highest contrast, add a longer one", ErrCalibration)
	}
	curve := ContrastCurve{Ceiling: fit.ceiling, RatePerMinute: fit.k * 60, InductionSeconds: max(0, fit.induction), Strips: strips}
	for _, strip := range strips {
		curve.Residuals = append(curve.Residuals, strip.Contrast-curve.Contrast(strip.Seconds))
	}
	if err := curve.checkFit(); err != nil {
		return ContrastCurve{}, err
	}
	curve.spread()
	return curve, nil
}

// checkFit refuses a curve that a strip lies too far off, and one that is all
// slope or all ceiling.
func (c ContrastCurve) checkFit() error {
	worst := 0
	for i, residual := range c.Residuals {
		if math.Abs(residual) > math.Abs(c.Residuals[worst]) {
			worst = i
		}
	}
	strip, residual := c.Strips[worst], c.Residuals[worst]
	turn := c.RatePerMinute / 60 * c.Strips[len(c.Strips)-1].Seconds
	switch {
	case math.Abs(residual) > maxContrastResidual:
		return fmt.Errorf("%w: poor fit, the strip at %s reads %.2f where the curve has %.2f; allowed are %.2f either way",
			ErrCalibration, FormatClock(int(strip.Seconds)), strip.Contrast, strip.Contrast-residual, maxContrastResidual)
	case turn < 2*minTurn:
		return fmt.Errorf("%w: the strips show no bend towards a highest contrast, add a longer one", ErrCalibration)
	case turn > maxTurn/2:
		return fmt.Errorf("%w: the strips are at their highest contrast almost from the first, add a shorter one", ErrCalibration)
	}
	return nil
}

// rateFit is the best curve at one rate.
type rateFit struct{ k, ceiling, induction, squares float64 }

// The rates tried, as k times the longest strip's time: at the lower end the
// curve is a straight line, at the upper a step.
const (
	minTurn = 0.02
	maxTurn = 60
)

// bestRate searches k for the least sum of squares, first on a grid, then by
// golden section within the best cell.
func bestRate(strips []Strip, at func([]Strip, float64) rateFit) rateFit {
	span := strips[len(strips)-1].Seconds
	const cells = 400
	rate := func(cell float64) float64 { return minTurn * math.Pow(maxTurn/minTurn, cell/cells) / span }
	best := 0
	for cell := 1; cell <= cells; cell++ {
		if at(strips, rate(float64(cell))).squares < at(strips, rate(float64(best))).squares {
			best = cell
		}
	}
	low, high := float64(best-1), float64(best+1)
	golden := (math.Sqrt(5) - 1) / 2
	for range 100 {
		a, b := high-golden*(high-low), low+golden*(high-low)
		if at(strips, rate(a)).squares < at(strips, rate(b)).squares {
			high = b
		} else {
			low = a
		}
	}
	return at(strips, rate((low+high)/2))
}

// lineThrough fits γ = γ∞ − γ∞·e^(k·t0)·e^(−kt) at a rate.
func lineThrough(strips []Strip, k float64) rateFit {
	xs, ys := make([]float64, len(strips)), make([]float64, len(strips))
	for i, strip := range strips {
		xs[i], ys[i] = math.Exp(-k*strip.Seconds), strip.Contrast
	}
	ceiling, slope := stat.LinearRegression(xs, ys, nil, false)
	fit := rateFit{k: k, ceiling: ceiling, induction: math.Log(-slope/ceiling) / k}
	for i := range xs {
		fit.squares += math.Pow(ys[i]-ceiling-slope*xs[i], 2)
	}
	return fit
}

// lineFromOrigin fits γ = γ∞·(1 − e^(−kt)) at a rate.
func lineFromOrigin(strips []Strip, k float64) rateFit {
	var xy, xx float64
	for _, strip := range strips {
		x := -math.Expm1(-k * strip.Seconds)
		xy, xx = xy+x*strip.Contrast, xx+x*x
	}
	fit := rateFit{k: k, ceiling: xy / xx}
	for _, strip := range strips {
		fit.squares += math.Pow(strip.Contrast+fit.ceiling*math.Expm1(-k*strip.Seconds), 2)
	}
	return fit
}

// spread works out how uncertain the fitted numbers are, from the residuals and
// the slopes of the curve at the strips. It leaves the curve without where no
// strip is left over to tell.
func (c *ContrastCurve) spread() {
	numbers := 3
	if c.InductionSeconds == 0 {
		numbers = 2
	}
	freedom := len(c.Strips) - numbers
	if freedom < 1 {
		return
	}
	slopes := mat.NewDense(len(c.Strips), numbers, nil)
	squares := 0.0
	for i, strip := range c.Strips {
		slopes.SetRow(i, c.slopes(strip.Seconds)[:numbers])
		squares += c.Residuals[i] * c.Residuals[i]
	}
	normal := mat.NewSymDense(numbers, nil)
	normal.SymOuterK(1, slopes.T())
	var cholesky mat.Cholesky
	var inverse mat.SymDense
	if !cholesky.Factorize(normal) || cholesky.InverseTo(&inverse) != nil {
		return
	}
	inverse.ScaleSym(squares/float64(freedom), &inverse)
	c.freedom, c.covariance = freedom, &inverse
}

// slopes are the derivatives of the contrast at a time by γ∞, by k in 1/s and
// by t0.
func (c ContrastCurve) slopes(seconds float64) []float64 {
	k, past := c.RatePerMinute/60, seconds-c.InductionSeconds
	rest := math.Exp(-k * past)
	return []float64{1 - rest, c.Ceiling * past * rest, -c.Ceiling * k * rest}
}

// ContrastTime is the developing time for a wanted contrast. Low and High are
// its 95 % confidence interval, both 0 where no strip is left over to tell.
// Extrapolated says that it lies outside the strips' times.
type ContrastTime struct {
	Seconds, Low, High float64
	Extrapolated       bool
}

// TimeFor returns the time that reaches a contrast. It refuses, with
// [ErrCalibration], a contrast too near the curve's ceiling, and a time far
// outside the strips'.
func (c ContrastCurve) TimeFor(contrast float64) (ContrastTime, error) {
	const nearCeiling = 0.97
	if !(contrast > 0 && contrast <= nearCeiling*c.Ceiling) {
		return ContrastTime{}, &RangeError{ErrCalibration, fmt.Sprintf("a contrast of %.2f", contrast),
			fmt.Sprintf("above 0, up to %.2f (these strips level off at %.2f)", nearCeiling*c.Ceiling, c.Ceiling)}
	}
	k := c.RatePerMinute / 60
	seconds := c.InductionSeconds - math.Log1p(-contrast/c.Ceiling)/k
	first, last := c.Strips[0].Seconds, c.Strips[len(c.Strips)-1].Seconds
	if seconds < first/1.5 || seconds > last*1.5 {
		return ContrastTime{}, &RangeError{ErrCalibration, fmt.Sprintf("a contrast of %.2f would take %s", contrast, FormatClock(int(seconds))),
			fmt.Sprintf("%s to %s with these strips; develop one nearer to it", FormatClock(int(first/1.5)), FormatClock(int(last*1.5)))}
	}
	time := ContrastTime{Seconds: seconds, Extrapolated: seconds < first || seconds > last}
	if c.covariance == nil {
		return time, nil
	}
	margin := distuv.StudentsT{Mu: 0, Sigma: 1, Nu: float64(c.freedom)}.Quantile(0.975) * c.timeError(seconds)
	time.Low, time.High = max(0, seconds-margin), seconds+margin
	return time, nil
}

// timeError is the standard error, in seconds, of the time at which the curve
// passes a contrast: that of the contrast there, divided by its rise.
func (c ContrastCurve) timeError(seconds float64) float64 {
	slopes := c.slopes(seconds)
	rise := -slopes[2]
	vector := mat.NewVecDense(c.covariance.SymmetricDim(), slopes[:c.covariance.SymmetricDim()])
	return math.Sqrt(max(0, mat.Inner(vector, c.covariance, vector))) / rise
}

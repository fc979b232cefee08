package chemistry

import (
	"fmt"
	"math"
)

// Factors that turn the mean moving range of two neighbours into the limits of
// a chart: 3/d2, D4 and d2 for n = 2, from the tables of control-chart constants.
const (
	individualsFactor = 2.66
	rangeFactor       = 3.267
	rangePerSigma     = 1.128
)

// maxReading is far beyond any density, time or count that is charted.
const maxReading = 1e9

// IndividualsChart is an individuals and moving-range chart in the unit of its
// values.
type IndividualsChart struct {
	Mean, MeanRange float64
	Lower, Upper    float64 // limits of single values: mean ± 2.66 mean ranges
	RangeUpper      float64 // limit of a moving range: 3.267 mean ranges
	Ranges          []float64
	Outside         []int // values beyond their limits
	RangeOutside    []int // values whose step from the one before is beyond the limit
}

// Individuals draws the limits of an individuals and moving-range chart from at
// least two values, the oldest first.
func Individuals(values []float64) (IndividualsChart, error) {
	if err := chartable(values, 2); err != nil {
		return IndividualsChart{}, err
	}
	chart := IndividualsChart{Mean: mean(values)}
	for i, value := range values[1:] {
		chart.Ranges = append(chart.Ranges, math.Abs(value-values[i]))
	}
	chart.MeanRange = mean(chart.Ranges)
	chart.Lower = chart.Mean - individualsFactor*chart.MeanRange
	chart.Upper = chart.Mean + individualsFactor*chart.MeanRange
	chart.RangeUpper = rangeFactor * chart.MeanRange
	for i, value := range values {
		if value < chart.Lower || value > chart.Upper {
			chart.Outside = append(chart.Outside, i)
		}
		if i > 0 && chart.Ranges[i-1] > chart.RangeUpper {
			chart.RangeOutside = append(chart.RangeOutside, i)
		}
	}
	return chart, nil
}

// Sigma is the standard deviation that the mean moving range stands for.
func (c IndividualsChart) Sigma() float64 { return c.MeanRange / rangePerSigma }

// EWMAChart is a chart of exponentially weighted moving averages, which sees a
// slow drift sooner than single values do.
type EWMAChart struct {
	Values       []float64 // one for each value that went in
	Lower, Upper float64   // the limits that hold after the first few values
	Outside      []int
}

// EWMA smooths values, the oldest first, from a target: each average is weight
// times the value plus (1 − weight) times the average before. Limits lie k
// standard deviations of that average from the target.
func EWMA(values []float64, target, sigma, weight, k float64) (EWMAChart, error) {
	if err := chartable(values, 1); err != nil {
		return EWMAChart{}, err
	}
	if err := firstFault(
		within("target", target, -maxReading, maxReading),
		within("standard deviation", sigma, 0, maxReading),
		within("weight", weight, 0.01, 1),
		within("k", k, 0.1, 10),
	); err != nil {
		return EWMAChart{}, err
	}
	half := k * sigma * math.Sqrt(weight/(2-weight))
	chart := EWMAChart{Lower: target - half, Upper: target + half}
	average := target
	for i, value := range values {
		average += weight * (value - average)
		chart.Values = append(chart.Values, average)
		if average < chart.Lower || average > chart.Upper {
			chart.Outside = append(chart.Outside, i)
		}
	}
	return chart, nil
}

// ChartRule is one of the Western Electric rules.
type ChartRule string

// The Western Electric rules; the last three look at one side of the centre.
const (
	OneBeyondThree ChartRule = "one point beyond 3σ"
	TwoOfThree     ChartRule = "two of three beyond 2σ on one side"
	FourOfFive     ChartRule = "four of five beyond 1σ on one side"
	EightOnOneSide ChartRule = "eight on one side of the centre"
)

// runRule says how many values of a window must lie how many standard
// deviations beyond the centre.
type runRule struct {
	name           ChartRule
	window, needed int
	sigmas         float64
}

var westernElectric = []runRule{
	{OneBeyondThree, 1, 1, 3},
	{TwoOfThree, 3, 2, 2},
	{FourOfFive, 5, 4, 1},
	{EightOnOneSide, 8, 8, 0},
}

// ChartSignal is a rule broken by the value at an index, counted from 0.
type ChartSignal struct {
	Index int
	Rule  ChartRule
	Above bool // on the high side of the centre
}

// WesternElectric returns every rule that each value breaks, the oldest first,
// given the centre and the standard deviation of the process. A value signals
// only where it lies beyond the rule's line itself.
func WesternElectric(values []float64, centre, sigma float64) ([]ChartSignal, error) {
	if err := firstFault(
		chartable(values, 1),
		within("centre", centre, -maxReading, maxReading),
		within("standard deviation", sigma, 0, maxReading),
	); err != nil {
		return nil, err
	}
	var signals []ChartSignal
	for i := range values {
		for _, rule := range westernElectric {
			for _, side := range []float64{1, -1} {
				if rule.brokenBy(values[max(0, i+1-rule.window):i+1], side, centre, sigma) {
					signals = append(signals, ChartSignal{i, rule.name, side > 0})
				}
			}
		}
	}
	return signals, nil
}

// brokenBy tells whether the last value of a window breaks the rule on a side.
func (r runRule) brokenBy(window []float64, side, centre, sigma float64) bool {
	count, last := 0, false
	for _, value := range window {
		last = side*(value-centre) > r.sigmas*sigma
		if last {
			count++
		}
	}
	return last && count >= r.needed
}

// chartable refuses too few values, and values that are not numbers.
func chartable(values []float64, least int) error {
	if len(values) < least {
		return fmt.Errorf("%w: %d values, at least %d are needed", ErrTooFew, len(values), least)
	}
	for i, value := range values {
		if err := within(fmt.Sprintf("value %d", i+1), value, -maxReading, maxReading); err != nil {
			return err
		}
	}
	return nil
}

func mean(values []float64) float64 {
	sum := 0.0
	for _, value := range values {
		sum += value
	}
	return sum / float64(len(values))
}

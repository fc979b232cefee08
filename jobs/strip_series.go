package jobs

import "wetside/chemistry"

// leastForRules is how many strips it takes before the line's own scatter says
// anything: the longest rule looks at eight.
const leastForRules = 8

// Weight and width of the moving averages, as in the example of the
// NIST/SEMATECH e-Handbook, section 6.3.2.4.
const (
	averageWeight = 0.3
	averageSigmas = 3
)

// StripSeries is one parameter of a line's strips in one layer, as deviations
// from the aim, the oldest first. Action and control limits lie around the aim;
// the rules and the averages go by the line's own mean and scatter, so that a
// change shows long before a limit is reached.
type StripSeries struct {
	Parameter chemistry.StripParameter
	Layer     string // red, green, blue or visual; "" where a parameter has no layers
	Values    []float64
	Limit     chemistry.StripLimit // zero where the box has none
	Settled   bool                 // enough strips that scatter for the figures below
	Own       chemistry.IndividualsChart
	Average   chemistry.EWMAChart
	Signals   []chemistry.ChartSignal
}

// Series works out every series of the chart.
func (c StripChart) Series() ([]StripSeries, error) {
	var all []StripSeries
	add := func(parameter chemistry.StripParameter, layer string, value func(chemistry.StripResult) float64) error {
		series := StripSeries{Parameter: parameter, Layer: layer, Limit: c.Box.Limits.Limits[parameter]}
		for _, strip := range c.Strips {
			series.Values = append(series.Values, thousandth(value(strip.Result)))
		}
		err := series.settle()
		all = append(all, series)
		return err
	}
	for _, parameter := range StripParameters(c.Box.Process) {
		if parameter == chemistry.ParameterSilver && c.Box.Limits.Limits[parameter] == (chemistry.StripLimit{}) {
			continue // may not have been read
		}
		for _, layer := range layersOf(c.Box.Process, parameter) {
			if err := add(parameter, layer.name, layer.value); err != nil {
				return nil, err
			}
		}
	}
	return all, nil
}

type stripLayer struct {
	name  string
	value func(chemistry.StripResult) float64
}

// layersOf lists the layers of a parameter with their deviations.
func layersOf(process chemistry.Process, parameter chemistry.StripParameter) []stripLayer {
	var of func(chemistry.StripResult) [3]float64
	switch parameter {
	case chemistry.ParameterSilver:
		return []stripLayer{{"", func(r chemistry.StripResult) float64 { return r.Silver }}}
	case chemistry.ParameterSpread:
		return []stripLayer{{"", func(r chemistry.StripResult) float64 { return r.Spread }}}
	case chemistry.ParameterDMin:
		of = func(r chemistry.StripResult) [3]float64 { return r.Deviations.DMin }
	case chemistry.ParameterSpeed:
		of = func(r chemistry.StripResult) [3]float64 { return r.Deviations.LD }
	default:
		of = func(r chemistry.StripResult) [3]float64 { return r.Contrast }
	}
	if process == chemistry.BW {
		return []stripLayer{{"visual", func(r chemistry.StripResult) float64 { return of(r)[visual] }}}
	}
	var layers []stripLayer
	for layer, name := range []string{"red", "green", "blue"} {
		layers = append(layers, stripLayer{name, func(r chemistry.StripResult) float64 { return of(r)[layer] }})
	}
	return layers
}

// settle works out the line's own scatter, where there is any.
func (s *StripSeries) settle() (err error) {
	if len(s.Values) < leastForRules {
		return nil
	}
	if s.Own, err = chemistry.Individuals(s.Values); err != nil {
		return err
	}
	// Strips that all read the same have no scatter to go by.
	if s.Own.Sigma() < 1e-6 {
		return nil
	}
	s.Settled = true
	if s.Average, err = chemistry.EWMA(s.Values, s.Own.Mean, s.Own.Sigma(), averageWeight, averageSigmas); err != nil {
		return err
	}
	s.Signals, err = chemistry.WesternElectric(s.Values, s.Own.Mean, s.Own.Sigma())
	return err
}

// RulesAt lists the rules that a strip breaks, counted from 0.
func (s StripSeries) RulesAt(index int) []string {
	var rules []string
	for _, signal := range s.Signals {
		if signal.Index == index {
			rules = append(rules, string(signal.Rule))
		}
	}
	return rules
}

package jobs

import (
	"math"
	"testing"

	"wetside/chemistry"
)

func seriesOf(t *testing.T, chart StripChart, parameter chemistry.StripParameter, layer string) StripSeries {
	t.Helper()
	all, err := chart.Series()
	if err != nil {
		t.Fatal(err)
	}
	for _, series := range all {
		if series.Parameter == parameter && series.Layer == layer {
			return series
		}
	}
	t.Fatalf("no series of %s %s", parameter, layer)
	return StripSeries{}
}

func TestStripSeries(t *testing.T) {
	t.Parallel()
	chart := StripChart{Box: testBench().Boxes[chemistry.C41]}
	// Eight strips to one side of where the line ran before are a rule broken;
	// no limit of the process is touched.
	offs := []float64{-0.01, 0, -0.01, 0, -0.01, 0, -0.01, 0, 0.02, 0.01, 0.02, 0.01, 0.02, 0.01, 0.02, 0.01}
	for i, off := range offs {
		chart.Strips = append(chart.Strips, stripOff(t, StripID(i+1), monday.AddDate(0, 0, i), off, 0))
	}
	red := seriesOf(t, chart, chemistry.ParameterSpeed, "red")
	if !red.Settled || len(red.Values) != 16 || red.Values[8] != 0.02 || red.Limit.Control != 0.08 {
		t.Fatalf("%+v", red)
	}
	// The mean of the figures above is 0.005, and fifteen steps, of which
	// fourteen are 0.01 and one 0.02, have a mean of 0.16/15.
	if math.Abs(red.Own.Mean-0.005) > 1e-9 || math.Abs(red.Own.MeanRange-0.16/15) > 1e-9 {
		t.Errorf("mean %g, mean range %g", red.Own.Mean, red.Own.MeanRange)
	}
	eight := false
	for _, signal := range red.Signals {
		eight = eight || signal.Rule == chemistry.EightOnOneSide && signal.Index == 15 && signal.Above
	}
	if !eight || len(red.Average.Values) != 16 {
		t.Errorf("signals %v", red.Signals)
	}
	if green := seriesOf(t, chart, chemistry.ParameterSpeed, "green"); green.Settled || len(green.Signals) > 0 {
		t.Errorf("strips that all read the same signal %v", green.Signals)
	}
	if all, _ := chart.Series(); len(all) != 11 {
		t.Errorf("%d series of C-41, want 3 of D-min, LD and HD − LD each, the spread and the silver", len(all))
	}
	chart.Strips = chart.Strips[:7]
	if red := seriesOf(t, chart, chemistry.ParameterSpeed, "red"); red.Settled {
		t.Error("seven strips are enough for a rule about eight")
	}
	empty := StripChart{Box: testBench().Boxes[chemistry.BW]}
	if all, err := empty.Series(); err != nil || len(all) != 3 || all[0].Layer != "visual" {
		t.Errorf("black and white: %v, %v", all, err)
	}
}

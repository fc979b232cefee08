package chemistry_test

import (
	"errors"
	"math"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"wetside/chemistry"
)

// The sample data of individual measurements in the SAS/QC user's guide: mean
// 80.390, mean moving range 5.326, limits 66.22 and 94.56.
func TestIndividualsChartOfPublishedData(t *testing.T) {
	t.Parallel()
	chart, err := chemistry.Individuals([]float64{
		78.4, 80.1, 84.4, 79.1, 80.4, 83.5, 73.8, 83.5, 75.0, 76.8,
		70.5, 80.3, 82.4, 79.4, 86.4, 90.5, 77.7, 82.5, 79.9, 83.2,
	})
	if err != nil {
		t.Fatal(err)
	}
	for _, check := range []struct {
		name            string
		got, want, half float64
	}{
		{"mean", chart.Mean, 80.390, 0.0005},
		{"mean moving range", chart.MeanRange, 5.326, 0.0005},
		{"lower limit", chart.Lower, 66.22, 0.005},
		{"upper limit", chart.Upper, 94.56, 0.005},
		{"range limit, 3.267 times 5.326", chart.RangeUpper, 17.40, 0.005},
	} {
		if math.Abs(check.got-check.want) > check.half {
			t.Errorf("%s is %v, want %v", check.name, check.got, check.want)
		}
	}
	if len(chart.Outside) > 0 || len(chart.RangeOutside) > 0 {
		t.Errorf("a process in control shows points outside: %v, %v", chart.Outside, chart.RangeOutside)
	}
	// Three of these standard deviations are the distance of a limit, but for
	// the rounding of 2.66 = 3/1.128.
	if three := chart.Upper - chart.Mean; math.Abs(3*chart.Sigma()-three) > 0.001*three {
		t.Errorf("3σ is %v, the limit lies %v from the mean", 3*chart.Sigma(), three)
	}
}

func TestIndividualsChartFindsAJump(t *testing.T) {
	t.Parallel()
	values := []float64{0, 1, 0, 1, 0, 1, 0, 1, 0, 1, 0, 1, 20, 1, 0, 1, 0, 1, 0, 1, 0}
	chart, err := chemistry.Individuals(values)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff([]int{12}, chart.Outside); diff != "" {
		t.Errorf("values outside: %s", diff)
	}
	if diff := cmp.Diff([]int{12, 13}, chart.RangeOutside); diff != "" {
		t.Errorf("ranges outside: %s", diff)
	}
}

// The EWMA example of the NIST/SEMATECH e-Handbook, section 6.3.2.4: target 50,
// s 2.0539, λ 0.3, k 3.
func TestEWMAChartOfPublishedData(t *testing.T) {
	t.Parallel()
	chart, err := chemistry.EWMA([]float64{
		52.0, 47.0, 53.0, 49.3, 50.1, 47.0, 51.0, 50.1, 51.2, 50.5,
		49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1,
	}, 50, 2.0539, 0.3, 3)
	if err != nil {
		t.Fatal(err)
	}
	if math.Abs(chart.Upper-52.5884) > 1e-4 || math.Abs(chart.Lower-47.4115) > 1e-4 {
		t.Errorf("limits %v and %v, want 47.4115 and 52.5884", chart.Lower, chart.Upper)
	}
	for i, want := range []float64{50.60, 49.52, 50.56, 50.18} {
		if math.Abs(chart.Values[i]-want) > 0.005 {
			t.Errorf("average %d is %v, want %v", i+1, chart.Values[i], want)
		}
	}
	if len(chart.Values) != 20 || len(chart.Outside) != 0 {
		t.Errorf("%d averages, outside %v; want 20 and none", len(chart.Values), chart.Outside)
	}
}

func TestEWMALaws(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		constant := rapid.Float64Range(-100, 100).Draw(t, "constant")
		weight := rapid.Float64Range(0.05, 1).Draw(t, "weight")
		values := rapid.SliceOfN(rapid.Float64Range(-100, 100), 1, 30).Draw(t, "values")
		same, err := chemistry.EWMA(slices.Repeat([]float64{constant}, 20), constant, 1, weight, 3)
		if err != nil {
			t.Fatal(err)
		}
		for _, value := range same.Values {
			if value != constant {
				t.Fatalf("the average of the constant %v is %v", constant, value)
			}
		}
		chart, err := chemistry.EWMA(values, constant, 1, weight, 3)
		if err != nil {
			t.Fatal(err)
		}
		// An average lies between the extremes of what it averages.
		low, high := min(constant, slices.Min(values)), max(constant, slices.Max(values))
		for i, value := range chart.Values {
			if value < low-1e-9 || value > high+1e-9 {
				t.Fatalf("average %v outside %v to %v", value, low, high)
			}
			outside := value < chart.Lower || value > chart.Upper
			if outside != slices.Contains(chart.Outside, i) {
				t.Fatalf("average %v, limits %v and %v, outside %v", value, chart.Lower, chart.Upper, chart.Outside)
			}
		}
	})
}

func TestWesternElectricRules(t *testing.T) {
	t.Parallel()
	for name, test := range map[string]struct {
		values []float64
		want   []chemistry.ChartSignal
	}{
		"nothing":                      {[]float64{0.5, -0.5, 2.9, -2.9, 0}, nil},
		"beyond three":                 {[]float64{0, 3.1, 0}, []chemistry.ChartSignal{{Index: 1, Rule: chemistry.OneBeyondThree, Above: true}}},
		"at three":                     {[]float64{0, 3, 0}, nil},
		"two of three":                 {[]float64{2.1, 0, 2.1}, []chemistry.ChartSignal{{Index: 2, Rule: chemistry.TwoOfThree, Above: true}}},
		"two on different sides":       {[]float64{2.1, 0, -2.1}, nil},
		"two of four":                  {[]float64{2.1, 0, 0, 2.1}, nil},
		"two at once":                  {[]float64{-2.1, -2.1}, []chemistry.ChartSignal{{Index: 1, Rule: chemistry.TwoOfThree}}},
		"four of five":                 {[]float64{-1.1, -1.1, 0, -1.1, -1.1}, []chemistry.ChartSignal{{Index: 4, Rule: chemistry.FourOfFive}}},
		"four, the last is not beyond": {[]float64{1.1, 1.1, 1.1, 0.9, 0.9}, nil},
		"seven on a side":              {slices.Repeat([]float64{0.2}, 7), nil},
		"eight on a side":              {slices.Repeat([]float64{0.2}, 8), []chemistry.ChartSignal{{Index: 7, Rule: chemistry.EightOnOneSide, Above: true}}},
		"eight with one on the line":   {append([]float64{0}, slices.Repeat([]float64{0.2}, 7)...), nil},
	} {
		// The rules look at distances in σ: the same data on a density scale.
		scaled := make([]float64, len(test.values))
		for i, value := range test.values {
			scaled[i] = 8 + value/4
		}
		for scale, signals := range map[string]func() ([]chemistry.ChartSignal, error){
			"in σ":     func() ([]chemistry.ChartSignal, error) { return chemistry.WesternElectric(test.values, 0, 1) },
			"in units": func() ([]chemistry.ChartSignal, error) { return chemistry.WesternElectric(scaled, 8, 0.25) },
		} {
			got, err := signals()
			if diff := cmp.Diff(test.want, got); err != nil || diff != "" {
				t.Errorf("%s, %s: %v %s", name, scale, err, diff)
			}
		}
	}
}

func TestWesternElectricIsTheSameUpsideDown(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		values := rapid.SliceOfN(rapid.Float64Range(-4, 4), 1, 40).Draw(t, "values")
		turned := make([]float64, len(values))
		for i, value := range values {
			turned[i] = -value
		}
		up, err1 := chemistry.WesternElectric(values, 0, 1)
		down, err2 := chemistry.WesternElectric(turned, 0, 1)
		if err := errors.Join(err1, err2); err != nil {
			t.Fatal(err)
		}
		for i := range down {
			down[i].Above = !down[i].Above
		}
		byRule := func(a, b chemistry.ChartSignal) int {
			return (a.Index-b.Index)*100 + len(a.Rule) - len(b.Rule)
		}
		slices.SortStableFunc(up, byRule)
		slices.SortStableFunc(down, byRule)
		if diff := cmp.Diff(up, down); diff != "" {
			t.Error(diff)
		}
	})
}

func TestChartsRefuseNonsense(t *testing.T) {
	t.Parallel()
	nan, inf := math.NaN(), math.Inf(1)
	individuals := func(values ...float64) error { _, err := chemistry.Individuals(values); return err }
	ewma := func(target, sigma, weight, k float64, values ...float64) error {
		_, err := chemistry.EWMA(values, target, sigma, weight, k)
		return err
	}
	rules := func(centre, sigma float64, values ...float64) error {
		_, err := chemistry.WesternElectric(values, centre, sigma)
		return err
	}
	for _, test := range []struct {
		name      string
		err, want error
	}{
		{"no values", individuals(), chemistry.ErrTooFew},
		{"one value", individuals(1), chemistry.ErrTooFew},
		{"a value that is none", individuals(1, nan), chemistry.ErrAmount},
		{"an infinite value", individuals(inf, 1), chemistry.ErrAmount},
		{"no values to smooth", ewma(0, 1, 0.3, 3), chemistry.ErrTooFew},
		{"target", ewma(nan, 1, 0.3, 3, 1), chemistry.ErrAmount},
		{"negative scatter", ewma(0, -1, 0.3, 3, 1), chemistry.ErrAmount},
		{"weight zero", ewma(0, 1, 0, 3, 1), chemistry.ErrAmount},
		{"weight above one", ewma(0, 1, 1.01, 3, 1), chemistry.ErrAmount},
		{"k zero", ewma(0, 1, 0.3, 0, 1), chemistry.ErrAmount},
		{"no values to judge", rules(0, 1), chemistry.ErrTooFew},
		{"centre", rules(inf, 1, 1), chemistry.ErrAmount},
		{"scatter", rules(0, nan, 1), chemistry.ErrAmount},
	} {
		if !errors.Is(test.err, test.want) {
			t.Errorf("%s: %v, want %v", test.name, test.err, test.want)
		}
	}
}

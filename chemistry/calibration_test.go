package chemistry

import (
	"errors"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// The constructed check of C. E. K. Mees's kinetics (Jahrbuch 25, 1911, pp.
// 167-170): strips of 0.50 at 5 and 0.75 at 10 minutes.
func TestCalibrateTwoStrips(t *testing.T) {
	t.Parallel()
	curve, err := Calibrate([]Strip{{600, 0.75}, {300, 0.50}})
	if err != nil {
		t.Fatal(err)
	}
	if math.Abs(curve.RatePerMinute-0.13863) > 5e-6 || math.Abs(curve.Ceiling-1) > 5e-4 || curve.InductionSeconds != 0 {
		t.Errorf("k = %v per min, γ∞ = %v, want 0.13863 and 1.000", curve.RatePerMinute, curve.Ceiling)
	}
	got, err := curve.TimeFor(0.60)
	if err != nil || math.Abs(got.Seconds/60-6.610) > 5e-4 || got.Extrapolated || got.High != 0 {
		t.Errorf("γ 0.60 at %+v, %v; want 6.610 min", got, err)
	}
}

// An orthochromatic film reaches 0.62 in 8 and 0.70 in 10 minutes in MQ borax,
// in 10½ and 13 at 1+1 (HARMAN, August 2004, p. 2).
func TestCalibrateReturnsPublishedStrips(t *testing.T) {
	t.Parallel()
	for _, minutes := range [][2]float64{{8, 10}, {10.5, 13}} {
		curve, err := Calibrate([]Strip{{minutes[0] * 60, 0.62}, {minutes[1] * 60, 0.70}})
		if err != nil {
			t.Errorf("%v: %v", minutes, err)
			continue
		}
		for i, contrast := range []float64{0.62, 0.70} {
			if got, err := curve.TimeFor(contrast); err != nil || math.Abs(got.Seconds-minutes[i]*60) > 0.01 {
				t.Errorf("contrast %v at %v s, %v; the sheet has %v min", contrast, got.Seconds, err, minutes[i])
			}
		}
	}
}

func TestCalibrateRefuses(t *testing.T) {
	t.Parallel()
	nan := math.NaN()
	for _, c := range []struct {
		name   string
		strips []Strip
		want   error
		words  string
	}{
		{"none", nil, ErrCalibration, "0 strips, two at least"},
		{"one", []Strip{{300, 0.5}}, ErrCalibration, "1 strips"},
		{"twice the contrast at twice the time", []Strip{{300, 0.5}, {600, 1.0}}, ErrCalibration, "rise less than the time"},
		{"more than twice", []Strip{{300, 0.5}, {600, 1.1}}, ErrCalibration, "rise less than the time"},
		{"the same contrast", []Strip{{300, 0.5}, {600, 0.5}}, ErrCalibration, "must rise with time"},
		{"falling", []Strip{{300, 0.5}, {600, 0.4}}, ErrCalibration, "strips swapped"},
		{"one time twice", []Strip{{300, 0.5}, {300, 0.6}}, ErrCalibration, "two strips at 5:00"},
		{"no time", []Strip{{0, 0.5}, {300, 0.6}}, ErrClock, "0 s"},
		{"time NaN", []Strip{{nan, 0.5}, {300, 0.6}}, ErrClock, "NaN"},
		{"contrast negative", []Strip{{300, -0.5}, {600, 0.6}}, ErrCalibration, "-0.5"},
		{"contrast NaN", []Strip{{300, nan}, {600, 0.6}}, ErrCalibration, "NaN"},
		{"contrast infinite", []Strip{{300, 0.5}, {600, math.Inf(1)}}, ErrCalibration, "Inf"},
		{"three falling", []Strip{{300, 0.6}, {450, 0.5}, {600, 0.4}}, ErrCalibration, "does not rise"},
		{"three in a straight line", []Strip{{300, 0.3}, {600, 0.6}, {900, 0.9}}, ErrCalibration, "no bend"},
		{"three bending up", []Strip{{300, 0.2}, {600, 0.4}, {900, 0.9}}, ErrCalibration, "poor fit"},
		{"a step", []Strip{{300, 0.2}, {340, 0.6}, {900, 0.6}}, ErrCalibration, "add a shorter one"},
		{"one strip misread", []Strip{{180, 0.343}, {300, 0.503}, {480, 0.80}, {720, 0.814}, {1080, 0.92}}, ErrCalibration, "poor fit, the strip at 8:00 reads 0.80"},
		{"a dip", []Strip{{300, 0.6}, {450, 0.2}, {600, 0.61}}, ErrCalibration, "the strips"},
	} {
		got, err := Calibrate(c.strips)
		if !errors.Is(err, c.want) || !strings.Contains(err.Error(), c.words) {
			t.Errorf("%s: %+v, %v; want %v saying %q", c.name, got, err, c.want, c.words)
		}
	}
}

func TestTimeForRefuses(t *testing.T) {
	t.Parallel()
	curve, err := Calibrate([]Strip{{300, 0.50}, {600, 0.75}})
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		contrast float64
		words    string
	}{{0, "above 0, up to 0.97"}, {-1, "above 0"}, {1, "level off at 1.00"}, {2, "2.00"}, {math.NaN(), "NaN"}, {0.9, "would take 16:36, allowed are 3:20 to 15:00"}, {0.2, "would take 1:36"}} {
		if got, err := curve.TimeFor(c.contrast); !errors.Is(err, ErrCalibration) || !strings.Contains(err.Error(), c.words) {
			t.Errorf("contrast %v: %+v, %v; want ErrCalibration saying %q", c.contrast, got, err, c.words)
		}
	}
	if got, err := curve.TimeFor(0.8); err != nil || !got.Extrapolated {
		t.Errorf("just beyond the strips: %+v, %v; want it marked", got, err)
	}
}

// exactStrips are strips that lie on a curve.
func exactStrips(ceiling, ratePerMinute, induction float64, times ...float64) []Strip {
	var strips []Strip
	for _, seconds := range times {
		strips = append(strips, Strip{seconds, ceiling * (1 - math.Exp(-ratePerMinute*(seconds-induction)/60))})
	}
	return strips
}

func TestCalibrateRecovers(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		ceiling := rapid.Float64Range(0.7, 1.6).Draw(t, "γ∞")
		rate := rapid.Float64Range(0.08, 0.3).Draw(t, "k")
		induction := rapid.Float64Range(0, 60).Draw(t, "t0")
		times := []float64{180, 300, 480, 720, 1080}[:rapid.IntRange(3, 5).Draw(t, "strips")]
		strips := exactStrips(ceiling, rate, induction, times...)
		curve, err := Calibrate(strips)
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(curve.Ceiling-ceiling) > 1e-3 || math.Abs(curve.RatePerMinute-rate) > 1e-3 || math.Abs(curve.InductionSeconds-induction) > 0.5 {
			t.Fatalf("γ∞ %v, k %v, t0 %v; made with %v, %v, %v", curve.Ceiling, curve.RatePerMinute, curve.InductionSeconds, ceiling, rate, induction)
		}
		for i, strip := range strips {
			if math.Abs(curve.Residuals[i]) > 1e-4 || math.Abs(curve.Contrast(strip.Seconds)-strip.Contrast) > 1e-4 {
				t.Fatalf("residual %v at %v s", curve.Residuals[i], strip.Seconds)
			}
		}
		if got := curve.Contrast(induction / 2); got > 1e-3 {
			t.Fatalf("contrast %v within the induction time", got)
		}
	})
}

// Two strips at any two times agree with the curve they were made from.
func TestCalibrateTwoRecovers(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		ceiling := rapid.Float64Range(0.7, 1.6).Draw(t, "γ∞")
		rate := rapid.Float64Range(0.05, 0.4).Draw(t, "k")
		first := rapid.Float64Range(120, 400).Draw(t, "first")
		second := first * rapid.Float64Range(1.2, 3).Draw(t, "second")
		curve, err := Calibrate(exactStrips(ceiling, rate, 0, first, second))
		if err != nil || math.Abs(curve.Ceiling-ceiling) > 1e-6 || math.Abs(curve.RatePerMinute-rate) > 1e-6 {
			t.Fatalf("γ∞ %v, k %v, %v; made with %v, %v", curve.Ceiling, curve.RatePerMinute, err, ceiling, rate)
		}
	})
}

// The 95 % interval holds the true time in about 95 of 100 noisy calibrations.
func TestConfidenceIntervalCovers(t *testing.T) {
	t.Parallel()
	const runs, noise = 1000, 0.008
	random := rand.New(rand.NewPCG(1, 2))
	times := []float64{180, 270, 360, 480, 600, 780, 960}
	truth := 40 - 60/0.14*math.Log(1-0.6)
	covered, usable := 0, 0
	for range runs {
		strips := exactStrips(1, 0.14, 40, times...)
		for i := range strips {
			strips[i].Contrast += noise * random.NormFloat64()
		}
		curve, err := Calibrate(strips)
		if err != nil {
			continue
		}
		got, err := curve.TimeFor(0.6)
		if err != nil || !(got.Low < got.Seconds && got.Seconds < got.High) {
			t.Fatalf("%+v, %v", got, err)
		}
		usable++
		if got.Low <= truth && truth <= got.High {
			covered++
		}
	}
	if share := float64(covered) / float64(usable); usable < runs*98/100 || share < 0.92 || share > 0.98 {
		t.Errorf("%d of %d calibrations usable, %.1f %% of their intervals hold the true time", usable, runs, 100*share)
	}
}

// One strip more than numbers fitted is the least that gives an interval.
func TestIntervalNeedsAStripLeftOver(t *testing.T) {
	t.Parallel()
	times := []float64{180, 300, 480, 720}
	for count, want := range map[int]bool{3: false, 4: true} {
		strips := exactStrips(1, 0.14, 40, times[:count]...)
		strips[1].Contrast += 0.004
		curve, err := Calibrate(strips)
		if err != nil || curve.InductionSeconds == 0 {
			t.Fatalf("%d strips: %+v, %v", count, curve, err)
		}
		if got, err := curve.TimeFor(0.6); err != nil || (got.High > got.Seconds) != want || (got.Low > 0) != want {
			t.Errorf("%d strips: %+v, %v; want an interval %v", count, got, err, want)
		}
	}
}

// A calibration whose best induction time is negative holds it at nothing.
func TestNoNegativeInduction(t *testing.T) {
	t.Parallel()
	curve, err := Calibrate(exactStrips(1, 0.14, -20, 180, 300, 480, 720))
	if err != nil || curve.InductionSeconds != 0 {
		t.Fatalf("%+v, %v", curve, err)
	}
	if got, err := curve.TimeFor(0.6); err != nil || !(got.Low > 0 && got.Low < got.Seconds) {
		t.Errorf("%+v, %v; want an interval from two numbers fitted to four strips", got, err)
	}
}

func TestPushByCalibration(t *testing.T) {
	t.Parallel()
	curve, err := Calibrate([]Strip{{300, 0.50}, {600, 0.75}})
	if err != nil {
		t.Fatal(err)
	}
	recipe := BWRecipe{Rows: []BWRow{{20, 400}}, Calibration: &Calibration{curve, []ContrastAim{{Stop, 0.75}, {0, 0.50}}}}
	// Contrast 0.75 takes 10 minutes where 0.50 takes 5.
	got, err := BWTime(recipe, 20, Stop)
	if err != nil || got.Seconds != 800 || !strings.Contains(got.Factors[1].Source, "2 strips: contrast 0.75 takes 2.00 times as long as 0.50") {
		t.Errorf("%+v, %v; want 800 s", got, err)
	}
	if half, err := BWTime(recipe, 20, Stop/2); err != nil || half.Seconds <= 400 || half.Seconds >= 800 {
		t.Errorf("half a stop: %d s, %v", half.Seconds, err)
	}
	// The stock's own push rows come first.
	recipe.PushRows = []PushTime{{Push: Stop, Seconds: 500}}
	if got, err := BWTime(recipe, 20, Stop); err != nil || got.Seconds != 500 {
		t.Errorf("with push rows: %d s, %v; want 500", got.Seconds, err)
	}
	for _, c := range []struct {
		name string
		aims []ContrastAim
		push Stops
		want error
	}{
		{"no aims", nil, Stop, ErrCalibration},
		{"no aim without a push", []ContrastAim{{Stop, 0.7}}, Stop, ErrPush},
		{"beyond the aims", []ContrastAim{{0, 0.5}, {Stop, 0.7}}, 2 * Stop, ErrPush},
		{"only one aim", []ContrastAim{{0, 0.5}}, Stop, ErrPush},
		{"two aims for a push", []ContrastAim{{0, 0.5}, {0, 0.6}}, Stop, ErrCalibration},
		{"aims that fall", []ContrastAim{{0, 0.7}, {Stop, 0.6}}, Stop, ErrCalibration},
		{"aim beyond the ceiling", []ContrastAim{{0, 0.5}, {Stop, 1.2}}, Stop, ErrCalibration},
		{"normal aim out of reach", []ContrastAim{{0, 0.05}, {Stop, 0.6}}, Stop, ErrCalibration},
	} {
		recipe := BWRecipe{Rows: []BWRow{{20, 400}}, Calibration: &Calibration{curve, c.aims}}
		if got, err := BWTime(recipe, 20, c.push); !errors.Is(err, c.want) {
			t.Errorf("%s: %+v, %v; want %v", c.name, got, err, c.want)
		}
	}
}

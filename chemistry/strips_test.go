package chemistry_test

import (
	"errors"
	"math"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"pgregory.net/rapid"

	"wetside/chemistry"
)

// boxAim is an invented aim; limits are about deviations, so any will do.
var boxAim = chemistry.StripReading{
	DMin: [3]float64{0.22, 0.61, 0.85}, LD: [3]float64{0.70, 1.15, 1.45}, HD: [3]float64{1.25, 1.80, 2.15},
	DMaxBlue: 2.90, YellowBlue: 2.75,
}

func stripOff(change func(*chemistry.StripReading)) chemistry.StripReading {
	reading := boxAim
	change(&reading)
	return reading
}

func judged(t *testing.T, change func(*chemistry.StripReading)) chemistry.StripResult {
	t.Helper()
	result, err := chemistry.JudgeStrip(stripOff(change), boxAim, chemistry.C41StripLimits)
	if err != nil {
		t.Fatal(err)
	}
	return result
}

// Limits of Kodak Z-131, table 5-1: a deviation of exactly the limit is within.
func TestStripLimits(t *testing.T) {
	t.Parallel()
	dmin := func(by float64) func(*chemistry.StripReading) {
		return func(r *chemistry.StripReading) { r.DMin[chemistry.Blue] += by }
	}
	// The whole scale shifts, so that the contrast stays.
	speed := func(by float64) func(*chemistry.StripReading) {
		return func(r *chemistry.StripReading) { r.LD[chemistry.Green] += by; r.HD[chemistry.Green] += by }
	}
	// All three layers shift, so that there is no spread.
	contrast := func(by float64) func(*chemistry.StripReading) {
		return func(r *chemistry.StripReading) {
			for layer := range r.HD {
				r.HD[layer] += by
			}
		}
	}
	silver := func(by float64) func(*chemistry.StripReading) {
		return func(r *chemistry.StripReading) { r.DMaxBlue += by }
	}
	// Half up, half down: the spread is twice what each is off.
	spread := func(by float64) func(*chemistry.StripReading) {
		return func(r *chemistry.StripReading) { r.HD[chemistry.Red] += by / 2; r.HD[chemistry.Blue] -= by / 2 }
	}
	for _, row := range []struct {
		parameter       chemistry.StripParameter
		off             func(float64) func(*chemistry.StripReading)
		action, control float64
		low             bool // a low deviation is a fault too
	}{
		{chemistry.ParameterDMin, dmin, 0.03, 0.05, false},
		{chemistry.ParameterSpeed, speed, 0.06, 0.08, true},
		{chemistry.ParameterContrast, contrast, 0.07, 0.09, true},
		{chemistry.ParameterSilver, silver, 0.10, 0.12, false},
		{chemistry.ParameterSpread, spread, 0.09, 0.09, true}, // no action limit of its own
	} {
		check := func(by float64, want chemistry.StripVerdict) {
			result := judged(t, row.off(by))
			if result.Verdict != want || result.Verdict.MayRun() == (want == chemistry.PastControl) {
				t.Errorf("%s off by %+.4f: %s, want %s", row.parameter, by, result.Verdict, want)
			}
			if want != chemistry.InControl && (len(result.Signals) == 0 || result.Signals[0].Parameter != row.parameter) {
				t.Errorf("%s off by %+.4f: signals %v", row.parameter, by, result.Signals)
			}
		}
		steps := map[float64]chemistry.StripVerdict{
			0: chemistry.InControl, row.action: chemistry.InControl, row.control + 0.001: chemistry.PastControl,
		}
		if row.action < row.control {
			steps[row.action+0.001], steps[row.control] = chemistry.PastAction, chemistry.PastAction
		}
		for by, want := range steps {
			check(by, want)
			if !row.low {
				want = chemistry.InControl
			}
			check(-by, want)
		}
	}
}

func TestWorstSignalDecides(t *testing.T) {
	t.Parallel()
	result := judged(t, func(r *chemistry.StripReading) {
		r.DMin[chemistry.Red] += 0.06 // past control
		r.DMaxBlue += 0.11            // past action
	})
	if result.Verdict != chemistry.PastControl || len(result.Signals) != 2 {
		t.Errorf("%s with %v", result.Verdict, result.Signals)
	}
	if got := result.Signals[0].String(); got != "D-min red is off by +0.06, past the control limit of 0.05" {
		t.Errorf("signal reads %q", got)
	}
	if got := result.Signals[1].String(); got != "D-max blue − yellow blue is off by +0.11, past the action limit of 0.10" {
		t.Errorf("signal reads %q", got)
	}
	if math.Abs(result.Silver-0.11) > 1e-12 || !strings.Contains(result.Source.String(), "Z-131") {
		t.Errorf("silver %v, source %v", result.Silver, result.Source)
	}
}

// What patterns mean: Kodak CIS-254, p. 6.
func TestStripPatterns(t *testing.T) {
	t.Parallel()
	all := func(hd, ld float64) func(*chemistry.StripReading) {
		return func(r *chemistry.StripReading) {
			for layer := range r.HD {
				r.LD[layer] += ld
				r.HD[layer] += ld + hd
			}
		}
	}
	for name, test := range map[string]struct {
		change func(*chemistry.StripReading)
		causes []string
	}{
		"in control":      {all(0, 0), nil},
		"contrast low":    {all(-0.08, 0), []string{"agitated", "dilute", "oxidised"}},
		"contrast high":   {all(0.08, 0), []string{"over-concentrated", "contaminated"}},
		"speed high":      {all(0, 0.07), []string{"too long", "too warm", "over-replenished"}},
		"speed low":       {all(0, -0.07), []string{"too short", "too cool", "under-replenished"}},
		"retained silver": {func(r *chemistry.StripReading) { r.DMaxBlue += 0.2 }, []string{"retained"}},
		"fog":             {func(r *chemistry.StripReading) { r.DMin[chemistry.Green] += 0.04 }, []string{"fogged"}},
	} {
		result := judged(t, test.change)
		if len(result.Suspects) != len(test.causes) {
			t.Errorf("%s: suspects %v", name, result.Suspects)
			continue
		}
		for i, cause := range test.causes {
			if !strings.Contains(result.Suspects[i].Cause, cause) {
				t.Errorf("%s: suspect %d is %q, want %q", name, i, result.Suspects[i].Cause, cause)
			}
			if !strings.Contains(strings.Join(result.Next, " "), result.Suspects[i].CheckFirst) {
				t.Errorf("%s: nobody is told to check %s", name, result.Suspects[i].CheckFirst)
			}
		}
	}
	if high := judged(t, all(0.08, 0)); !strings.Contains(high.Suspects[0].CheckFirst, "add water, 5 % of the tank") {
		t.Errorf("an over-concentrated developer is answered by %q", high.Suspects[0].CheckFirst)
	}
}

// Confirm at once with a second strip (NAVEDTRA 14208); HD − LD off by more than
// 0.15: replace the developer (Kodak CIS-254, p. 6).
func TestStripNextSteps(t *testing.T) {
	t.Parallel()
	contrast := func(by float64) chemistry.StripResult {
		return judged(t, func(r *chemistry.StripReading) {
			for layer := range r.HD {
				r.HD[layer] += by
			}
		})
	}
	if steps := contrast(0).Next; len(steps) != 0 {
		t.Errorf("a good strip asks for %v", steps)
	}
	action := strings.Join(contrast(0.08).Next, "\n")
	if strings.Contains(action, "Stop customer film") || !strings.Contains(action, "second strip") || !strings.Contains(action, "film may still run") {
		t.Errorf("past the action limit: %s", action)
	}
	control := contrast(-0.15)
	if control.ReplaceDeveloper() || !strings.HasPrefix(control.Next[0], "Stop customer film") || !strings.Contains(control.Next[1], "second strip") {
		t.Errorf("off by 0.15: %v", control.Next)
	}
	for _, by := range []float64{-0.16, 0.16} {
		if worse := contrast(by); !worse.ReplaceDeveloper() || !strings.Contains(strings.Join(worse.Next, "\n"), "replace the developer") {
			t.Errorf("off by %v: %v", by, worse.Next)
		}
	}
}

// The patterns of Kodak CIS-254 speak of C-41: elsewhere a strip is judged, and
// nothing is suspected.
func TestStripWithoutPattern(t *testing.T) {
	t.Parallel()
	slow := judged(t, func(r *chemistry.StripReading) {
		for layer := range r.HD {
			r.HD[layer] -= 0.2
		}
	})
	plain := slow.WithoutPattern()
	said := strings.Join(plain.Next, "\n")
	if len(plain.Suspects) != 0 || strings.Contains(said, "replace the developer") || strings.Contains(said, "agitation") {
		t.Errorf("suspects %v, steps %s", plain.Suspects, said)
	}
	if plain.Verdict != chemistry.PastControl || !strings.HasPrefix(said, "Stop customer film") || !strings.Contains(said, "second strip") {
		t.Errorf("%s: %s", plain.Verdict, said)
	}
	if len(slow.Suspects) == 0 || !slow.ReplaceDeveloper() {
		t.Error("the result itself lost its pattern")
	}
	if good := judged(t, func(*chemistry.StripReading) {}).WithoutPattern(); len(good.Next) != 0 {
		t.Errorf("a good strip asks for %v", good.Next)
	}
}

func TestSecondStripConfirms(t *testing.T) {
	t.Parallel()
	fast := judged(t, func(r *chemistry.StripReading) { r.LD[0] += 0.07; r.HD[0] += 0.07 })
	fastAgain := judged(t, func(r *chemistry.StripReading) { r.LD[0] += 0.09; r.HD[0] += 0.09; r.DMin[1] += 0.04 })
	slow := judged(t, func(r *chemistry.StripReading) { r.LD[0] -= 0.07; r.HD[0] -= 0.07 })
	otherLayer := judged(t, func(r *chemistry.StripReading) { r.LD[2] += 0.07; r.HD[2] += 0.07 })
	confirmed := chemistry.ConfirmStrip(fast, fastAgain)
	if len(confirmed) != 1 || confirmed[0].Verdict != chemistry.PastControl || confirmed[0].Parameter != chemistry.ParameterSpeed {
		t.Errorf("confirmed %v", confirmed)
	}
	for name, second := range map[string]chemistry.StripResult{"slow": slow, "another layer": otherLayer, "good": judged(t, func(*chemistry.StripReading) {})} {
		if confirmed := chemistry.ConfirmStrip(fast, second); len(confirmed) != 0 {
			t.Errorf("%s confirms %v", name, confirmed)
		}
	}
}

func TestStripLimitsAreTheLabs(t *testing.T) {
	t.Parallel()
	tight := chemistry.StripLimits{Limits: map[chemistry.StripParameter]chemistry.StripLimit{chemistry.ParameterSpeed: {Action: 0.01, Control: 0.02}}}
	result, err := chemistry.JudgeStrip(stripOff(func(r *chemistry.StripReading) { r.LD[0] += 0.03; r.HD[0] += 0.03; r.DMin[0] = 1 }), boxAim, tight)
	if err != nil || result.Verdict != chemistry.PastControl || len(result.Signals) != 1 {
		t.Errorf("%v, %v", result.Signals, err)
	}
}

// The aim is the reference strip's reading with the box's correction factors.
func TestAimFromReferenceStrip(t *testing.T) {
	t.Parallel()
	correction := chemistry.StripReading{LD: [3]float64{0.02, -0.01, 0}, YellowBlue: 0.03}
	aim := boxAim.Aim(correction)
	if diff := cmp.Diff(correction, aim.From(boxAim), cmpopts.EquateApprox(0, 1e-12)); diff != "" {
		t.Error(diff)
	}
}

func TestCrossOver(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		newAim := stripOff(func(r *chemistry.StripReading) {
			for layer := range r.LD {
				r.LD[layer] += rapid.Float64Range(-0.1, 0.1).Draw(t, "LD")
				r.HD[layer] += rapid.Float64Range(-0.1, 0.1).Draw(t, "HD")
				r.DMin[layer] += rapid.Float64Range(-0.1, 0.1).Draw(t, "D-min")
			}
			r.DMaxBlue += 0.04
		})
		// Where the line is off by some in both boxes alike, the aim is found
		// whatever that is.
		var pairs []chemistry.StripPair
		for range rapid.IntRange(1, 5).Draw(t, "pairs") {
			drift := rapid.Float64Range(-0.03, 0.03).Draw(t, "drift")
			off := chemistry.StripReading{LD: [3]float64{drift, drift, drift}, HD: [3]float64{drift, drift, drift}}
			pairs = append(pairs, chemistry.StripPair{Old: boxAim.Aim(off), New: newAim.Aim(off)})
		}
		got, err := chemistry.CrossOver(boxAim, pairs, chemistry.C41StripLimits)
		if diff := cmp.Diff(newAim, got, cmpopts.EquateApprox(0, 1e-9)); err != nil || diff != "" {
			t.Errorf("%v %s", err, diff)
		}
	})
}

func TestCrossOverRefuses(t *testing.T) {
	t.Parallel()
	off := stripOff(func(r *chemistry.StripReading) { r.DMin[0] += 0.04 })
	mad := stripOff(func(r *chemistry.StripReading) { r.HD[1] = math.NaN() })
	for name, test := range map[string]struct {
		pairs []chemistry.StripPair
		want  error
	}{
		"no pairs":           {nil, chemistry.ErrTooFew},
		"a line that is off": {[]chemistry.StripPair{{Old: boxAim, New: boxAim}, {Old: off, New: boxAim}}, chemistry.ErrNotInControl},
		"old not a number":   {[]chemistry.StripPair{{Old: mad, New: boxAim}}, chemistry.ErrAmount},
		"new not a number":   {[]chemistry.StripPair{{Old: boxAim, New: mad}}, chemistry.ErrAmount},
	} {
		if _, err := chemistry.CrossOver(boxAim, test.pairs, chemistry.C41StripLimits); !errors.Is(err, test.want) {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// A new box is crossed over while a week's stock of the old is left.
func TestCrossOverDue(t *testing.T) {
	t.Parallel()
	for left, due := range map[int]bool{15: false, 14: true, 0: true} {
		if got := chemistry.CrossOverDue(left, 2); got != due {
			t.Errorf("%d strips left at 2 a day: %v", left, got)
		}
	}
}

// A strip runs before the first film of the day (NAVEDTRA 14208).
func TestStripDue(t *testing.T) {
	t.Parallel()
	east := time.FixedZone("east", 9*3600)
	now := time.Date(2026, 3, 3, 7, 0, 0, 0, east)
	for name, test := range map[string]struct {
		last time.Time
		due  bool
	}{
		"never":                        {time.Time{}, true},
		"yesterday":                    {now.Add(-8 * time.Hour), true},
		"this morning":                 {now.Add(-time.Hour), false},
		"yesterday's date, same night": {time.Date(2026, 3, 2, 16, 0, 0, 0, time.UTC), false},
		"a year ago":                   {now.AddDate(-1, 0, 0), true},
	} {
		if got := chemistry.StripDue(test.last, now); got != test.due {
			t.Errorf("%s: %v", name, got)
		}
	}
}

func TestStripsRefuseNonsense(t *testing.T) {
	t.Parallel()
	for name, change := range map[string]func(*chemistry.StripReading){
		"D-min":  func(r *chemistry.StripReading) { r.DMin[0] = math.NaN() },
		"LD":     func(r *chemistry.StripReading) { r.LD[1] = math.Inf(1) },
		"HD":     func(r *chemistry.StripReading) { r.HD[2] = -6 },
		"D-max":  func(r *chemistry.StripReading) { r.DMaxBlue = 5.1 },
		"yellow": func(r *chemistry.StripReading) { r.YellowBlue = math.Inf(-1) },
	} {
		_, err := chemistry.JudgeStrip(stripOff(change), boxAim, chemistry.C41StripLimits)
		if !errors.Is(err, chemistry.ErrAmount) || !strings.Contains(err.Error(), name) {
			t.Errorf("%s: %v", name, err)
		}
		if _, err := chemistry.JudgeStrip(boxAim, stripOff(change), chemistry.C41StripLimits); !errors.Is(err, chemistry.ErrAmount) {
			t.Errorf("%s of the aim: %v", name, err)
		}
	}
}

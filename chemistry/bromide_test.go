package chemistry_test

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"

	"wetside/chemistry"
)

// A roll of 80 in² releases 40 to 60 mg of bromide as KBr (Silvergrain Labs);
// with 50 mg and 45 mL a roll the mass balance ends at 50/45 = 1.11 g/L.
func TestBromideSteadyState(t *testing.T) {
	t.Parallel()
	bleed := chemistry.Bleed{VolumeML: 4500, ReplenisherMLPerRoll: 45, Bromide: chemistry.BromideFigures{ReleasedMGPerRoll: 50}}
	steady, err := bleed.Steady()
	if err != nil || math.Abs(steady-1.11) > 0.005 {
		t.Errorf("steady state is %v, %v; 1.11 g/L is wanted", steady, err)
	}
	for _, release := range []float64{chemistry.BromideReleaseLowMG, chemistry.BromideReleaseHighMG} {
		bleed.Bromide.ReleasedMGPerRoll = release
		bleed.Bromide.ReplenisherGPerL = 0.5
		got, err := bleed.Steady()
		if want := 0.5 + release/45; err != nil || math.Abs(got-want) > 1e-12 {
			t.Errorf("release %v: steady state %v, %v; want %v", release, got, err, want)
		}
	}
}

// After 1 to 5 turnovers a well mixed tank is 63.2, 86.5, 95.0, 98.2 and 99.3 %
// of the way (mass balance, as printed in tables of tank turnover).
func TestTurnoversOfAWellMixedTank(t *testing.T) {
	t.Parallel()
	bleed := chemistry.Bleed{VolumeML: 900, ReplenisherMLPerRoll: 45, Bromide: chemistry.BromideFigures{ReleasedMGPerRoll: 45}}
	for i, percent := range []float64{63.2, 86.5, 95.0, 98.2, 99.3} {
		turnovers := float64(i + 1)
		if got := 100 * chemistry.SteadyShare(turnovers); math.Abs(got-percent) > 0.05 {
			t.Errorf("%v turnovers: %v %%, want %v %%", turnovers, got, percent)
		}
		// 20 rolls of 45 mL are one turnover of 900 mL, and 45 mg in 45 mL end at 1 g/L.
		got, err := bleed.After(20 * turnovers)
		if err != nil || math.Abs(100*got-percent) > 0.05 {
			t.Errorf("after %v rolls: %v g/L, %v; want %v", 20*turnovers, got, err, percent/100)
		}
	}
}

func TestBromideIsExactAtTheEnds(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		bleed := drawBleed(t)
		steady, err := bleed.Steady()
		if err != nil {
			t.Fatal(err)
		}
		if start, err := bleed.After(0); err != nil || start != bleed.Bromide.StartGPerL {
			t.Errorf("after no rolls %v, %v; want %v", start, err, bleed.Bromide.StartGPerL)
		}
		if end, err := bleed.After(1e12); err != nil || end != steady {
			t.Errorf("after very many rolls %v, %v; want %v", end, err, steady)
		}
	})
}

func drawBleed(t *rapid.T) chemistry.Bleed {
	return chemistry.Bleed{
		VolumeML:             rapid.Float64Range(100, 1e5).Draw(t, "volume"),
		ReplenisherMLPerRoll: rapid.Float64Range(1, 500).Draw(t, "replenisher"),
		Bromide: chemistry.BromideFigures{
			ReleasedMGPerRoll: rapid.Float64Range(0, 200).Draw(t, "release"),
			ReplenisherGPerL:  rapid.Float64Range(0, 5).Draw(t, "in replenisher"),
			StartGPerL:        rapid.Float64Range(0, 5).Draw(t, "start"),
		},
	}
}

// A simulation adds each roll in steps: bromide and replenisher in, mixed,
// overflow out. With x = r/(steps·V) it keeps (1+x)^−k of the distance from the
// steady state after k steps where the model keeps e^(−kx); the two exponents
// differ by at most kx²/2, so the results by at most |C_ss − C0|·N·(x/2)·e^(−N(1−x/2)),
// N being the turnovers, which is below |C_ss − C0|·x/2 while x < 1/2.
func TestBromideAgreesWithSimulation(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		bleed := drawBleed(t)
		rolls := rapid.IntRange(0, 60).Draw(t, "rolls")
		const steps = 200
		x := bleed.ReplenisherMLPerRoll / steps / bleed.VolumeML
		steady, err := bleed.Steady()
		if err != nil {
			t.Fatal(err)
		}
		concentration := bleed.Bromide.StartGPerL
		for range rolls * steps {
			inMG := (bleed.Bromide.ReleasedMGPerRoll + bleed.Bromide.ReplenisherGPerL*bleed.ReplenisherMLPerRoll) / steps
			grown := bleed.VolumeML + bleed.ReplenisherMLPerRoll/steps
			concentration = (concentration*bleed.VolumeML + inMG) / grown
		}
		got, err := bleed.After(float64(rolls))
		allowed := math.Abs(steady-bleed.Bromide.StartGPerL)*x/2 + 1e-9*(1+steady)
		if err != nil || math.Abs(got-concentration) > allowed {
			t.Errorf("model %v, %v; simulation %v, allowed difference %v", got, err, concentration, allowed)
		}
	})
}

func TestBromideWithoutReplenisherJustRises(t *testing.T) {
	t.Parallel()
	bleed := chemistry.Bleed{VolumeML: 1000, Bromide: chemistry.BromideFigures{ReleasedMGPerRoll: 50, StartGPerL: 0.2}}
	if got, err := bleed.After(10); err != nil || math.Abs(got-0.7) > 1e-12 {
		t.Errorf("ten rolls of 50 mg in 1 L from 0.2 g/L: %v, %v; want 0.7", got, err)
	}
	if steady, err := bleed.Steady(); !errors.Is(err, chemistry.ErrAmount) {
		t.Errorf("a tank without replenisher has a steady state of %v, %v", steady, err)
	}
}

func TestBromideRefusesNonsense(t *testing.T) {
	t.Parallel()
	good := chemistry.Bleed{VolumeML: 1000, ReplenisherMLPerRoll: 45}
	for name, spoil := range map[string]func(*chemistry.Bleed) float64{
		"volume":      func(b *chemistry.Bleed) float64 { b.VolumeML = 0; return 1 },
		"replenisher": func(b *chemistry.Bleed) float64 { b.ReplenisherMLPerRoll = math.NaN(); return 1 },
		"release":     func(b *chemistry.Bleed) float64 { b.Bromide.ReleasedMGPerRoll = -1; return 1 },
		"contents":    func(b *chemistry.Bleed) float64 { b.Bromide.ReplenisherGPerL = math.Inf(1); return 1 },
		"start":       func(b *chemistry.Bleed) float64 { b.Bromide.StartGPerL = -0.1; return 1 },
		"rolls":       func(*chemistry.Bleed) float64 { return -1 },
	} {
		bleed := good
		rolls := spoil(&bleed)
		if got, err := bleed.After(rolls); !errors.Is(err, chemistry.ErrAmount) {
			t.Errorf("%s: got %v, %v", name, got, err)
		}
		if _, err := bleed.Steady(); name != "rolls" && !errors.Is(err, chemistry.ErrAmount) {
			t.Errorf("%s: steady state gives %v", name, err)
		}
	}
}

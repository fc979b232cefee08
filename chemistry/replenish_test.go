package chemistry_test

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"

	"wetside/chemistry"
)

// Kodak Z-119, table 2-1, gives mL per ft² and per m².
func TestReversalRates(t *testing.T) {
	t.Parallel()
	want := map[chemistry.SolutionFamily]float64{
		chemistry.FirstDeveloper: 2153, chemistry.ReversalBath: 1076, chemistry.ColourDeveloper: 2153,
		chemistry.PreBleach: 1076, chemistry.Bleach: 215, chemistry.Fixer: 1076, chemistry.FinalRinse: 1076,
	}
	if len(chemistry.E6Rates) != len(want) {
		t.Errorf("%d baths, the table has %d", len(chemistry.E6Rates), len(want))
	}
	for _, bath := range chemistry.E6Rates {
		if math.Abs(bath.Rate.MLPerM2-want[bath.Family]) > 0.5 {
			t.Errorf("%s: %v mL/m², the table says %v", bath.Family, bath.Rate.MLPerM2, want[bath.Family])
		}
	}
}

// The same table: 25 US gal of first developer replenisher do 475 ft² by its own
// count, 473 by its rate of 200 mL; and 111 mL do a roll of 80 in².
func TestReversalRatesAgreeWithinTheirTable(t *testing.T) {
	t.Parallel()
	const gallonML = 3785.411784
	perM2 := chemistry.E6Rates[0].Rate.MLPerM2
	feet := 25 * gallonML / perM2 / chemistry.SquareFoot
	if math.Abs(feet-473) > 0.5 || math.Abs(feet-475)/475 > 0.005 {
		t.Errorf("25 US gal do %v ft²", feet)
	}
	doses, err := chemistry.Replenishment(chemistry.E6Rates[:1], []chemistry.FilmLot{{Format: chemistry.Format120, Count: 1}})
	if err != nil || math.Abs(doses[0].ML-111) > 0.5 {
		t.Errorf("a roll of 80 in² takes %v, %v; want 111 mL", doses, err)
	}
}

// Stop bath 60 mL and rapid fixer 40 mL for a 135-36 (HARMAN technology, technical
// information sheet, March 2025, pp. 3-4).
func TestBlackAndWhiteRates(t *testing.T) {
	t.Parallel()
	doses, err := chemistry.Replenishment(chemistry.BWRates, []chemistry.FilmLot{{Format: chemistry.Format135, Exposures: 36, Count: 10}})
	if err != nil || len(doses) != 2 {
		t.Fatal(doses, err)
	}
	for i, want := range []chemistry.Dose{{Family: chemistry.StopBath, ML: 600}, {Family: chemistry.Fixer, ML: 400}} {
		if doses[i].Family != want.Family || math.Abs(doses[i].ML-want.ML) > 1e-6 {
			t.Errorf("dose %v, want %v", doses[i], want)
		}
	}
}

// The New Mexico Administrative Code replenishes 1 L for 3100 in², the German
// handbook (ABC der Röntgentechnik) takes at most 2 m² a litre: they agree.
func TestXRayCodesAgree(t *testing.T) {
	t.Parallel()
	m2 := 1000 / chemistry.XRayRate.Rate.MLPerM2
	if math.Abs(m2-2.00) > 0.005 {
		t.Errorf("a litre does %v m², want 2.00", m2)
	}
	for _, capacity := range chemistry.Capacities {
		if capacity.Name == "X-ray developer" && math.Abs(capacity.M2PerL-m2) > 0.005 {
			t.Errorf("capacity %v m² a litre, rate %v", capacity.M2PerL, m2)
		}
	}
}

// Formats count in rolls of 80 in²: one 135-36, one 120, half a 220, four 4×5
// sheets (Darkroom Cookbook, 3rd edition, p. 108).
func TestReplenishmentByFormat(t *testing.T) {
	t.Parallel()
	for _, test := range []struct {
		lot   chemistry.FilmLot
		rolls float64
	}{
		{chemistry.FilmLot{Format: chemistry.Format135, Count: 3}, 3},
		{chemistry.FilmLot{Format: chemistry.Format135, Exposures: 24, Count: 3}, 2},
		{chemistry.FilmLot{Format: chemistry.Format120, Count: 2}, 2},
		{chemistry.FilmLot{Format: chemistry.Format220, Count: 2}, 4},
		{chemistry.FilmLot{Format: chemistry.Format4x5, Count: 8}, 2},
	} {
		doses, err := chemistry.Replenishment(chemistry.C41Rates, []chemistry.FilmLot{test.lot})
		if err != nil || math.Abs(doses[0].ML-45*test.rolls) > 1e-9 {
			t.Errorf("%+v: %v, %v; want %v mL", test.lot, doses, err, 45*test.rolls)
		}
	}
}

func TestPushCountsInDevelopersOnly(t *testing.T) {
	t.Parallel()
	rates := []chemistry.BathRate{
		{Family: chemistry.ColourDeveloper, Rate: chemistry.ReplenishRate{MLPerM2: 1000, PushFactor: 1.21}},
		{Family: chemistry.Fixer, Rate: chemistry.ReplenishRate{MLPerM2: 1000, PushFactor: 1.21}},
	}
	perRoll := 1000 * chemistry.FilmUnitArea
	for push, factor := range map[chemistry.Stops]float64{0: 1, chemistry.Stop: 1.21, chemistry.Stop / 2: 1.1, -chemistry.Stop: 1 / 1.21, 2 * chemistry.Stop: 1.4641} {
		doses, err := chemistry.Replenishment(rates, []chemistry.FilmLot{{Format: chemistry.Format120, Count: 1, Push: push}})
		if err != nil || math.Abs(doses[0].ML-factor*perRoll) > 1e-9 || math.Abs(doses[1].ML-perRoll) > 1e-9 {
			t.Errorf("push %v: %v, %v", push, doses, err)
		}
	}
}

func TestReplenishmentAddsUp(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		var batch []chemistry.FilmLot
		sum := 0.0
		for range rapid.IntRange(1, 5).Draw(t, "lots") {
			lot := chemistry.FilmLot{
				Format: rapid.SampledFrom(chemistry.Formats).Draw(t, "format"), Count: rapid.IntRange(1, 30).Draw(t, "count"),
				Push: chemistry.Stops(rapid.IntRange(-12, 18).Draw(t, "push")),
			}
			alone, err := chemistry.Replenishment(chemistry.E6Rates, []chemistry.FilmLot{lot})
			if err != nil {
				t.Fatal(err)
			}
			sum += alone[0].ML
			batch = append(batch, lot)
		}
		together, err := chemistry.Replenishment(chemistry.E6Rates, batch)
		if err != nil || math.Abs(together[0].ML-sum) > 1e-9*sum {
			t.Errorf("together %v, %v; one by one %v", together[0].ML, err, sum)
		}
	})
}

func TestReplenishmentRefusesNonsense(t *testing.T) {
	t.Parallel()
	roll := []chemistry.FilmLot{{Format: chemistry.Format120, Count: 1}}
	rate := func(ml, factor float64) []chemistry.BathRate {
		return []chemistry.BathRate{{Family: chemistry.Fixer, Rate: chemistry.ReplenishRate{MLPerM2: ml, PushFactor: factor}}}
	}
	for name, test := range map[string]struct {
		rates []chemistry.BathRate
		batch []chemistry.FilmLot
		want  error
	}{
		"no film":         {rate(100, 1), nil, chemistry.ErrTooFew},
		"no rolls":        {rate(100, 1), []chemistry.FilmLot{{Format: chemistry.Format120}}, chemistry.ErrAmount},
		"negative rolls":  {rate(100, 1), []chemistry.FilmLot{{Format: chemistry.Format120, Count: -1}}, chemistry.ErrAmount},
		"unknown format":  {rate(100, 1), []chemistry.FilmLot{{Format: "127", Count: 1}}, chemistry.ErrFormat},
		"negative rate":   {rate(-1, 1), roll, chemistry.ErrAmount},
		"rate not number": {rate(math.NaN(), 1), roll, chemistry.ErrAmount},
		"infinite factor": {rate(100, math.Inf(1)), roll, chemistry.ErrAmount},
		"factor too low":  {rate(100, 0.4), roll, chemistry.ErrAmount},
	} {
		if doses, err := chemistry.Replenishment(test.rates, test.batch); !errors.Is(err, test.want) {
			t.Errorf("%s: %v, %v", name, doses, err)
		}
	}
}

func TestMinimumSolution(t *testing.T) {
	t.Parallel()
	solution := chemistry.Solution{MinimumMLPerRoll: 250}
	if got := solution.MinimumML(3 * chemistry.FilmUnitArea); math.Abs(got-750) > 1e-9 {
		t.Errorf("three rolls need %v mL, want 750", got)
	}
	if got := (chemistry.Solution{}).MinimumML(1); got != 0 {
		t.Errorf("with nothing known %v mL are needed", got)
	}
}

// Rates that nobody has published say so.
func TestRatesSayHowFarTheyGo(t *testing.T) {
	t.Parallel()
	for name, test := range map[string]struct {
		rates []chemistry.BathRate
		want  chemistry.Standing
	}{
		"E-6": {chemistry.E6Rates, chemistry.Published}, "BW": {chemistry.BWRates, chemistry.Published},
		"C-41": {chemistry.C41Rates, chemistry.FromMemory}, "ECN-2": {chemistry.ECN2Rates, chemistry.FromMemory},
		"low C-41": {[]chemistry.BathRate{chemistry.C41LowRate}, chemistry.FromMemory},
	} {
		doses, err := chemistry.Replenishment(test.rates, []chemistry.FilmLot{{Format: chemistry.Format120, Count: 1}})
		if err != nil {
			t.Fatal(err)
		}
		for _, dose := range doses {
			if dose.Source.Standing != test.want || dose.ML <= 0 {
				t.Errorf("%s %s: %v mL, %v", name, dose.Family, dose.ML, dose.Source)
			}
		}
	}
}

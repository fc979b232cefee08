package chemistry_test

import (
	"errors"
	"math"
	"testing"
	"time"

	"pgregory.net/rapid"

	"wetside/chemistry"
)

// supposedDeveloper is a tank of 9 L that takes a roll's 45 mL twenty times a
// day: a tenth of itself.
func supposedDeveloper() chemistry.Supposed {
	return chemistry.Supposed{
		Solution: chemistry.Solution{
			Family: chemistry.ColourDeveloper, Use: chemistry.Replenished, CapacityM2PerL: 0.5, MinimumMLPerRoll: 250,
			Replenisher: chemistry.ReplenishRate{MLPerM2: 45 / chemistry.FilmUnitArea},
			Bromide:     chemistry.BromideFigures{ReleasedMGPerRoll: 50},
		},
		VolumeML: 9000, RollsPerDay: 20, StockML: 4500, CostPerL: 5, ReplenisherCostPerL: 3, Days: 30,
	}
}

func prospect(t *testing.T, s chemistry.Supposed) chemistry.Prospect {
	t.Helper()
	p, err := s.Prospect(date(3, 10))
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func near(t *testing.T, what string, got, want, within float64) {
	t.Helper()
	if !(math.Abs(got-want) <= within) {
		t.Errorf("%s: %v, want %v", what, got, want)
	}
}

// A roll that gives off 50 mg into 45 mL of replenisher brings bromide to
// 1.11 g/L (mass balance), of which turnovers 1 to 5 reach 63.2, 86.5, 95.0,
// 98.2 and 99.3 %.
func TestProspectOfAReplenishedDeveloper(t *testing.T) {
	t.Parallel()
	for i, want := range []float64{0.632, 0.865, 0.950, 0.982, 0.993} {
		s := supposedDeveloper()
		s.Days = 10 * float64(i+1) // ten days to a turnover
		p := prospect(t, s)
		near(t, "turnovers a day", p.TurnoversPerDay, 0.1, 1e-12)
		near(t, "bromide in the end", p.BromideSteadyGPerL, 1.11, 0.005)
		near(t, "share", p.ShareAfter, want, 0.0005)
		near(t, "bromide by then", p.BromideAfterGPerL, want*1.1111, 0.001)
		near(t, "days to steady", p.DaysToSteady, 30, 1e-9)
	}
	p := prospect(t, supposedDeveloper())
	if !p.BromideKnown || p.LowUse || p.RollsAtOnce != 36 || !p.CapacityEnds.IsZero() || !p.KeepingEnds.IsZero() {
		t.Errorf("%+v", p)
	}
	// 900 mL a day: 4.5 L last five days.
	if !p.StockEnds.Equal(date(3, 15)) || !p.RunsOut().Equal(date(3, 15)) {
		t.Errorf("the replenisher lasts until %v", p.StockEnds)
	}
	want := chemistry.Consumption{Known: true, MLPerRoll: 45, MLPerDay: 900, CostPerRoll: 0.135, CostPerDay: 2.7}
	near(t, "mL a roll", p.Uses.MLPerRoll, want.MLPerRoll, 1e-9)
	near(t, "mL a day", p.Uses.MLPerDay, want.MLPerDay, 1e-9)
	near(t, "mL a month", chemistry.PerMonth(p.Uses.MLPerDay), 27_000, 1e-6)
	near(t, "cost of a roll", p.Uses.CostPerRoll, want.CostPerRoll, 1e-12)
	near(t, "cost of a day", p.Uses.CostPerDay, want.CostPerDay, 1e-12)
}

// Kodak Z-119, table 2-1: 200 mL of first developer replenisher a square foot is
// 111 mL a roll of 80 in².
func TestProspectAtAPublishedRate(t *testing.T) {
	t.Parallel()
	s := supposedDeveloper()
	s.Solution.Family, s.Solution.Replenisher = chemistry.FirstDeveloper, chemistry.E6Rates[0].Rate
	near(t, "mL a roll", prospect(t, s).Uses.MLPerRoll, 111, 0.5)
}

// An acid fixer does 20 rolls of 80 in² a litre (Darkroom Cookbook, 3rd edition,
// p. 108): 5 L at four rolls a day with 36 done last 16 days, 50 mL a roll.
func TestProspectOfAReusedFixer(t *testing.T) {
	t.Parallel()
	s := chemistry.Supposed{
		Solution: chemistry.Solution{Family: chemistry.Fixer, Use: chemistry.Reused, CapacityM2PerL: chemistry.Capacities[0].M2PerL},
		VolumeML: 5000, RollsPerDay: 4, UsedM2: 36 * chemistry.FilmUnitArea, CostPerL: 2, KeepsUntil: date(3, 28),
	}
	p := prospect(t, s)
	if !p.CapacityEnds.Equal(date(3, 26)) || !p.KeepingEnds.Equal(date(3, 28)) || !p.RunsOut().Equal(date(3, 26)) || p.BromideKnown || p.RollsAtOnce != -1 {
		t.Errorf("%+v", p)
	}
	near(t, "mL a roll", p.Uses.MLPerRoll, 50, 1e-9)
	near(t, "cost of a roll", p.Uses.CostPerRoll, 0.10, 1e-9)
	s.RollsPerDay = 2
	if p = prospect(t, s); !p.RunsOut().Equal(date(3, 28)) {
		t.Errorf("at half the work: %+v", p)
	}
}

func TestProspectsAtTheirEdges(t *testing.T) {
	t.Parallel()
	for _, test := range []struct {
		name   string
		change func(*chemistry.Supposed)
		holds  func(chemistry.Prospect) bool
	}{
		{"no work", func(s *chemistry.Supposed) { s.RollsPerDay = 0 }, func(p chemistry.Prospect) bool {
			return p.TurnoversPerDay == 0 && p.DaysToSteady == 0 && p.ShareAfter == 0 && p.StockEnds.IsZero() && p.LowUse && p.Uses.MLPerRoll > 44
		}},
		{"no rate: its capacity counts", func(s *chemistry.Supposed) { s.Solution.Replenisher.MLPerM2 = 0 }, func(p chemistry.Prospect) bool {
			// 4.5 m² at 1.0322 m² a day.
			return p.CapacityEnds.Equal(date(3, 14)) && !p.Uses.Known && p.BromideSteadyGPerL == 0 && p.BromideAfterGPerL > 3 && !p.LowUse
		}},
		{"used up", func(s *chemistry.Supposed) { s.Solution.Replenisher.MLPerM2, s.UsedM2 = 0, 5 }, func(p chemistry.Prospect) bool {
			return p.CapacityEnds.Equal(date(3, 10))
		}},
		{"used up and idle", func(s *chemistry.Supposed) { s.Solution.Replenisher.MLPerM2, s.UsedM2, s.RollsPerDay = 0, 5, 0 }, func(p chemistry.Prospect) bool {
			return p.CapacityEnds.Equal(date(3, 10))
		}},
		{"one-shot", func(s *chemistry.Supposed) { s.Solution.Use = chemistry.OneShot }, func(p chemistry.Prospect) bool {
			return p.Uses == chemistry.Consumption{Known: true, MLPerRoll: 250, MLPerDay: 5000, CostPerRoll: 1.25, CostPerDay: 25} && p.CapacityEnds.IsZero()
		}},
		{"no bromide figures", func(s *chemistry.Supposed) { s.Solution.Bromide = chemistry.BromideFigures{} }, func(p chemistry.Prospect) bool {
			return !p.BromideKnown && p.BromideSteadyGPerL == 0 && p.ShareAfter > 0.9
		}},
		{"hardly used: under 1.5 % of the tank a day", func(s *chemistry.Supposed) { s.RollsPerDay = 2.9 }, func(p chemistry.Prospect) bool { return p.LowUse }},
		{"just used enough", func(s *chemistry.Supposed) { s.RollsPerDay = 3.1 }, func(p chemistry.Prospect) bool { return !p.LowUse }},
		{"a fixer is never used too little", func(s *chemistry.Supposed) {
			s.RollsPerDay, s.Solution.Family = 0.1, chemistry.Fixer
		}, func(p chemistry.Prospect) bool { return !p.LowUse }},
		{"two years and more", func(s *chemistry.Supposed) { s.StockML = 732 * 900 }, func(p chemistry.Prospect) bool { return p.StockEnds.IsZero() }},
		{"two years", func(s *chemistry.Supposed) { s.StockML = 730 * 900 }, func(p chemistry.Prospect) bool { return !p.StockEnds.IsZero() }},
	} {
		s := supposedDeveloper()
		test.change(&s)
		if p := prospect(t, s); !test.holds(p) {
			t.Errorf("%s: %+v", test.name, p)
		}
	}
}

func TestProspectRefusesNonsense(t *testing.T) {
	t.Parallel()
	for name, change := range map[string]func(*chemistry.Supposed){
		"no tank":            func(s *chemistry.Supposed) { s.VolumeML = 0 },
		"negative work":      func(s *chemistry.Supposed) { s.RollsPerDay = -1 },
		"work of no number":  func(s *chemistry.Supposed) { s.RollsPerDay = math.NaN() },
		"endless work":       func(s *chemistry.Supposed) { s.RollsPerDay = math.Inf(1) },
		"negative use":       func(s *chemistry.Supposed) { s.UsedM2 = -1 },
		"negative bromide":   func(s *chemistry.Supposed) { s.BromideGPerL = -1 },
		"negative stock":     func(s *chemistry.Supposed) { s.StockML = -1 },
		"negative cost":      func(s *chemistry.Supposed) { s.CostPerL = -1 },
		"a cost of nonsense": func(s *chemistry.Supposed) { s.ReplenisherCostPerL = math.NaN() },
		"days past":          func(s *chemistry.Supposed) { s.Days = -1 },
		"days beyond":        func(s *chemistry.Supposed) { s.Days = 731 },
		"a negative rate":    func(s *chemistry.Supposed) { s.Solution.Replenisher.MLPerM2 = -1 },
	} {
		s := supposedDeveloper()
		change(&s)
		if p, err := s.Prospect(date(3, 10)); !errors.Is(err, chemistry.ErrAmount) {
			t.Errorf("%s: %+v, %v", name, p, err)
		}
	}
}

// Days are those of the lab's clock.
func TestProspectsGoByTheLabsDays(t *testing.T) {
	t.Parallel()
	s := supposedDeveloper()
	s.KeepsUntil = time.Date(2026, 3, 12, 23, 0, 0, 0, time.UTC)
	p, err := s.Prospect(time.Date(2026, 3, 10, 12, 0, 0, 0, time.FixedZone("east", 2*3600)))
	if err != nil || !p.KeepingEnds.Equal(date(3, 13)) {
		t.Errorf("%+v, %v", p, err)
	}
}

func TestLawsOfProspects(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		s := supposedDeveloper()
		s.Solution.Replenisher.MLPerM2 = rapid.Float64Range(10, 5000).Draw(t, "rate")
		s.VolumeML = rapid.Float64Range(100, 1e5).Draw(t, "volume")
		s.RollsPerDay = rapid.Float64Range(0.1, 500).Draw(t, "work")
		s.Days = rapid.Float64Range(0, 700).Draw(t, "days")
		s.BromideGPerL = rapid.Float64Range(0, 5).Draw(t, "bromide")
		s.Solution.Bromide = chemistry.BromideFigures{ReleasedMGPerRoll: rapid.Float64Range(40, 60).Draw(t, "mg"),
			ReplenisherGPerL: rapid.Float64Range(0, 2).Draw(t, "added"), StartGPerL: s.BromideGPerL}
		now := date(3, 10)
		p, err := s.Prospect(now)
		if err != nil {
			t.Fatal(err)
		}
		near := func(what string, got, want float64) {
			if !(math.Abs(got-want) <= 1e-9*max(1, math.Abs(want))) {
				t.Errorf("%s: %v, want %v", what, got, want)
			}
		}
		// It is the bleed of package chemistry, looked at by day.
		bleed := chemistry.Bleed{VolumeML: s.VolumeML, ReplenisherMLPerRoll: p.Uses.MLPerRoll, Bromide: s.Solution.Bromide}
		steady, err1 := bleed.Steady()
		after, err2 := bleed.After(s.RollsPerDay * s.Days)
		if errors.Join(err1, err2) != nil {
			t.Fatal(err1, err2)
		}
		near("steady", p.BromideSteadyGPerL, steady)
		near("after", p.BromideAfterGPerL, after)
		near("share", s.BromideGPerL+p.ShareAfter*(steady-s.BromideGPerL), after)

		// Twice the volume takes twice as long, and ends where it did.
		larger := s
		larger.VolumeML *= 2
		q, _ := larger.Prospect(now)
		near("volume and turnovers", 2*q.TurnoversPerDay, p.TurnoversPerDay)
		near("volume and days", q.DaysToSteady, 2*p.DaysToSteady)
		near("volume and steady", q.BromideSteadyGPerL, p.BromideSteadyGPerL)
		near("volume and mL", q.Uses.MLPerDay, p.Uses.MLPerDay)

		// Twice the rate costs twice as much and halves what film adds.
		richer := s
		richer.Solution.Replenisher.MLPerM2 *= 2
		q, _ = richer.Prospect(now)
		near("rate and cost", q.Uses.CostPerDay, 2*p.Uses.CostPerDay)
		near("rate and steady", 2*(q.BromideSteadyGPerL-s.Solution.Bromide.ReplenisherGPerL), p.BromideSteadyGPerL-s.Solution.Bromide.ReplenisherGPerL)

		// More work never ends anything later, and costs a roll no more.
		busier := s
		busier.RollsPerDay *= 2
		q, _ = busier.Prospect(now)
		near("work and a roll", q.Uses.CostPerRoll, p.Uses.CostPerRoll)
		if !p.StockEnds.IsZero() && (q.StockEnds.IsZero() || q.StockEnds.After(p.StockEnds)) {
			t.Errorf("with more work the replenisher lasts until %v, with less until %v", q.StockEnds, p.StockEnds)
		}
	})
}

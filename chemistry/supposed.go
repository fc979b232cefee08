package chemistry

import (
	"math"
	"time"
)

// Supposed is how a fill is used, as it is or as somebody thinks of changing it:
// so much work on every day, with every roll replenished as the solution says.
type Supposed struct {
	Solution Solution
	VolumeML float64
	// RollsPerDay is the film of a day in rolls of 80 in², idle days counted in.
	RollsPerDay  float64
	UsedM2       float64   // film that counts against the capacity already
	BromideGPerL float64   // now, as KBr
	KeepsUntil   time.Time // zero where nobody knows
	StockML      float64   // replenisher that stands ready; 0 for none, or none known
	// What a litre of working solution and of replenisher costs; 0 where nobody
	// has said.
	CostPerL, ReplenisherCostPerL float64
	Days                          float64 // how far ahead to look
}

// Prospect is what a supposed use comes to.
type Prospect struct {
	TurnoversPerDay float64
	LowUse          bool // renewed more slowly than an idle developer oxidises

	BromideKnown       bool
	BromideSteadyGPerL float64 // 0 where it tends nowhere, because nothing is replenished
	BromideAfterGPerL  float64 // after the days ahead
	// ShareAfter is how much of the way from how it is now to its steady state the
	// tank comes in the days ahead, 0 to 1.
	ShareAfter   float64
	DaysToSteady float64 // until all but 5 % of the way is done; 0 where that is never

	RollsAtOnce int // what one load may hold by the least for a roll; −1 not known

	// The day on which the solution ends, by what ends it, where the lab is, as
	// midnight UTC; zero where that does not end it or cannot be told.
	CapacityEnds, KeepingEnds, StockEnds time.Time

	Uses Consumption
}

// RunsOut is the first day on which something ends a fill; zero for none.
func (p Prospect) RunsOut() time.Time {
	var first time.Time
	for _, day := range []time.Time{p.CapacityEnds, p.KeepingEnds, p.StockEnds} {
		if !day.IsZero() && (first.IsZero() || day.Before(first)) {
			first = day
		}
	}
	return first
}

// Consumption is what is mixed for film: replenisher for a replenished solution,
// the solution itself for any other.
type Consumption struct {
	Known     bool
	MLPerRoll float64 // of 80 in²
	MLPerDay  float64
	// What that costs; 0 where nobody has said what a litre does.
	CostPerRoll, CostPerDay float64
}

// MonthDays is a month in what is used and spent in one.
const MonthDays = 30

// PerMonth is an amount of a day over a month.
func PerMonth(perDay float64) float64 { return MonthDays * perDay }

// steadyTurnovers is how many turnovers leave a twentieth of the way to the
// steady state: after three, 95.0 % is done.
const steadyTurnovers = 3

// Check refuses amounts that cannot be.
func (s Supposed) Check() error {
	return firstFault(
		s.Solution.Check(),
		within("volume in mL", s.VolumeML, minVolumeML, maxVolumeML),
		within("rolls a day", s.RollsPerDay, 0, maxAreaM2/FilmUnitArea),
		within("film through in m²", s.UsedM2, 0, maxAreaM2),
		within("bromide now in g/L", s.BromideGPerL, 0, 1000),
		within("replenisher ready in mL", s.StockML, 0, maxVolumeML),
		within("cost of a litre", s.CostPerL, 0, 1e5),
		within("cost of a litre of replenisher", s.ReplenisherCostPerL, 0, 1e5),
		within("days ahead", s.Days, 0, horizonDays),
	)
}

// Prospect works out what the supposed use comes to, from now on.
func (s Supposed) Prospect(now time.Time) (Prospect, error) {
	if err := s.Check(); err != nil {
		return Prospect{}, err
	}
	perRoll := s.Solution.CalledForML(FilmUnitArea, 0)
	p := Prospect{TurnoversPerDay: s.RollsPerDay * perRoll / s.VolumeML, RollsAtOnce: -1, Uses: s.consumption(perRoll)}
	p.ShareAfter = SteadyShare(p.TurnoversPerDay * s.Days)
	if p.TurnoversPerDay > 0 {
		p.DaysToSteady = steadyTurnovers / p.TurnoversPerDay
	}
	p.LowUse = perRoll > 0 && s.Solution.Family.IsDeveloper() && p.TurnoversPerDay < idleShare/idlePeriod.Hours()*24
	if least := s.Solution.MinimumMLPerRoll; least > 0 {
		p.RollsAtOnce = int(math.Floor(s.VolumeML/least + shareError))
	}
	s.addBromide(&p, perRoll)
	s.addEnds(&p, perRoll, now)
	return p, nil
}

// addBromide says where bromide tends and how far it comes.
func (s Supposed) addBromide(p *Prospect, perRoll float64) {
	figures := s.Solution.Bromide
	if figures == (BromideFigures{}) {
		return
	}
	p.BromideKnown = true
	p.BromideAfterGPerL = bleed(s.BromideGPerL, s.VolumeML, figures.ReleasedMGPerRoll, perRoll, s.RollsPerDay*s.Days, figures.ReplenisherGPerL)
	if perRoll > 0 {
		p.BromideSteadyGPerL = figures.ReplenisherGPerL + figures.ReleasedMGPerRoll/perRoll
	}
}

// consumption is what is mixed for a roll and for a day.
func (s Supposed) consumption(perRoll float64) Consumption {
	uses, cost := Consumption{MLPerRoll: perRoll}, s.ReplenisherCostPerL
	if s.Solution.Use != Replenished {
		cost = s.CostPerL
	}
	switch {
	case s.Solution.Use == OneShot:
		uses.MLPerRoll = s.Solution.MinimumMLPerRoll
	case s.Solution.Use == Reused && s.Solution.CapacityM2PerL > 0:
		uses.MLPerRoll = 1000 * FilmUnitArea / s.Solution.CapacityM2PerL
	}
	uses.Known = uses.MLPerRoll > 0
	uses.MLPerDay = uses.MLPerRoll * s.RollsPerDay
	uses.CostPerRoll, uses.CostPerDay = uses.MLPerRoll/1000*cost, uses.MLPerDay/1000*cost
	return uses
}

// addEnds finds the days on which the fill and its replenisher come to an end.
// Film that is replenished for does not use up the capacity.
func (s Supposed) addEnds(p *Prospect, perRoll float64, now time.Time) {
	if capacity := s.Solution.CapacityM2PerL * s.VolumeML / 1000; capacity > 0 && perRoll == 0 && s.Solution.Use != OneShot {
		p.CapacityEnds = endDay(max(0, capacity-s.UsedM2), s.RollsPerDay*FilmUnitArea, now)
	}
	if !s.KeepsUntil.IsZero() {
		p.KeepingEnds = calendarDay(s.KeepsUntil.In(now.Location()))
	}
	if s.StockML > 0 && perRoll > 0 {
		p.StockEnds = endDay(s.StockML, p.Uses.MLPerDay, now)
	}
}

// endDay is the day on which an amount is used up at so much a day, from now
// on; zero where that is further off than anything is foretold.
func endDay(amount, perDay float64, now time.Time) time.Time {
	if amount == 0 {
		return calendarDay(now)
	}
	days := amount / perDay * (1 + shareError)
	if !(days <= horizonDays+1) { // none is used a day, too
		return time.Time{}
	}
	return calendarDay(now.Add(time.Duration(days * 24 * float64(time.Hour))))
}

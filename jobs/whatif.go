package jobs

import (
	"errors"
	"time"

	"wetside/chemistry"
)

// WhatIf is a fill, or a solution that is yet to be poured, with the figures
// that somebody thinks of changing. Nothing of it is kept.
type WhatIf struct {
	Solution Solution
	Fill     FillID // 0 for a fresh fill
	LineName string // "" for a fresh fill
	use      chemistry.Supposed
}

// WhatIfChange is what is to be different; nil leaves a figure as it is.
type WhatIfChange struct {
	MLPerM2         *float64 // replenisher for film
	VolumeML        *float64
	RollsPerDay     *float64 // rolls of 80 in², idle days counted in
	StockML         *float64 // replenisher that stands ready
	ReplenisherPerL *float64 // what a litre of it costs
	DaysAhead       *float64
}

// WhatIfDays is how far ahead is looked unless somebody says otherwise.
const WhatIfDays = 30

// WhatIfRecords is what a what-if stands on.
type WhatIfRecords struct {
	Catalogue
	Fills   []Fill // in use, and those dumped lately
	Ledgers map[FillID][]Entry
	Mixes   []Mix
}

// OfFill is what there is to change about a fill in use: NotFound when there is
// none, WrongState when a clock was set back to before what is on record.
func (r WhatIfRecords) OfFill(id FillID, now time.Time) (WhatIf, error) {
	for _, fill := range r.Fills {
		if fill.ID == id && fill.DumpedAt.IsZero() {
			return r.ofFill(fill, now)
		}
	}
	return WhatIf{}, Errorf(NotFound, "There is no such fill in use.")
}

func (r WhatIfRecords) ofFill(fill Fill, now time.Time) (WhatIf, error) {
	solution := r.Solutions[fill.Solution]
	ledger, _ := asPoured(r.Ledgers[fill.ID], midnight(now)) // as the forecast counts it
	state, err := fill.State(solution, ledger, now)
	if err != nil {
		return WhatIf{}, Errorf(WrongState, "how %s stands cannot be told: %w", fill.name(), err)
	}
	w := r.start(solution, now, func(f Fill) bool { return f.Line == fill.Line })
	w.Fill, w.LineName = fill.ID, fill.LineName
	w.use.VolumeML, w.use.KeepsUntil = float64(fill.VolumeML), state.KeepsUntil
	w.use.UsedM2 = max(0, state.CapacityM2-state.AreaLeftM2)
	if solution.Use != chemistry.Replenished || state.CapacityM2 == 0 {
		w.use.UsedM2 = fill.AreaM2
	}
	if state.BromideKnown {
		w.use.BromideGPerL = state.BromideGPerL
	}
	return w, nil
}

// freshML is a fresh fill's volume where no line says what its tank holds.
const freshML = 1000

// OfSolution is what there is to change about a fresh fill of a solution, in
// the largest tank of it: NotFound when there is no such solution.
func (r WhatIfRecords) OfSolution(id SolutionID, now time.Time) (WhatIf, error) {
	solution, ok := r.Solutions[id]
	if !ok {
		return WhatIf{}, Errorf(NotFound, "There is no such solution.")
	}
	var tank LineTank
	for _, line := range r.Lines {
		if has := line.Tanks[id]; has.VolumeML > tank.VolumeML {
			tank = has
		}
	}
	if tank.VolumeML == 0 {
		tank.VolumeML = freshML
	}
	w := r.start(solution, now, func(Fill) bool { return true })
	w.use.VolumeML = float64(tank.VolumeML)
	w.use.KeepsUntil = solution.KeepsUntil(tank.Storage, now)
	return w, nil
}

// start is what goes for a solution whatever is in its tanks. The work is that
// of the fills that count.
func (r WhatIfRecords) start(solution Solution, now time.Time, counts func(Fill) bool) WhatIf {
	w := WhatIf{Solution: solution, use: chemistry.Supposed{
		BromideGPerL: solution.Bromide.StartGPerL, CostPerL: solution.CostPerL, ReplenisherCostPerL: solution.ReplenisherCostPerL,
		Days: WhatIfDays, RollsPerDay: r.dailyM2(solution.ID, now, counts) / chemistry.FilmUnitArea,
	}}
	for _, mix := range r.Mixes {
		if mix.Solution == solution.ID && mix.Preparation == ReplenisherMixture && mix.CheckAge(solution, now, "") == nil {
			w.use.StockML += mix.LeftML
		}
	}
	return w
}

// dailyM2 is the film that usually goes through the fills of a solution on a
// day, in m², idle days counted in.
func (r WhatIfRecords) dailyM2(id SolutionID, now time.Time, counts func(Fill) bool) float64 {
	var days []chemistry.DayWork
	for _, fill := range r.Fills {
		if fill.Solution != id || !counts(fill) {
			continue
		}
		if first := fill.FilledAt.In(now.Location()).AddDate(0, 0, 1); first.Before(now) {
			days = append(days, chemistry.DayWork{Day: first})
		}
		for _, film := range FilmThrough(r.Ledgers[fill.ID]) {
			days = append(days, chemistry.DayWork{Day: film.At.In(now.Location()), AreaM2: film.AreaM2})
		}
	}
	return daily(days, now)
}

// Supposed is the use with something changed.
func (w WhatIf) Supposed(change WhatIfChange) chemistry.Supposed {
	use, solution := w.use, w.Solution
	for _, one := range []struct {
		wanted *float64
		figure *float64
	}{
		{change.MLPerM2, &solution.Replenisher.MLPerM2}, {change.VolumeML, &use.VolumeML}, {change.RollsPerDay, &use.RollsPerDay},
		{change.StockML, &use.StockML}, {change.ReplenisherPerL, &use.ReplenisherCostPerL}, {change.DaysAhead, &use.Days},
	} {
		if one.wanted != nil {
			*one.figure = *one.wanted
		}
	}
	use.Solution = solution.life()
	return use
}

// Check refuses changes that cannot be, naming the figure.
func (w WhatIf) Check(change WhatIfChange) error {
	var wrong fieldErrors
	for _, one := range []struct {
		field     string
		value     *float64
		low, high float64
	}{
		{"replenish_ml_per_m2", change.MLPerM2, 0, 1e5}, {"volume_ml", change.VolumeML, MinVolumeML, MaxVolumeML},
		{"rolls_per_day", change.RollsPerDay, 0, 10_000}, {"replenisher_ml", change.StockML, 0, MaxVolumeML},
		{"replenisher_cost_per_l", change.ReplenisherPerL, 0, 100_000}, {"days", change.DaysAhead, 1, 730},
	} {
		if one.value != nil {
			wrong.within(one.field, *one.value, one.low, one.high)
		}
	}
	if change.MLPerM2 != nil && *change.MLPerM2 > 0 && w.Solution.Use != chemistry.Replenished {
		wrong.add("replenish_ml_per_m2", "%s is %s: it takes no replenisher", w.Solution.Name, w.Solution.Use)
	}
	return wrong.err("this cannot be supposed")
}

// Prospect is what the use with something changed comes to.
func (w WhatIf) Prospect(change WhatIfChange, now time.Time) (chemistry.Prospect, error) {
	if err := w.Check(change); err != nil {
		return chemistry.Prospect{}, err
	}
	p, err := w.Supposed(change).Prospect(now)
	if errors.Is(err, chemistry.ErrAmount) {
		return p, Errorf(Invalid, "%w", err)
	}
	return p, err
}

// Unknown lists what cannot be said of a supposed use, because nobody has said
// what it takes.
func (w WhatIf) Unknown(use chemistry.Supposed) []string {
	solution, replenished := use.Solution, w.Solution.Use == chemistry.Replenished
	var missing []string
	for _, one := range []struct {
		missing bool
		says    string
	}{
		{use.RollsPerDay == 0, "How much film goes through it: none did lately. Dates, turnovers and days to steady need some."},
		{replenished && solution.Replenisher.MLPerM2 == 0, "The rate of replenishment: what is poured, turnovers and where bromide tends need one."},
		{w.Solution.Use != chemistry.OneShot && w.Solution.CapacityM2PerL == 0 && !(replenished && solution.Replenisher.MLPerM2 > 0),
			"The capacity: when film uses it up needs the recipe to say how much a litre takes."},
		{w.Solution.Use == chemistry.OneShot && w.Solution.MinimumMLPerRoll == 0, "The least for a roll: what is mixed for film needs it."},
		{solution.Family.IsDeveloper() && solution.Bromide == (chemistry.BromideFigures{}), "Bromide: the recipe does not say what a roll gives off."},
		{use.KeepsUntil.IsZero(), "How long it keeps as it stands."},
		{replenished && use.StockML == 0, "How much replenisher stands ready: none is on record."},
		{replenished && use.ReplenisherCostPerL == 0, "What a litre of replenisher costs."},
		{!replenished && use.CostPerL == 0, "What a litre costs."},
	} {
		if one.missing {
			missing = append(missing, one.says)
		}
	}
	return missing
}

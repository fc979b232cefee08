package chemistry

import "time"

// UseMode is how often a solution is used before it goes.
type UseMode string

// The ways to use a solution.
const (
	OneShot     UseMode = "one-shot"    // once, then dumped
	Reused      UseMode = "reused"      // again and again, with longer times, until its capacity is used
	Replenished UseMode = "replenished" // kept going by replenisher for every area of film
)

// UseModes lists every way to use a solution.
var UseModes = []UseMode{OneShot, Reused, Replenished}

// Amounts beyond these are slips of the pen.
const (
	minVolumeML = 1
	maxVolumeML = 1e7
	maxAreaM2   = 1e4
)

// Solution holds what limits the life of a fill. A zero number means that
// nothing is known of it.
type Solution struct {
	Name   string
	Family SolutionFamily
	Use    UseMode
	// CapacityM2PerL is the film that a litre takes, in m²; of a replenished
	// solution, the film that it takes without replenisher.
	CapacityM2PerL float64
	// TimePercentPerRoll is how much longer the time gets, in per cent of the
	// fresh time, for every roll of 80 in² that went through a litre before.
	TimePercentPerRoll float64
	Replenisher        ReplenishRate
	Bromide            BromideFigures
	Keeping            []Keeping
	MinimumMLPerRoll   float64 // working solution for a roll of 80 in²
}

// Check refuses figures that no solution has.
func (s Solution) Check() error {
	for _, entry := range s.Keeping {
		if err := entry.check(); err != nil {
			return err
		}
	}
	return firstFault(
		within("capacity in m² a litre", s.CapacityM2PerL, 0, 100),
		within("time rise in per cent a roll", s.TimePercentPerRoll, 0, 100),
		within("least solution in mL a roll", s.MinimumMLPerRoll, 0, 1e5),
		s.Replenisher.check(),
		s.Bromide.check(),
	)
}

// Pass is film of one push level that went through a fill, with the
// replenisher that was added for it. Area zero is a top-up.
type Pass struct {
	At            time.Time
	AreaM2        float64
	Push          Stops
	ReplenisherML float64
}

// Fill is one tank filled once.
type Fill struct {
	VolumeML float64
	Mixed    time.Time // zero means when it was filled
	Filled   time.Time
	Storage  Storage
	Clearing *ClearingTest // the latest test of a fixer, if there was one
	Fouled   string        // what got in that does not belong there; "" for nothing
	TwoBath  bool          // a fixer that is the first of two in a row
	Through  []Pass
	// Recent is what the lab ran through this kind of solution lately, which
	// the forecast goes by; none means what went through this fill.
	Recent []DayWork
}

// mixed returns the start of the fill's keeping.
func (f Fill) mixed() time.Time {
	if f.Mixed.IsZero() {
		return f.Filled
	}
	return f.Mixed
}

// check refuses amounts and times that cannot be, seen from now.
func (f Fill) check(now time.Time) error {
	if err := within("volume in mL", f.VolumeML, minVolumeML, maxVolumeML); err != nil {
		return err
	}
	if f.Filled.Before(f.mixed()) {
		return outOfOrder("filled", f.Filled, "when it was mixed", f.mixed())
	}
	if now.Before(f.Filled) {
		return outOfOrder("now", now, "when it was filled", f.Filled)
	}
	for _, pass := range f.Through {
		if pass.At.Before(f.Filled) {
			return outOfOrder("film through", pass.At, "when it was filled", f.Filled)
		}
		if now.Before(pass.At) {
			return outOfOrder("now", now, "when film went through", pass.At)
		}
		if err := firstFault(
			within("area through in m²", pass.AreaM2, 0, maxAreaM2),
			within("push in stops", pass.Push.Float(), -MaxStops.Float(), MaxStops.Float()),
			within("replenisher added in mL", pass.ReplenisherML, 0, maxVolumeML),
		); err != nil {
			return err
		}
	}
	if f.Clearing != nil {
		return f.Clearing.Check()
	}
	return nil
}

// lastUse is when film or replenisher last went in, or the fill was made.
func (f Fill) lastUse() time.Time {
	last := f.Filled
	for _, pass := range f.Through {
		if pass.At.After(last) {
			last = pass.At
		}
	}
	return last
}

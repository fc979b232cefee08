package chemistry

import (
	"math"
	"time"
)

// State is how a fill stands.
type State struct {
	Verdict Verdict
	Reasons []Reason

	AreaM2       float64 // film that went through
	CapacityM2   float64 // film that the whole fill takes; 0 means not known
	CapacityUsed float64 // share of the capacity, 1 being all
	AreaLeftM2   float64 // film until the capacity is used
	TimePercent  float64 // by how much the next time is longer than the fresh one

	ReplenisherCalledML float64 // what the film that went through calls for
	ReplenisherAddedML  float64
	ReplenisherDueML    float64 // what is still to be added
	IdleTopUpML         float64 // to be added because no film ran
	Turnovers           float64 // tank volumes of replenisher added
	LowUse              bool

	BromideKnown bool
	BromideGPerL float64
	// BromideSteadyGPerL is where bromide tends at the solution's rate; 0
	// where it tends nowhere, because nothing is replenished.
	BromideSteadyGPerL float64
	BromideSteadyShare float64 // how much of the way from the start it has come

	KeepsUntil  time.Time // zero means not known
	KeepingUsed float64   // share of the keeping time, 1 being all
	FixAtLeastS float64   // shortest fixing time in seconds; 0 means no test

	RunsOut  Forecast
	Cautions []string
}

// RollsLeft is how many whole rolls of 80 in² the fill still takes; −1 where no
// capacity is known.
func (s State) RollsLeft() int {
	if s.CapacityM2 == 0 {
		return -1
	}
	return int(math.Floor(s.AreaLeftM2/FilmUnitArea + shareError))
}

// Assess works out how a fill of a solution stands at a time.
func Assess(solution Solution, fill Fill, now time.Time) (State, error) {
	if err := firstFault(solution.Check(), fill.check(now)); err != nil {
		return State{}, err
	}
	state := State{Cautions: Cautions(solution.Family)}
	w := newWear(solution, fill.VolumeML)
	for _, pass := range fill.Through {
		w.take(pass)
	}
	state.addFilm(w)
	state.addCapacity(w)
	state.addUpkeep(solution, fill, now)
	state.addBromide(w)
	if until := KeepsUntil(solution.Keeping, fill.Storage, fill.mixed()); !until.IsZero() {
		state.KeepsUntil = until
		state.KeepingUsed = now.Sub(fill.mixed()).Seconds() / until.Sub(fill.mixed()).Seconds()
	}
	if fill.Clearing != nil {
		state.FixAtLeastS = fill.Clearing.FixAtLeastS()
	}
	state.Reasons = state.reasons(solution, fill)
	for _, reason := range state.Reasons {
		if reason.Verdict.Worse(state.Verdict) {
			state.Verdict = reason.Verdict
		}
	}
	return state, state.addForecast(solution, fill, now)
}

// addFilm says what went through and what was added for it.
func (s *State) addFilm(w wear) {
	s.AreaM2 = w.areaM2
	s.ReplenisherAddedML = w.addedML
	s.ReplenisherCalledML = w.calledML
	s.ReplenisherDueML = w.dueML()
	s.Turnovers = w.addedML / w.volumeML
}

// CalledForML is the replenisher in mL that film calls for; none where the
// solution is not replenished.
func (s Solution) CalledForML(areaM2 float64, push Stops) float64 {
	if s.Use != Replenished {
		return 0
	}
	return s.Replenisher.ml(s.Family, areaM2, push)
}

// addCapacity works out what is left.
func (s *State) addCapacity(w wear) {
	if w.solution.Use == Reused {
		s.TimePercent = w.solution.TimePercentPerRoll * s.AreaM2 / FilmUnitArea / (w.volumeML / 1000)
	}
	s.CapacityM2 = w.capacityM2()
	if s.CapacityM2 == 0 {
		return
	}
	s.CapacityUsed = w.capacityUsed()
	if w.solution.Use != OneShot || s.AreaM2 == 0 {
		s.AreaLeftM2 = max(0, s.CapacityM2-w.countedM2())
	}
}

// lowUseDays is the time over which little film makes low use.
const lowUseDays = 14

// addUpkeep finds what an idle or little used developer needs. Use is low where
// the film of two weeks calls for less replenisher than the rule for idle tanks
// would add in that time: the tank is then renewed more slowly than it oxidises.
func (s *State) addUpkeep(solution Solution, fill Fill, now time.Time) {
	if solution.Use != Replenished || !solution.Family.IsDeveloper() {
		return
	}
	// Volume and order of times are checked already.
	s.IdleTopUpML, _ = IdleTopUpML(fill.VolumeML, fill.lastUse(), now)
	from := now.AddDate(0, 0, -lowUseDays)
	if solution.Replenisher.MLPerM2 == 0 || fill.Filled.After(from) {
		return
	}
	called := 0.0
	for _, pass := range fill.Through {
		if pass.At.After(from) {
			called += solution.CalledForML(pass.AreaM2, pass.Push)
		}
	}
	s.LowUse = called < idleShare*fill.VolumeML*lowUseDays/2
}

// addBromide says how much bromide film has brought, and where it tends.
func (s *State) addBromide(w wear) {
	figures := w.solution.Bromide
	if figures == (BromideFigures{}) {
		return
	}
	s.BromideKnown = true
	s.BromideGPerL = w.bromideGPerL
	if perRoll := w.solution.CalledForML(FilmUnitArea, 0); perRoll > 0 {
		s.BromideSteadyGPerL = figures.ReplenisherGPerL + figures.ReleasedMGPerRoll/perRoll
		s.BromideSteadyShare = 1
		if way := s.BromideSteadyGPerL - figures.StartGPerL; way != 0 {
			s.BromideSteadyShare = (s.BromideGPerL - figures.StartGPerL) / way
		}
	}
}

// RunsThroughM2 is the film that still runs through before the capacity is
// used; infinite where nothing limits it. Of a replenished fill only that share
// of the work counts which was not made up for; pushed film counts for more.
func (s State) RunsThroughM2(solution Solution) float64 {
	switch {
	case s.Verdict == Exhausted:
		return 0
	case s.CapacityM2 == 0:
		return math.Inf(1)
	case solution.Use != Replenished || solution.Replenisher.MLPerM2 == 0:
		return s.AreaLeftM2
	case s.ReplenisherDueML > 0:
		return s.AreaLeftM2 * s.AreaM2 * solution.Replenisher.MLPerM2 / s.ReplenisherDueML
	}
	return math.Inf(1)
}

// addForecast foretells when the fill runs out, by capacity or by keeping.
func (s *State) addForecast(solution Solution, fill Fill, now time.Time) error {
	work := fill.Recent
	if work == nil {
		work = fill.daysWork(now)
	}
	var err error
	s.RunsOut, err = ForecastRunOut(work, s.RunsThroughM2(solution), now, s.KeepsUntil)
	return err
}

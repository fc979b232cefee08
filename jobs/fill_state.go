package jobs

import (
	"time"

	"wetside/chemistry"
)

// State works out how a fill of a solution stands, from what its ledger says
// went through it. Days are those of now's time zone.
func (f Fill) State(solution Solution, ledger []Entry, now time.Time) (chemistry.State, error) {
	return chemistry.Assess(solution.life(), f.life(ledger), present(ledger, now))
}

// life is a recipe as chemistry judges the life of its fills. The capacity of a
// replenished solution is what it takes without any replenisher, so it says
// nothing where the rate is not known, and is left out.
func (s Solution) life() chemistry.Solution {
	life := chemistry.Solution{
		Name: s.Name, Family: s.Family, Use: s.Use, Replenisher: s.Replenisher, Bromide: s.Bromide,
		Keeping: s.Keeping, MinimumMLPerRoll: s.MinimumMLPerRoll,
	}
	if s.Use != chemistry.Replenished || s.Replenisher.MLPerM2 > 0 {
		life.CapacityM2PerL = s.CapacityM2PerL
	}
	if s.Use == chemistry.Reused {
		life.TimePercentPerRoll = s.reusePercent()
	}
	if len(s.Keeping) == 0 && s.keepsAsFixer() {
		life.Keeping = []chemistry.Keeping{chemistry.FixerKeeping}
	}
	return life
}

// keepsAsFixer reports whether the published keeping of a working fixer, which
// speaks of black and white, goes for a solution.
func (s Solution) keepsAsFixer() bool {
	return s.Process == chemistry.BW && s.Family == chemistry.Fixer && s.Use == chemistry.Reused
}

// reusePercent is how much longer a roll through a litre makes the next time,
// in per cent: the recipe's own figure, or the starting point of a
// black-and-white developer.
func (s Solution) reusePercent() float64 {
	if s.PerRollPercent == 0 && s.Family == chemistry.BWDeveloper {
		return chemistry.StartPerRoll
	}
	return s.PerRollPercent
}

func (f Fill) life(ledger []Entry) chemistry.Fill {
	life := chemistry.Fill{VolumeML: float64(f.VolumeML), Mixed: f.MixedAt, Filled: f.FilledAt, Storage: f.Storage, Clearing: f.Clearing}
	film := map[int64]int{}
	for _, entry := range ledger {
		switch {
		case entry.Kind == EntryFilm:
			film[entry.ID] = len(life.Through)
			life.Through = append(life.Through, chemistry.Pass{At: entry.At, AreaM2: entry.AreaM2, Push: entry.Push})
		case entry.Kind == EntryReplenished && entry.Answers != 0:
			life.Through[film[entry.Answers]].ReplenisherML += entry.Amount
		case entry.Kind == EntryToppedUp && entry.Amount > 0:
			life.Through = append(life.Through, chemistry.Pass{At: entry.At, ReplenisherML: entry.Amount})
		case entry.Kind == EntryFouled && entry.Amount >= 0:
			life.Fouled = entry.Why
		}
	}
	return life
}

// asPoured is a ledger as it will be once the replenisher is poured that film
// since a moment called for and of which nobody has said anything yet, and how
// much that is, in mL.
func asPoured(ledger []Entry, since time.Time) (poured []Entry, openML float64) {
	answered := map[int64]bool{}
	for _, entry := range ledger {
		answered[entry.Answers] = true
	}
	for _, entry := range ledger {
		poured = append(poured, entry)
		if entry.Kind == EntryFilm && entry.CalledML > 0 && !answered[entry.ID] && !entry.At.Before(since) {
			poured = append(poured, Entry{Kind: EntryReplenished, At: entry.At, Amount: entry.CalledML, Answers: entry.ID})
			openML += entry.CalledML
		}
	}
	return poured, openML
}

// WaitsForPours reports whether a fill takes no more film only because nobody
// has confirmed the replenisher that film called for, and how much that is, in
// mL: poured and confirmed, the fill is good to run.
func (f Fill) WaitsForPours(solution Solution, ledger []Entry, now time.Time) (openML float64, waits bool) {
	state, err := f.State(solution, ledger, now)
	if err != nil || state.Verdict != chemistry.Exhausted {
		return 0, false
	}
	poured, openML := asPoured(ledger, time.Time{})
	state, err = f.State(solution, poured, now)
	return openML, err == nil && state.Verdict != chemistry.Exhausted
}

// midnight is when the day of a moment began, in its time zone.
func midnight(at time.Time) time.Time {
	return time.Date(at.Year(), at.Month(), at.Day(), 0, 0, 0, 0, at.Location())
}

// Unrecorded lists what bears on a fill of a solution and is not in the
// records, so that nobody takes the verdict for more than it is. Strips tell
// whether the line is watched by control strips.
func (f Fill) Unrecorded(solution Solution, strips bool) []string {
	var missing []string
	switch {
	case solution.Use == chemistry.Replenished && solution.Replenisher.MLPerM2 == 0:
		missing = append(missing, "The rate of replenishment: the recipe does not say what film calls for, so nothing can be said of what to pour.")
	case solution.Use != chemistry.OneShot && solution.CapacityM2PerL == 0:
		missing = append(missing, "The capacity: the recipe does not say how much film a litre takes.")
	}
	if solution.Family.IsDeveloper() && !strips {
		missing = append(missing, "Control strips. Only they show whether the developer is right.")
	}
	if solution.Family.Clears() && f.Clearing == nil {
		missing = append(missing, "Clearing tests. Time a scrap of film; discard at twice the fresh time ("+chemistry.ClearingSource.String()+").")
	}
	if len(solution.life().Keeping) == 0 {
		missing = append(missing, "How long it keeps. Watch its age yourself.")
	}
	return missing
}

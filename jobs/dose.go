package jobs

import (
	"context"
	"math"
	"time"

	"wetside/chemistry"
)

// DoseID is the key of a dose: that of the ledger's entry for its film.
type DoseID int64

// Dose is what film of one push level calls for in one bath: replenisher for
// the fill that it went through, or a one-shot solution that is mixed for it.
// Somebody pours it and confirms how much it really was.
type Dose struct {
	ID           DoseID // 0 until the batch has ended
	Batch        BatchID
	Line         LineID
	LineName     string
	Solution     SolutionID
	SolutionName string
	Fill         FillID    // 0 for a one-shot solution
	FillML       int       // volume of the fill
	DumpedAt     time.Time // of the fill; zero while it is in use
	At           time.Time // when the film went through
	Rolls        int
	AreaM2       float64
	Push         chemistry.Stops
	CalledML     float64
	Recipe       int     // version of the recipe that calls for it
	Given        *Poured // nil while it is open
}

// Poured is what was confirmed of a dose.
type Poured struct {
	At  time.Time
	By  string
	ML  float64
	Mix MixID // 0 where it is not on record
	Why string
}

// Confirmation is what somebody says of a dose.
type Confirmation struct {
	ML  int
	Mix MixID  // that it came from; 0 where it is not on record
	Why string // needed for 0 mL, and where much more or less was poured
}

// DoseQuery selects doses, the newest first.
type DoseQuery struct {
	Open  bool    // only those that nobody has confirmed
	Batch BatchID // 0 for every batch
	Fill  FillID  // 0 for every fill
	Limit int     // 1 to 500
}

// DoseService keeps what film calls for and what was poured for it.
type DoseService interface {
	// Dose returns one dose: NotFound when there is none.
	Dose(ctx context.Context, id DoseID) (Dose, error)
	// Doses lists doses.
	Doses(ctx context.Context, query DoseQuery) ([]Dose, error)
	// ConfirmDose records what was poured: NotFound when there is no such dose,
	// WrongState when somebody confirmed it before or its fill was dumped,
	// Invalid for an impossible volume and where a note is missing, Refused for
	// a mix that does not belong there or has too little left.
	ConfirmDose(ctx context.Context, by Actor, id DoseID, confirmed Confirmation) (Dose, error)
}

// RoundedML is the dose as people pour it, in whole mL.
func (d Dose) RoundedML() int { return max(1, int(math.Round(d.CalledML))) }

// Preparation is what a dose is poured from.
func (d Dose) Preparation() Preparation {
	if d.Fill == 0 {
		return Working
	}
	return ReplenisherMixture
}

// MissingML is how much less was poured than was called for; negative where it
// was more, and all of it while the dose is open.
func (d Dose) MissingML() float64 {
	if d.Given == nil {
		return d.CalledML
	}
	return d.CalledML - d.Given.ML
}

// CalledFor is what a load calls for in the baths that it goes through. Doses
// of one-shot solutions are mixed before it runs, the others poured after.
func (w WetSide) CalledFor(b Batch, load Load) []Dose {
	rolls := make([]Roll, len(load.Rolls))
	for i, roll := range load.Rolls {
		rolls[i] = roll.Roll
	}
	fills := map[FillID]Fill{}
	for _, fill := range w.Fills {
		fills[fill.ID] = fill
	}
	var doses []Dose
	for _, film := range w.film(b, rolls) {
		if film.CalledML == 0 {
			continue
		}
		dose := Dose{
			Batch: b.ID, Line: b.Line, LineName: b.LineName, Solution: film.Solution, Fill: film.Fill, FillML: fills[film.Fill].VolumeML,
			Rolls: film.Rolls, AreaM2: film.AreaM2, Push: film.Push, CalledML: film.CalledML, Recipe: film.Recipe,
		}
		if film.Fill != 0 {
			dose.Solution = fills[film.Fill].Solution
		}
		dose.SolutionName = w.Solutions[dose.Solution].Name
		doses = append(doses, dose)
	}
	return doses
}

package jobs

import (
	"context"
	"time"

	"wetside/chemistry"
)

// Mix is chemistry mixed once by a recipe as it was then.
type Mix struct {
	ID           MixID
	Solution     SolutionID
	SolutionName string
	Recipe       int // version
	Preparation  Preparation
	VolumeML     int
	Storage      chemistry.Storage // how it stands until it is used; "" where nobody has said
	MixedAt      time.Time
	By           string
	Note         string
	LeftML       float64 // summed from the ledger
}

// Name is what a mix is called.
func (m Mix) Name() string {
	name := m.SolutionName
	if m.Preparation == ReplenisherMixture {
		name += " replenisher"
	}
	return name + ", mixed " + m.MixedAt.Format("2 Jan 2006")
}

// KeepsUntil is when a mix of a solution is too old; the zero time where nobody
// has said. A bottle that was begun is no full bottle any more.
func (m Mix) KeepsUntil(solution Solution, zone *time.Location) time.Time {
	mixed := m.MixedAt.In(zone)
	until := solution.KeepsUntil(m.Storage, mixed)
	if m.Storage != chemistry.FullBottle || m.LeftML == float64(m.VolumeML) {
		return until
	}
	begun := solution.KeepsUntil(chemistry.PartBottle, mixed)
	if until.IsZero() || !begun.IsZero() && begun.Before(until) {
		return begun
	}
	return until
}

// KeepsUntil is when what was mixed by a recipe is too old, by how it is
// stored; the zero time where nobody has said.
func (s Solution) KeepsUntil(storage chemistry.Storage, mixed time.Time) time.Time {
	return chemistry.KeepsUntil(s.life().Keeping, storage, mixed)
}

// CheckAge decides whether a mix of a solution may still be used: Refused past
// its keeping time, unless an owner says in writing why it may.
func (m Mix) CheckAge(solution Solution, now time.Time, override string) error {
	until := m.KeepsUntil(solution, now.Location())
	if until.IsZero() || now.Before(until) || override != "" {
		return nil
	}
	return Errorf(Refused, "%s kept until %s: it is too old, unless an owner writes why it may be used", m.Name(), until.Format(dayFormat))
}

// MixRecord is a mix with everything that it came from and went to.
type MixRecord struct {
	Mix
	Recipe Solution // as it was
	Moves  []Entry  // every entry of every act that moved it, the oldest first
	Lots   map[LotID]Lot
	Fills  map[FillID]Fill
}

// MixService keeps the mixes.
type MixService interface {
	// Mixes lists the mixes of which something is left, the youngest first, then
	// those used up in the last 30 days.
	Mixes(ctx context.Context) ([]Mix, error)
	// Mix returns a mix with where it came from and went: NotFound when there is
	// none.
	Mix(ctx context.Context, id MixID) (MixRecord, error)
	// MixingSheet says what to mix and from which lots: Invalid or Refused for
	// what cannot be mixed.
	MixingSheet(ctx context.Context, wanted MixRequest) (MixingSheet, error)
	// RecordMix records what was mixed: Invalid for bad values, Refused for a lot
	// that has expired or is too small.
	RecordMix(ctx context.Context, by Actor, mixed NewMix) (Mix, error)
	// LoseMix records what was dumped or spilled of a mix, as
	// [LotService.LoseLot] does.
	LoseMix(ctx context.Context, by Actor, id MixID, loss Loss) (Mix, error)
}

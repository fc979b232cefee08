package jobs

import (
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

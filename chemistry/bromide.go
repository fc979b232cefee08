package chemistry

import "math"

// BromideFigures says what a developer takes up from film, in the measure of
// potassium bromide. All zero means that nothing is known.
type BromideFigures struct {
	ReleasedMGPerRoll float64 // from a roll of 80 in²
	ReplenisherGPerL  float64 // in the replenisher
	StartGPerL        float64 // in the fill when it was new
}

// Release of bromide from a roll of 80 in², mg as KBr.
const (
	BromideReleaseLowMG  = 40
	BromideReleaseHighMG = 60
)

// BromideReleaseSource says where the release comes from.
var BromideReleaseSource = Source{Published, "Silvergrain Labs, 40 to 60 mg as KBr for a roll of 80 in²"}

// Bleed is a tank that takes replenisher for every roll and overflows by as
// much: bromide rises towards a steady state in which every roll's bromide
// leaves with its overflow.
type Bleed struct {
	VolumeML             float64
	ReplenisherMLPerRoll float64 // 0 for a tank that is only reused
	Bromide              BromideFigures
}

func (b Bleed) check() error {
	return firstFault(
		within("volume in mL", b.VolumeML, minVolumeML, maxVolumeML),
		within("replenisher in mL a roll", b.ReplenisherMLPerRoll, 0, maxVolumeML),
		b.Bromide.check(),
	)
}

func (b BromideFigures) check() error {
	return firstFault(
		within("bromide released in mg a roll", b.ReleasedMGPerRoll, 0, 1000),
		within("bromide in the replenisher in g/L", b.ReplenisherGPerL, 0, 100),
		within("bromide at the start in g/L", b.StartGPerL, 0, 100),
	)
}

// Steady returns the bromide in g/L that the tank comes to in the end. A tank
// that takes no replenisher comes to none: its bromide keeps rising.
func (b Bleed) Steady() (float64, error) {
	if err := b.check(); err != nil {
		return 0, err
	}
	if err := within("replenisher in mL a roll", b.ReplenisherMLPerRoll, 1e-3, maxVolumeML); err != nil {
		return 0, err
	}
	return b.Bromide.ReplenisherGPerL + b.Bromide.ReleasedMGPerRoll/b.ReplenisherMLPerRoll, nil
}

// After returns the bromide in g/L after a number of rolls of 80 in².
func (b Bleed) After(rolls float64) (float64, error) {
	if err := firstFault(b.check(), within("rolls", rolls, 0, 1e12)); err != nil {
		return 0, err
	}
	bromide := b.Bromide
	return bleed(bromide.StartGPerL, b.VolumeML, bromide.ReleasedMGPerRoll, b.ReplenisherMLPerRoll, rolls, bromide.ReplenisherGPerL), nil
}

// bleed carries a concentration in g/L (mg/mL) through a number of rolls that
// each release so many mg and bring so many mL of replenisher.
func bleed(gPerL, volumeML, releasedMG, addedML, rolls, addedGPerL float64) float64 {
	if addedML == 0 {
		return gPerL + rolls*releasedMG/volumeML
	}
	turnovers := rolls * addedML / volumeML
	steady := addedGPerL + releasedMG/addedML
	return steady*SteadyShare(turnovers) + gPerL*math.Exp(-turnovers)
}

// SteadyShare is how much of the way to its steady state a tank has come after
// a number of turnovers, 0 to 1 (mass balance). A turnover is one tank volume of
// replenisher.
func SteadyShare(turnovers float64) float64 { return -math.Expm1(-turnovers) }

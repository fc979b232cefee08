package chemistry

import "fmt"

// WasteKind is a container in which used solution is collected apart.
type WasteKind string

// The kinds of waste.
const (
	DeveloperWaste WasteKind = "developer"
	AcidWaste      WasteKind = "stop bath"
	SilverWaste    WasteKind = "silver-bearing"
	WashWaste      WasteKind = "wash"
	OtherWaste     WasteKind = "other"
)

// WasteKinds lists every kind of waste.
var WasteKinds = []WasteKind{DeveloperWaste, AcidWaste, SilverWaste, WashWaste, OtherWaste}

// Waste returns the container that a solution goes into.
func (f SolutionFamily) Waste() WasteKind {
	switch {
	case f.IsDeveloper():
		return DeveloperWaste
	case f == StopBath:
		return AcidWaste
	case f == Wash:
		return WashWaste
	case f.TakesUpSilver():
		return SilverWaste
	}
	return OtherWaste
}

// Discharge is a volume of used solution: the overflow of a replenished tank,
// or a whole fill that was dumped.
type Discharge struct {
	Family SolutionFamily
	ML     float64
}

// WasteVolumes sums discharges in mL by kind of waste.
func WasteVolumes(discharges []Discharge) (map[WasteKind]float64, error) {
	volumes := map[WasteKind]float64{}
	for _, discharge := range discharges {
		if err := within(fmt.Sprintf("volume of %s in mL", discharge.Family), discharge.ML, 0, maxVolumeML); err != nil {
			return nil, err
		}
		volumes[discharge.Family.Waste()] += discharge.ML
	}
	return volumes, nil
}

// SilverEstimate is the silver in used solutions, in grams. It is an order of
// magnitude and never a measurement.
type SilverEstimate struct {
	LowG, HighG float64
	Source      Source
}

// String writes the estimate so that nobody takes it for a measurement.
func (s SilverEstimate) String() string {
	return fmt.Sprintf("order of magnitude only: %.2g to %.2g g of silver", s.LowG, s.HighG)
}

// Silver that film is coated with, g/m².
const (
	coatedLowGPerM2  = 3
	coatedHighGPerM2 = 10
)

// EstimateSilver returns the silver that an area of film leaves in the
// solutions. Colour film leaves all of it (Kodak J-210); black-and-white film
// keeps what makes its image, so that there the low end is none.
func EstimateSilver(areaM2 float64, kind Kind) (SilverEstimate, error) {
	if err := within("area in m²", areaM2, 0, maxAreaM2); err != nil {
		return SilverEstimate{}, err
	}
	estimate := SilverEstimate{
		coatedLowGPerM2 * areaM2, coatedHighGPerM2 * areaM2,
		Source{Published, "ABC der Röntgentechnik, film is coated with 3 to 10 g/m²: an order of magnitude"},
	}
	if kind == BlackAndWhite {
		estimate.LowG = 0
	}
	return estimate, nil
}

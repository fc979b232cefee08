package chemistry_test

import (
	"errors"
	"math"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"wetside/chemistry"
)

func TestWasteByKind(t *testing.T) {
	t.Parallel()
	volumes, err := chemistry.WasteVolumes([]chemistry.Discharge{
		{chemistry.ColourDeveloper, 900}, {chemistry.FirstDeveloper, 100}, {chemistry.BWDeveloper, 1},
		{chemistry.StopBath, 20}, {chemistry.Bleach, 5}, {chemistry.Fixer, 33}, {chemistry.BleachFix, 2},
		{chemistry.Wash, 7000}, {chemistry.FinalRinse, 40}, {chemistry.ReversalBath, 60}, {chemistry.PreBleach, 3}, {chemistry.Prebath, 4},
	})
	want := map[chemistry.WasteKind]float64{
		chemistry.DeveloperWaste: 1001, chemistry.AcidWaste: 20, chemistry.SilverWaste: 40,
		chemistry.WashWaste: 7000, chemistry.OtherWaste: 107,
	}
	if diff := cmp.Diff(want, volumes); err != nil || diff != "" {
		t.Errorf("%v %s", err, diff)
	}
	for kind := range volumes {
		if !strings.Contains(strings.Join(kindNames(), " "), string(kind)) {
			t.Errorf("%s is not listed", kind)
		}
	}
	for _, ml := range []float64{-1, math.NaN(), math.Inf(1)} {
		_, err := chemistry.WasteVolumes([]chemistry.Discharge{{chemistry.Fixer, ml}})
		if !errors.Is(err, chemistry.ErrAmount) || !strings.Contains(err.Error(), "fixer") {
			t.Errorf("%v mL: %v", ml, err)
		}
	}
}

func kindNames() []string {
	var names []string
	for _, kind := range chemistry.WasteKinds {
		names = append(names, string(kind))
	}
	return names
}

// Silver is in the bleach, the fixer and the washes after them (Kodak J-210).
func TestWhereSilverGoes(t *testing.T) {
	t.Parallel()
	carries := map[chemistry.SolutionFamily]bool{chemistry.Bleach: true, chemistry.Fixer: true, chemistry.BleachFix: true, chemistry.Wash: true}
	for _, family := range chemistry.SolutionFamilies {
		if family.TakesUpSilver() != carries[family] {
			t.Errorf("%s takes up silver: %v", family, family.TakesUpSilver())
		}
	}
}

// Film is coated with 3 to 10 g/m² (ABC der Röntgentechnik); colour film keeps
// no appreciable silver (Kodak J-210), black-and-white film its image.
func TestSilverIsAnOrderOfMagnitude(t *testing.T) {
	t.Parallel()
	for kind, low := range map[chemistry.Kind]float64{chemistry.ColourNegative: 6, chemistry.Reversal: 6, chemistry.Chromogenic: 6, chemistry.BlackAndWhite: 0} {
		estimate, err := chemistry.EstimateSilver(2, kind)
		if err != nil || estimate.LowG != low || estimate.HighG != 20 {
			t.Errorf("2 m² of %s: %v, %v", kind, estimate, err)
		}
		if !strings.HasPrefix(estimate.String(), "order of magnitude only") || !strings.Contains(estimate.Source.String(), "order of magnitude") {
			t.Errorf("%s passes for a measurement: %v, %v", kind, estimate, estimate.Source)
		}
	}
	for _, area := range []float64{-1, math.NaN(), math.Inf(1)} {
		if _, err := chemistry.EstimateSilver(area, chemistry.Reversal); !errors.Is(err, chemistry.ErrAmount) {
			t.Errorf("%v m²: %v", area, err)
		}
	}
}

package chemistry_test

import (
	"errors"
	"strings"
	"testing"

	"wetside/chemistry"
)

// Hazards by kind of solution: common practice, no source.
func TestCautionsNameTheHazard(t *testing.T) {
	t.Parallel()
	for family, word := range map[chemistry.SolutionFamily]string{
		chemistry.ColourDeveloper: "sensitise", chemistry.FirstDeveloper: "Hydroquinone", chemistry.BWDeveloper: "Hydroquinone",
		chemistry.StopBath: "acetic acid burns", chemistry.Fixer: "sulfur dioxide", chemistry.BleachFix: "ammonia",
		chemistry.Bleach: "silver", chemistry.Wash: "silver",
	} {
		if text := strings.Join(chemistry.Cautions(family), " "); !strings.Contains(text, word) {
			t.Errorf("%s: nothing about %q in %q", family, word, text)
		}
	}
}

func TestCautionsAlwaysDefer(t *testing.T) {
	t.Parallel()
	for _, family := range append(chemistry.SolutionFamilies, "something new") {
		for _, handling := range []chemistry.Handling{chemistry.Mixing, chemistry.Processing, chemistry.Dumping} {
			cautions := chemistry.HandlingCautions(handling, family)
			if len(cautions) < 2 || cautions[len(cautions)-1] != chemistry.Deferral {
				t.Errorf("%s %s: %q", handling, family, cautions)
			}
		}
	}
}

// Concentrates and eyes: McCann.
func TestCautionsByHandling(t *testing.T) {
	t.Parallel()
	for handling, words := range map[chemistry.Handling][]string{
		chemistry.Mixing:     {"gloves, goggles, apron", "add acid to water", "15 minutes"},
		chemistry.Processing: {"15 minutes"},
		chemistry.Dumping:    {"septic", "hauler", "sulfur dioxide"},
	} {
		text := strings.Join(chemistry.HandlingCautions(handling, chemistry.FinalRinse), " ")
		for _, word := range words {
			if !strings.Contains(text, word) {
				t.Errorf("%s: nothing about %q in %q", handling, word, text)
			}
		}
	}
}

// One Canadian code: at most 5 mg/L of silver to the sewer, two recovery
// cartridges in series; an example, and for baths that take up silver only.
func TestDumpingSilver(t *testing.T) {
	t.Parallel()
	for _, family := range chemistry.SolutionFamilies {
		text := strings.Join(chemistry.HandlingCautions(chemistry.Dumping, family), " ")
		if strings.Contains(text, "An example, one Canadian code: at most 5 mg/L") != family.TakesUpSilver() {
			t.Errorf("%s: %q", family, text)
		}
		if strings.Contains(strings.Join(chemistry.Cautions(family), " "), "Canadian") {
			t.Errorf("%s: the sewer is spoken of while film runs", family)
		}
	}
}

func TestParseSolutionFamily(t *testing.T) {
	t.Parallel()
	for text, want := range map[string]chemistry.SolutionFamily{
		"fixer": chemistry.Fixer, "Colour Developer": chemistry.ColourDeveloper, "color developer": chemistry.ColourDeveloper,
		"black and white developer": chemistry.BWDeveloper, "bleach fix": chemistry.BleachFix, "prebleach": chemistry.PreBleach,
	} {
		if got, err := chemistry.ParseSolutionFamily(text); err != nil || got != want {
			t.Errorf("%q: %q, %v; want %q", text, got, err, want)
		}
	}
	for _, family := range chemistry.SolutionFamilies {
		if got, err := chemistry.ParseSolutionFamily(string(family)); err != nil || got != family {
			t.Errorf("%q: %q, %v", family, got, err)
		}
	}
	_, err := chemistry.ParseSolutionFamily("soup")
	if !errors.Is(err, chemistry.ErrSolutionFamily) || !strings.Contains(err.Error(), `"soup"`) || !strings.Contains(err.Error(), "final rinse") {
		t.Errorf("error reads %v", err)
	}
}

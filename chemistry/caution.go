package chemistry

import (
	"errors"
	"fmt"
	"strings"
)

// SolutionFamily is what a bath does, which decides its hazards, its waste and
// its limits.
type SolutionFamily string

// The families, in the order in which film meets them.
const (
	Prebath         SolutionFamily = "prebath"
	FirstDeveloper  SolutionFamily = "first developer"
	BWDeveloper     SolutionFamily = "black-and-white developer"
	StopBath        SolutionFamily = "stop bath"
	ReversalBath    SolutionFamily = "reversal bath"
	ColourDeveloper SolutionFamily = "colour developer"
	PreBleach       SolutionFamily = "pre-bleach"
	Bleach          SolutionFamily = "bleach"
	Fixer           SolutionFamily = "fixer"
	BleachFix       SolutionFamily = "bleach-fix"
	Wash            SolutionFamily = "wash"
	FinalRinse      SolutionFamily = "final rinse"
)

// SolutionFamilies lists every family in the order in which film meets them.
var SolutionFamilies = []SolutionFamily{
	Prebath, FirstDeveloper, BWDeveloper, StopBath, ReversalBath, ColourDeveloper,
	PreBleach, Bleach, Fixer, BleachFix, Wash, FinalRinse,
}

// ErrSolutionFamily is wrapped by errors about text that names no family.
var ErrSolutionFamily = errors.New("unknown kind of solution")

// ParseSolutionFamily reads a family as people type it: in any case, with
// hyphens or spaces, and with either spelling of colour.
func ParseSolutionFamily(text string) (SolutionFamily, error) {
	plain := plainFamily(text)
	for _, family := range SolutionFamilies {
		if plain == plainFamily(string(family)) {
			return family, nil
		}
	}
	return "", fmt.Errorf("%w: %q, allowed are %s", ErrSolutionFamily, text, listed(SolutionFamilies))
}

func plainFamily(text string) string {
	plain := strings.ToLower(strings.NewReplacer("-", "", " ", "", "&", "and").Replace(text))
	return strings.Replace(plain, "color", "colour", 1)
}

// listed joins named values for the "allowed are" of an error.
func listed[T ~string](values []T) string {
	names := make([]string, len(values))
	for i, value := range values {
		names[i] = string(value)
	}
	return strings.Join(names, ", ")
}

// IsDeveloper tells whether the bath reduces silver, and so takes up bromide,
// oxidises while idle and decides the density.
func (f SolutionFamily) IsDeveloper() bool {
	return f == FirstDeveloper || f == BWDeveloper || f == ColourDeveloper
}

// TakesUpSilver tells whether dissolved silver is expected in the bath:
// processed film leaves its silver in the bleach, the fixer and the washes
// after them (Kodak J-210).
func (f SolutionFamily) TakesUpSilver() bool {
	return f == Bleach || f == Fixer || f == BleachFix || f == Wash
}

// Clears tells whether film clears in the bath, so that a scrap tests it.
func (f SolutionFamily) Clears() bool { return f == Fixer || f == BleachFix }

// Deferral is shown wherever a caution is shown.
const Deferral = "The supplier's safety data sheet and your local disposal code decide."

// Handling is what somebody is about to do with a solution.
type Handling string

// The kinds of work that carry cautions.
const (
	Mixing     Handling = "mixing"
	Processing Handling = "processing"
	Dumping    Handling = "dumping"
)

// familyCautions holds what is peculiar to a family. What concerns eyes and
// concentrates follows McCann; what concerns silver, Kodak J-210.
var familyCautions = map[SolutionFamily][]string{
	FirstDeveloper:  {"Hydroquinone may sensitise skin: wear gloves."},
	BWDeveloper:     {"Hydroquinone may sensitise skin: wear gloves."},
	ColourDeveloper: {"Colour developing agents may sensitise skin: wear gloves, wash off splashes at once."},
	StopBath:        {"Glacial acetic acid burns: wear gloves and goggles, add acid to water."},
	ReversalBath:    {"Keep off the skin: wear gloves."},
	PreBleach:       {"Keep off the skin: wear gloves."},
	Bleach:          {"Keep apart from developer: a splash spoils it.", "Holds silver once used: collect it."},
	Fixer: {
		"With acid it releases sulfur dioxide, with strong alkali ammonia: never mix, and ventilate.",
		"Holds silver once used: collect it.",
	},
	BleachFix: {
		"With acid it releases sulfur dioxide, with strong alkali ammonia: never mix, and ventilate.",
		"Holds silver once used: collect it.",
	},
	Wash: {"After bleach or fixer the wash carries silver too."},
}

// handlingCautions holds what goes for every solution while it is handled so.
var handlingCautions = map[Handling][]string{
	Mixing: {
		"Concentrates: gloves, goggles, apron and ventilation; add acid to water, never water to acid.",
		"In the eyes: rinse at least 15 minutes, then get medical attention.",
	},
	Processing: {"Gloves and ventilation; in the eyes: rinse at least 15 minutes, then get medical attention."},
	Dumping: {
		"Never pour one waste into another: acid on fixer or sulfite releases sulfur dioxide, alkali on fixer ammonia.",
		"Never to a septic system; a licensed hauler takes what the local code keeps out of the sewer.",
	},
}

// sewerExample shows what a local code may ask for.
const sewerExample = "An example, one Canadian code: at most 5 mg/L of silver to the sewer, after two recovery cartridges in series."

// Cautions returns what to mind with a family of solution, the last line being
// the [Deferral]. A family that nothing is known of still gets the general line.
func Cautions(family SolutionFamily) []string {
	return HandlingCautions(Processing, family)
}

// HandlingCautions returns what to mind when a solution is mixed, used or
// dumped; the last line is the [Deferral].
func HandlingCautions(handling Handling, family SolutionFamily) []string {
	var cautions []string
	cautions = append(cautions, familyCautions[family]...)
	cautions = append(cautions, handlingCautions[handling]...)
	if handling == Dumping && family.TakesUpSilver() {
		cautions = append(cautions, sewerExample)
	}
	return append(cautions, Deferral)
}

package chemistry

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
)

// Light is the light a roll was exposed in.
type Light string

// The lights a customer can name.
const (
	LightDaylight Light = "daylight"
	LightTungsten Light = "tungsten"
	LightMixed    Light = "mixed"
	LightUnknown  Light = "unknown"
)

// Lights lists every light, the commonest first.
var Lights = []Light{LightDaylight, LightTungsten, LightMixed, LightUnknown}

// ErrLight and ErrFilter are wrapped by errors about text that names no light
// and no colour-temperature filter.
var (
	ErrLight  = errors.New("unknown light")
	ErrFilter = errors.New("unknown filter")
)

// ParseLight reads a light; an empty text is [LightUnknown].
func ParseLight(text string) (Light, error) {
	light := Light(strings.ToLower(strings.TrimSpace(text)))
	if light == "" {
		return LightUnknown, nil
	}
	if !slices.Contains(Lights, light) {
		return "", fmt.Errorf("%w: %q, allowed are daylight, tungsten, mixed and unknown", ErrLight, text)
	}
	return light, nil
}

// Mired is a colour temperature, or a shift of one, in micro reciprocal
// degrees: 1,000,000 divided by kelvins. More is warmer.
type Mired float64

// The colour temperatures that film is balanced for, in kelvins.
const (
	DaylightKelvin = 5500.0
	TungstenKelvin = 3200.0
)

// MiredOf converts a colour temperature in kelvins.
func MiredOf(kelvin float64) (Mired, error) {
	if !(kelvin >= 1000 && kelvin <= 50000) {
		return 0, &RangeError{ErrLight, plainNumber(kelvin) + " K", "1000 to 50000 K"}
	}
	return Mired(1e6 / kelvin), nil
}

// MiredShift returns the shift that turns light of one colour temperature into
// another, in kelvins: 3200 to 5500 K is −130.7.
func MiredShift(from, to float64) (Mired, error) {
	a, err := MiredOf(from)
	if err != nil {
		return 0, err
	}
	b, err := MiredOf(to)
	return b - a, err
}

// Filters holds the shift of each colour-temperature filter (Sekonic C-800
// manual, p. 188). The 85 and 81 series warm the light, the 80 and 82 cool it.
var Filters = map[string]Mired{
	"85": 112, "85B": 131, "85C": 81,
	"81": 9, "81A": 18, "81B": 27, "81C": 35,
	"82": -10, "82A": -21, "82B": -32,
	"80A": -131, "80B": -112, "80C": -81,
}

// FilterNames lists the keys of [Filters] in alphabetical order.
func FilterNames() []string {
	names := make([]string, 0, len(Filters))
	for name := range Filters {
		names = append(names, name)
	}
	slices.Sort(names)
	return names
}

// ParseFilter reads the name of a filter in any case, with spaces, a hyphen or
// "No." before it, and returns its key in [Filters].
func ParseFilter(text string) (string, error) {
	name := strings.ToUpper(strings.NewReplacer(" ", "", "-", "", "#", "").Replace(text))
	name = strings.TrimPrefix(strings.TrimPrefix(name, "NO"), ".")
	if _, ok := Filters[name]; !ok {
		return "", fmt.Errorf("%w: %q, allowed are %s", ErrFilter, text, strings.Join(FilterNames(), ", "))
	}
	return name, nil
}

// ColourMismatch returns how far the light that reached a film, through its
// filter, was from the light the film is balanced for: above 0 too warm, below
// 0 too cool. It is not known for film without a colour balance, nor in mixed
// or unknown light.
func ColourMismatch(balance Balance, light Light, filter string) (shift Mired, known bool) {
	kelvin := map[string]float64{string(Daylight): DaylightKelvin, string(Tungsten): TungstenKelvin}
	lit, okLight := kelvin[string(light)]
	aim, okAim := kelvin[string(balance)]
	if !okLight || !okAim {
		return 0, false
	}
	return Mired(1e6/lit-1e6/aim) + Filters[filter], true
}

// scanNote puts a mismatch into words for whoever scans the roll.
func scanNote(shift Mired) string {
	cast, mend := "warm (orange)", "cool"
	if shift < 0 {
		cast, mend = "cool (blue)", "warm"
	}
	return fmt.Sprintf("the light was %.0f mired too %s for this film: %s the scan by as much", math.Abs(float64(shift)), cast, mend)
}

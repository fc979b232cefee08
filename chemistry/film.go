package chemistry

import (
	"errors"
	"fmt"
	"strings"
)

// Process is the chemical process that a film is made for, by the trade's name.
type Process string

// The processes a lab runs.
const (
	C41  Process = "C-41"
	E6   Process = "E-6"
	ECN2 Process = "ECN-2"
	BW   Process = "BW"
)

// Processes lists every process in the order in which labs speak of them.
var Processes = []Process{C41, E6, ECN2, BW}

// ErrProcess is wrapped by errors about text that names no process.
var ErrProcess = errors.New("unknown process")

// ParseProcess reads a process as people type it, in any case, with or without
// the hyphen.
func ParseProcess(text string) (Process, error) {
	plain := strings.ToUpper(strings.NewReplacer("-", "", " ", "", "&", "").Replace(text))
	for _, process := range Processes {
		if plain == strings.ReplaceAll(string(process), "-", "") {
			return process, nil
		}
	}
	return "", fmt.Errorf("%w: %q, allowed are C-41, E-6, ECN-2 and BW", ErrProcess, text)
}

// Remjet says whether a film carries the black removable backing layer of
// motion-picture stock.
type Remjet string

// What is known of the backing layer.
const (
	RemjetNone    Remjet = "none"    // made without the layer
	RemjetPresent Remjet = "present" // would foul any tank without a prebath
	RemjetRemoved Remjet = "removed" // made with it, sold with it taken off
	RemjetUnknown Remjet = "unknown" // held until somebody has looked
)

// Kind says how a film forms its image, which decides what misexposure and a
// push do to it.
type Kind string

// The kinds of film.
const (
	ColourNegative Kind = "colour negative"
	Reversal       Kind = "reversal"
	BlackAndWhite  Kind = "black and white"
	Chromogenic    Kind = "chromogenic black and white" // developed as colour negative
)

// Balance is the light a colour film is balanced for.
type Balance string

// The balances. Black-and-white film is panchromatic, or blind to red.
const (
	Daylight       Balance = "daylight"
	Tungsten       Balance = "tungsten"
	Panchromatic   Balance = "panchromatic"
	Orthochromatic Balance = "orthochromatic"
)

// Format is the trade's name of a size of film.
type Format string

// The formats a lab takes in.
const (
	Format135 Format = "135"
	Format120 Format = "120"
	Format220 Format = "220"
	Format4x5 Format = "4x5" // sheets; the exposures are the number of sheets
)

// Formats lists every format, the commonest first.
var Formats = []Format{Format135, Format120, Format220, Format4x5}

// ErrFormat is wrapped by errors about text that names no format.
var ErrFormat = errors.New("unknown format")

// ParseFormat reads a format as people type it; 35mm and 4×5 are understood.
func ParseFormat(text string) (Format, error) {
	plain := strings.ToLower(strings.NewReplacer(" ", "", "×", "x", "mm", "", "in", "").Replace(text))
	if plain == "35" {
		plain = "135"
	}
	for _, format := range Formats {
		if plain == string(format) {
			return format, nil
		}
	}
	return "", fmt.Errorf("%w: %q, allowed are 135, 120, 220 and 4x5", ErrFormat, text)
}

// String writes the format as it is printed, with a true multiplication sign.
func (f Format) String() string { return strings.ReplaceAll(string(f), "x", "×") }

// FilmUnitArea is the trade's unit of film, in m²: 80 square inches, which is
// one 135-36 or one 120 (Darkroom Cookbook, 3rd edition, p. 108, quoting Kodak
// J-86).
const FilmUnitArea = 0.05161

// Area returns the area of film in m² that a roll of this format with that many
// exposures brings into the chemistry. A 135 roll shrinks with its length; for
// sheets the exposures are the number of sheets. No exposures given means a
// full roll, or one sheet.
func (f Format) Area(exposures int) (float64, error) {
	if exposures < 0 || exposures > 250 {
		return 0, fmt.Errorf("%w: %d exposures on %s, allowed are 1 to 250", ErrFormat, exposures, f)
	}
	switch f {
	case Format135:
		if exposures == 0 {
			exposures = 36
		}
		return FilmUnitArea * float64(exposures) / 36, nil
	case Format120:
		return FilmUnitArea, nil
	case Format220:
		return 2 * FilmUnitArea, nil
	case Format4x5:
		return FilmUnitArea / 4 * float64(max(exposures, 1)), nil
	}
	return 0, fmt.Errorf("%w: %q", ErrFormat, string(f))
}

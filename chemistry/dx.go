package chemistry

import (
	"errors"
	"fmt"
	"strings"
)

// ErrDX is wrapped by errors about text that is no DX code.
var ErrDX = errors.New("not a DX code")

// DXNumber is the four-digit number that stands for a film stock (ISO 1007).
type DXNumber int

// MaxDXNumber is the largest number that the cartridge bar code can hold.
const MaxDXNumber DXNumber = 9999

// ComposeDX joins the two parts printed along the film's edge: number = part 1
// × 16 + part 2.
func ComposeDX(part1, part2 int) (DXNumber, error) {
	if part1 < 1 || part2 < 0 || part2 > 15 || part1 > int(MaxDXNumber)/16 || part1*16+part2 > int(MaxDXNumber) {
		return 0, &RangeError{ErrDX, fmt.Sprintf("%d-%d", part1, part2), "1-0 to 624-15"}
	}
	return DXNumber(part1*16 + part2), nil
}

// Split returns the two parts that the film's edge prints.
func (n DXNumber) Split() (part1, part2 int) { return int(n) / 16, int(n) % 16 }

// String writes the number in its two parts, as in "109-12".
func (n DXNumber) String() string {
	part1, part2 := n.Split()
	return fmt.Sprintf("%d-%d", part1, part2)
}

// ParseDXNumber reads a DX number in its two parts, "109-12", or whole, "1756".
func ParseDXNumber(text string) (DXNumber, error) {
	plain := strings.NewReplacer(" ", "", "–", "-", "−", "-", "/", "-").Replace(strings.TrimSpace(text))
	wrong := fmt.Errorf("%w: %q, write it like 109-12 or 1756", ErrDX, text)
	first, second, inParts := strings.Cut(plain, "-")
	if !inParts {
		number, ok := digits(plain, 4)
		if !ok || number < 16 {
			return 0, wrong
		}
		return DXNumber(number), nil
	}
	part1, ok1 := digits(first, 3)
	part2, ok2 := digits(second, 2)
	if !ok1 || !ok2 {
		return 0, wrong
	}
	return ComposeDX(part1, part2)
}

// Cartridge is what the bar code on a 135 cartridge says: interleaved 2 of 5,
// six digits. Exposures is 0 where the code does not give them.
type Cartridge struct {
	Maker     int // the first digit; its meaning is the maker's
	DX        DXNumber
	Exposures int
}

// dxExposures are the exposures by the last digit (from memory).
var dxExposures = [10]int{1: 12, 2: 20, 3: 24, 4: 36, 5: 48, 6: 60}

// ParseCartridge reads the six digits that a scanner sends from a cartridge.
func ParseCartridge(text string) (Cartridge, error) {
	plain := strings.ReplaceAll(strings.TrimSpace(text), " ", "")
	number, ok := digits(plain, 6)
	if !ok || len(plain) != 6 {
		return Cartridge{}, fmt.Errorf("%w: %q, a cartridge has six digits, as in 017563", ErrDX, text)
	}
	dx := DXNumber(number / 10 % 10000)
	if dx < 16 {
		return Cartridge{}, &RangeError{ErrDX, fmt.Sprintf("%04d within %s", int(dx), plain), "0016 to 9999"}
	}
	return Cartridge{Maker: number / 100000, DX: dx, Exposures: dxExposures[number%10]}, nil
}

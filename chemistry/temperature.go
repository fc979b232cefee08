package chemistry

import (
	"errors"
	"fmt"
	"math"
	"strings"
)

// ErrTemperature is wrapped by every error about text or numbers that are no
// temperature of a bath.
var ErrTemperature = errors.New("not the temperature of a bath")

// MinBathC and MaxBathC bound the temperatures of a photographic bath in °C:
// water is liquid above the one, and no cycle runs as hot as the other.
const (
	MinBathC = 0.0
	MaxBathC = 50.0
)

// SuspectFahrenheit is a temperature given in °C that can only have been meant
// in °F.
type SuspectFahrenheit struct{ Value float64 }

// Error says what was probably meant.
func (e *SuspectFahrenheit) Error() string {
	return fmt.Sprintf("%v: %s °C, allowed are 0 to 50 °C; it looks like Fahrenheit: %s °F is %.1f °C, write %sF",
		ErrTemperature, plainNumber(e.Value), plainNumber(e.Value), CelsiusOf(e.Value), plainNumber(e.Value))
}

// Unwrap returns [ErrTemperature].
func (e *SuspectFahrenheit) Unwrap() error { return ErrTemperature }

// CelsiusOf converts °F to °C.
func CelsiusOf(fahrenheit float64) float64 { return (fahrenheit - 32) / 1.8 }

// CheckTemperature refuses a number of °C that no bath has, and says so when it
// looks like Fahrenheit.
func CheckTemperature(celsius float64) error {
	switch {
	case celsius >= MinBathC && celsius <= MaxBathC:
		return nil
	case celsius > MaxBathC && celsius <= 212:
		return &SuspectFahrenheit{celsius}
	}
	return &RangeError{ErrTemperature, plainNumber(celsius) + " °C", "0 to 50 °C"}
}

// ParseTemperature reads a temperature as people type it and returns °C: "20",
// "20.5 °C", "20,5C", "68F", "68 °F". Without a unit it is °C.
func ParseTemperature(text string) (float64, error) {
	plain := strings.ToUpper(strings.TrimSpace(text))
	plain = strings.NewReplacer("°", "", "º", "", "DEGREES", "", "DEG", "").Replace(plain)
	number, isFahrenheit := cutUnit(plain, "FAHRENHEIT", "F")
	if !isFahrenheit {
		number, _ = cutUnit(plain, "CELSIUS", "C")
	}
	number = strings.TrimSpace(number)
	unsigned, negative := strings.CutPrefix(strings.Replace(number, "−", "-", 1), "-")
	value, ok := decimal(unsigned)
	if !ok {
		return 0, fmt.Errorf("%w: %q, write it like 20, 20.5C or 68F; allowed are 0 to 50 °C", ErrTemperature, text)
	}
	if negative {
		value = -value
	}
	if !isFahrenheit {
		return value, CheckTemperature(value)
	}
	celsius := CelsiusOf(value)
	if math.IsNaN(celsius) || celsius < MinBathC || celsius > MaxBathC {
		return 0, &RangeError{ErrTemperature, plainNumber(value) + " °F", "32 to 122 °F (0 to 50 °C)"}
	}
	return celsius, nil
}

package chemistry

import (
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"
)

// Stops is an exact number of stops, counted in sixths so that halves and
// thirds both fit without rounding. Positive is a push, negative a pull.
type Stops int

// Stop is one whole stop.
const Stop Stops = 6

// MaxStops is the largest amount, either way, that the trade writes as a
// number of stops at all; anything beyond is a slip of the pen.
const MaxStops = 10 * Stop

// ErrStops is wrapped by every error about text or numbers that are not stops.
var ErrStops = errors.New("not an amount of stops")

// fractions names the sixths of a stop as people write them.
var fractions = [Stop]string{"", "⅙", "⅓", "½", "⅔", "⅚"}

// Float returns the amount in stops.
func (s Stops) Float() float64 { return float64(s) / float64(Stop) }

// String writes the amount with its sign, as in "+1⅓" and "−½"; no stops at
// all is "0".
func (s Stops) String() string {
	if s == 0 {
		return "0"
	}
	sign, n := "+", s
	if s < 0 {
		sign, n = "−", -s
	}
	if whole := n / Stop; whole > 0 {
		return sign + strconv.Itoa(int(whole)) + fractions[n%Stop]
	}
	return sign + fractions[n%Stop]
}

// StopsOf returns the sixths nearest to a number of stops. It refuses a value
// that is not within a twentieth of a stop of a sixth, or beyond [MaxStops].
func StopsOf(stops float64) (Stops, error) {
	if math.IsNaN(stops) || math.IsInf(stops, 0) || math.Abs(stops) > MaxStops.Float() {
		return 0, fmt.Errorf("%w: %v, allowed are −10 to +10", ErrStops, stops)
	}
	sixths := math.Round(stops * float64(Stop))
	if math.Abs(sixths/float64(Stop)-stops) > 0.05 {
		return 0, fmt.Errorf("%w: %v, allowed are whole stops, halves, thirds and sixths", ErrStops, stops)
	}
	return Stops(sixths), nil
}

// ParseStops reads an amount as people type it: "1", "+1", "-1", "−½", "+1/2",
// "1 1/3", "1⅓", "+1.5", "0,5" and "2 stops". An empty text is an error.
func ParseStops(text string) (Stops, error) {
	rest := strings.TrimSpace(text)
	sign := 1.0
	for _, mark := range []struct {
		text string
		sign float64
	}{{"+", 1}, {"-", -1}, {"−", -1}, {"–", -1}} {
		if after, ok := strings.CutPrefix(rest, mark.text); ok {
			rest, sign = strings.TrimSpace(after), mark.sign
			break
		}
	}
	number, _ := cutUnit(strings.ToLower(rest), "stops", "stop")
	value, ok := mixedNumber(number)
	if !ok {
		return 0, fmt.Errorf("%w: %q, write it like 1, -1/2, +1⅓ or 1.5", ErrStops, text)
	}
	return StopsOf(sign * value)
}

// MarshalJSON writes the amount as a number of stops with four decimals at
// most, as in 1, -0.5 and 1.3333.
func (s Stops) MarshalJSON() ([]byte, error) {
	return json.Marshal(math.Round(s.Float()*1e4) / 1e4)
}

// UnmarshalJSON reads a number of stops.
func (s *Stops) UnmarshalJSON(data []byte) error {
	var stops float64
	if err := json.Unmarshal(data, &stops); err != nil {
		return fmt.Errorf("%w: %s, a number such as 1, -0.5 or 1.3333 is wanted", ErrStops, data)
	}
	value, err := StopsOf(stops)
	if err != nil {
		return err
	}
	*s = value
	return nil
}

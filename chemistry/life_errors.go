package chemistry

import (
	"errors"
	"math"
	"strconv"
)

// ErrAmount is wrapped by errors about an area, a volume, a density or another
// amount that is no number, or outside what is allowed.
var ErrAmount = errors.New("amount out of range")

// ErrOrder is wrapped by errors about a time before one that it must follow,
// as when a clock was set back.
var ErrOrder = errors.New("time out of order")

// ErrTooFew is wrapped where there are not enough values to say anything.
var ErrTooFew = errors.New("too few values")

// within refuses a number outside low to high, both included, and what is not
// a number. The name is the one that the person who gave the number knows.
func within(name string, value, low, high float64) error {
	if math.IsNaN(value) || value < low || value > high {
		return &RangeError{ErrAmount, name + " " + plain(value), plain(low) + " to " + plain(high)}
	}
	return nil
}

// plain writes a number without an exponent, unless it is absurdly large.
func plain(value float64) string {
	if math.Abs(value) < 1e12 {
		return strconv.FormatFloat(value, 'f', -1, 64)
	}
	return strconv.FormatFloat(value, 'g', -1, 64)
}

// firstFault returns the first error there is, so that a person reads one line.
func firstFault(faults ...error) error {
	for _, fault := range faults {
		if fault != nil {
			return fault
		}
	}
	return nil
}

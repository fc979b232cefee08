package chemistry

import "fmt"

// RangeError is a value outside what is allowed. Err is the sentinel of its
// kind, such as [ErrSpeed], for errors.Is.
type RangeError struct {
	Err            error
	Value, Allowed string
}

// Error names the value and the range.
func (e *RangeError) Error() string {
	return fmt.Sprintf("%v: %s, allowed are %s", e.Err, e.Value, e.Allowed)
}

// Unwrap returns the sentinel.
func (e *RangeError) Unwrap() error { return e.Err }

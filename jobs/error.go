package jobs

import (
	"errors"
	"fmt"
	"strings"
)

// Code says what kind of failure an [Error] is, so that the edge can answer
// in its own terms.
type Code string

// The codes.
const (
	Invalid      Code = "invalid"      // the input is wrong; the fields say where
	NotFound     Code = "not_found"    // there is no such thing, or not for this person
	Stale        Code = "stale"        // somebody else changed it in the meantime
	WrongState   Code = "wrong_state"  // it cannot be done in the present state
	Refused      Code = "refused"      // a rule of the trade forbids it
	Duplicate    Code = "duplicate"    // it exists already
	Unauthorised Code = "unauthorised" // nobody is signed in, or the sign-in failed
	Forbidden    Code = "forbidden"    // signed in, but not allowed
	TooMany      Code = "too_many"     // tried too often
)

// Error is the one error that is shown to people: its message is written for
// them, and nothing internal is in it. Any other error is a fault of ours.
type Error struct {
	Code    Code
	Message string
	Fields  []FieldError // where the input is wrong, when that is known
	cause   error
}

// FieldError says what is wrong with one field of the input. The field is
// named as the input names it, such as "rolls[0].ei".
type FieldError struct {
	Field   string `json:"field"`
	Message string `json:"message"`
}

func (e *Error) Error() string {
	if len(e.Fields) == 0 {
		return e.Message
	}
	parts := make([]string, len(e.Fields))
	for i, f := range e.Fields {
		parts[i] = f.Field + ": " + f.Message
	}
	return e.Message + " (" + strings.Join(parts, "; ") + ")"
}

func (e *Error) Unwrap() error { return e.cause }

// Errorf makes an error with a message to show. A %w keeps its cause for the
// log.
func Errorf(code Code, format string, args ...any) *Error {
	err := fmt.Errorf(format, args...)
	return &Error{Code: code, Message: err.Error(), cause: errors.Unwrap(err)}
}

// InvalidField is an input error in one field.
func InvalidField(field, format string, args ...any) *Error {
	message := fmt.Sprintf(format, args...)
	return &Error{Code: Invalid, Message: message, Fields: []FieldError{{field, message}}}
}

// CodeOf returns the code of an error that is, or wraps, an [Error], and ""
// for any other.
func CodeOf(err error) Code {
	var e *Error
	if errors.As(err, &e) {
		return e.Code
	}
	return ""
}

// fieldErrors gathers what is wrong, so that a person sees all of it at once.
type fieldErrors []FieldError

func (f *fieldErrors) add(field, format string, args ...any) {
	*f = append(*f, FieldError{field, fmt.Sprintf(format, args...)})
}

// err is nil when nothing was added.
func (f fieldErrors) err(message string) error {
	if len(f) == 0 {
		return nil
	}
	if len(f) == 1 {
		message = f[0].Message
	}
	return &Error{Code: Invalid, Message: message, Fields: f}
}

package server

import (
	"fmt"
	"net/http"
	"regexp"
	"strconv"
	"unicode"
	"unicode/utf8"

	"wetside/jobs"
	"wetside/web"
)

// faults is what is wrong with a form, by field.
type faults struct {
	list []jobs.FieldError
	code int // status of the error they come from; 0 when the form found them itself
}

// faultsOf takes apart an error that a form should show beside its fields. For
// an error of any other kind ok is false: it has a page of its own.
func faultsOf(err error) (f faults, ok bool) {
	switch jobs.CodeOf(err) {
	case jobs.Invalid, jobs.Refused, jobs.Duplicate, jobs.WrongState:
	default:
		return faults{}, false
	}
	p := problemOf(err)
	if len(p.Fields) == 0 {
		return faults{[]jobs.FieldError{{Message: p.Detail}}, p.Status}, true
	}
	return faults{p.Fields, p.Status}, true
}

// status is what a page with these faults is sent with.
func (f faults) status() int {
	switch {
	case len(f.list) == 0:
		return http.StatusOK
	case f.code == 0:
		return http.StatusUnprocessableEntity
	}
	return f.code
}

// add notes something that is wrong with a field, or with the whole form for
// "".
func (f *faults) add(field, format string, args ...any) {
	f.list = append(f.list, jobs.FieldError{Field: field, Message: fmt.Sprintf(format, args...)})
}

// merge adds faults in fields that have none yet: one thing at a time is
// enough for each.
func (f *faults) merge(more faults) {
	for _, fault := range more.list {
		if f.of(fault.Field) == "" {
			f.list = append(f.list, fault)
		}
	}
}

// of returns what is wrong with one field, "" when nothing is.
func (f faults) of(field string) string {
	for _, fault := range f.list {
		if fault.Field == field {
			return sentence(fault.Message)
		}
	}
	return ""
}

var rollInField = regexp.MustCompile(`^rolls\[(\d{1,4})\]\.`)

// problems lists everything for the top of the page. There a message stands
// away from its field, so it says which roll it is about.
func (f faults) problems() []web.Problem {
	problems := make([]web.Problem, len(f.list))
	for i, fault := range f.list {
		message := sentence(fault.Message)
		if found := rollInField.FindStringSubmatch(fault.Field); found != nil {
			index, _ := strconv.Atoi(found[1]) // at most four digits
			message = fmt.Sprintf("Roll %d: %s", index+1, fault.Message)
		}
		problems[i] = web.Problem{Field: fault.Field, Message: message}
	}
	return problems
}

// err is nil when nothing is wrong.
func (f faults) err() error {
	if len(f.list) == 0 {
		return nil
	}
	return &jobs.Error{Code: jobs.Invalid, Message: f.list[0].Message, Fields: f.list}
}

// sentence begins a message with a capital, as beside a field.
func sentence(message string) string {
	first, size := utf8.DecodeRuneInString(message)
	if size == 0 {
		return ""
	}
	return string(unicode.ToUpper(first)) + message[size:]
}

package server

import (
	"fmt"
	"mime"
	"net/http"
	"net/url"
	"reflect"
	"strconv"
	"strings"

	"github.com/labstack/echo/v4"

	"wetside/jobs"
	"wetside/web"
)

// readForm fills a struct from the body of a form. Fields are strings, kept as
// they were typed, or ticks (bool); a slice of structs tagged `form:"rolls"
// most:"50"` reads rolls[0].stock and so on. What else a form sends along is
// not looked at.
func readForm(c echo.Context, into any) error {
	r := c.Request()
	kind, _, err := mime.ParseMediaType(r.Header.Get(echo.HeaderContentType))
	if err != nil || kind != echo.MIMEApplicationForm {
		return echo.NewHTTPError(http.StatusUnsupportedMediaType, "Send the form as "+echo.MIMEApplicationForm+".")
	}
	if err := r.ParseForm(); err != nil {
		return fmt.Errorf("%w: %w", echo.NewHTTPError(http.StatusBadRequest, "The form cannot be read."), err)
	}
	return fillStruct(reflect.ValueOf(into).Elem(), "", r.PostForm)
}

// fillStruct fills the tagged fields of one struct whose names begin with a
// prefix.
func fillStruct(into reflect.Value, prefix string, values url.Values) error {
	for i := range into.NumField() {
		tag := into.Type().Field(i).Tag
		name := prefix + tag.Get("form")
		if name == prefix {
			continue
		}
		switch field := into.Field(i); field.Kind() {
		case reflect.String:
			field.SetString(strings.ReplaceAll(values.Get(name), "\r\n", "\n"))
		case reflect.Bool:
			field.SetBool(values.Get(name) != "")
		case reflect.Slice:
			most, err := strconv.Atoi(tag.Get("most"))
			if err != nil {
				return fmt.Errorf("form field %s: tag most: %w", name, err)
			}
			if err := fillSlice(field, name, values, most); err != nil {
				return err
			}
		default:
			return fmt.Errorf("form field %s is a %s", name, field.Kind())
		}
	}
	return nil
}

// fillSlice fills as many structs as the highest index calls for.
func fillSlice(into reflect.Value, name string, values url.Values, most int) error {
	count := 0
	for key := range values {
		rest, ok := strings.CutPrefix(key, name+"[")
		if !ok {
			continue
		}
		digits, _, ok := strings.Cut(rest, "].")
		index, err := strconv.Atoi(digits)
		if !ok || err != nil || index < 0 {
			continue
		}
		if index >= most {
			return jobs.InvalidField(name, "there are at most %d %s", most, name)
		}
		count = max(count, index+1)
	}
	into.Set(reflect.MakeSlice(into.Type(), count, count))
	for i := range count {
		if err := fillStruct(into.Index(i), fmt.Sprintf("%s[%d].", name, i), values); err != nil {
			return err
		}
	}
	return nil
}

// faults is what is wrong with a form, by field.
type faults struct{ list []jobs.FieldError }

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
		return faults{[]jobs.FieldError{{Message: p.Detail}}}, true
	}
	return faults{p.Fields}, true
}

// add notes something that is wrong with a field, or with the whole form for
// "".
func (f *faults) add(field, format string, args ...any) {
	f.list = append(f.list, jobs.FieldError{Field: field, Message: fmt.Sprintf(format, args...)})
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

// problems lists everything for the top of the page.
func (f faults) problems() []web.Problem {
	problems := make([]web.Problem, len(f.list))
	for i, fault := range f.list {
		problems[i] = web.Problem{Field: fault.Field, Message: sentence(fault.Message)}
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
	if message == "" {
		return ""
	}
	return strings.ToUpper(message[:1]) + message[1:]
}

package server

import (
	"fmt"
	"math"
	"net/http"
	"reflect"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"github.com/labstack/echo/v4"

	"wetside/chemistry"
	"wetside/web"
)

// typedForm makes the fields of a page out of what was typed into a form, with
// what is wrong beside each. Stored, when it is not nil, is what the records
// hold by now, because somebody else was faster: it stands beside every field
// that differs.
type typedForm struct {
	values, stored map[string]string
	wrong          faults
}

func newTypedForm(form any, wrong faults) typedForm {
	return typedForm{values: formValues(form), wrong: wrong}
}

// beside shows what the records hold by now beside what was typed.
func (f typedForm) beside(stored any) typedForm {
	f.stored = formValues(stored)
	return f
}

// formValues lists the values of a form that [readForm] reads by their names;
// what is not ticked is left out.
func formValues(form any) map[string]string {
	values := map[string]string{}
	listFields(reflect.ValueOf(form), "", func(name, value string) { values[name] = value })
	return values
}

// field makes one field.
func (f typedForm) field(kind, name, label, hint string, options ...web.Option) web.Field {
	value := f.values[name]
	field := web.Field{Kind: kind, Name: name, Label: label, Hint: hint, Value: value, Options: options,
		Checked: kind == web.Checkbox && value != "", Error: f.wrong.of(name)}
	if stored := f.stored[name]; f.stored != nil && stored != value {
		field.Hint = strings.TrimSpace(hint + " In the records now: " + storedWords(field, stored) + ".")
	}
	return field
}

// needed is a field that must be filled in.
func (f typedForm) needed(kind, name, label, hint string, options ...web.Option) web.Field {
	field := f.field(kind, name, label, hint, options...)
	field.Required = true
	return field
}

// storedWords writes a stored value as the field shows it.
func storedWords(field web.Field, stored string) string {
	if field.Kind == web.Checkbox {
		if stored == "" {
			return "not ticked"
		}
		return "ticked"
	}
	for _, option := range field.Options {
		if option.Value == stored {
			return option.Label
		}
	}
	if stored == "" {
		return "nothing"
	}
	return strings.ReplaceAll(stored, "\n", " / ")
}

// changedMeanwhile is what a form says when its entry was changed by somebody
// else while it was open.
func changedMeanwhile(what string) faults {
	wrong := faults{code: http.StatusConflict}
	wrong.add("", "somebody else changed %s while you had it open. What you typed is still here; "+
		"what the records hold now stands beside every field that differs. Save again to put yours in its place", what)
	return wrong
}

// measure reads a number that may be left out, which is 0.
func measure(text, field string, wrong *faults) float64 {
	text = strings.TrimSpace(text)
	if text == "" {
		return 0
	}
	value, err := strconv.ParseFloat(strings.Replace(text, ",", ".", 1), 64)
	if err != nil {
		wrong.add(field, "the %s is no number: %q; write it like 1, 0.5 or 12.5, or leave it empty", fieldName(field), text)
		return 0
	}
	return value
}

// bathTemp reads a temperature in °C, to a hundredth: finer than a thermometer
// shows, and short enough to be typed again where Fahrenheit was given.
func bathTemp(text, field string, wrong *faults) float64 {
	celsius, err := chemistry.ParseTemperature(text)
	if err != nil {
		wrong.add(field, "%v", err)
	}
	return math.Round(celsius*100) / 100
}

// plainFloat writes a number into a field; 0 leaves it empty.
func plainFloat(value float64) string {
	if value == 0 {
		return ""
	}
	return strconv.FormatFloat(value, 'f', -1, 64)
}

// plainInt writes a whole number into a field; 0 leaves it empty.
func plainInt[N ~int | ~int64](n N) string {
	if n == 0 {
		return ""
	}
	return strconv.FormatInt(int64(n), 10)
}

// wordOptions offers named values as they are called.
func wordOptions[T ~string](values []T) []web.Option {
	options := make([]web.Option, len(values))
	for i, value := range values {
		options[i] = web.Option{Value: string(value), Label: sentence(string(value))}
	}
	return options
}

// choose puts a first option before others that stands for none of them.
func choose(label string, options []web.Option) []web.Option {
	return append([]web.Option{{Label: label}}, options...)
}

// useChip says whether an entry of the catalogue is in use.
func useChip(active bool) web.Chip {
	if active {
		return web.Chip{Class: "ready", Word: "In use"}
	}
	return web.Chip{Word: "Out of use"}
}

// savedWords tells what a form has done.
func savedWords(isNew bool, name string) string {
	if isNew {
		return fmt.Sprintf("%s is added.", name)
	}
	return fmt.Sprintf("%s is saved.", name)
}

// also adds what the trade's rules say to a form in which something could not
// be read, so that everything wrong is said at once. The fields are named as
// the form names them.
func (f *faults) also(err error, rename func(field string) string) {
	if found, ok := faultsOf(err); ok {
		f.merge(found.renamed(rename))
	}
}

// renamed names the fields as a form does.
func (f faults) renamed(rename func(field string) string) faults {
	list := slices.Clone(f.list)
	for i := range list {
		list[i].Field = rename(list[i].Field)
	}
	return faults{list, f.code}
}

// asNamed is for forms that name their fields as the rules do.
func asNamed(field string) string { return field }

// entryKey is the key of the entry in the address; 0 for a new one.
func entryKey(c echo.Context) (int64, error) {
	if c.Param("id") == "" {
		return 0, nil
	}
	return keyInPath(c)
}

// entryPath is the address of an entry of a part of the set-up.
func entryPath[ID ~int64](part string, id ID) string {
	if id == 0 {
		return part + "/new"
	}
	return part + "/" + strconv.FormatInt(int64(id), 10)
}

var setInField = regexp.MustCompile(`^times\[(\d{1,4})\]\.`)

// nameSets says in the problems at the top of a page which row or set of times
// each is about: there it stands away from its field.
func nameSets(problems []web.Problem, name func(i int) string) {
	for i, problem := range problems {
		if found := setInField.FindStringSubmatch(problem.Field); found != nil {
			index, _ := strconv.Atoi(found[1]) // at most four digits
			problems[i].Message = name(index) + ": " + problem.Message
		}
	}
}

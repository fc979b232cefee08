package server

import (
	"errors"
	"fmt"
	"reflect"
	"strings"

	"github.com/go-playground/validator/v10"
)

// validation checks the shape of forms and API bodies by their `validate`
// tags: what is there, how long it is, whether it is a number. Rules of the
// trade are not its business.
type validation struct{ v *validator.Validate }

func newValidation() validation {
	v := validator.New(validator.WithRequiredStructEnabled())
	v.RegisterTagNameFunc(func(field reflect.StructField) string {
		for _, tag := range []string{"form", "json"} {
			if name, _, _ := strings.Cut(field.Tag.Get(tag), ","); name != "" {
				return name
			}
		}
		return field.Name
	})
	return validation{v}
}

// Validate returns nil or an Invalid error that names every wrong field.
func (v validation) Validate(value any) error {
	err := v.v.Struct(value)
	var wrong validator.ValidationErrors
	if !errors.As(err, &wrong) {
		return err
	}
	var f faults
	for _, one := range wrong {
		_, field, _ := strings.Cut(one.Namespace(), ".")
		f.add(field, "%s", shapeMessage(one))
	}
	return f.err()
}

// fieldNames says what people call a field where its name alone does not.
var fieldNames = map[string]string{
	"email":      "e-mail address",
	"ei":         "EI",
	"twin_check": "twin-check number",
	"return":     "way back",
	"exposures":  "number of exposures",
	"stock":      "film",

	"b":                 "coefficient",
	"capacity_m2_per_l": "capacity",
	"closes_at":         "closing hour",
	"from":              "first day",
	"iso_daylight":      "speed in daylight",
	"iso_tungsten":      "speed in tungsten light",
	"open_on":           "open weekdays",
	"opens_at":          "opening hour",
	"per_roll_percent":  "time for each roll",
	"ready_hours":       "number of hours",
	"to":                "last day",
	"tolerance_percent": "tolerance",
	"units":             "number of units",
	"volume_ml":         "volume",
}

func fieldName(name string) string {
	name = name[strings.LastIndexByte(name, '.')+1:]
	if known, ok := fieldNames[name]; ok {
		return known
	}
	return strings.ReplaceAll(name, "_", " ")
}

// shapeMessage says in words what a failed check wants.
func shapeMessage(one validator.FieldError) string {
	name, param := fieldName(one.Field()), one.Param()
	text := one.Kind() == reflect.String
	list := one.Kind() == reflect.Slice
	switch tag := one.Tag(); {
	case strings.HasPrefix(tag, "required") && one.Type().Kind() == reflect.Bool:
		return fmt.Sprintf("tick the %s", name)
	case strings.HasPrefix(tag, "required") && list:
		return fmt.Sprintf("the %s are missing", name)
	case strings.HasPrefix(tag, "required"):
		return fmt.Sprintf("the %s is missing", name)
	case tag == "email":
		return "this is no e-mail address; one looks like name@example.org"
	case tag == "oneof":
		return fmt.Sprintf("the %s must be one of: %s", name, strings.ReplaceAll(param, " ", ", "))
	case tag == "number", tag == "numeric":
		return fmt.Sprintf("the %s must be a number", name)
	case tag == "max" && text:
		return fmt.Sprintf("the %s is too long: at most %s characters", name, param)
	case tag == "min" && text:
		return fmt.Sprintf("the %s is too short: at least %s characters", name, param)
	case tag == "max" && list:
		return fmt.Sprintf("there are too many %s: at most %s", name, param)
	case tag == "min" && list:
		return fmt.Sprintf("there are too few %s: at least %s", name, param)
	case tag == "max", tag == "lte":
		return fmt.Sprintf("the %s must be at most %s", name, param)
	case tag == "min", tag == "gte":
		return fmt.Sprintf("the %s must be at least %s", name, param)
	}
	return fmt.Sprintf("the %s is not right (%s %s)", name, one.Tag(), param)
}

package server

import (
	"errors"
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
		if errors.As(err, new(*echo.HTTPError)) {
			return err // too large, found while reading
		}
		return echo.NewHTTPError(http.StatusBadRequest, "The form cannot be read.").SetInternal(err)
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

// hiddenFields are the values of a form that [readForm] reads, to be carried
// along unseen; the pressed button is left out.
func hiddenFields(form any) []web.Hidden {
	var hidden []web.Hidden
	listFields(reflect.ValueOf(form), "", func(name, value string) {
		if name != "do" && value != "" {
			hidden = append(hidden, web.Hidden{Name: name, Value: value})
		}
	})
	return hidden
}

// listFields goes through the tagged fields of a struct as [fillStruct] does.
func listFields(form reflect.Value, prefix string, add func(name, value string)) {
	for i := range form.NumField() {
		name := prefix + form.Type().Field(i).Tag.Get("form")
		if name == prefix {
			continue
		}
		switch field := form.Field(i); {
		case field.Kind() == reflect.String:
			add(name, field.String())
		case field.Kind() == reflect.Bool && field.Bool():
			add(name, "yes")
		case field.Kind() == reflect.Slice:
			for j := range field.Len() {
				listFields(field.Index(j), fmt.Sprintf("%s[%d].", name, j), add)
			}
		}
	}
}

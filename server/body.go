package server

import (
	"bytes"
	"cmp"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"mime"
	"net/http"
	"reflect"
	"strings"
	"time"

	"github.com/labstack/echo/v4"

	"wetside/jobs"
)

// bodyBinder reads the body and nothing else: what stands in the address is
// taken with c.Param, so that a body can never change it.
type bodyBinder struct{}

// Bind reads a JSON body.
func (bodyBinder) Bind(into any, c echo.Context) error {
	kind, _, err := mime.ParseMediaType(c.Request().Header.Get(echo.HeaderContentType))
	if err != nil || kind != echo.MIMEApplicationJSON {
		return echo.NewHTTPError(http.StatusUnsupportedMediaType, "Send the body as application/json.")
	}
	return c.Echo().JSONSerializer.Deserialize(c, into)
}

// strictJSON reads exactly one JSON value and refuses fields it does not know.
type strictJSON struct{}

// Serialize writes a value without escaping for HTML, which JSON is not part of.
func (strictJSON) Serialize(c echo.Context, value any, indent string) error {
	encoder := json.NewEncoder(c.Response())
	encoder.SetEscapeHTML(false)
	encoder.SetIndent("", indent)
	return encoder.Encode(value)
}

// Deserialize reads the body. A value of the wrong kind names its field; any
// other broken body says what is broken.
func (strictJSON) Deserialize(c echo.Context, into any) error {
	text, err := io.ReadAll(c.Request().Body)
	if err != nil {
		return err
	}
	decoder := json.NewDecoder(bytes.NewReader(text))
	decoder.DisallowUnknownFields()
	err = decoder.Decode(into)
	if err == nil {
		if _, err = decoder.Token(); errors.Is(err, io.EOF) {
			return nil
		}
		if err == nil {
			return broken("there is more text after the value")
		}
	}
	var wrongType *json.UnmarshalTypeError
	var wrongTime *time.ParseError
	var syntax *json.SyntaxError
	switch {
	case errors.Is(err, io.EOF):
		return broken("it is empty")
	case errors.Is(err, io.ErrUnexpectedEOF):
		return broken("it ends too early")
	case errors.As(err, &syntax):
		return broken(fmt.Sprintf("%s (at byte %d)", syntax.Error(), syntax.Offset))
	case errors.As(err, &wrongType):
		field := pathAt(text, wrongType.Offset)
		return jobs.InvalidField(field, "%s: %s is wanted here, not %s", cmp.Or(field, "the whole body"),
			wantedKind(wrongType.Type), foundKind(wrongType.Value))
	case errors.As(err, &wrongTime):
		// The error does not say where it was, but what it was.
		quoted, _ := json.Marshal(wrongTime.Value)
		field := ""
		if at := bytes.Index(text, quoted); at >= 0 {
			field = pathAt(text, int64(at+len(quoted)))
		}
		return jobs.InvalidField(field, "%s: %s is no such moment; write it like %s", cmp.Or(field, "the whole body"),
			quoted, momentExample.Format(wrongTime.Layout))
	}
	// Unknown fields, and what a type's own reading refuses.
	return broken(strings.TrimPrefix(err.Error(), "json: "))
}

// momentExample shows how dates and times are written.
var momentExample = time.Date(2026, 3, 2, 17, 0, 0, 0, time.UTC)

func broken(why string) error {
	return echo.NewHTTPError(http.StatusBadRequest, "The JSON body cannot be read: "+why+".")
}

// wantedKind names the kind of a Go type in the words of JSON.
func wantedKind(t reflect.Type) string {
	switch t.Kind() {
	case reflect.Float64:
		return "a number"
	case reflect.Bool:
		return "true or false"
	case reflect.String:
		return "text"
	case reflect.Slice:
		return "a list"
	case reflect.Struct, reflect.Map:
		return "an object"
	}
	return "a whole number"
}

// foundKind names what encoding/json calls "object" or "number 1.5".
func foundKind(value string) string {
	kind, number, _ := strings.Cut(value, " ")
	switch kind {
	case "object":
		return "an object"
	case "array":
		return "a list"
	case "string":
		return "text"
	case "bool":
		return "true or false"
	}
	return cmp.Or(number, "a number")
}

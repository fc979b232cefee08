package server

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"mime"
	"net/http"
	"strings"

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
	decoder := json.NewDecoder(c.Request().Body)
	decoder.DisallowUnknownFields()
	err := decoder.Decode(into)
	if err == nil {
		if _, err = decoder.Token(); errors.Is(err, io.EOF) {
			return nil
		}
		if err == nil {
			return broken("there is more text after the value")
		}
	}
	var known *jobs.Error
	var plain *echo.HTTPError
	var wrongType *json.UnmarshalTypeError
	var syntax *json.SyntaxError
	switch {
	case errors.As(err, &known), errors.As(err, &plain):
		return err
	case errors.Is(err, io.EOF):
		return broken("it is empty")
	case errors.Is(err, io.ErrUnexpectedEOF):
		return broken("it ends too early")
	case errors.As(err, &syntax):
		return broken(fmt.Sprintf("%s (at byte %d)", syntax.Error(), syntax.Offset))
	case errors.As(err, &wrongType):
		return jobs.InvalidField(wrongType.Field, "%s: a %s is wanted here, not a %s",
			wrongType.Field, jsonKind(wrongType.Type.Kind().String()), wrongType.Value)
	}
	// Unknown fields, and what a type's own reading refuses.
	return broken(strings.TrimPrefix(err.Error(), "json: "))
}

func broken(why string) error {
	return echo.NewHTTPError(http.StatusBadRequest, "The JSON body cannot be read: "+why+".")
}

// jsonKind names a Go kind in the words of JSON.
func jsonKind(kind string) string {
	switch {
	case strings.HasPrefix(kind, "int"), strings.HasPrefix(kind, "uint"), strings.HasPrefix(kind, "float"):
		return "number"
	case kind == "bool":
		return "boolean"
	case kind == "slice", kind == "array":
		return "list"
	case kind == "struct", kind == "map":
		return "object"
	}
	return kind
}

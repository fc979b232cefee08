package server

import (
	"context"
	"io"
	"reflect"
	"slices"
	"strconv"

	"github.com/labstack/echo/v4"

	"wetside/jobs"
	"wetside/server/api"
)

// apiCalls does what the operations of api/openapi.yaml say. Each operation
// turns what was sent into the terms of the services, and their answer back.
type apiCalls struct {
	*site
	door signInPages
}

var _ api.StrictServerInterface = apiCalls{}

// callKey is where the context of an operation carries its request.
type callKey struct{}

// checked checks the shape of what was sent by its validate tags, before the
// operation sees it. A body of text has a shape of its own.
func (a apiCalls) checked(next api.StrictHandlerFunc, _ string) api.StrictHandlerFunc {
	return func(c echo.Context, request any) (any, error) {
		sent := reflect.ValueOf(request)
		for _, part := range []string{"Params", "Body"} {
			value := sent.FieldByName(part)
			if !value.IsValid() {
				continue
			}
			if _, text := value.Interface().(io.Reader); text {
				continue
			}
			if err := c.Validate(value.Interface()); err != nil {
				return nil, err
			}
		}
		c.SetRequest(c.Request().WithContext(context.WithValue(c.Request().Context(), callKey{}, c)))
		return next(c, request)
	}
}

// callOf returns the request that an operation answers.
func callOf(ctx context.Context) echo.Context { return ctx.Value(callKey{}).(echo.Context) }

// by returns who the record names for what an operation does.
func by(ctx context.Context) jobs.Actor { return actorOf(callOf(ctx)) }

// plainNumbers says in words what is wrong with a number in the address, which
// the generated code would not.
func plainNumbers(next echo.HandlerFunc) echo.HandlerFunc {
	return func(c echo.Context) error {
		if slices.Contains(c.ParamNames(), "id") {
			if id, err := strconv.ParseInt(c.Param("id"), 10, 64); err != nil || id < 1 {
				return jobs.Errorf(jobs.NotFound, "There is nothing with the key %q: keys are whole numbers from 1.", c.Param("id"))
			}
		}
		var wrong faults
		query := c.QueryParams()
		for _, name := range []string{"limit", "before", "after", "line", "batch", "fill", "solution", "volume_ml"} {
			for _, text := range query[name] {
				if _, err := strconv.Atoi(text); err != nil {
					wrong.add(name, "%q is no whole number", text)
				}
			}
		}
		for _, text := range query["open"] {
			if text != "true" && text != "false" {
				wrong.add("open", "%q is not allowed here, true and false are", text)
			}
		}
		if err := wrong.err(); err != nil {
			return err
		}
		return next(c)
	}
}

// defaultPage is how many entries a list has when no number is asked for.
const defaultPage = 50

// pageSize is how many entries a list was asked for.
func pageSize(limit int) int {
	if limit == 0 {
		return defaultPage
	}
	return limit
}

// each turns every element of a list into another; the answer is never nil, so
// that an empty list is written as one.
func each[A, B any](list []A, turn func(A) B) []B {
	turned := make([]B, len(list))
	for i, a := range list {
		turned[i] = turn(a)
	}
	return turned
}

// or returns what was sent, or the fallback for what was left out.
func or[T any](sent *T, fallback T) T {
	if sent == nil {
		return fallback
	}
	return *sent
}

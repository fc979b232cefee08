package server

import (
	"context"
	"errors"
	"fmt"
	"net/http"
	"strings"

	"github.com/labstack/echo/v4"

	"wetside/jobs"
	"wetside/web"
)

// statuses is the one place where a code becomes a status of HTTP.
var statuses = map[jobs.Code]int{
	jobs.Invalid:      http.StatusUnprocessableEntity, // 422: it was read, and a value is wrong
	jobs.Refused:      http.StatusUnprocessableEntity, // 422: a rule of the trade forbids it
	jobs.NotFound:     http.StatusNotFound,
	jobs.Stale:        http.StatusConflict,
	jobs.WrongState:   http.StatusConflict,
	jobs.Duplicate:    http.StatusConflict,
	jobs.Unauthorised: http.StatusUnauthorized,
	jobs.Forbidden:    http.StatusForbidden,
	jobs.TooMany:      http.StatusTooManyRequests,
}

// statusCodes names the failures that have a status but no code of jobs: they
// are found before the work begins.
var statusCodes = map[int]jobs.Code{
	http.StatusBadRequest:            "bad_request", // the body cannot be read at all
	http.StatusUnauthorized:          jobs.Unauthorised,
	http.StatusForbidden:             jobs.Forbidden,
	http.StatusNotFound:              jobs.NotFound,
	http.StatusMethodNotAllowed:      "method_not_allowed",
	http.StatusRequestEntityTooLarge: "too_large",
	http.StatusUnsupportedMediaType:  "unsupported_media_type",
	http.StatusTooManyRequests:       jobs.TooMany,
	http.StatusServiceUnavailable:    "unavailable",
}

// statusMessages says in words what a bare status means.
var statusMessages = map[int]string{
	http.StatusNotFound:              "There is nothing at this address.",
	http.StatusMethodNotAllowed:      "This address does not take that kind of request.",
	http.StatusRequestEntityTooLarge: "That is too large: at most " + bodyLimit + "B can be sent at once.",
	http.StatusServiceUnavailable:    "That took too long. Try again shortly.",
}

const internalMessage = "Something went wrong on our side. Nothing was stored by halves; try again."

// problem is an error as it is shown, to people on a page and to programs.
type problem struct {
	Status    int
	Detail    string
	Code      jobs.Code
	Fields    []jobs.FieldError
	RequestID string
}

// problemOf turns any error into what may be shown of it. A fault of ours has
// status 500 and shows nothing of itself.
func problemOf(err error) problem {
	var known *jobs.Error
	var plain *echo.HTTPError
	p := problem{Status: http.StatusInternalServerError, Code: "internal", Detail: internalMessage}
	switch {
	case errors.As(err, &known) && statuses[known.Code] != 0:
		p.Status, p.Code, p.Detail, p.Fields = statuses[known.Code], known.Code, known.Message, known.Fields
	case errors.As(err, &plain) && plain.Code < http.StatusInternalServerError:
		p.Status, p.Code = plain.Code, statusCodes[plain.Code]
		p.Detail, _ = plain.Message.(string)
		if message, ok := statusMessages[plain.Code]; ok {
			p.Detail = message
		}
	case errors.Is(err, context.DeadlineExceeded):
		p.Status = http.StatusServiceUnavailable
		p.Code, p.Detail = statusCodes[p.Status], statusMessages[p.Status]
	}
	return p
}

// answerError is the one place where an error becomes an answer.
func (s *site) answerError(err error, c echo.Context) {
	if c.Response().Committed {
		return
	}
	p := problemOf(err)
	p.RequestID = c.Response().Header().Get(echo.HeaderXRequestID)
	if p.Status >= http.StatusInternalServerError && !errors.Is(err, context.Canceled) {
		s.options.Log.ErrorContext(c.Request().Context(), "request failed", "error", err, "request_id", p.RequestID, "route", c.Path())
	}
	c.Response().Header().Set(echo.HeaderCacheControl, "no-store")
	answer := s.errorPage
	if strings.HasPrefix(c.Request().URL.Path, apiPrefix) {
		answer = errorJSON
	}
	if err := calmly(answer, c, p); err != nil {
		s.options.Log.ErrorContext(c.Request().Context(), "error page failed", "error", err, "request_id", p.RequestID)
		if !c.Response().Committed {
			// Nobody is left to tell when this fails too: the visitor has gone.
			_ = c.String(p.Status, p.Detail+"\n"+p.RequestID+"\n")
		}
	}
}

// calmly turns a panic of an answer into an error: what made the request fail
// may well make its error page fail.
func calmly(answer func(echo.Context, problem) error, c echo.Context, p problem) (err error) {
	defer func() {
		if cause := recover(); cause != nil {
			err = fmt.Errorf("panic: %v", cause)
		}
	}()
	return answer(c, p)
}

// apiPrefix begins the address of everything that programs call.
const apiPrefix = "/api/"

// errorTitles heads the page of an error.
var errorTitles = map[jobs.Code]string{
	jobs.NotFound:     "Not found",
	jobs.Stale:        "Somebody else was faster",
	jobs.WrongState:   "That does not go now",
	jobs.Refused:      "That must not be done",
	jobs.Forbidden:    "Not for you",
	jobs.Unauthorised: "Sign in first",
	jobs.TooMany:      "A little slower, please",
	"too_large":       "Too large",
	"unavailable":     "Not just now",
	"internal":        "Our mistake",
}

func (s *site) errorPage(c echo.Context, p problem) error {
	r := c.Request()
	if p.Code == jobs.Unauthorised && (r.Method == http.MethodGet || r.Method == http.MethodHead) {
		return c.Redirect(http.StatusSeeOther, signInPath(r))
	}
	title, ok := errorTitles[p.Code]
	if !ok {
		title = "That did not work"
	}
	page := &web.ErrorPage{Frame: web.Frame{Title: title}, Message: p.Detail}
	if p.Status >= http.StatusInternalServerError {
		page.RequestID = p.RequestID
	}
	for _, field := range p.Fields {
		if field.Message != p.Detail {
			page.Details = append(page.Details, field.Message)
		}
	}
	return s.show(c, p.Status, page)
}

package server

import (
	"context"
	"slices"
	"strings"
	"time"

	"wetside/jobs"
	"wetside/server/api"
)

// weekdayKey names a weekday in the API and in forms.
func weekdayKey(day time.Weekday) string { return strings.ToLower(day.String()) }

// weekdayKeys names the weekdays on which a lab is open.
func weekdayKeys(closed jobs.Weekdays) []string {
	keys := []string{}
	for _, day := range jobs.Week {
		if !closed.Has(day) {
			keys = append(keys, weekdayKey(day))
		}
	}
	return keys
}

// closedBut is the weekdays that are not named.
func closedBut(open []string) (closed jobs.Weekdays) {
	for _, day := range jobs.Week {
		if !slices.Contains(open, weekdayKey(day)) {
			closed |= jobs.WeekdaysOf(day)
		}
	}
	return closed
}

func apiClosure(c jobs.Closure) api.Closure {
	return api.Closure{Id: c.ID, From: apiDay(c.From), To: apiDay(c.To), Name: c.Name}
}

// ListClosures lists the days on which the lab will be closed.
func (a apiCalls) ListClosures(ctx context.Context, _ api.ListClosuresRequestObject) (api.ListClosuresResponseObject, error) {
	catalogue, err := a.services.Catalogue.Catalogue(ctx)
	return api.ListClosures200JSONResponse{Closures: each(catalogue.Lab.ComingClosures(a.options.Now()), apiClosure)}, err
}

// AddClosure closes the lab on some days.
func (a apiCalls) AddClosure(ctx context.Context, request api.AddClosureRequestObject) (api.AddClosureResponseObject, error) {
	closure, err := readClosure(request.Body.From, request.Body.To, request.Body.Name)
	if err != nil {
		return nil, err
	}
	saved, err := a.services.Catalogue.AddClosure(ctx, by(ctx), closure)
	return api.AddClosure201JSONResponse(apiClosure(saved)), err
}

// RemoveClosure opens the lab again.
func (a apiCalls) RemoveClosure(ctx context.Context, request api.RemoveClosureRequestObject) (api.RemoveClosureResponseObject, error) {
	return api.RemoveClosure204Response{}, a.services.Catalogue.RemoveClosure(ctx, by(ctx), request.Id)
}

// readClosure reads the days of a closure as they were typed.
func readClosure(from, to, name string) (jobs.Closure, error) {
	var wrong faults
	closure := jobs.Closure{From: calendarDay(from, "from", &wrong), To: calendarDay(to, "to", &wrong), Name: name}
	return closure, wrong.err()
}

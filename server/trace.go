package server

import (
	"fmt"
	"net/http"
	"net/url"
	"strconv"
	"strings"
	"time"

	"github.com/labstack/echo/v4"

	"wetside/jobs"
	"wetside/web"
)

// tracePages say which film met which chemistry, and have it looked at.
type tracePages struct{ *site }

// traceRoutes lists the addresses of these pages.
func traceRoutes(s *site) []Route {
	const get, post = http.MethodGet, http.MethodPost
	p := tracePages{s}
	return []Route{
		{get, "/chemistry/trace", "trace", StaffOnly, "", nil, p.trace},
		{post, "/chemistry/trace/mark", "mark for inspection", StaffOnly, "", nil, p.mark},
		{get, "/chemistry/trace/message", "message to owners", StaffOnly, "", nil, p.message},
		{get, "/chemistry/trace/message.csv", "message to owners as CSV", StaffOnly, "", nil, p.messageFile},
		{get, "/chemistry/inspections", "inspections", StaffOnly, "", nil, p.inspections},
		{post, "/chemistry/inspections/close", "close inspections", StaffOnly, "", nil, p.closeInspections},
		{get, "/rolls/:id/trace", "trace of a roll", StaffOnly, "", nil, p.rollTrace},
	}
}

// traceForm is what is to be traced, as it stands in an address or a form.
type traceForm struct {
	Cause string `form:"cause"`
	ID    string `form:"id"`
	Since string `form:"since"`
	Until string `form:"until"`
}

func traceAsked(values url.Values) traceForm {
	return traceForm{values.Get("cause"), strings.TrimSpace(values.Get("id")), values.Get("since"), values.Get("until")}
}

// values are the address's or form's values again.
func (f traceForm) values() url.Values {
	values := url.Values{"cause": {f.Cause}, "id": {f.ID}}
	if f.Since != "" {
		values.Set("since", f.Since)
	}
	if f.Until != "" {
		values.Set("until", f.Until)
	}
	return values
}

// path is the address of the trace.
func (f traceForm) path() string { return "/chemistry/trace?" + f.values().Encode() }

// tracePath is the address of a trace of all that a cause touched.
func tracePath[ID ~int64](kind jobs.CauseKind, id ID) string {
	return traceForm{Cause: string(kind), ID: keyText(id)}.path()
}

// query reads what is to be traced. Times are those of the lab's clocks.
func (f traceForm) query(zone *time.Location, wrong *faults) jobs.TraceQuery {
	query := jobs.TraceQuery{Cause: jobs.Cause{Kind: jobs.CauseKind(f.Cause)}}
	if f.Cause == "" {
		wrong.add("cause", "choose what to trace from")
	}
	id, err := strconv.ParseInt(f.ID, 10, 64)
	if err != nil || id < 1 {
		wrong.add("id", "%q is no number of a fill, mix, lot or strip: they are whole numbers from 1", f.ID)
	}
	query.ID = id
	query.Since, query.Until = localTime(f.Since, "since", zone, wrong), localTime(f.Until, "until", zone, wrong)
	return query
}

// localTime reads a moment of the lab's clocks; the zero time where none is
// said.
func localTime(text, field string, zone *time.Location, wrong *faults) time.Time {
	text = strings.TrimSpace(text)
	if text == "" {
		return time.Time{}
	}
	for _, layout := range []string{"2006-01-02T15:04", "2006-01-02T15:04:05", "2006-01-02 15:04", time.DateOnly} {
		if at, err := time.ParseInLocation(layout, text, zone); err == nil {
			return at
		}
	}
	wrong.add(field, "%q is no day and time; write it like 2026-03-02 14:30", text)
	return time.Time{}
}

// trace asks what to trace, leads to a roll that was scanned, or shows what a
// cause touched.
func (p tracePages) trace(c echo.Context) error {
	if code := strings.TrimSpace(c.QueryParam("code")); code != "" {
		roll, err := p.services.Rolls.RollByTwinCheck(c.Request().Context(), code)
		if err == nil {
			return c.Redirect(http.StatusSeeOther, rollPath(roll.ID)+"/trace")
		}
		if jobs.CodeOf(err) != jobs.NotFound {
			return err
		}
		wrong := faults{code: http.StatusNotFound}
		wrong.add("code", "there is no roll %q", code)
		return p.showTrace(c, traceForm{}, wrong)
	}
	return p.showTrace(c, traceAsked(c.QueryParams()), faults{})
}

// showTrace shows the page, with the rolls where something to trace is named.
func (p tracePages) showTrace(c echo.Context, form traceForm, wrong faults) error {
	page := &web.TracePage{Frame: web.Frame{Title: "Trace"}}
	d := p.desk(c)
	if form.Cause != "" || form.ID != "" {
		trace, err := p.traced(c, form)
		found, known := traceFaults(err)
		if err != nil && !known {
			return err
		}
		wrong.merge(found)
		wrong.code = max(wrong.code, found.code)
		if err == nil {
			page.Title = "Trace: " + trace.Name
			page.Result = p.result(c, form, trace, d, wrong)
		}
	}
	if err := p.offerCauses(c, page, d); err != nil {
		return err
	}
	page.Problems = wrong.problems()
	fields := newTypedForm(form, wrong)
	kinds := choose("Choose", []web.Option{
		{Value: string(jobs.FromFill), Label: "Fill of a tank"}, {Value: string(jobs.FromMix), Label: "Mix"},
		{Value: string(jobs.FromLot), Label: "Lot of concentrate"}, {Value: string(jobs.FromStrip), Label: "Failed control strip"},
	})
	page.Kind = fields.needed(web.Select, "cause", "From", "", kinds...)
	page.Number = fields.needed(web.Number, "id", "Number", "")
	page.Since = fields.field(web.DateTime, "since", "Started from", "")
	page.Until = fields.field(web.DateTime, "until", "Started before", "")
	page.Scan = web.Field{Kind: web.Text, Name: "code", Label: "Scan a roll", Value: c.QueryParam("code"), Required: true,
		Autocomplete: "off", Error: wrong.of("code"), Hint: "Its twin-check leads to everything that the roll touched."}
	return p.show(c, wrong.status(), page)
}

// traced finds what a form asks for.
func (p tracePages) traced(c echo.Context, form traceForm) (jobs.Trace, error) {
	var wrong faults
	query := form.query(p.desk(c).zone, &wrong)
	if err := wrong.err(); err != nil {
		return jobs.Trace{}, err
	}
	return p.services.Traces.Trace(c.Request().Context(), query)
}

// traceFaults takes apart an error that the page shows beside the number.
func traceFaults(err error) (faults, bool) {
	if code := jobs.CodeOf(err); code != jobs.NotFound && code != jobs.Refused {
		return faultsOf(err)
	}
	p := problemOf(err)
	return faults{[]jobs.FieldError{{Field: "id", Message: p.Detail}}, p.Status}, true
}

// causeTitles head the causes to choose among.
var causeTitles = map[jobs.CauseKind]string{
	jobs.FromFill: "Tanks in use", jobs.FromMix: "Last mixes", jobs.FromLot: "Last lots", jobs.FromStrip: "Strips past the control limit",
}

// offerCauses lists what may be traced, and counts what waits to be looked at.
func (p tracePages) offerCauses(c echo.Context, page *web.TracePage, d desk) (err error) {
	if page.Open, err = p.services.Inspections.CountInspections(c.Request().Context()); err != nil || page.Result != nil {
		return err
	}
	causes, err := p.services.Traces.RecentCauses(c.Request().Context())
	for _, kind := range []jobs.CauseKind{jobs.FromStrip, jobs.FromFill, jobs.FromMix, jobs.FromLot} {
		group := web.CauseGroup{Title: causeTitles[kind]}
		for _, cause := range causes {
			if cause.Kind == kind {
				group.Causes = append(group.Causes, web.CauseLine{
					Link: web.Link{Label: causeWords(cause.Cause, cause.Name), Path: tracePath(kind, cause.ID)}, At: d.moment(cause.At)})
			}
		}
		if len(group.Causes) > 0 {
			page.Recent = append(page.Recent, group)
		}
	}
	return err
}

func causeWords(cause jobs.Cause, name string) string {
	return fmt.Sprintf("%s %d: %s", sentence(string(cause.Kind)), cause.ID, name)
}

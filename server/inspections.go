package server

import (
	"net/http"
	"net/url"
	"strings"

	"github.com/labstack/echo/v4"

	"wetside/jobs"
	"wetside/web"
)

// inspectionsPerPage is how many inspections one page lists.
const inspectionsPerPage = 60

// inspections lists what has to be looked at, or was.
func (p tracePages) inspections(c echo.Context) error {
	return p.showInspections(c, c.QueryParams(), typed{})
}

func (p tracePages) showInspections(c echo.Context, asked url.Values, t typed) error {
	ctx := c.Request().Context()
	state, search, kind := asked.Get("state"), strings.TrimSpace(asked.Get("q")), asked.Get("kind")
	query := jobs.InspectionQuery{Open: state == "", Search: search, Kind: jobs.CauseKind(kind),
		Before: jobs.InspectionID(numberOr0(asked.Get("before"))), Limit: inspectionsPerPage + 1}
	found, err := p.services.Inspections.Inspections(ctx, query)
	wrong, known := faultsOf(err)
	if err != nil && !known {
		return err
	}
	open, err := p.services.Inspections.CountInspections(ctx)
	if err != nil {
		return err
	}
	page := &web.InspectionsPage{
		Frame: web.Frame{Title: "Inspections", Problems: append(wrong.problems(), t.wrong.problems()...)},
		State: state, Tabs: []web.Tab{
			{Link: web.Link{Label: "To be looked at", Path: "/chemistry/inspections", Current: state == ""}, Count: open},
			{Link: web.Link{Label: "All", Path: "/chemistry/inspections?state=all", Current: state != ""}, Count: -1}},
		Search: web.Field{Kind: web.Text, Name: "q", Label: "Find rolls", Value: search, Autocomplete: "off", Error: wrong.of("search"),
			Hint: "Twin-check, order number, 1042/1, or part of a name."},
		Kind: web.Field{Kind: web.Select, Name: "kind", Label: "Because of", Value: kind, Options: choose("Anything", wordOptions(jobs.CauseKinds))},
	}
	if len(found) > inspectionsPerPage {
		found = found[:inspectionsPerPage]
		page.Earlier = "/chemistry/inspections?" + url.Values{"state": {state}, "q": {search}, "kind": {kind},
			"before": {keyText(found[inspectionsPerPage-1].ID)}}.Encode()
	}
	page.Inspections = p.desk(c).inspectionLines(found, t.values["inspection"])
	for i, inspection := range found {
		page.Inspections[i].Tickable = inspection.Outcome == ""
		page.Tickable = page.Tickable || inspection.Outcome == ""
	}
	page.Outcome, page.Finding = findingFields(t, roleOf(c))
	return p.show(c, max(wrong.status(), t.wrong.status()), page)
}

// findingFields ask what was found. That nobody looks is for an owner to decide.
func findingFields(t typed, role jobs.Role) (outcome, finding web.Field) {
	options := []web.Option{
		{Value: string(jobs.FoundGood), Label: "Good", Hint: "It goes on to its owner."},
		{Value: string(jobs.FoundSpoiled), Label: "Spoiled", Hint: "It is recorded as spoiled, and its owner reads the finding."},
	}
	if role.May(jobs.LetGo.Needs()) {
		options = append(options, web.Option{Value: string(jobs.LetGo), Label: "Let it go without looking", Hint: "An owner's decision, kept with the reason."})
	}
	return required(t.field(web.Radio, "outcome", "What was found", "", options...)),
		hinted(required(t.field(web.Text, "finding", "In words", "")), "One finding for all the ticked rolls.")
}

// closeInspections writes what was found in the ticked rolls.
func (p tracePages) closeInspections(c echo.Context) error {
	var form struct {
		Outcome string `form:"outcome"`
		Finding string `form:"finding"`
	}
	if err := readForm(c, &form); err != nil {
		return err
	}
	keys, err := ticked(c, "inspection")
	if err != nil {
		return err
	}
	closing := jobs.Closing{Outcome: jobs.Outcome(form.Outcome), Finding: form.Finding}
	for _, key := range keys {
		closing.Inspections = append(closing.Inspections, jobs.InspectionID(key))
	}
	closed, err := p.closeAs(c, closing)
	if wrong, ok := faultsOf(err); ok {
		if len(keys) == 0 {
			wrong = faults{code: http.StatusUnprocessableEntity}
			wrong.add("inspection", "tick the rolls that this was found in")
		}
		return p.showInspections(c, url.Values{}, typedIn(c, wrong))
	}
	if err != nil {
		return err
	}
	return p.done(c, "/chemistry/inspections", "The finding is written down for "+counted(len(closed), "roll", "rolls")+".")
}

// closeAs closes inspections for whoever asks, if the outcome is theirs to say.
func (s *site) closeAs(c echo.Context, closing jobs.Closing) ([]jobs.Inspection, error) {
	if !roleOf(c).May(closing.Outcome.Needs()) {
		return nil, jobs.Errorf(jobs.Forbidden, "Only an owner may let a roll go that nobody has looked at.")
	}
	return s.services.Inspections.CloseInspections(c.Request().Context(), actorOf(c), closing)
}

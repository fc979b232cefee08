package server

import (
	"fmt"
	"net/http"
	"net/url"
	"strings"
	"time"

	"github.com/labstack/echo/v4"

	"wetside/jobs"
	"wetside/web"
)

// leavingShown is how many orders that can leave stand on the page of the day;
// the counter has them all.
const leavingShown = 6

// risksShown is how many promises about to break stand on the page of the day,
// the earliest due first.
const risksShown = 12

// today shows what must leave, what to run next and what needs an answer.
func (p staffPages) today(c echo.Context) error {
	return p.showToday(c, "", faults{})
}

func (p staffPages) showToday(c echo.Context, scanned string, wrong faults) error {
	ctx := c.Request().Context()
	day, err := p.services.Today.Today(ctx)
	if err != nil {
		return err
	}
	catalogue, err := p.services.Catalogue.Catalogue(ctx)
	if err != nil {
		return err
	}
	d := p.desk(c)
	page := &web.TodayPage{
		Frame: web.Frame{Title: "Today", Problems: wrong.problems()},
		Date:  web.Moment{Stamp: d.now.In(d.zone).Format(time.DateOnly), Words: d.now.In(d.zone).Format("Monday 2 January")},
		Scan: web.Field{Kind: web.Text, Name: "code", Label: "Find a roll or an order", Value: scanned, Required: true, Focus: true,
			Autocomplete: "off", Hint: "Scan a twin-check, or type an order's number.", Error: wrong.of("code")},
		Queued: day.Counts[jobs.Queued], Held: d.lines(day.Held), Due: d.lines(day.DueToday),
		Leaving: d.parcels(day.Ready),
	}
	if more := len(page.Leaving) - leavingShown; more > 0 {
		page.Leaving, page.MoreLeaving = page.Leaving[:leavingShown], more
	}
	for _, risk := range day.AtRisk[:min(len(day.AtRisk), risksShown)] {
		page.AtRisk = append(page.AtRisk, d.risk(risk))
	}
	page.MoreAtRisk = len(day.AtRisk) - len(page.AtRisk)
	for _, batch := range day.Batches {
		page.Batches = append(page.Batches, d.batchLine(batch, catalogue))
	}
	open := 0
	for _, state := range jobs.RollStates {
		if state.Ended() {
			continue
		}
		open += day.Counts[state]
		page.Counts = append(page.Counts, web.Tab{
			Link: web.Link{Label: sentence(string(state)), Path: statePath(state)}, Count: day.Counts[state],
		})
	}
	page.Quiet = open == 0
	page.Morning = p.morningShort(day.Morning, d)
	page.Next = nextStep(d, day, catalogue.Slots(day.Batches, d.now), page)
	return p.show(c, wrong.status(), page)
}

// risk is a promise about to break, with the way to what would save it.
func (d desk) risk(risk jobs.Risk) web.RiskLine {
	line := web.RiskLine{Roll: d.line(risk.Roll), Ready: d.due(risk.Ready), Save: sentence(risk.Save), Saved: risk.Saved}
	switch state := risk.Roll.State; {
	case !risk.Saved:
		line.Path, line.Label = staffOrderPath(risk.Roll.Order), "Order "+keyText(risk.Roll.Order)
	case state == jobs.Batched || state == jobs.Developing:
		line.Path, line.Label = batchPath(risk.Roll.Batch), "Batch "+keyText(risk.Roll.Batch)
	case state == jobs.Queued:
		line.Path, line.Label = "/plan", "Plan"
	case state == jobs.Drying || state == jobs.Finishing:
		line.Path, line.Label = "/dry-side", "Dry side"
	default:
		line.Path, line.Label = rollPath(risk.Roll.ID), "Roll "+rollName(risk.Roll.Roll)
	}
	return line
}

func statePath(state jobs.RollState) string { return "/rolls?state=" + url.QueryEscape(string(state)) }

// parcels groups ready rolls by their order, the earliest due first.
func (d desk) parcels(ready []jobs.RollView) []web.Parcel {
	var parcels []web.Parcel
	place := map[jobs.OrderID]int{}
	for _, roll := range ready {
		at, known := place[roll.Order]
		if !known {
			at = len(parcels)
			place[roll.Order] = at
			parcels = append(parcels, web.Parcel{
				Order: int64(roll.Order), Customer: roll.CustomerName, Way: returnWords(roll.Return), Post: roll.Return == jobs.Post,
				Due: web.Due{Moment: d.due(roll.Due), Late: d.now.After(roll.Due)},
			})
		}
		parcels[at].Rolls = append(parcels[at].Rolls, d.line(roll))
	}
	return parcels
}

// nextStep is the one thing to do now: what is in the chemistry comes first,
// then what keeps a machine idle, then people who wait.
func nextStep(d desk, day jobs.Today, slots []jobs.Slot, page *web.TodayPage) web.NextStep {
	for i, batch := range day.Batches {
		if batch.State == jobs.BatchDeveloping && page.Batches[i].Late {
			return web.NextStep{Say: fmt.Sprintf("Batch %d on %s should be through. Take the film out and finish it.", batch.ID, batch.LineName),
				Label: "Finish batch " + keyText(batch.ID), Path: batchPath(batch.ID)}
		}
	}
	waiting := false
	for i, batch := range day.Batches {
		switch {
		case batch.State == jobs.BatchDeveloping:
		case slots[i].From.After(d.now): // it is early, or its line is taken
			waiting = true
		default:
			return web.NextStep{Say: fmt.Sprintf("Batch %d is to run on %s now: %s, %s.", batch.ID, batch.LineName,
				page.Batches[i].What, counted(len(batch.Rolls), "roll", "rolls")),
				Label: "Run batch " + keyText(batch.ID), Path: batchPath(batch.ID)}
		}
	}
	oldest := ""
	if len(day.Held) > 0 {
		oldest = rollPath(day.Held[0].ID)
	}
	for _, step := range []struct {
		n           int
		one, many   string
		label, path string
	}{
		{page.Queued, "1 roll waits to be planned.", "%d rolls wait to be planned.", "Plan the next batches", "/plan"},
		{len(page.Held), "1 roll waits for an answer.", "%d rolls wait for an answer.", "Answer the oldest", oldest},
		{day.Counts[jobs.Finishing] + day.Counts[jobs.Drying], "1 roll is on the dry side.", "%d rolls are on the dry side.", "Go to the dry side", "/dry-side"},
		{len(page.Leaving) + page.MoreLeaving, "1 order can leave.", "%d orders can leave.", "Go to the counter", "/counter"},
		{day.Counts[jobs.Expected], "1 roll is expected.", "%d rolls are expected.", "Check film in", "/check-in"},
	} {
		if step.n == 0 || step.path == "/plan" && waiting {
			continue
		}
		say := step.one
		if step.n > 1 {
			say = fmt.Sprintf(step.many, step.n)
		}
		return web.NextStep{Say: say, Label: step.label, Path: step.path}
	}
	return web.NextStep{Say: "Nothing waits. Film that comes in begins here.", Label: "Check film in", Path: "/check-in"}
}

// scan leads to the roll or the order that was scanned or typed.
func (p staffPages) scan(c echo.Context) error {
	code := strings.TrimSpace(c.QueryParam("code"))
	var wrong faults
	if code == "" {
		wrong.add("code", "scan a twin-check, or type an order's number")
		return p.showToday(c, code, wrong)
	}
	path, err := p.find(c, code)
	if jobs.CodeOf(err) == jobs.NotFound {
		wrong.add("code", "there is no roll and no order %q", code)
		wrong.code = http.StatusNotFound
		return p.showToday(c, code, wrong)
	}
	if err != nil {
		return err
	}
	return c.Redirect(http.StatusSeeOther, path)
}

// find returns where a scanned or typed code leads: to the roll with that
// twin-check, a roll as "1042/1", or an order by its number or its slip's code.
func (p staffPages) find(c echo.Context, code string) (string, error) {
	ctx := c.Request().Context()
	roll, err := p.services.Rolls.RollByTwinCheck(ctx, code)
	if jobs.CodeOf(err) != jobs.NotFound {
		return rollPath(roll.ID), err
	}
	order, position, err := p.orderByCode(c, code)
	if err != nil {
		return "", err
	}
	if position > 0 && position <= len(order.Rolls) {
		return rollPath(order.Rolls[position-1].ID), nil
	}
	return staffOrderPath(order.ID), nil
}

// orderByCode returns the order that a code names: its number, a roll's label,
// or its private link as the packing slip carries it. The position is 0 where
// no roll is named.
func (p staffPages) orderByCode(c echo.Context, code string) (jobs.Order, int, error) {
	ctx := c.Request().Context()
	if id, position, ok := jobs.ParseLabel(code); ok {
		order, err := p.services.Orders.Order(ctx, id)
		if err == nil && position > len(order.Rolls) {
			err = jobs.Errorf(jobs.NotFound, "order %d has %d rolls", id, len(order.Rolls))
		}
		return order, position, err
	}
	if found := tokenAtEnd.FindStringSubmatch(code); found != nil {
		order, err := p.services.Orders.OrderByToken(ctx, found[1])
		return order, 0, err
	}
	return jobs.Order{}, 0, jobs.Errorf(jobs.NotFound, "%q names no order", code)
}

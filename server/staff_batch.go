package server

import (
	"fmt"
	"slices"
	"strconv"

	"github.com/labstack/echo/v4"

	"wetside/chemistry"
	"wetside/jobs"
	"wetside/web"
)

// batch shows a batch with its run sheet.
func (p staffPages) batch(c echo.Context) error {
	id, err := keyInPath(c)
	if err != nil {
		return err
	}
	return p.showBatch(c, jobs.BatchID(id), typed{})
}

// showBatch shows a batch as it is now, with what was typed into its forms.
func (p staffPages) showBatch(c echo.Context, id jobs.BatchID, t typed) error {
	ctx := c.Request().Context()
	batch, err := p.services.Batches.Batch(ctx, id)
	if err != nil {
		return err
	}
	open, err := p.services.Batches.Batches(ctx, jobs.BatchQuery{Open: true, Limit: 100})
	if err != nil {
		return err
	}
	events, err := p.services.Batches.BatchHistory(ctx, id)
	if err != nil {
		return err
	}
	catalogue, err := p.services.Catalogue.Catalogue(ctx)
	if err != nil {
		return err
	}
	d := p.desk(c)
	page := &web.BatchPage{
		Frame:    web.Frame{Title: "Batch " + keyText(id), Problems: t.wrong.problems(), Wet: batch.State.Open()},
		Batch:    d.batchWork(batch, open, t, catalogue),
		Started:  d.moment(batch.StartedAt),
		Ended:    d.moment(batch.EndedAt),
		Reason:   batch.Reason,
		Override: batch.Override,
		Events:   d.history(events),
	}
	sheet, err := p.services.Batches.RunSheet(ctx, id)
	switch _, told := faultsOf(err); {
	case told:
		page.NoSheet = sentence(problemOf(err).Detail)
	case err != nil:
		return err
	default:
		page.Sheet, page.Against = sheetOf(sheet), sentences(sheet.Against)
		if err := p.addDoses(c, page, batch, sheet, d); err != nil {
			return err
		}
		for _, reading := range sheet.Readings {
			page.Readings = append(page.Readings, web.ReadingLine{
				At: d.moment(reading.At), By: reading.By, Step: reading.Step, Temp: degrees(reading.TempC) + " °C", Note: reading.Note,
			})
		}
		addBatchForms(page, batch, sheet, t, roleOf(c).May(jobs.Owner))
	}
	if batch.State == jobs.BatchDeveloping {
		page.Scripts = []string{"run-sheet.js"}
	}
	if page.Start == nil && len(t.values) > 0 {
		page.Lost = lost(t.values, page.Batch.Forms)
	}
	return p.show(c, t.wrong.status(), page)
}

// addDoses puts on a batch's page what it calls for: as its run sheet plans it,
// or, once it has ended, as it was posted.
func (p staffPages) addDoses(c echo.Context, page *web.BatchPage, batch jobs.Batch, sheet jobs.RunSheet, d desk) error {
	doses := sheet.Doses
	if !batch.State.Open() {
		posted, err := p.services.Doses.Doses(c.Request().Context(), jobs.DoseQuery{Batch: batch.ID, Limit: mostDoses})
		if err != nil {
			return err
		}
		slices.Reverse(posted)
		doses = posted
	}
	for _, dose := range doses {
		line := d.doseLine(dose)
		line.Batch = 0 // it is the batch of this page
		if dose.Fill == 0 {
			page.MixFirst = append(page.MixFirst, line)
		} else {
			page.PourNext = append(page.PourNext, line)
		}
	}
	return nil
}

// sentences begins each message with a capital and ends it.
func sentences(messages []string) []string {
	whole := make([]string, len(messages))
	for i, message := range messages {
		whole[i] = sentence(message) + "."
	}
	return whole
}

// sheetOf writes a run sheet for the operator.
func sheetOf(sheet jobs.RunSheet) *web.Sheet {
	d := sheet.Development
	s := &web.Sheet{
		DevelopS: d.Seconds, Temp: tempWords(d.TempC, d.TempC-d.TempTolC, d.TempC+d.TempTolC), Developer: sheet.Solution, Cautions: sheet.Cautions,
	}
	units := 0
	for _, roll := range sheet.Batch.Rolls {
		units += sheet.Line.Takes[roll.Format]
	}
	s.Units = fmt.Sprintf("%d of %d units", units, sheet.Line.Capacity)
	for i, step := range sheet.Cycle.Steps {
		solution := step.Solution
		if step.Develop && sheet.Solution != "" {
			solution = sheet.Solution
		}
		s.Steps = append(s.Steps, web.StepLine{
			Number: i + 1, Name: sentence(step.Name), Solution: sentence(solution), Seconds: step.Seconds, Time: stepTime(step),
			Temp: tempWords(step.TempC, step.LowC, step.HighC), Agitation: step.Agitation, Drain: step.Drain,
			Cautions: step.Cautions, Source: step.Source.String(), Develop: step.Develop,
		})
	}
	for _, factor := range d.Factors {
		value := "× " + strconv.FormatFloat(factor.Value, 'f', 3, 64)
		if factor.Unit == "s" {
			value = chemistry.FormatClock(int(factor.Value + 0.5))
		}
		s.Factors = append(s.Factors, web.FactorLine{Name: factor.Name, Value: value, Source: factor.Source})
	}
	return s
}

// stepTime writes how long a step takes: "4:20", "4:20 to 6:30".
func stepTime(step chemistry.Step) string {
	switch {
	case step.Seconds == 0:
		return "as long as it needs"
	case step.MaxSeconds > step.Seconds:
		return chemistry.FormatClock(step.Seconds) + " to " + chemistry.FormatClock(step.MaxSeconds)
	}
	return chemistry.FormatClock(step.Seconds)
}

// batchesPerPage is how many batches one page lists.
const batchesPerPage = 40

// batches lists batches, the newest first.
func (p staffPages) batches(c echo.Context) error {
	ctx := c.Request().Context()
	found, err := p.services.Batches.Batches(ctx, jobs.BatchQuery{Before: jobs.BatchID(numberOr0(c.QueryParam("before"))), Limit: batchesPerPage + 1})
	if err != nil {
		return err
	}
	catalogue, err := p.services.Catalogue.Catalogue(ctx)
	if err != nil {
		return err
	}
	page := &web.BatchesPage{Frame: web.Frame{Title: "Batches"}}
	if len(found) > batchesPerPage {
		found = found[:batchesPerPage]
		page.Older = "/batches?before=" + keyText(found[batchesPerPage-1].ID)
	}
	d := p.desk(c)
	for _, batch := range found {
		page.Batches = append(page.Batches, d.batchLine(batch, catalogue))
	}
	return p.show(c, 200, page)
}

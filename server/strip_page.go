package server

import (
	"fmt"
	"net/http"
	"slices"

	"github.com/labstack/echo/v4"

	"wetside/chemistry"
	"wetside/jobs"
	"wetside/web"
)

// developerOf is what a strip of a process tells of first.
var developerOf = map[chemistry.Process]chemistry.SolutionFamily{
	chemistry.C41: chemistry.ColourDeveloper, chemistry.E6: chemistry.FirstDeveloper,
	chemistry.ECN2: chemistry.ColourDeveloper, chemistry.BW: chemistry.BWDeveloper,
}

// strip shows one strip with its verdict.
func (p stripPages) strip(c echo.Context) error { return p.showStrip(c, releaseForm{}, faults{}) }

type releaseForm struct {
	Reason string `form:"reason"`
}

// release lets a line run whose last strip says no.
func (p stripPages) release(c echo.Context) error {
	id, err := keyInPath(c)
	if err != nil {
		return err
	}
	var form releaseForm
	if err := readForm(c, &form); err != nil {
		return err
	}
	strip, err := p.services.Strips.ReleaseLine(c.Request().Context(), actorOf(c), jobs.StripID(id), form.Reason)
	if wrong, ok := faultsOf(err); ok {
		return p.showStrip(c, form, wrong)
	}
	if err != nil {
		return err
	}
	return p.done(c, stripPath(strip.ID), fmt.Sprintf("%s may run %s until the next strip, and no longer than today.", strip.LineName, strip.Process))
}

func (p stripPages) showStrip(c echo.Context, form releaseForm, wrong faults) error {
	id, err := keyInPath(c)
	if err != nil {
		return err
	}
	ctx := c.Request().Context()
	strip, err := p.services.Strips.Strip(ctx, jobs.StripID(id))
	if err != nil {
		return err
	}
	watched, err := p.services.Strips.WatchedLines(ctx)
	if err != nil {
		return err
	}
	d := p.desk(c)
	page := &web.StripPage{
		Frame: web.Frame{Title: "Strip of " + strip.LineName + ", " + string(strip.Process), Problems: wrong.problems()},
		Line:  strip.LineName, Process: string(strip.Process), Chart: stripsOf(strip.Line, strip.Process),
		At: d.moment(strip.At), By: strip.By, Box: strip.BoxNumber, Verdict: verdictChips[strip.Result.Verdict],
		Confirms: int64(strip.Confirms), Next: strip.Result.Next, Source: strip.Result.Source.String(),
		ReleasePath: stripPath(strip.ID) + "/release",
		Reason:      newTypedForm(form, wrong).needed(web.Text, "reason", "Why it may run", "For the record, as in “the densitometer was out of calibration; checked with a plaque”."),
		Cautions:    chemistry.HandlingCautions(chemistry.Mixing, developerOf[strip.Process]),
	}
	for _, signal := range strip.Result.Signals {
		page.Signals = append(page.Signals, signal.String())
	}
	for _, suspect := range strip.Result.Suspects {
		page.Suspects = append(page.Suspects, web.StripSuspect{Cause: sentence(suspect.Cause), Check: suspect.CheckFirst, Source: suspect.Source.String()})
	}
	if strip.Result.Verdict == chemistry.PastControl {
		page.Trace = tracePath(jobs.FromStrip, strip.ID)
	}
	if !strip.Release.At.IsZero() {
		page.Released = releaseWords(strip.Release, d)
	}
	page.Figures, page.Derived = stripFigures(strip)
	if at := slices.IndexFunc(watched, func(w jobs.WatchedLine) bool { return w.State.Last.ID == strip.ID }); at >= 0 {
		card := d.stripCard(watched[at])
		page.Card = &card
		page.CanRelease = card.Stopped && roleOf(c).May(jobs.Owner)
	}
	return p.show(c, wrong.status(), page)
}

// stripFigures list what was read, and what is worked out from it.
func stripFigures(strip jobs.Strip) (read, derived []web.StripFigure) {
	was, aim := jobs.DensitiesOf(strip.Process, strip.Reading), jobs.DensitiesOf(strip.Process, strip.Aim)
	off := jobs.DensitiesOf(strip.Process, strip.Result.Deviations)
	silver := strip.Reading.DMaxBlue != 0 || strip.Reading.YellowBlue != 0
	for _, patch := range jobs.Patches(strip.Process) {
		if patch.Silver && !silver {
			continue
		}
		read = append(read, web.StripFigure{
			Name: patch.Row + " " + patch.Channel, Read: density(was[patch.Name]), Aim: density(aim[patch.Name]), Off: deviation(off[patch.Name]),
		})
		if patch.Row == "HD" {
			low := "ld_" + patch.Channel
			derived = append(derived, web.StripFigure{
				Name: "HD − LD " + patch.Channel, Read: density(was[patch.Name] - was[low]), Aim: density(aim[patch.Name] - aim[low]),
				Off: deviation(off[patch.Name] - off[low]),
			})
		}
	}
	if strip.Process != chemistry.BW {
		derived = append(derived, web.StripFigure{Name: "Spread of HD − LD between the colours", Off: deviation(strip.Result.Spread)})
	}
	if silver {
		derived = append(derived, web.StripFigure{
			Name: "D-max blue − yellow blue", Read: density(strip.Reading.RetainedSilver()), Aim: density(strip.Aim.RetainedSilver()),
			Off: deviation(strip.Result.Silver),
		})
	}
	return read, derived
}

// chart shows the last strips of a process in a line.
func (p stripPages) chart(c echo.Context) error {
	watched, _, err := p.watched(c)
	if err != nil {
		return err
	}
	last := 30
	if c.QueryParam("last") == "90" {
		last = 90
	}
	chart, err := p.services.Strips.StripChart(c.Request().Context(), watched.Line, watched.Process, last)
	if err != nil {
		return err
	}
	series, err := chart.Series()
	if err != nil {
		return err
	}
	d := p.desk(c)
	card := d.stripCard(watched)
	page := &web.StripChartPage{
		Frame: web.Frame{Title: "Control strips of " + card.Line + ", " + card.Process}, Card: card, Source: chart.Box.Limits.Source.String(),
	}
	for _, span := range []int{30, 90} {
		page.Spans = append(page.Spans, web.Link{Label: fmt.Sprintf("Last %d strips", span), Path: fmt.Sprintf("%s?last=%d", card.Chart, span), Current: span == last})
	}
	for i, rule := range chartRules {
		page.Rules = append(page.Rules, web.StripRule{Number: i + 1, Words: string(rule)})
	}
	d.fillChart(page, chart, series)
	return p.show(c, http.StatusOK, page)
}

package server

import (
	"slices"

	"github.com/labstack/echo/v4"

	"wetside/chemistry"
	"wetside/jobs"
	"wetside/web"
)

// fillPages show one fill, and record what happens to it.
type fillPages struct{ *site }

// filled is a fill with everything that its page shows.
type filled struct {
	jobs.Fill
	solution   jobs.Solution
	ledger     []jobs.Entry
	tests      []jobs.Clearing
	toPour     []jobs.Dose
	mixes      []jobs.Mix
	containers jobs.Containers
}

// read reads a fill and what is on record about it.
func (p fillPages) read(c echo.Context, id jobs.FillID) (f filled, err error) {
	ctx := c.Request().Context()
	if f.Fill, f.ledger, err = p.services.Fills.Fill(ctx, id); err != nil {
		return f, err
	}
	catalogue, err := p.services.Catalogue.Catalogue(ctx)
	if err != nil {
		return f, err
	}
	f.solution = catalogue.Solutions[f.Solution]
	if f.tests, err = p.services.Fills.ClearingTests(ctx, id); err != nil {
		return f, err
	}
	if f.toPour, err = p.openDoses(c, jobs.DoseQuery{Fill: id}); err != nil {
		return f, err
	}
	if f.mixes, err = p.services.Mixes.Mixes(ctx); err != nil {
		return f, err
	}
	f.containers, err = p.services.Waste.Containers(ctx)
	return f, err
}

// fill shows one fill with its ledger.
func (p fillPages) fill(c echo.Context) error {
	id, err := keyInPath(c)
	if err != nil {
		return err
	}
	return p.showFill(c, jobs.FillID(id), typed{})
}

// showFill shows a fill as it is now, with what was typed into its forms.
func (p fillPages) showFill(c echo.Context, id jobs.FillID, t typed) error {
	f, err := p.read(c, id)
	if err != nil {
		return err
	}
	watched, err := p.watched(c.Request().Context())
	if err != nil {
		return err
	}
	d := p.desk(c)
	strips := watched[jobs.ControlKey{Line: f.Line, Process: f.solution.Process}]
	page := &web.FillPage{
		Frame:    web.Frame{Title: f.SolutionName + " in " + f.LineName, Problems: t.wrong.problems()},
		Fill:     fillCard(f.Fill, f.solution, f.ledger, strips, d),
		ToPour:   d.doseLines(f.toPour),
		Ledger:   d.ledgerLines(f.ledger),
		Care:     chemistry.Cautions(f.solution.Family),
		Cautions: chemistry.HandlingCautions(chemistry.Dumping, f.solution.Family),
	}
	slices.Reverse(page.Ledger) // the last first
	for _, test := range f.tests {
		page.Tests = append(page.Tests, web.ClearingLine{At: d.moment(test.At), Fresh: secondsWords(test.FreshS), Now: secondsWords(test.NowS), By: test.By})
	}
	if err := p.addCourse(c, page, f.ID, f.solution, d); err != nil {
		return err
	}
	page.Version, page.Versions = f.Recipe, versionsPath(f.solution.ID)
	page.Trace = tracePath(jobs.FromFill, f.ID)
	if roleOf(c).May(jobs.Owner) {
		page.Recipe = entryPath("/solutions", f.solution.ID)
		if f.DumpedAt.IsZero() {
			page.WhatIf = whatIfPath("fill", f.ID)
		}
	}
	at := d.now
	if !f.DumpedAt.IsZero() {
		at = f.DumpedAt
	}
	// A clock that was set back takes the figures away, and leaves the ledger.
	if state, err := f.State(f.solution, f.ledger, at.In(d.zone)); err == nil {
		page.Figures = fillFigures(f.Fill, f.solution, state)
		if f.DumpedAt.IsZero() {
			page.Acts = f.acts(state, t)
		}
	} else if f.DumpedAt.IsZero() {
		page.Acts = f.acts(chemistry.State{}, t)
	}
	if f.DumpedAt.IsZero() {
		page.Dump = []web.ActionForm{f.dumpForm(t)}
	}
	return p.show(c, t.wrong.status(), page)
}

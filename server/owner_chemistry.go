package server

import (
	"context"
	"fmt"
	"net/http"
	"strconv"

	"github.com/labstack/echo/v4"

	"wetside/chemistry"
	"wetside/jobs"
	"wetside/web"
)

// chemistryPages show what is in the tanks, and record what is poured and
// dumped.
type chemistryPages struct{ *site }

// tanks is the catalogue with the fills and their ledgers.
type tanks struct {
	jobs.Catalogue
	fills    []jobs.Fill
	outlooks map[jobs.FillID]jobs.Outlook
	ledgers  map[jobs.FillID][]jobs.Entry
	watched  map[jobs.ControlKey]bool
	toPour   []jobs.Dose
}

// tanks reads everything that the chemistry page shows.
func (p chemistryPages) tanks(c echo.Context) (t tanks, err error) {
	ctx := c.Request().Context()
	if t.Catalogue, err = p.services.Catalogue.Catalogue(ctx); err != nil {
		return t, err
	}
	if t.fills, err = p.services.Fills.Fills(ctx); err != nil {
		return t, err
	}
	var inUse []jobs.FillID
	for _, fill := range t.fills {
		if fill.DumpedAt.IsZero() {
			inUse = append(inUse, fill.ID)
		}
	}
	if t.ledgers, err = p.services.Fills.Ledgers(ctx, inUse); err != nil {
		return t, err
	}
	if t.watched, err = p.watched(ctx); err != nil {
		return t, err
	}
	if t.toPour, err = p.openDoses(c, jobs.DoseQuery{}); err != nil {
		return t, err
	}
	t.outlooks, err = p.services.Forecasts.Outlooks(ctx)
	return t, err
}

// watched tells which lines are watched by control strips, and in which
// processes.
func (s *site) watched(ctx context.Context) (map[jobs.ControlKey]bool, error) {
	lines, err := s.services.Strips.WatchedLines(ctx)
	watched := map[jobs.ControlKey]bool{}
	for _, line := range lines {
		watched[jobs.ControlKey{Line: line.Line, Process: line.Process}] = true
	}
	return watched, err
}

// card puts one of the fills into words.
func (t tanks) card(fill jobs.Fill, d desk) web.FillCard {
	solution := t.Solutions[fill.Solution]
	return fillCard(fill, solution, t.ledgers[fill.ID], t.watched[jobs.ControlKey{Line: fill.Line, Process: solution.Process}], d)
}

// fills shows every fill in use by line, and what was dumped lately.
func (p chemistryPages) fills(c echo.Context) error {
	t, err := p.tanks(c)
	if err != nil {
		return err
	}
	d := p.desk(c)
	page := &web.ChemistryPage{Frame: web.Frame{Title: "Chemistry"}, CanAdd: len(t.Solutions) > 0 && len(t.Lines) > 0, ToPour: d.doseLines(t.toPour)}
	for _, line := range sortedLines(t.Catalogue) {
		shown := web.ChemistryLine{Name: line.Name, Runs: runsWords(line)}
		holds := map[jobs.SolutionID]bool{}
		for _, fill := range t.fills {
			if fill.Line == line.ID && fill.DumpedAt.IsZero() {
				holds[fill.Solution] = true
				card := t.card(fill, d)
				addOutlook(&card, t.outlooks[fill.ID])
				shown.Fills = append(shown.Fills, card)
				if wanting[card.Verdict] {
					page.Wanting = append(page.Wanting, card)
				}
			}
		}
		if line.Active {
			shown.Missing = missing(line, holds, t.Catalogue)
		}
		if line.Active || len(shown.Fills) > 0 {
			page.Lines = append(page.Lines, shown)
		}
	}
	for _, fill := range t.fills {
		if !fill.DumpedAt.IsZero() {
			page.Dumped = append(page.Dumped, t.card(fill, d))
		}
	}
	return p.show(c, http.StatusOK, page)
}

// missing lists the solutions that a line could hold and does not. A one-shot
// solution is mixed for its load and is not missed.
func missing(line jobs.Line, holds map[jobs.SolutionID]bool, c jobs.Catalogue) []web.Link {
	var links []web.Link
	for _, solution := range sortedSolutions(c) {
		if solution.Active && solution.Use != chemistry.OneShot && !holds[solution.ID] && line.RunsProcess(solution.Process) {
			links = append(links, web.Link{Label: solution.Name, Path: pourPath(line.ID, solution.ID)})
		}
	}
	return links
}

func pourPath(line jobs.LineID, solution jobs.SolutionID) string {
	return fmt.Sprintf("/chemistry/pour?line=%d&solution=%d", line, solution)
}

func fillPath(id jobs.FillID) string { return "/fills/" + strconv.FormatInt(int64(id), 10) }

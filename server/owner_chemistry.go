package server

import (
	"fmt"
	"net/http"
	"slices"
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
	t.outlooks, err = p.services.Forecasts.Outlooks(ctx)
	return t, err
}

// fills shows every fill in use by line, and what was dumped lately.
func (p chemistryPages) fills(c echo.Context) error {
	t, err := p.tanks(c)
	if err != nil {
		return err
	}
	d := p.desk(c)
	page := &web.ChemistryPage{Frame: web.Frame{Title: "Chemistry"}, CanAdd: len(t.Solutions) > 0 && len(t.Lines) > 0}
	for _, line := range sortedLines(t.Catalogue) {
		shown := web.ChemistryLine{Name: line.Name, Runs: runsWords(line)}
		holds := map[jobs.SolutionID]bool{}
		for _, fill := range t.fills {
			if fill.Line == line.ID && fill.DumpedAt.IsZero() {
				holds[fill.Solution] = true
				card := fillCard(fill, t.Solutions[fill.Solution], t.ledgers[fill.ID], d)
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
			page.Dumped = append(page.Dumped, fillCard(fill, t.Solutions[fill.Solution], nil, d))
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

// fill shows one fill with its ledger.
func (p chemistryPages) fill(c echo.Context) error {
	return p.showFill(c, dumpForm{}, faults{})
}

func (p chemistryPages) showFill(c echo.Context, form dumpForm, wrong faults) error {
	id, err := keyInPath(c)
	if err != nil {
		return err
	}
	ctx := c.Request().Context()
	fill, ledger, err := p.services.Fills.Fill(ctx, jobs.FillID(id))
	if err != nil {
		return err
	}
	catalogue, err := p.services.Catalogue.Catalogue(ctx)
	if err != nil {
		return err
	}
	solution := catalogue.Solutions[fill.Solution]
	d := p.desk(c)
	fields := newTypedForm(form, wrong)
	page := &web.FillPage{
		Frame:   web.Frame{Title: fill.SolutionName + " in " + fill.LineName, Problems: wrong.problems()},
		Fill:    fillCard(fill, solution, ledger, d),
		CanDump: fill.DumpedAt.IsZero(),
		Reason: fields.needed(web.Text, "reason", "Why it is dumped",
			"For the record, as in “capacity used” or “developer carried into the bleach”."),
		Care:     chemistry.Cautions(solution.Family),
		Cautions: chemistry.HandlingCautions(chemistry.Dumping, solution.Family),
	}
	if err := p.addCourse(c, page, fill.ID, solution, d); err != nil {
		return err
	}
	if roleOf(c).May(jobs.Owner) {
		page.Recipe = entryPath("/solutions", solution.ID)
	}
	total := 0.0
	for _, entry := range jobs.FilmThrough(ledger) {
		total += entry.AreaM2
		page.Ledger = append(page.Ledger, web.LedgerLine{
			At: d.moment(entry.At), Batch: int64(entry.Batch), Rolls: entry.Rolls,
			Area: squareMetres(entry.AreaM2), Total: squareMetres(total), By: entry.By,
		})
	}
	slices.Reverse(page.Ledger) // the last batch first
	return p.show(c, wrong.status(), page)
}

type dumpForm struct {
	Reason string `form:"reason"`
}

// dump ends a fill.
func (p chemistryPages) dump(c echo.Context) error {
	id, err := keyInPath(c)
	if err != nil {
		return err
	}
	var form dumpForm
	if err := readForm(c, &form); err != nil {
		return err
	}
	fill, err := p.services.Fills.DumpFill(c.Request().Context(), actorOf(c), jobs.FillID(id), jobs.Dump{Reason: form.Reason})
	if wrong, ok := faultsOf(err); ok {
		return p.showFill(c, form, wrong)
	}
	if err != nil {
		return err
	}
	return p.done(c, "/chemistry", fmt.Sprintf("%s in %s is dumped. The tank is empty on record until a fresh fill is poured.", fill.SolutionName, fill.LineName))
}

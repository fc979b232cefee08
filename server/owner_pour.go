package server

import (
	"fmt"
	"strings"

	"github.com/labstack/echo/v4"

	"wetside/chemistry"
	"wetside/jobs"
	"wetside/web"
)

// pourForm is a fresh fill as it was typed.
type pourForm struct {
	Line     string `form:"line"`
	Solution string `form:"solution"`
	Volume   string `form:"volume_ml"`
}

// pourForm asks what goes where, and then, with the cautions for it, how much.
func (p chemistryPages) pourForm(c echo.Context) error {
	form := pourForm{Line: c.QueryParam("line"), Solution: c.QueryParam("solution")}
	var wrong faults
	if form.Line == "" && form.Solution != "" {
		wrong.add("line", "choose the line that it goes into")
	}
	if form.Solution == "" && form.Line != "" {
		wrong.add("solution", "choose the solution that is poured")
	}
	return p.showPour(c, form, wrong)
}

// pour records a fresh fill.
func (p chemistryPages) pour(c echo.Context) error {
	var form pourForm
	if err := readForm(c, &form); err != nil {
		return err
	}
	var wrong faults
	line, solution := jobs.LineID(key(form.Line, "line", &wrong)), jobs.SolutionID(key(form.Solution, "solution", &wrong))
	volume := count(form.Volume, "volume_ml", &wrong)
	if strings.TrimSpace(form.Volume) == "" {
		wrong.add("volume_ml", "the volume is missing")
	}
	if len(wrong.list) > 0 {
		return p.showPour(c, form, wrong)
	}
	fill, err := p.services.Fills.PourFill(c.Request().Context(), actorOf(c), jobs.Pour{Solution: solution, Line: line, VolumeML: volume})
	if found, ok := faultsOf(err); ok {
		return p.showPour(c, form, found)
	}
	if err != nil {
		return err
	}
	return p.done(c, fillPath(fill.ID), fmt.Sprintf("%s of %s is in %s.", volumeWords(fill.VolumeML), fill.SolutionName, fill.LineName))
}

// showPour shows the choice of line and solution and, once they are chosen and
// go together, what is to be said about them.
func (p chemistryPages) showPour(c echo.Context, form pourForm, wrong faults) error {
	ctx := c.Request().Context()
	catalogue, err := p.services.Catalogue.Catalogue(ctx)
	if err != nil {
		return err
	}
	line := catalogue.Lines[jobs.LineID(key(form.Line, "line", &wrong))]
	solution := catalogue.Solutions[jobs.SolutionID(key(form.Solution, "solution", &wrong))]
	// The volume is asked after line and solution: any will do until then.
	asked := form.Line != "" && form.Solution != ""
	unfit := catalogue.CheckPour(jobs.Pour{Solution: solution.ID, Line: line.ID, VolumeML: jobs.MinVolumeML}, jobs.Mix{}, p.options.Now())
	if found, ok := faultsOf(unfit); ok && asked && len(wrong.list) == 0 {
		wrong = found
	}
	fields := newTypedForm(form, wrong)
	page := &web.PourPage{
		Frame:    web.Frame{Title: "Pour a fresh fill", Problems: wrong.problems()},
		Line:     fields.needed(web.Select, "line", "Line", "", lineOptions(catalogue)...),
		Solution: fields.needed(web.Select, "solution", "Solution", "", solutionOptions(catalogue)...),
	}
	if !asked || unfit != nil {
		return p.show(c, wrong.status(), page)
	}
	page.Chosen = &web.PourChosen{
		LineID: int64(line.ID), SolutionID: int64(solution.ID), Line: line.Name, Solution: solution.Name,
		Kind:     solutionKind(solution),
		Volume:   measured(fields.needed(web.Number, "volume_ml", "Volume of the fill", "What the tank holds, from 1 mL to 1,000 L."), "mL"),
		Cautions: chemistry.HandlingCautions(chemistry.Mixing, solution.Family),
	}
	fills, err := p.services.Fills.Fills(ctx)
	if err != nil {
		return err
	}
	for _, fill := range fills {
		if fill.DumpedAt.IsZero() && fill.Line == line.ID && fill.Solution == solution.ID {
			page.Chosen.Holds = int64(fill.ID)
		}
	}
	return p.show(c, wrong.status(), page)
}

// lineOptions offers the lines in use.
func lineOptions(c jobs.Catalogue) []web.Option {
	var options []web.Option
	for _, line := range sortedLines(c) {
		if line.Active {
			options = append(options, web.Option{Value: plainInt(line.ID), Label: line.Name})
		}
	}
	return choose("Choose the line", options)
}

// solutionOptions offers the solutions in use, by process.
func solutionOptions(c jobs.Catalogue) []web.Option {
	var options []web.Option
	for _, process := range chemistry.Processes {
		for _, solution := range sortedSolutions(c) {
			if solution.Active && solution.Process == process {
				options = append(options, web.Option{Value: plainInt(solution.ID), Label: solution.Name, Group: processNames[process]})
			}
		}
	}
	return choose("Choose the solution", options)
}

package server

import (
	"fmt"
	"net/http"
	"slices"
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
	Mix      string `form:"mix"`
	Override string `form:"override"`
}

// pourForm asks what goes where, and then, with the cautions for it, how much.
func (p chemistryPages) pourForm(c echo.Context) error {
	form := pourForm{Line: c.QueryParam("line"), Solution: c.QueryParam("solution"), Mix: c.QueryParam("mix")}
	var wrong faults
	if form.Line == "" && form.Solution != "" && form.Mix == "" {
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
	pour := jobs.Pour{Solution: solution, Line: line, VolumeML: volume, Mix: jobs.MixID(key(form.Mix, "mix", &wrong)), Override: form.Override}
	if len(wrong.list) > 0 {
		return p.showPour(c, form, wrong)
	}
	if err := mayOverride(c, strings.TrimSpace(form.Override)); err != nil {
		return err
	}
	fill, err := p.services.Fills.PourFill(c.Request().Context(), actorOf(c), pour)
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
		Frame: web.Frame{Title: "Pour a fresh fill", Problems: wrong.problems()}, Mix: form.Mix,
		Line:     fields.needed(web.Select, "line", "Line", "", lineOptions(catalogue)...),
		Solution: fields.needed(web.Select, "solution", "Solution", "", solutionOptions(catalogue)...),
	}
	if !asked || unfit != nil {
		return p.show(c, wrong.status(), page)
	}
	mixes, err := p.services.Mixes.Mixes(ctx)
	if err != nil {
		return err
	}
	tank := line.Tanks[solution.ID].VolumeML
	mixes = pourable(mixes, solution.ID)
	if c.Request().Method == http.MethodGet {
		form.Volume = plainInt(tank)
		if form.Mix == "" {
			form.Mix = plainInt(freshest(mixes, tank, solution, p.desk(c)))
		}
		fields = newTypedForm(form, wrong)
	}
	page.Chosen = &web.PourChosen{
		LineID: int64(line.ID), SolutionID: int64(solution.ID), Line: line.Name, Solution: solution.Name,
		Kind:     solutionKind(solution),
		Volume:   measured(fields.needed(web.Number, "volume_ml", "Volume of the fill", "What the tank holds, from 1 mL to 1,000 L."), "mL"),
		Mix:      fields.field(web.Select, "mix", "From the mix", "A mix on record leads from this tank to its lots, and back.", p.desk(c).pourOptions(mixes, solution)...),
		Mixing:   mixingPath(solution.ID, jobs.Working, tank),
		Cautions: chemistry.HandlingCautions(chemistry.Mixing, solution.Family),
	}
	if roleOf(c).May(jobs.Owner) && anyTooOld(mixes, solution, p.desk(c)) {
		page.Chosen.Override = []web.Field{fields.field(web.Text, "override", "Why a mix that is too old is poured", "Only for such a mix. It is kept with your name.")}
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

// pourable are the working mixes of a solution with something left.
func pourable(mixes []jobs.Mix, solution jobs.SolutionID) []jobs.Mix {
	return slices.DeleteFunc(mixes, func(m jobs.Mix) bool {
		return m.Solution != solution || m.Preparation != jobs.Working || m.LeftML <= 0
	})
}

// freshest is the youngest mix that still keeps and fills the tank; 0 for none.
// The mixes stand with the youngest first.
func freshest(mixes []jobs.Mix, ml int, solution jobs.Solution, d desk) jobs.MixID {
	for _, mix := range mixes {
		if mix.LeftML >= float64(ml) && mix.CheckAge(solution, d.local(), "") == nil {
			return mix.ID
		}
	}
	return 0
}

// anyTooOld reports whether one of the mixes is past its keeping time.
func anyTooOld(mixes []jobs.Mix, solution jobs.Solution, d desk) bool {
	return slices.ContainsFunc(mixes, func(m jobs.Mix) bool { return m.CheckAge(solution, d.local(), "") != nil })
}

// pourOptions offers mixes with what is left of each and how long it keeps.
func (d desk) pourOptions(mixes []jobs.Mix, solution jobs.Solution) []web.Option {
	options := mixOptions(mixes)
	for i, mix := range mixes {
		until := mix.KeepsUntil(solution, d.zone)
		switch {
		case until.IsZero():
		case d.now.Before(until):
			options[i+1].Label += ", keeps until " + until.Format(dayWords)
		default:
			options[i+1].Label += ", too old since " + until.Format(dayWords)
		}
	}
	return options
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

package server

import (
	"fmt"
	"net/http"
	"strconv"
	"strings"

	"github.com/labstack/echo/v4"

	"wetside/chemistry"
	"wetside/jobs"
	"wetside/web"
)

// linePages keep the machines and tanks.
type linePages struct{ *site }

func (p linePages) list(c echo.Context) error {
	catalogue, err := p.services.Catalogue.Catalogue(c.Request().Context())
	if err != nil {
		return err
	}
	page := &web.LinesPage{OwnerFrame: ownerFrame("/lines", "Lines", faults{})}
	for _, line := range sortedLines(catalogue) {
		var takes []string
		for _, format := range chemistry.Formats {
			if units := line.Takes[format]; units > 0 {
				takes = append(takes, fmt.Sprintf("%d × %s", line.Capacity/units, format))
			}
		}
		row := web.LineRow{
			ID: int64(line.ID), Name: line.Name, Runs: runsWords(line), Capacity: counted(line.Capacity, "unit", "units"),
			Takes: strings.Join(takes, " or "), Turnaround: plainFloat(float64(line.Turnaround)/60) + " min", State: useChip(line.Active),
		}
		if line.Rotary {
			row.Runs += "; rotary"
		}
		page.Lines = append(page.Lines, row)
	}
	return p.show(c, http.StatusOK, page)
}

func (p linePages) blank(c echo.Context) error {
	return p.showForm(c, jobs.Line{}, jobs.Catalogue{}, newTypedForm(lineFormOf(jobs.Line{Active: true}, jobs.Catalogue{}), faults{}))
}

func (p linePages) form(c echo.Context) error {
	line, catalogue, err := p.find(c)
	if err != nil {
		return err
	}
	return p.showForm(c, line, catalogue, newTypedForm(lineFormOf(line, catalogue), faults{}))
}

// find returns the line in the address, the zero one for a new one, and the
// catalogue.
func (p linePages) find(c echo.Context) (jobs.Line, jobs.Catalogue, error) {
	id, err := entryKey(c)
	if err != nil {
		return jobs.Line{}, jobs.Catalogue{}, err
	}
	catalogue, err := p.services.Catalogue.Catalogue(c.Request().Context())
	if err != nil || id == 0 {
		return jobs.Line{}, catalogue, err
	}
	line, ok := catalogue.Lines[jobs.LineID(id)]
	if !ok {
		return line, catalogue, jobs.Errorf(jobs.NotFound, "There is no such line.")
	}
	return line, catalogue, nil
}

func (p linePages) save(c echo.Context) error {
	var form lineForm
	if err := readForm(c, &form); err != nil {
		return err
	}
	form.complete()
	was, catalogue, err := p.find(c)
	if err != nil {
		return err
	}
	var wrong faults
	line, rename := form.line(&wrong)
	line.ID = was.ID
	if len(wrong.list) > 0 {
		_, err := jobs.CheckLine(line, catalogue)
		wrong.also(err, rename)
		return p.showForm(c, was, catalogue, newTypedForm(form, wrong))
	}
	saved, err := p.services.Catalogue.SaveLine(c.Request().Context(), actorOf(c), line)
	if jobs.CodeOf(err) == jobs.Stale {
		now, catalogue, err := p.find(c)
		if err != nil {
			return err
		}
		stored := lineFormOf(now, catalogue)
		form.Version = stored.Version
		return p.showForm(c, now, catalogue, newTypedForm(form, changedMeanwhile("this line")).beside(stored))
	}
	if found, ok := faultsOf(err); ok {
		return p.showForm(c, was, catalogue, newTypedForm(form, found.renamed(rename)))
	}
	if err != nil {
		return err
	}
	return p.done(c, entryPath("/lines", saved.ID), savedWords(was.ID == 0, saved.Name))
}

func (p linePages) showForm(c echo.Context, saved jobs.Line, catalogue jobs.Catalogue, f typedForm) error {
	title := saved.Name
	if saved.ID == 0 {
		title = "New line"
	}
	page := &web.LinePage{
		OwnerFrame: ownerFrame("/lines", title, f.wrong),
		Entry:      web.Entry{Path: entryPath("/lines", saved.ID), New: saved.ID == 0, Version: f.values["version"]},
		Name:       f.needed(web.Text, "name", "Name", ""),
		Capacity:   measured(f.needed(web.Number, "capacity", "One load takes", "In units of your own choice, 1 to 10000: hangers, spirals, centimetres of rack."), "units"),
		Turnaround: measured(f.field(web.Number, "turnaround", "A load takes, beside its development", "Loading, the other baths, washing, cleaning up; 0 to 1440."), "min"),
		Rotary:     f.field(web.Checkbox, "rotary", "Rotary", "Agitation never stops. It shortens black-and-white times."),
		Active:     f.field(web.Checkbox, "active", "In use", "Untick it when the line stands still. Nothing is planned for it then."),
	}
	for i, process := range chemistry.Processes {
		page.Runs = append(page.Runs, web.LineRunFields{Index: i, Process: string(process),
			Variant: f.needed(web.Select, fmt.Sprintf("runs[%d].variant", i), processNames[process], "", variantOptions(process)...)})
	}
	for i, format := range chemistry.Formats {
		label := "A roll of " + format.String()
		if format == chemistry.Format4x5 {
			label = "A roll's " + format.String() + " sheets"
		}
		page.Takes = append(page.Takes, web.LineTakeFields{Index: i, Format: string(format),
			Units: measured(f.field(web.Number, fmt.Sprintf("takes[%d].units", i), label, "Empty when it does not fit."), "units")})
	}
	page.Tanks = tankFields(catalogue, f)
	return p.show(c, f.wrong.status(), page)
}

// tankFields ask what the tanks hold that the form speaks of.
func tankFields(c jobs.Catalogue, f typedForm) []web.LineTankFields {
	var tanks []web.LineTankFields
	for i := 0; ; i++ {
		prefix := fmt.Sprintf("tanks[%d].", i)
		id, ok := f.values[prefix+"solution"]
		if !ok {
			return tanks
		}
		n, _ := strconv.ParseInt(id, 10, 64) // what is no key finds no solution
		tanks = append(tanks, web.LineTankFields{Index: i, ID: id, Solution: c.Solutions[jobs.SolutionID(n)].Name,
			Volume:  measured(f.field(web.Number, prefix+"volume_ml", "Holds", ""), "mL"),
			Storage: f.field(web.Select, prefix+"storage", "Stands between runs as", "", choose("Not said", wordOptions(chemistry.Storages))...),
		})
	}
}

// variantOptions offers the variants of a process's cycle.
func variantOptions(process chemistry.Process) []web.Option {
	options := []web.Option{{Label: "Does not run it"}}
	for _, variant := range chemistry.Variants(process) {
		cycle, err := chemistry.CycleFor(process, variant)
		if err != nil {
			continue // the list and the cycles are one table
		}
		if variant == "" {
			variant = standardVariant
		}
		options = append(options, web.Option{Value: variant, Label: "Runs " + cycle.Name})
	}
	return options
}

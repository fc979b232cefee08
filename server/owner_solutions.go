package server

import (
	"fmt"
	"net/http"

	"github.com/labstack/echo/v4"

	"wetside/chemistry"
	"wetside/jobs"
	"wetside/web"
)

// solutionPages keep the recipes.
type solutionPages struct{ *site }

func (p solutionPages) list(c echo.Context) error {
	catalogue, err := p.services.Catalogue.Catalogue(c.Request().Context())
	if err != nil {
		return err
	}
	page := &web.SolutionsPage{OwnerFrame: ownerFrame("/solutions", "Solutions", faults{})}
	for _, s := range sortedSolutions(catalogue) {
		row := web.SolutionRow{
			ID: int64(s.ID), Name: s.Name, Process: string(s.Process), Family: sentence(string(s.Family)),
			Use: sentence(string(s.Use)), Temp: degrees(s.TempC) + " °C", Capacity: "not said", State: useChip(s.Active),
		}
		if s.CapacityM2PerL > 0 {
			row.Capacity = capacityWords(s.CapacityM2PerL)
		}
		page.Solutions = append(page.Solutions, row)
	}
	return p.show(c, http.StatusOK, page)
}

// capacityWords writes a capacity as an area and in rolls.
func capacityWords(m2PerL float64) string {
	return fmt.Sprintf("%s a litre, %.3g rolls", squareMetres(m2PerL), m2PerL/chemistry.FilmUnitArea)
}

func (p solutionPages) blank(c echo.Context) error {
	form := solutionFormOf(jobs.Solution{Active: true})
	form.TempC = "20"
	return p.showForm(c, jobs.Solution{}, newTypedForm(form, faults{}))
}

func (p solutionPages) form(c echo.Context) error {
	solution, _, err := p.find(c)
	if err != nil {
		return err
	}
	return p.showForm(c, solution, newTypedForm(solutionFormOf(solution), faults{}))
}

// find returns the solution in the address; the zero one for a new one.
func (p solutionPages) find(c echo.Context) (jobs.Solution, jobs.Catalogue, error) {
	id, err := entryKey(c)
	if err != nil {
		return jobs.Solution{}, jobs.Catalogue{}, err
	}
	catalogue, err := p.services.Catalogue.Catalogue(c.Request().Context())
	if err != nil || id == 0 {
		return jobs.Solution{}, catalogue, err
	}
	solution, ok := catalogue.Solutions[jobs.SolutionID(id)]
	if !ok {
		return solution, catalogue, jobs.Errorf(jobs.NotFound, "There is no such solution.")
	}
	return solution, catalogue, nil
}

func (p solutionPages) save(c echo.Context) error {
	var form solutionForm
	if err := readForm(c, &form); err != nil {
		return err
	}
	was, catalogue, err := p.find(c)
	if err != nil {
		return err
	}
	var wrong faults
	solution, rename := form.solution(&wrong)
	solution.ID = was.ID
	if len(wrong.list) > 0 {
		_, err := jobs.CheckSolution(solution, catalogue)
		wrong.also(err, rename)
		return p.showForm(c, was, newTypedForm(form, wrong))
	}
	saved, err := p.services.Catalogue.SaveSolution(c.Request().Context(), actorOf(c), solution)
	if jobs.CodeOf(err) == jobs.Stale {
		now, _, err := p.find(c)
		if err != nil {
			return err
		}
		stored := solutionFormOf(now)
		form.Version = stored.Version
		return p.showForm(c, now, newTypedForm(form, changedMeanwhile("this solution")).beside(stored))
	}
	if found, ok := faultsOf(err); ok {
		return p.showForm(c, was, newTypedForm(form, found.renamed(rename)))
	}
	if err != nil {
		return err
	}
	return p.done(c, entryPath("/solutions", saved.ID), savedWords(was.ID == 0, saved.Name))
}

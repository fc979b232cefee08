package server

import (
	"fmt"
	"net/http"
	"strings"

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
	form := solutionForm{TempC: "20", Active: true}
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
	solution := form.solution(was, &wrong)
	if len(wrong.list) > 0 {
		_, err := jobs.CheckSolution(solution, catalogue)
		wrong.also(err, asNamed)
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
		return p.showForm(c, was, newTypedForm(form, found))
	}
	if err != nil {
		return err
	}
	return p.done(c, entryPath("/solutions", saved.ID), savedWords(was.ID == 0, saved.Name))
}

// solutionForm is a recipe as it was typed.
type solutionForm struct {
	Version    string `form:"version"`
	Name       string `form:"name"`
	Process    string `form:"process"`
	Family     string `form:"family"`
	Use        string `form:"use"`
	TempC      string `form:"temp_c"`
	PerRoll    string `form:"per_roll_percent"`
	Capacity   string `form:"capacity_m2_per_l"`
	B          string `form:"b"`
	PushFactor string `form:"push_factor"`
	Active     bool   `form:"active"`
}

func solutionFormOf(s jobs.Solution) solutionForm {
	return solutionForm{
		Version: fmt.Sprint(s.Version), Name: s.Name, Process: string(s.Process), Family: string(s.Family), Use: string(s.Use),
		TempC: plainFloat(s.TempC), PerRoll: plainFloat(s.PerRollPercent), Capacity: plainFloat(s.CapacityM2PerL),
		B: plainFloat(s.B), PushFactor: plainFloat(s.PushFactor), Active: s.Active,
	}
}

// solution turns what was typed into the recipe that was.
func (f solutionForm) solution(was jobs.Solution, wrong *faults) jobs.Solution {
	solution := was
	solution.Version, solution.Name, solution.Active = versionOf(f.Version), f.Name, f.Active
	solution.Process, solution.Family = chemistry.Process(f.Process), chemistry.SolutionFamily(f.Family)
	solution.Use = chemistry.UseMode(f.Use)
	solution.PerRollPercent = measure(f.PerRoll, "per_roll_percent", wrong)
	solution.CapacityM2PerL = capacity(f.Capacity, "capacity_m2_per_l", wrong)
	solution.B = measure(f.B, "b", wrong)
	solution.PushFactor = measure(f.PushFactor, "push_factor", wrong)
	solution.TempC = bathTemp(f.TempC, "temp_c", wrong)
	for _, one := range []struct{ field, value, what string }{
		{"process", f.Process, "the process"}, {"family", f.Family, "what it does"}, {"use", f.Use, "how it is used"},
	} {
		if one.value == "" {
			wrong.add(one.field, "choose %s", one.what)
		}
	}
	return solution
}

// capacity reads the film that a litre takes, in m² or, with the word, in rolls
// of 80 in².
func capacity(text, field string, wrong *faults) float64 {
	number, inRolls := strings.CutSuffix(strings.TrimSuffix(strings.ToLower(strings.TrimSpace(text)), "s"), "roll")
	if !inRolls {
		return measure(strings.TrimSuffix(strings.TrimSpace(text), "m²"), field, wrong)
	}
	return measure(number, field, wrong) * chemistry.FilmUnitArea
}

// showForm shows a recipe as it was typed, with the cautions for what it was
// when it was last saved.
func (p solutionPages) showForm(c echo.Context, saved jobs.Solution, f typedForm) error {
	title := saved.Name
	if saved.ID == 0 {
		title = "New solution"
	}
	page := &web.SolutionPage{
		OwnerFrame: ownerFrame("/solutions", title, f.wrong),
		Entry:      web.Entry{Path: entryPath("/solutions", saved.ID), New: saved.ID == 0, Version: f.values["version"]},
		Name:       f.needed(web.Text, "name", "Name", "As it stands on bottles and run sheets."),
		Process:    f.needed(web.Select, "process", "Process", "", choose("Choose the process", processOptions())...),
		Family:     f.needed(web.Select, "family", "What it does", "Its cautions go by this.", choose("Choose what it does", wordOptions(chemistry.SolutionFamilies))...),
		Use: f.needed(web.Radio, "use", "How it is used", "",
			web.Option{Value: string(chemistry.OneShot), Label: "One-shot", Hint: "Mixed for a load, then dumped."},
			web.Option{Value: string(chemistry.Reused), Label: "Reused", Hint: "Again and again, until its capacity is used."},
			web.Option{Value: string(chemistry.Replenished), Label: "Replenished", Hint: "Kept going by replenisher for every area of film."}),
		Temp:       measured(f.needed(web.Number, "temp_c", "Working temperature", "5 to 50 °C. Fahrenheit is understood with an F, as in 68F."), "°C"),
		PerRoll:    measured(f.field(web.Number, "per_roll_percent", "More time for each roll", perRollHint), "%"),
		Capacity:   measured(f.field(web.Number, "capacity_m2_per_l", "Capacity of a litre", "In m² of film, 0 to 100; or as in “20 rolls”. Empty when you do not know: then nothing says when a fill is used up."), "m²"),
		B:          measured(f.field(web.Number, "b", "Temperature coefficient b", "Up to 0.3; developers have 0.05 to 0.12. Empty fits it to each stock's rows."), "per °C"),
		PushFactor: measured(f.field(web.Number, "push_factor", "Push factor", pushFactorHint), "a stop"),
		Active:     f.field(web.Checkbox, "active", "In use", "Untick it when you no longer mix it. It stays in the records."),
	}
	if saved.ID != 0 {
		page.Kind = string(saved.Family)
		for _, work := range []struct {
			name     string
			handling chemistry.Handling
		}{{"Mixing and pouring", chemistry.Mixing}, {"Running film", chemistry.Processing}, {"Dumping", chemistry.Dumping}} {
			page.Cautions = append(page.Cautions, web.CautionList{Work: work.name, Lines: chemistry.HandlingCautions(work.handling, saved.Family)})
		}
	}
	return p.show(c, f.wrong.status(), page)
}

var (
	perRollHint = fmt.Sprintf("For a reused developer: in per cent of the fresh time, for each roll of 80 in² through one litre; 0 to 50. "+
		"Empty takes a starting point of %g %% in black and white.", chemistry.StartPerRoll)
	pushFactorHint = fmt.Sprintf("What a stop multiplies the time by where a stock has no push rows; above 1 up to 3. "+
		"Empty takes the starting point, %.2f.", chemistry.StartPushFactor)
)

func processOptions() []web.Option {
	var options []web.Option
	for _, process := range chemistry.Processes {
		options = append(options, web.Option{Value: string(process), Label: processNames[process]})
	}
	return options
}

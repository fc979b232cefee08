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

// processPages show the cycles, and keep the lab's own developing times.
type processPages struct{ *site }

func (p processPages) list(c echo.Context) error {
	catalogue, err := p.services.Catalogue.Catalogue(c.Request().Context())
	if err != nil {
		return err
	}
	page := &web.ProcessesPage{OwnerFrame: ownerFrame("/processes", "Processes", faults{})}
	for _, process := range chemistry.Processes {
		own := tested(catalogue, process)
		low, high := chemistry.PushRange(process, own)
		row := web.ProcessRow{
			Process: string(process), Words: processNames[process], Temp: developerTempWords(process),
			Normal: "by stock and developer", Push: low.String() + " to " + high.String(), Own: "none",
		}
		if process == chemistry.BW {
			row.Push, row.Own = "by stock", "with each stock"
		} else if normal, err := chemistry.ColourTime(process, 0, own); err == nil {
			row.Normal = chemistry.FormatClock(normal.Seconds)
		}
		if len(own) > 0 {
			row.Own = counted(len(own), "tested time", "tested times")
		}
		row.Cycles = counted(len(chemistry.Variants(process)), "cycle", "cycles")
		page.Processes = append(page.Processes, row)
	}
	return p.show(c, http.StatusOK, page)
}

// developerTempWords writes the temperature of a process's developer.
func developerTempWords(process chemistry.Process) string {
	celsius, tolerance, err := chemistry.DeveloperTemp(process)
	if err != nil {
		return ""
	}
	if tolerance == 0 {
		return "usually " + degrees(celsius) + " °C"
	}
	return tempWords(celsius, celsius-tolerance, celsius+tolerance)
}

// tested picks the lab's own times of a process.
func tested(c jobs.Catalogue, process chemistry.Process) []chemistry.PushTime {
	var own []chemistry.PushTime
	for _, t := range c.Tested {
		if t.Process == process {
			own = append(own, t.PushTime)
		}
	}
	return own
}

// processIn is the process that the address names.
func processIn(c echo.Context) (chemistry.Process, error) {
	process := chemistry.Process(c.Param("process"))
	if !slices.Contains(chemistry.Processes, process) {
		return "", jobs.Errorf(jobs.NotFound, "There is no such process.")
	}
	return process, nil
}

func (p processPages) process(c echo.Context) error {
	process, err := processIn(c)
	if err != nil {
		return err
	}
	catalogue, err := p.services.Catalogue.Catalogue(c.Request().Context())
	if err != nil {
		return err
	}
	form := testedFormOf(process, tested(catalogue, process))
	return p.showForm(c, process, catalogue, newTypedForm(form, faults{}), form)
}

func (p processPages) save(c echo.Context) error {
	process, err := processIn(c)
	if err != nil {
		return err
	}
	var form testedForm
	if err := readForm(c, &form); err != nil {
		return err
	}
	ctx := c.Request().Context()
	catalogue, err := p.services.Catalogue.Catalogue(ctx)
	if err != nil {
		return err
	}
	own := tested(catalogue, process)
	if now := timesMark(own); form.Was != now {
		stored := testedFormOf(process, own)
		form = form.onto(stored)
		return p.showForm(c, process, catalogue, newTypedForm(form, changedMeanwhile("these times")).beside(stored), form)
	}
	var wrong faults
	times, rename := form.times(&wrong)
	if len(wrong.list) > 0 {
		return p.showForm(c, process, catalogue, newTypedForm(form, wrong), form)
	}
	err = p.services.Catalogue.SaveTested(ctx, actorOf(c), process, times)
	if found, ok := faultsOf(err); ok {
		return p.showForm(c, process, catalogue, newTypedForm(form, found.renamed(rename)), form)
	}
	if err != nil {
		return err
	}
	notice := fmt.Sprintf("The shipped times of %s stand.", process)
	if len(times) > 0 {
		notice = fmt.Sprintf("%s of your own for %s: run sheets take it from now on.", counted(len(times), "time", "times"), process)
	}
	return p.done(c, "/processes/"+string(process), notice)
}

// showForm shows a process with the times as they were typed.
func (p processPages) showForm(c echo.Context, process chemistry.Process, catalogue jobs.Catalogue, f typedForm, form testedForm) error {
	page := &web.ProcessPage{
		OwnerFrame: ownerFrame("/processes", string(process), f.wrong),
		Path:       "/processes/" + string(process),
		Process:    string(process), Words: processNames[process], Temp: developerTempWords(process),
		Was: f.values["was"], TimesFault: f.wrong.of("times"), Cycles: cycleTables(process),
	}
	if process != chemistry.BW {
		page.Times = timeFields(process, tested(catalogue, process), f, form)
		nameSets(page.Problems, func(i int) string { return levelWords(page.Times, i) })
	}
	return p.show(c, f.wrong.status(), page)
}

// levelWords names a row of the developing times.
func levelWords(times []web.ColourTimeFields, i int) string {
	if i < len(times) && times[i].Level != "" {
		return times[i].Level
	}
	return "Another level"
}

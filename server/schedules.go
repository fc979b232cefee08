package server

import (
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/labstack/echo/v4"

	"wetside/jobs"
	"wetside/web"
)

// workDoes says what scheduled work does.
var workDoes = map[jobs.WorkName]string{
	jobs.MorningWork:     "Writes the morning list: strips to run, tanks to change, top-ups after idle days, keeping dates, what runs low.",
	jobs.RecalculateWork: "Foretells when every fill runs out, notes which have come to a worse verdict, and ticks off the morning list.",
	jobs.UpkeepWork:      "Forgets sign-ins that have expired and the keys under which orders were sent long ago.",
}

// timesShown is how many of the next times are shown.
const timesShown = 3

func workPath(name jobs.WorkName) string {
	return "/chemistry/schedules/" + strings.ReplaceAll(string(name), " ", "-")
}

func (p forecastPages) scheduleRow(work jobs.ScheduledWork, d desk) web.ScheduleRow {
	row := web.ScheduleRow{
		Name: sentence(string(work.Name)), Does: workDoes[work.Name], Path: workPath(work.Name), Cron: work.Cron,
		State: useChip(work.Active), Last: d.moment(work.LastDone), Failed: d.moment(work.FailedAt), Failure: work.Failure,
	}
	if work.Active {
		row.Coming, _ = coming(work.Cron, d)
	}
	return row
}

// coming lists the next times of a schedule.
func coming(cron string, d desk) ([]web.Moment, error) {
	schedule, err := jobs.ParseSchedule(cron, d.zone)
	if err != nil {
		return nil, err
	}
	var times []web.Moment
	for _, at := range schedule.Coming(d.now, timesShown) {
		times = append(times, web.Moment{Stamp: at.In(d.zone).Format(time.RFC3339), Words: at.In(d.zone).Format("Mon 2 Jan 2006 15:04")})
	}
	return times, nil
}

// schedules lists all scheduled work.
func (p forecastPages) schedules(c echo.Context) error {
	works, err := p.services.Schedules.Schedules(c.Request().Context())
	if err != nil {
		return err
	}
	d := p.desk(c)
	page := &web.SchedulesPage{Frame: web.Frame{Title: "Schedules"}, Zone: d.zone.String()}
	for _, work := range works {
		page.Works = append(page.Works, p.scheduleRow(work, d))
	}
	return p.show(c, http.StatusOK, page)
}

// typedSchedule is a schedule as it was typed.
type typedSchedule struct {
	Version string `form:"version"`
	Cron    string `form:"cron"`
	Active  bool   `form:"active"`
	Do      string `form:"do"`
}

// workInPath is the scheduled work that the address names.
func (p forecastPages) workInPath(c echo.Context) (jobs.ScheduledWork, error) {
	works, err := p.services.Schedules.Schedules(c.Request().Context())
	if err != nil {
		return jobs.ScheduledWork{}, err
	}
	slug, _ := url.PathUnescape(c.Param("work"))
	at := slices.IndexFunc(works, func(w jobs.ScheduledWork) bool { return workPath(w.Name) == "/chemistry/schedules/"+slug })
	if at < 0 {
		return jobs.ScheduledWork{}, jobs.Errorf(jobs.NotFound, "There is nothing at this address.")
	}
	return works[at], nil
}

func (p forecastPages) scheduleForm(c echo.Context) error {
	work, err := p.workInPath(c)
	if err != nil {
		return err
	}
	return p.showSchedule(c, work, newTypedForm(typedScheduleOf(work), faults{}), false)
}

func typedScheduleOf(work jobs.ScheduledWork) typedSchedule {
	return typedSchedule{Version: strconv.Itoa(work.Version), Cron: work.Cron, Active: work.Active}
}

func (p forecastPages) showSchedule(c echo.Context, work jobs.ScheduledWork, f typedForm, isTyped bool) error {
	d := p.desk(c)
	page := &web.SchedulePage{
		Frame: web.Frame{Title: sentence(string(work.Name)), Problems: f.wrong.problems()}, Work: p.scheduleRow(work, d),
		Version: f.values["version"], Zone: d.zone.String(), Typed: isTyped,
		Cron:   f.needed(web.Text, "cron", "Schedule", jobs.ScheduleHelp),
		Active: f.field(web.Checkbox, "active", "In use", "Without a tick this work is not done."),
	}
	if page.Active.Checked && len(f.wrong.list) == 0 {
		page.Coming, _ = coming(f.values["cron"], d) // what cannot be read is said beside the field
	}
	return p.show(c, f.wrong.status(), page)
}

// saveSchedule saves a schedule, or shows when it would come.
func (p forecastPages) saveSchedule(c echo.Context) error {
	work, err := p.workInPath(c)
	if err != nil {
		return err
	}
	var form typedSchedule
	if err := readForm(c, &form); err != nil {
		return err
	}
	ctx, d := c.Request().Context(), p.desk(c)
	if form.Do != "save" {
		_, err := coming(form.Cron, d)
		wrong, known := faultsOf(err)
		if err != nil && !known {
			return err
		}
		return p.showSchedule(c, work, newTypedForm(form, wrong), true)
	}
	wanted := jobs.ScheduledWork{Name: work.Name, Cron: form.Cron, Active: form.Active, Version: versionOf(form.Version)}
	saved, err := p.services.Schedules.SaveSchedule(ctx, actorOf(c), wanted)
	if jobs.CodeOf(err) == jobs.Stale {
		stored := typedScheduleOf(work)
		form.Version = stored.Version
		return p.showSchedule(c, work, newTypedForm(form, changedMeanwhile("this schedule")).beside(stored), true)
	}
	if wrong, ok := faultsOf(err); ok {
		return p.showSchedule(c, work, newTypedForm(form, wrong), true)
	}
	if err != nil {
		return err
	}
	said := "It is out of use."
	if times, _ := coming(saved.Cron, d); saved.Active && len(times) > 0 {
		said = "Next: " + times[0].Words + "."
	}
	return p.done(c, "/chemistry/schedules", "The schedule of the "+string(saved.Name)+" work is saved. "+said)
}

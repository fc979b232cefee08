package server

import (
	"fmt"
	"strings"

	"github.com/labstack/echo/v4"

	"wetside/jobs"
	"wetside/web"
)

// labPages keep what the lab says about itself.
type labPages struct{ *site }

// labForm is the lab as it was typed.
type labForm struct {
	Version       string `form:"version"`
	Name          string `form:"name"`
	ReturnAddress string `form:"return_address"`
	TimeZone      string `form:"time_zone"`
	OpensAt       string `form:"opens_at"`
	ClosesAt      string `form:"closes_at"`
	Monday        bool   `form:"open_monday"`
	Tuesday       bool   `form:"open_tuesday"`
	Wednesday     bool   `form:"open_wednesday"`
	Thursday      bool   `form:"open_thursday"`
	Friday        bool   `form:"open_friday"`
	Saturday      bool   `form:"open_saturday"`
	Sunday        bool   `form:"open_sunday"`
	ReadyHours    string `form:"ready_hours"`
	CombineBW     bool   `form:"combine_bw"`
	Tolerance     string `form:"tolerance_percent"`
}

func labFormOf(lab jobs.Lab) labForm {
	form := labForm{
		Version: fmt.Sprint(lab.Version), Name: lab.Name, ReturnAddress: lab.ReturnAddress, TimeZone: lab.TimeZone,
		OpensAt: fmt.Sprint(lab.OpensAt), ClosesAt: fmt.Sprint(lab.ClosesAt), ReadyHours: fmt.Sprint(lab.ReadyHours),
		CombineBW: lab.CombineBW, Tolerance: plainFloat(lab.TolerancePercent),
	}
	for i, open := range form.weekdays() {
		*open = !lab.ClosedOn.Has(jobs.Week[i])
	}
	return form
}

// weekdays are the ticks of the weekdays in their order.
func (f *labForm) weekdays() []*bool {
	return []*bool{&f.Monday, &f.Tuesday, &f.Wednesday, &f.Thursday, &f.Friday, &f.Saturday, &f.Sunday}
}

// lab turns what was typed into the lab's entry.
func (f labForm) lab(wrong *faults) jobs.Lab {
	lab := jobs.Lab{
		Version: versionOf(f.Version), Name: f.Name, TimeZone: strings.TrimSpace(f.TimeZone),
		ReturnAddress: strings.TrimSpace(f.ReturnAddress), CombineBW: f.CombineBW,
		ReadyHours:       count(f.ReadyHours, "ready_hours", wrong),
		TolerancePercent: measure(f.Tolerance, "tolerance_percent", wrong),
	}
	lab.OpensAt, lab.ClosesAt = hour(f.OpensAt, "opens_at", wrong), hour(f.ClosesAt, "closes_at", wrong)
	for i, open := range f.weekdays() {
		if !*open {
			lab.ClosedOn |= jobs.WeekdaysOf(jobs.Week[i])
		}
	}
	return lab
}

// hour reads a full hour of the day: "8", "08:00".
func hour(text, field string, wrong *faults) int {
	return count(strings.TrimSuffix(strings.TrimSpace(text), ":00"), field, wrong)
}

func (p labPages) form(c echo.Context) error {
	catalogue, err := p.services.Catalogue.Catalogue(c.Request().Context())
	if err != nil {
		return err
	}
	return p.showForm(c, newTypedForm(labFormOf(catalogue.Lab), faults{}))
}

func (p labPages) showForm(c echo.Context, f typedForm) error {
	page := &web.LabPage{
		OwnerFrame: ownerFrame("/lab", "The lab", f.wrong),
		Entry:      web.Entry{Path: "/lab", Version: f.values["version"]},
		Name:       f.needed(web.Text, "name", "Name", "It heads every page."),
		ReturnAddress: f.field(web.TextArea, "return_address", "Address",
			"Where customers send their film. It stands on every packing slip."),
		TimeZone:   f.needed(web.Text, "time_zone", "Time zone", "By its place, as in Europe/Lisbon; or UTC."),
		OpensAt:    f.needed(web.Number, "opens_at", "Opens at", "The full hour, 0 to 23. Batches are planned from then on."),
		ClosesAt:   f.needed(web.Number, "closes_at", "Closes at", "The full hour, 1 to 24. Batches are planned until then."),
		ReadyHours: measured(f.needed(web.Number, "ready_hours", "Least time promised", "From the order to when it is ready, with nothing else to do; 1 to 2400. A longer queue promises later."), "hours"),
		OpenOn:     f.field(web.Checkbox, "open_on", "Open on", "Nothing is promised or planned for the other weekdays."),
		CombineBW: f.field(web.Checkbox, "combine_bw", "Develop black-and-white rolls of different push together",
			"When their times differ by no more than the tolerance below, they share a batch and meet half way."),
		TolerancePercent: measured(f.field(web.Number, "tolerance_percent", "Tolerance",
			"By how much their times may differ; 0 to 15."), "%"),
	}
	for _, day := range jobs.Week {
		page.Weekdays = append(page.Weekdays, f.field(web.Checkbox, "open_"+weekdayKey(day), day.String(), ""))
	}
	page.OpensAt.Unit, page.ClosesAt.Unit = ":00", ":00"
	return p.show(c, f.wrong.status(), page)
}

func (p labPages) save(c echo.Context) error {
	var form labForm
	if err := readForm(c, &form); err != nil {
		return err
	}
	var wrong faults
	lab := form.lab(&wrong)
	if len(wrong.list) > 0 {
		_, err := jobs.CheckLab(lab)
		wrong.also(err, asNamed)
		return p.showForm(c, newTypedForm(form, wrong))
	}
	ctx := c.Request().Context()
	_, err := p.services.Catalogue.SaveLab(ctx, actorOf(c), lab)
	if jobs.CodeOf(err) == jobs.Stale {
		catalogue, err := p.services.Catalogue.Catalogue(ctx)
		if err != nil {
			return err
		}
		stored := labFormOf(catalogue.Lab)
		form.Version = stored.Version
		return p.showForm(c, newTypedForm(form, changedMeanwhile("the lab's details")).beside(stored))
	}
	if found, ok := faultsOf(err); ok {
		return p.showForm(c, newTypedForm(form, found))
	}
	if err != nil {
		return err
	}
	p.lab.forget()
	return p.done(c, "/lab", "The lab's details are saved.")
}

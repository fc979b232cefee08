package server

import (
	"fmt"
	"strconv"

	"github.com/labstack/echo/v4"

	"wetside/chemistry"
	"wetside/jobs"
	"wetside/web"
)

// logForm is which part of the log is asked for.
type logForm struct {
	Kind string `form:"kind"`
	From string `form:"from"`
	To   string `form:"to"`
}

// asked reads the log that is asked for; where something is wrong with it, none.
func (p wastePages) asked(c echo.Context) (form logForm, log []jobs.WasteEntry, wrong faults, err error) {
	form = logForm{c.QueryParam("kind"), c.QueryParam("from"), c.QueryParam("to")}
	query := p.wasteQuery(form.Kind, form.From, form.To, p.desk(c).zone, &wrong)
	if len(wrong.list) == 0 {
		log, err = p.services.Waste.WasteLog(c.Request().Context(), query)
	}
	return form, log, wrong, err
}

// log shows the waste log, to be printed too.
func (p wastePages) log(c echo.Context) error {
	form, log, wrong, err := p.asked(c)
	if err != nil {
		return err
	}
	d, fields := p.desk(c), newTypedForm(form, wrong)
	page := &web.WasteLogPage{
		Frame: web.Frame{Title: "Waste log", Problems: wrong.problems()},
		Kind:  fields.field(web.Select, "kind", "Kind of waste", "", choose("Every kind", wordOptions(chemistry.WasteKinds))...),
		From:  fields.field(web.Text, "from", "From", "As in 2026-03-01."), To: fields.field(web.Text, "to", "To, with that day", "As in 2026-03-31."),
		Span: spanWords(form), Lines: d.wasteLines(log), Printed: web.Moment{Stamp: d.stampIn(d.now), Words: d.stampIn(d.now)},
		Cautions: chemistry.HandlingCautions(chemistry.Dumping, chemistry.Fixer),
	}
	for i := range page.Lines {
		page.Lines[i].At.Words = d.stampIn(log[i].At)
	}
	for _, total := range jobs.WasteTotals(log) {
		page.Totals = append(page.Totals, web.WasteSum{Kind: sentence(string(total.Kind)), In: mlWords(total.In), Out: mlWords(total.Out),
			Silver: total.Kind == chemistry.SilverWaste})
	}
	return p.show(c, wrong.status(), page)
}

// spanWords say of which time a log is.
func spanWords(form logForm) string {
	switch {
	case form.From != "" && form.To != "":
		return form.From + " to " + form.To
	case form.From != "":
		return "from " + form.From
	case form.To != "":
		return "until " + form.To
	}
	return "from the beginning"
}

// logFile sends the log as a table.
func (p wastePages) logFile(c echo.Context) error {
	_, log, wrong, err := p.asked(c)
	if err != nil {
		return err
	}
	if err := wrong.err(); err != nil {
		return err
	}
	d := p.desk(c)
	rows := [][]string{{"when", "container", "kind of waste", "what", "in mL", "out mL", "from", "why", "by"}}
	for _, e := range log {
		in, out := strconv.FormatFloat(e.Amount, 'f', -1, 64), ""
		if e.Amount < 0 {
			in, out = "", strconv.FormatFloat(-e.Amount, 'f', -1, 64)
		}
		rows = append(rows, []string{d.stampIn(e.At), e.ContainerName, string(e.WasteKind), wasteWords(e), in, out, e.SourceName, e.Why, e.By})
	}
	return sendTable(c, fmt.Sprintf("waste-log-%s.csv", d.local().Format("2006-01-02")), rows)
}

package server

import (
	"encoding/csv"
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strings"
	"time"

	"github.com/labstack/echo/v4"

	"wetside/jobs"
	"wetside/web"
)

// plainLetter is what a message says until somebody writes it differently.
const plainLetter = `Dear {name},

Some film of yours went through chemistry at our lab that was not as good as it should have been: {rolls}.

We look at every roll that is still here before it leaves, and tell you what we find. If you have your film back already, please look at it and tell us if something seems wrong: too thin, too dense, or off in colour.

We are sorry, and we will put right what can be put right.

{lab}`

// lettersPerPage is how many messages one page shows.
const lettersPerPage = 25

// letters is a message to the owners of the rolls of a trace.
type letters struct {
	form   traceForm
	state  jobs.RollState
	trace  jobs.Trace
	owners []jobs.TracedOwner
	text   string
}

// letters reads what a message is about: the rolls of a trace, or those of them
// in one state, and its text.
func (p tracePages) letters(c echo.Context) (l letters, err error) {
	l.form, l.state = traceAsked(c.QueryParams()), jobs.RollState(c.QueryParam("state"))
	if l.trace, err = p.traced(c, l.form); err != nil {
		return l, err
	}
	l.trace.Rolls = slices.DeleteFunc(l.trace.Rolls, func(r jobs.TracedRoll) bool { return l.state != "" && r.State != l.state })
	l.owners = l.trace.Owners()
	l.text = plainLetter
	if c.QueryParams().Has("text") {
		l.text = strings.ReplaceAll(c.QueryParam("text"), "\r\n", "\n")
	}
	return l, nil
}

// message shows the message to each owner, to be copied.
func (p tracePages) message(c echo.Context) error {
	l, err := p.letters(c)
	if err != nil {
		return err
	}
	wrong, _ := faultsOf(jobs.CheckLetter(l.text))
	values := l.form.stated(l.state)
	page := &web.TraceMessagePage{
		Frame: web.Frame{Title: "Message to owners", Problems: wrong.problems()},
		Name:  causeWords(l.trace.Cause, l.trace.Name), Back: l.form.path(), Rolls: len(l.trace.Rolls), Owners: len(l.owners),
		Hidden: append(hiddenFields(l.form), hiddenPlace(l.state, "")...),
		Text: web.Field{Kind: web.TextArea, Name: "text", Label: "Text", Value: l.text, Required: true, Error: wrong.of("text"),
			Hint: "{name}, {rolls} and {lab} are filled in for each owner."},
		Addresses: web.Field{Kind: web.TextArea, Name: "addresses", Label: "Addresses", Value: strings.Join(addresses(l.owners), ", "),
			Required: true, Hint: "To copy into a mail program. Put them where the owners do not see each other."},
	}
	values.Set("text", l.text)
	page.CSV = "/chemistry/trace/message.csv?" + values.Encode()
	shown, pages := pageOf(l.owners, c.QueryParam("page"), lettersPerPage)
	if len(wrong.list) == 0 {
		page.Pages = pageLinks(values, c.QueryParam("page"), pages)
		page.Letters = p.ownerLetters(c, shown, l.text)
	}
	for _, owner := range l.owners {
		if owner.Email == "" {
			page.ToCall = append(page.ToCall, web.OwnerLetter{Name: owner.Name, Phone: owner.Phone})
		}
	}
	return p.show(c, wrong.status(), page)
}

// ownerLetters fills the text in for each owner.
func (p tracePages) ownerLetters(c echo.Context, owners []jobs.TracedOwner, text string) []web.OwnerLetter {
	d, lab := p.desk(c), p.site.lab.get(c.Request().Context()).name
	shown := make([]web.OwnerLetter, len(owners))
	for i, owner := range owners {
		shown[i] = web.OwnerLetter{Name: owner.Name, Email: owner.Email, Phone: owner.Phone,
			Text: web.Field{Kind: web.TextArea, Name: fmt.Sprintf("letter[%d]", i), Label: "Message to " + owner.Name,
				Value: owner.Letter(text, lab), Required: true}}
		for _, roll := range owner.Rolls {
			shown[i].Rolls = append(shown[i].Rolls, d.line(roll.RollView))
		}
	}
	return shown
}

// addresses lists the e-mail addresses of owners.
func addresses(owners []jobs.TracedOwner) []string {
	var list []string
	for _, owner := range owners {
		if owner.Email != "" {
			list = append(list, owner.Email)
		}
	}
	return list
}

// messageFile sends the messages as a table, a row for each owner.
func (p tracePages) messageFile(c echo.Context) error {
	l, err := p.letters(c)
	if err != nil {
		return err
	}
	if err := jobs.CheckLetter(l.text); err != nil {
		return err
	}
	zone, lab := p.desk(c).zone, p.site.lab.get(c.Request().Context()).name
	rows := [][]string{{"Name", "E-mail", "Telephone", "Rolls", "States", "Developed", "Message"}}
	for _, owner := range l.owners {
		var labels, states, days []string
		for _, roll := range owner.Rolls {
			labels = append(labels, roll.Label())
			states = append(states, string(roll.State))
			days = append(days, roll.StartedAt.In(zone).Format(time.DateOnly))
		}
		rows = append(rows, []string{owner.Name, owner.Email, owner.Phone, strings.Join(labels, "; "), strings.Join(states, "; "),
			strings.Join(days, "; "), owner.Letter(l.text, lab)})
	}
	return sendTable(c, fmt.Sprintf("%s-%d-owners.csv", l.trace.Kind, l.trace.ID), rows)
}

// sendTable sends rows as a CSV file. What a spreadsheet would take for a
// formula is marked as text.
func sendTable(c echo.Context, name string, rows [][]string) error {
	var out strings.Builder
	writer := csv.NewWriter(&out)
	for _, row := range rows {
		safe := make([]string, len(row))
		for i, cell := range row {
			safe[i] = asText(cell)
		}
		if err := writer.Write(safe); err != nil {
			return err
		}
	}
	writer.Flush()
	c.Response().Header().Set(echo.HeaderContentDisposition, `attachment; filename="`+url.PathEscape(name)+`"`)
	return c.Blob(http.StatusOK, "text/csv; charset=utf-8", []byte(out.String()))
}

// asText puts an apostrophe before a cell that a spreadsheet would calculate.
func asText(cell string) string {
	if cell != "" && strings.ContainsAny(cell[:1], "=+-@\t\r\n") {
		return "'" + cell
	}
	return cell
}

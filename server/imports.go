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

// importPages take in orders that come together in a file: the file, a look
// over it with the lab's reading of every roll, and the taking. Until then the
// page carries the file, so that nothing of it is kept.
type importPages struct{ *site }

// importRoutes lists the addresses of these pages.
func importRoutes(s *site) []Route {
	const get, post = http.MethodGet, http.MethodPost
	p := importPages{s}
	return []Route{
		{get, importPath, "order file form", StaffOnly, "", nil, p.form},
		{post, importPath, "order file, all steps", StaffOnly, "", nil, p.take},
		{get, importPath + "/:id", "import", StaffOnly, "", nil, p.taken},
	}
}

const importPath = "/orders/import"

// importsShown is how many of the last imports the form lists.
const importsShown = 5

// form asks for a file.
func (p importPages) form(c echo.Context) error { return p.showForm(c, "", faults{}) }

// take does what the pressed button says.
func (p importPages) take(c echo.Context) error {
	sent, err := sentParts(c)
	if err != nil {
		return err
	}
	text := sentFile(sent)
	if strings.TrimSpace(text) == "" {
		var wrong faults
		wrong.add("csv", "choose a file, or paste what is in it")
		return p.showForm(c, text, wrong)
	}
	if sent["do"] == "edit" {
		return p.showForm(c, text, faults{})
	}
	file, err := jobs.ParseOrderFile(text)
	if err == nil && sent["do"] == "take" {
		err = p.takeAll(c, file)
	} else if err == nil {
		err = p.review(c, file, text)
	}
	if wrong, ok := faultsOf(err); ok {
		return p.showForm(c, text, wrong)
	}
	return err
}

// takeAll takes every order of a file in.
func (p importPages) takeAll(c echo.Context, file jobs.OrderFile) error {
	taken, again, err := p.services.Imports.Import(c.Request().Context(), actorOf(c), file, "")
	if err != nil {
		return err
	}
	if again {
		return p.takenBefore(c, taken)
	}
	line := p.desk(c).importLine(taken)
	return p.done(c, pathOfImport(taken.ID), fmt.Sprintf("The file is taken in: %s with %s.",
		counted(line.Orders, "order", "orders"), counted(line.Rolls, "roll", "rolls")))
}

// takenBefore leads to the orders that a file brought when it was sent before.
func (p importPages) takenBefore(c echo.Context, before jobs.Import) error {
	return p.done(c, pathOfImport(before.ID), "This file was taken in already, and nothing is taken twice. "+
		"If it is other film in the same words, give its orders references of their own.")
}

// review shows what the lab reads in a file.
func (p importPages) review(c echo.Context, file jobs.OrderFile, text string) error {
	ctx := c.Request().Context()
	before, err := p.services.Imports.ImportOf(ctx, file)
	if err == nil {
		return p.takenBefore(c, before)
	}
	if jobs.CodeOf(err) != jobs.NotFound {
		return err
	}
	catalogue, err := p.services.Catalogue.Catalogue(ctx)
	if err != nil {
		return err
	}
	work, err := p.services.Orders.Workload(ctx)
	if err != nil {
		return err
	}
	now := p.options.Now()
	orders, err := file.Orders(catalogue, work, now)
	if err != nil {
		return err
	}
	same, err := p.services.Imports.SameReference(ctx, orders)
	if err != nil {
		return err
	}
	page := &web.OrderFileReviewPage{
		Frame: web.Frame{Title: "Look the file over"}, Text: text,
		HereBy: catalogue.Promise(orders[0].Admitted.Rolls, work, now).HereBy,
	}
	for i, order := range orders {
		shown, err := fileOrder(i+1, order, catalogue)
		if err != nil {
			return err
		}
		shown.Same = int64(same[i])
		page.Orders = append(page.Orders, shown)
		page.Rolls += len(shown.Rolls)
		page.Mind = append(page.Mind, mindsOf(shown)...)
	}
	return p.show(c, http.StatusOK, page)
}

// fileOrder is an order of a file in words.
func fileOrder(number int, order jobs.FileOrder, catalogue jobs.Catalogue) (web.FileOrder, error) {
	admitted := order.Admitted
	shown := web.FileOrder{
		Number: number, Reference: admitted.Reference, Name: admitted.Name, Email: admitted.Email, Phone: admitted.Phone,
		Address: admitted.Address, Return: returnWords(admitted.Return), Due: admitted.Due,
	}
	for i, roll := range order.Sent.Rolls {
		summary, err := rollSummary(i, roll, admitted.Rolls[i], catalogue)
		if err != nil {
			return shown, err
		}
		shown.Rolls = append(shown.Rolls, web.FileRoll{RollSummary: summary, Line: order.Lines[i]})
	}
	return shown, nil
}

// mindsOf lists what somebody should look at in an order.
func mindsOf(order web.FileOrder) []web.FileMind {
	var minds []web.FileMind
	if order.Same != 0 {
		minds = append(minds, web.FileMind{
			Link: web.Link{Label: fmt.Sprintf("Order %d of the file", order.Number), Path: fmt.Sprintf("#order-%d", order.Number)},
			What: order.Reference, Of: order.Name, Say: web.Chip{Class: "hold", Word: "Taken in before?"},
		})
	}
	for _, roll := range order.Rolls {
		if say, ok := mindWords(roll.Reading); ok {
			minds = append(minds, web.FileMind{
				Link: web.Link{Label: fmt.Sprintf("Line %d", roll.Line), Path: fmt.Sprintf("#line-%d", roll.Line)},
				What: roll.Film, Of: order.Name, Say: say,
			})
		}
	}
	return minds
}

// mindWords says why somebody should look at a roll before it is taken in.
func mindWords(reading web.Reading) (web.Chip, bool) {
	if reading.Confirm {
		return web.Chip{Class: "hold", Word: "A person decides"}, true
	}
	for _, advice := range reading.Advice {
		if advice.Class != adviceWords[chemistry.Note].class {
			return web.Chip{Class: "wait", Word: advice.Word}, true
		}
	}
	return web.Chip{}, false
}

// taken shows the orders that a file brought.
func (p importPages) taken(c echo.Context) error {
	id, err := keyInPath(c)
	if err != nil {
		return err
	}
	ctx := c.Request().Context()
	taken, err := p.services.Imports.OneImport(ctx, jobs.ImportID(id))
	if err != nil {
		return err
	}
	catalogue, err := p.services.Catalogue.Catalogue(ctx)
	if err != nil {
		return err
	}
	d := p.desk(c)
	page := &web.ImportPage{Frame: web.Frame{Title: fmt.Sprintf("Import %d", taken.ID)}, Import: d.importLine(taken)}
	for _, order := range taken.Orders {
		page.Orders = append(page.Orders, web.ImportedOrder{
			OrderLine: d.orderLine(order, catalogue), Reference: order.Reference, Private: orderPath(order),
		})
	}
	return p.show(c, http.StatusOK, page)
}

func pathOfImport(id jobs.ImportID) string { return importPath + "/" + keyText(id) }

// showForm shows the form with what was sent, and with what is wrong with it.
func (p importPages) showForm(c echo.Context, text string, wrong faults) error {
	ctx := c.Request().Context()
	catalogue, err := p.services.Catalogue.Catalogue(ctx)
	if err != nil {
		return err
	}
	last, err := p.services.Imports.Imports(ctx, importsShown)
	if err != nil {
		return err
	}
	// Every cell stands in one field of the page.
	for i := range wrong.list {
		wrong.list[i].Field = "csv"
	}
	page := &web.OrderFilePage{
		Frame: web.Frame{Title: "Orders from a file", Problems: wrong.problems()},
		File:  web.Field{Kind: "file", Name: "file", Label: "The file"},
		Text: web.Field{Kind: web.TextArea, Name: "csv", Label: "Or what is in it", Value: strings.ToValidUTF8(text, "\uFFFD"),
			Hint: "Paste the lines of the table, the names of the columns first.", Error: wrong.of("csv")},
		Example: jobs.OrderFileExample, Empty: apiRoot + importPath, MostRolls: jobs.MaxFileRolls, MostKB: jobs.MaxFileBytes / 1000,
	}
	if len(wrong.list) > 1 {
		page.Text.Error = "Nothing of the file was taken in; the top of the page lists what is wrong."
	}
	for _, column := range jobs.OrderColumns(catalogue) {
		page.Columns = append(page.Columns, web.FileColumn{Name: column.Name, Needed: column.Needed, Says: column.Says})
	}
	d := p.desk(c)
	for _, one := range last {
		page.Last = append(page.Last, d.importLine(one))
	}
	return p.show(c, wrong.status(), page)
}

// importLine is an import as it stands in a list.
func (d desk) importLine(one jobs.Import) web.ImportLine {
	line := web.ImportLine{ID: int64(one.ID), At: d.moment(one.At), By: one.By, Orders: len(one.Orders)}
	for _, order := range one.Orders {
		line.Rolls += len(order.Rolls)
	}
	return line
}

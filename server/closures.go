package server

import (
	"fmt"

	"github.com/labstack/echo/v4"

	"wetside/jobs"
	"wetside/web"
)

// closurePages keep the days on which the lab is closed.
type closurePages struct{ *site }

// closureForm is a closure as it was typed.
type closureForm struct {
	From string `form:"from"`
	To   string `form:"to"`
	Name string `form:"name"`
}

func (p closurePages) list(c echo.Context) error {
	return p.showList(c, newTypedForm(closureForm{}, faults{}))
}

func (p closurePages) showList(c echo.Context, f typedForm) error {
	catalogue, err := p.services.Catalogue.Catalogue(c.Request().Context())
	if err != nil {
		return err
	}
	page := &web.ClosuresPage{
		OwnerFrame: ownerFrame("/closures", "Closed days", f.wrong),
		From:       f.needed(web.Date, "from", "First day", ""),
		To:         f.field(web.Date, "to", "Last day", "Leave it empty for a single day."),
		Name:       f.needed(web.Text, "name", "What for", "Customers read it beside the days, as in Stocktaking."),
	}
	page.Name.MaxLength = jobs.MaxName
	for _, closure := range catalogue.Lab.ComingClosures(p.options.Now()) {
		page.Closures = append(page.Closures, web.ClosureRow{
			Days: closure.Days(), Name: closure.Name, Remove: entryPath("/closures", closure.ID) + "/remove",
		})
	}
	return p.show(c, f.wrong.status(), page)
}

func (p closurePages) add(c echo.Context) error {
	var form closureForm
	if err := readForm(c, &form); err != nil {
		return err
	}
	last := form.To
	if last == "" {
		last = form.From
	}
	closure, err := readClosure(form.From, last, form.Name)
	if err == nil {
		closure, err = p.services.Catalogue.AddClosure(c.Request().Context(), actorOf(c), closure)
	}
	if wrong, ok := faultsOf(err); ok {
		return p.showList(c, newTypedForm(form, wrong))
	}
	if err != nil {
		return err
	}
	return p.done(c, "/closures", fmt.Sprintf("The lab is closed on %s.", closure.Days()))
}

func (p closurePages) remove(c echo.Context) error {
	id, err := keyInPath(c)
	if err != nil {
		return err
	}
	if err := p.services.Catalogue.RemoveClosure(c.Request().Context(), actorOf(c), jobs.ClosureID(id)); err != nil {
		return err
	}
	return p.done(c, "/closures", "The lab is open on these days again.")
}

package server

import (
	"fmt"
	"net/http"
	"strconv"
	"strings"
	"time"

	"github.com/google/uuid"
	"github.com/labstack/echo/v4"

	"wetside/jobs"
	"wetside/web"
)

// orderPages take orders in: a form, a look over it with the lab's reading,
// and the sending. Until then the page carries everything that was typed, so
// that nothing is kept for visitors who go away.
type orderPages struct {
	*site
	submissions *limiter
}

func newOrderPages(s *site) orderPages {
	return orderPages{s, newLimiter(30, 30*time.Second)}
}

// blank shows an empty form with one roll.
func (p orderPages) blank(c echo.Context) error {
	catalogue, err := p.services.Catalogue.Catalogue(c.Request().Context())
	if err != nil {
		return err
	}
	form := orderForm{Key: uuid.NewString(), Return: string(jobs.Collect), Rolls: []rollForm{newRollForm()}}
	page := orderFields(form, faults{}, catalogue)
	addReadings(page, form, catalogue)
	return p.show(c, http.StatusOK, page)
}

// take does what the pressed button of the form says.
func (p orderPages) take(c echo.Context) error {
	var form orderForm
	if err := readForm(c, &form); err != nil {
		return err
	}
	if form.Key == "" {
		form.Key = uuid.NewString()
	}
	catalogue, err := p.services.Catalogue.Catalogue(c.Request().Context())
	if err != nil {
		return err
	}
	verb, index, _ := strings.Cut(form.Do, "-")
	switch verb {
	case "review":
		return p.review(c, form, catalogue)
	case "submit":
		return p.submit(c, form, catalogue)
	case "read":
		return p.form(c, form, checkRolls(form, catalogue), catalogue)
	}
	focus := form.arrange(verb, index)
	page := orderFields(form, faults{}, catalogue)
	if focus >= 0 {
		page.Rolls[focus].Stock.Focus = true
	}
	addReadings(page, form, catalogue)
	return p.show(c, http.StatusOK, page)
}

// form shows the form as it was typed, with what is wrong.
func (p orderPages) form(c echo.Context, form orderForm, wrong faults, catalogue jobs.Catalogue) error {
	page := orderFields(form, wrong, catalogue)
	addReadings(page, form, catalogue)
	return p.show(c, wrong.status(), page)
}

// arrange adds, copies or removes a roll and returns the index of the one to
// go on with, −1 for none. Whatever else was pressed changes nothing.
func (f *orderForm) arrange(verb, index string) int {
	i, err := strconv.Atoi(index)
	known := err == nil && i >= 0 && i < len(f.Rolls)
	room := len(f.Rolls) < jobs.MaxRolls
	switch {
	case verb == "add" && room:
		f.Rolls = append(f.Rolls, newRollForm())
		return len(f.Rolls) - 1
	case verb == "copy" && room && known:
		f.Rolls = append(f.Rolls, f.Rolls[i])
		return len(f.Rolls) - 1
	case verb == "remove" && known && len(f.Rolls) > 1:
		f.Rolls = append(f.Rolls[:i:i], f.Rolls[i+1:]...)
		return min(i, len(f.Rolls)-1)
	}
	return -1
}

// checkRolls finds what is wrong with the rolls, and leaves the rest of the
// form alone: it may not be filled in yet.
func checkRolls(form orderForm, catalogue jobs.Catalogue) faults {
	var wrong faults
	for i, typed := range form.Rolls {
		prefix := fmt.Sprintf("rolls[%d].", i)
		before := len(wrong.list)
		roll := typed.roll(prefix, &wrong)
		if len(wrong.list) > before {
			continue
		}
		_, err := jobs.ReadRoll(roll, catalogue)
		if found, ok := faultsOf(err); ok {
			for _, fault := range found.list {
				wrong.add(prefix+fault.Field, "%s", fault.Message)
			}
		}
	}
	return wrong
}

// addReadings shows what the lab reads in every roll that it can read.
func addReadings(page *web.OrderFormPage, form orderForm, catalogue jobs.Catalogue) {
	for i, typed := range form.Rolls {
		var wrong faults
		roll := typed.roll("", &wrong)
		understood, err := jobs.ReadRoll(roll, catalogue)
		if found, ok := faultsOf(err); ok {
			wrong.list = append(wrong.list, found.list...)
		}
		switch {
		case typed.Stock == "":
			page.Rolls[i].Unread = "Choose the film, and this shows how the lab would develop it."
		case len(wrong.list) > 0:
			page.Rolls[i].Unread = sentence(wrong.list[0].Message) + "."
		default:
			reading := readingOf(roll, understood, catalogue)
			page.Rolls[i].Reading = &reading
		}
	}
}

// read turns a form into an order and finds what is wrong with its shape.
func (p orderPages) read(c echo.Context, form orderForm) (jobs.NewOrder, faults, error) {
	var wrong faults
	order := form.order(&wrong)
	err := c.Validate(form)
	if shape, ok := faultsOf(err); ok {
		wrong.merge(shape)
		err = nil
	}
	return order, wrong, err
}

// admit adds what the lab says to an order, and returns it as it would be taken
// in when nothing is wrong.
func (p orderPages) admit(order jobs.NewOrder, catalogue jobs.Catalogue, work jobs.Workload, wrong *faults) (jobs.Order, error) {
	admitted, err := jobs.Admit(order, catalogue, work, p.options.Now())
	if found, ok := faultsOf(err); ok {
		wrong.merge(found)
		err = nil
	}
	return admitted, err
}

// review shows the whole order with the lab's reading, to be sent from there.
func (p orderPages) review(c echo.Context, form orderForm, catalogue jobs.Catalogue) error {
	order, wrong, err := p.read(c, form)
	if err != nil {
		return err
	}
	work, err := p.services.Orders.Workload(c.Request().Context())
	if err != nil {
		return err
	}
	admitted, err := p.admit(order, catalogue, work, &wrong)
	if err != nil {
		return err
	}
	if len(wrong.list) > 0 {
		return p.form(c, form, wrong, catalogue)
	}
	page := &web.OrderReviewPage{
		Frame:   web.Frame{Title: "Look it over"},
		Hidden:  hiddenFields(form),
		Name:    admitted.Name,
		Email:   admitted.Email,
		Phone:   admitted.Phone,
		Return:  returnWords(admitted.Return),
		Address: admitted.Address,
		Due:     admitted.Due,
		HereBy:  catalogue.Promise(admitted.Rolls, work, admitted.Submitted).HereBy,
	}
	for i, roll := range order.Rolls {
		summary, err := rollSummary(i, roll, admitted.Rolls[i], catalogue)
		if err != nil {
			return err
		}
		page.Rolls = append(page.Rolls, summary)
	}
	return p.show(c, http.StatusOK, page)
}

// rollSummary is a roll as its owner described it, with what the lab reads in
// it.
func rollSummary(i int, roll jobs.NewRoll, admitted jobs.Roll, catalogue jobs.Catalogue) (web.RollSummary, error) {
	understood, err := jobs.ReadRoll(roll, catalogue)
	if err != nil {
		return web.RollSummary{}, err
	}
	return web.RollSummary{
		Number:  i + 1,
		Film:    filmWords(catalogue.Stocks[roll.Stock].Name, roll.Format, roll.Exposures),
		Details: lightWords(admitted),
		Note:    roll.Note,
		Service: serviceWords(roll.Service),
		Reading: readingOf(roll, understood, catalogue),
	}, nil
}

// submit sends the order. The key makes a second sending harmless, whatever
// the lab has stopped taking in the meantime.
func (p orderPages) submit(c echo.Context, form orderForm, catalogue jobs.Catalogue) error {
	order, wrong, err := p.read(c, form)
	if err != nil {
		return err
	}
	if len(wrong.list) > 0 {
		if _, err := p.admit(order, catalogue, jobs.Workload{}, &wrong); err != nil {
			return err
		}
		return p.form(c, form, wrong, catalogue)
	}
	if _, signed := personOf(c); !signed {
		if wait := p.submissions.take(network(c), p.options.Now()); wait > 0 {
			return tooMany(c, wait)
		}
	}
	taken, again, err := p.services.Orders.Submit(c.Request().Context(), actorOf(c), order, form.Key)
	if err != nil {
		found, ok := faultsOf(err)
		if !ok {
			return err
		}
		return p.form(c, form, found, catalogue)
	}
	notice := fmt.Sprintf("Your order is in. Its number is %d.", taken.ID)
	if again {
		notice = fmt.Sprintf("Your order was in already. Its number is %d.", taken.ID)
	}
	return p.done(c, orderPath(taken), notice)
}

// orderPath is the private address of an order.
func orderPath(order jobs.Order) string { return "/o/" + order.Token }

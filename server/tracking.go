package server

import (
	"fmt"
	"net/http"

	"github.com/labstack/echo/v4"

	"wetside/chemistry"
	"wetside/jobs"
	"wetside/web"
)

// trackingPages show an order to whoever holds its private link.
type trackingPages struct{ *site }

// find returns the order of the link in the address.
func (p trackingPages) find(c echo.Context) (jobs.Order, jobs.Catalogue, error) {
	ctx := c.Request().Context()
	order, err := p.services.Orders.OrderByToken(ctx, c.Param("token"))
	if jobs.CodeOf(err) == jobs.NotFound {
		err = jobs.Errorf(jobs.NotFound, "This link leads to no order. Check that it was copied whole.")
	}
	if err != nil {
		return order, jobs.Catalogue{}, err
	}
	catalogue, err := p.services.Catalogue.Catalogue(ctx)
	return order, catalogue, err
}

// order shows where every roll of an order is.
func (p trackingPages) order(c echo.Context) error {
	order, catalogue, err := p.find(c)
	if err != nil {
		return err
	}
	words := orderWords[order.State()]
	page := &web.OrderPage{
		Frame:     web.Frame{Title: fmt.Sprintf("Order %d", order.ID)},
		Path:      orderPath(order),
		Number:    int64(order.ID),
		State:     words.chip,
		Say:       words.say,
		Submitted: order.Submitted,
		Due:       order.Due,
		Address:   catalogue.Lab.ReturnAddress,
		Open:      opening(catalogue.Lab, p.options.Now()),
	}
	for _, roll := range order.Rolls {
		switch roll.State {
		case jobs.Expected:
			page.ToSend++
			page.ShowDue = true
		case jobs.Ready, jobs.Delivered, jobs.Cancelled, jobs.Spoiled:
		default:
			page.ShowDue = true
		}
		page.Rolls = append(page.Rolls, progressOf(roll, order, catalogue))
	}
	return p.show(c, http.StatusOK, page)
}

// progressOf tells where one roll is, in the customer's words.
func progressOf(roll jobs.Roll, order jobs.Order, catalogue jobs.Catalogue) web.RollProgress {
	words := rollWords[roll.State]
	if roll.State == jobs.Ready && roll.Inspect {
		words = lookedAtAgain
	}
	progress := web.RollProgress{
		Label:    roll.Label(),
		Film:     filmWords(catalogue.Stocks[roll.Stock].Name, roll.Format, roll.Exposures),
		Asked:    askedWords(roll),
		Note:     roll.Note,
		Reading:  sentence(roll.Reading),
		State:    words.chip,
		Say:      words.say,
		Since:    roll.Since,
		Frames:   framesOf(words),
		Tracking: roll.Tracking,
	}
	switch roll.State {
	case jobs.Held:
		progress.Question = roll.Question
	case jobs.Spoiled, jobs.Cancelled:
		progress.Reason = roll.Reason
	case jobs.Ready:
		if roll.Inspect {
			break
		}
		if progress.Say = "It is ready; come and collect it."; order.Return == jobs.Post {
			progress.Say = "It is ready and goes into the post next."
		}
	}
	if roll.State != jobs.Held {
		progress.Answer = roll.Answer
	}
	return progress
}

// askedWords sums up how a roll was rated and is to be developed.
func askedWords(roll jobs.Roll) string {
	return fmt.Sprintf("%s, EI %d, %s", roll.Process, roll.EI, pushWords(roll.Push))
}

// lightWords lists what was said about the light, if anything.
func lightWords(roll jobs.Roll) []string {
	var words []string
	if roll.Light != chemistry.LightUnknown {
		words = append(words, "Exposed in "+string(roll.Light)+" light")
	}
	if roll.Filter != "" {
		words = append(words, "Filter "+roll.Filter)
	}
	return words
}

// slip shows the packing slip to print.
func (p trackingPages) slip(c echo.Context) error {
	order, catalogue, err := p.find(c)
	if err != nil {
		return err
	}
	link := p.publicURL(c) + orderPath(order)
	code, err := drawQR(link)
	if err != nil {
		return err
	}
	page := &web.SlipPage{
		Frame:   web.Frame{Title: fmt.Sprintf("Packing slip %d", order.ID)},
		Path:    orderPath(order),
		Link:    link,
		Number:  int64(order.ID),
		Name:    order.Name,
		Phone:   order.Phone,
		Email:   order.Email,
		Return:  returnWords(order.Return),
		Address: order.Address,
		To:      catalogue.Lab.ReturnAddress,
		Open:    opening(catalogue.Lab, p.options.Now()),
		Code:    code,

		Reference: order.Reference,
	}
	for _, roll := range order.Rolls {
		page.Rolls = append(page.Rolls, web.SlipRoll{
			Label:   roll.Label(),
			Film:    filmWords(catalogue.Stocks[roll.Stock].Name, roll.Format, roll.Exposures),
			Asked:   askedWords(roll),
			Note:    roll.Note,
			Service: serviceWords(roll.Service),
		})
	}
	return p.show(c, http.StatusOK, page)
}

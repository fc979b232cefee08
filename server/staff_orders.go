package server

import (
	"net/url"
	"strings"

	"github.com/labstack/echo/v4"

	"wetside/jobs"
	"wetside/web"
)

// ordersPerPage is how many orders one page lists.
const ordersPerPage = 40

// orders lists orders, the open ones unless all are asked for.
func (p staffPages) orders(c echo.Context) error {
	ctx := c.Request().Context()
	search, all := strings.TrimSpace(c.QueryParam("q")), c.QueryParam("show") == "all"
	found, err := p.services.Orders.Orders(ctx, jobs.OrderQuery{
		Search: search, Open: !all, Before: jobs.OrderID(numberOr0(c.QueryParam("before"))), Limit: ordersPerPage + 1,
	})
	wrong, known := faultsOf(err)
	if err != nil && !known {
		return err
	}
	catalogue, err := p.services.Catalogue.Catalogue(ctx)
	if err != nil {
		return err
	}
	path := func(show, before string) string {
		query := url.Values{}
		for name, value := range map[string]string{"q": search, "show": show, "before": before} {
			if value != "" {
				query.Set(name, value)
			}
		}
		if len(query) == 0 {
			return "/orders"
		}
		return "/orders?" + query.Encode()
	}
	page := &web.StaffOrdersPage{
		Frame: web.Frame{Title: "Orders", Problems: wrong.problems()},
		Search: web.Field{Kind: web.Text, Name: "q", Label: "Find orders", Value: search, Autocomplete: "off", Error: wrong.of("search"),
			Hint: "Order number, part of a name, a reference, or a twin-check."},
		Tabs: []web.Tab{
			{Link: web.Link{Label: "Open", Path: path("", ""), Current: !all}, Count: -1},
			{Link: web.Link{Label: "All", Path: path("all", ""), Current: all}, Count: -1},
		},
		All: all,
	}
	if len(found) > ordersPerPage {
		found = found[:ordersPerPage]
		page.Older = path(c.QueryParam("show"), keyText(found[ordersPerPage-1].ID))
	}
	d := p.desk(c)
	for _, order := range found {
		page.Orders = append(page.Orders, d.orderLine(order, catalogue))
	}
	return p.show(c, wrong.status(), page)
}

// orderLine is an order as it stands in a list.
func (d desk) orderLine(order jobs.Order, c jobs.Catalogue) web.OrderLine {
	line := web.OrderLine{
		ID: int64(order.ID), Customer: order.Name, State: orderChip(order.State()),
		Rolls: d.lines(viewsOf(order, c)), Submitted: d.moment(order.Submitted), Due: d.due(order.Due),
	}
	for _, roll := range order.Rolls {
		if roll.State == jobs.Expected {
			line.Expected++
		}
	}
	return line
}

// order shows an order as the lab sees it.
func (p staffPages) order(c echo.Context) error {
	id, err := keyInPath(c)
	if err != nil {
		return err
	}
	return p.showOrder(c, jobs.OrderID(id), typed{})
}

func (p staffPages) showOrder(c echo.Context, id jobs.OrderID, t typed) error {
	ctx := c.Request().Context()
	order, err := p.services.Orders.Order(ctx, id)
	if err != nil {
		return err
	}
	catalogue, err := p.services.Catalogue.Catalogue(ctx)
	if err != nil {
		return err
	}
	d := p.desk(c)
	delivery := deliveryFields(t, order.Return)
	page := &web.StaffOrderPage{
		Frame: web.Frame{Title: "Order " + keyText(order.ID), Problems: t.wrong.problems()},
		Order: int64(order.ID), Reference: order.Reference, State: orderChip(order.State()),
		Customer: order.Name, Email: order.Email, Phone: order.Phone, Way: returnWords(order.Return), Address: order.Address,
		Submitted: d.moment(order.Submitted), Due: d.due(order.Due), Private: orderPath(order),
		Rolls: d.lines(viewsOf(order, catalogue)), How: delivery[0], Tracking: delivery[1],
		Pick: web.Field{Name: "deliver.rolls", Error: t.wrong.of("deliver.rolls")},
		Back: localPath(t.values.Get("back"), ""),
	}
	for i, roll := range order.Rolls {
		switch roll.State {
		case jobs.Expected:
			page.Expected++
		case jobs.Ready:
			line := page.Rolls[i]
			line.Ticked = t.values == nil || hasValue(t.values["deliver.rolls"], keyText(roll.ID))
			page.Ready = append(page.Ready, line)
		}
	}
	return p.show(c, t.wrong.status(), page)
}

func hasValue(values []string, value string) bool {
	for _, v := range values {
		if v == value {
			return true
		}
	}
	return false
}

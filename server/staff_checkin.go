package server

import (
	"net/http"
	"slices"
	"strings"

	"github.com/labstack/echo/v4"

	"wetside/jobs"
	"wetside/web"
)

func checkInPath(id jobs.RollID) string { return "/check-in/" + keyText(id) }

// expectedListed is how many expected rolls are looked at to list the orders
// that film may come in for.
const expectedListed = 200

// unpack finds the order of a parcel, and goes on to the first roll of it that
// is not here yet.
func (p staffPages) unpack(c echo.Context) error {
	code := strings.TrimSpace(c.QueryParam("q"))
	var wrong faults
	var found []jobs.Order
	if code != "" {
		var err error
		if found, err = p.ordersFor(c, code); err != nil {
			return err
		}
		if len(found) == 1 {
			if roll, ok := firstExpected(found[0]); ok {
				return c.Redirect(http.StatusSeeOther, checkInPath(roll.ID))
			}
			wrong.add("q", "every roll of order %d is here already, or called off", found[0].ID)
			wrong.code = http.StatusConflict
		}
		if len(found) == 0 {
			wrong.add("q", "no order that film is expected for fits %q", code)
			wrong.code = http.StatusNotFound
		}
	}
	return p.showUnpack(c, code, found, wrong)
}

func (p staffPages) showUnpack(c echo.Context, code string, found []jobs.Order, wrong faults) error {
	ctx := c.Request().Context()
	catalogue, err := p.services.Catalogue.Catalogue(ctx)
	if err != nil {
		return err
	}
	expected, err := p.services.Rolls.Rolls(ctx, jobs.RollQuery{States: []jobs.RollState{jobs.Expected}, Limit: expectedListed})
	if err != nil {
		return err
	}
	d := p.desk(c)
	page := &web.CheckInPage{
		Frame: web.Frame{Title: "Check in", Problems: wrong.problems()},
		Scan: web.Field{Kind: web.Text, Name: "q", Label: "Whose film is it?", Value: code, Required: true, Focus: true,
			Autocomplete: "off", Error: wrong.of("q"), Hint: "Scan the packing slip, or type the order's number, a roll as 1042/1, or a name."},
		Orders: d.waitingFor(expected),
	}
	for _, order := range found {
		if len(found) == 1 {
			page.Rolls = d.lines(viewsOf(order, catalogue))
			break
		}
		page.Found = append(page.Found, d.orderLine(order, catalogue))
	}
	return p.show(c, wrong.status(), page)
}

// ordersFor finds the orders that a scan or typed text may mean: one by its
// number, slip, or a twin-check of it, or else those of a name that film is
// still expected for.
func (p staffPages) ordersFor(c echo.Context, code string) ([]jobs.Order, error) {
	ctx := c.Request().Context()
	order, position, err := p.orderByCode(c, code)
	if err == nil && position > 0 && order.Rolls[position-1].State == jobs.Expected {
		// The roll that was named comes first.
		order.Rolls[0], order.Rolls[position-1] = order.Rolls[position-1], order.Rolls[0]
	}
	if err == nil {
		return []jobs.Order{order}, nil
	}
	if jobs.CodeOf(err) != jobs.NotFound {
		return nil, err
	}
	found, err := p.services.Orders.Orders(ctx, jobs.OrderQuery{Search: code, Open: true, Limit: 100})
	if _, shape := faultsOf(err); shape {
		return nil, nil // text that nothing can be called
	}
	found = slices.DeleteFunc(found, func(order jobs.Order) bool {
		_, ok := firstExpected(order)
		return !ok && !hasTwinCheck(order, code)
	})
	return found, err
}

func firstExpected(order jobs.Order) (jobs.Roll, bool) {
	i := slices.IndexFunc(order.Rolls, func(r jobs.Roll) bool { return r.State == jobs.Expected })
	if i < 0 {
		return jobs.Roll{}, false
	}
	return order.Rolls[i], true
}

func hasTwinCheck(order jobs.Order, code string) bool {
	number := jobs.PlainTwinCheck(code)
	return slices.ContainsFunc(order.Rolls, func(r jobs.Roll) bool { return r.TwinCheck != "" && r.TwinCheck == number })
}

// waitingFor groups expected rolls by their order.
func (d desk) waitingFor(rolls []jobs.RollView) []web.OrderLine {
	var orders []web.OrderLine
	place := map[jobs.OrderID]int{}
	for _, roll := range rolls {
		at, known := place[roll.Order]
		if !known {
			at = len(orders)
			place[roll.Order] = at
			orders = append(orders, web.OrderLine{ID: int64(roll.Order), Customer: roll.CustomerName, Submitted: d.moment(roll.Since)})
		}
		orders[at].Rolls = append(orders[at].Rolls, d.line(roll))
		orders[at].Expected++
	}
	return orders
}

// checkInForm shows the form for one roll.
func (p staffPages) checkInForm(c echo.Context) error {
	id, err := keyInPath(c)
	if err != nil {
		return err
	}
	return p.showCheckIn(c, jobs.RollID(id), typed{})
}

// showCheckIn shows what was ordered beside what is in the hand. A roll that is
// not expected has no such page: where it is stands on its own.
func (p staffPages) showCheckIn(c echo.Context, id jobs.RollID, t typed) error {
	ctx := c.Request().Context()
	roll, err := p.services.Rolls.Roll(ctx, id)
	if err != nil {
		return err
	}
	if roll.State != jobs.Expected {
		return p.done(c, rollPath(id), roll.Label()+" is "+string(roll.State)+"; it needs no check-in.")
	}
	order, err := p.services.Orders.Order(ctx, roll.Order)
	if err != nil {
		return err
	}
	catalogue, err := p.services.Catalogue.Catalogue(ctx)
	if err != nil {
		return err
	}
	d := p.desk(c)
	page := &web.CheckInRollPage{
		Frame:   web.Frame{Title: "Check in " + roll.Label()},
		Roll:    d.line(roll),
		Ordered: orderedOf(roll, catalogue),
		Rolls:   d.lines(viewsOf(order, catalogue)),
	}
	scannedDX(page, c.QueryParam("dx"), roll, &t, catalogue)
	page.Problems = t.wrong.problems()
	checkInFields(page, roll, t, catalogue)
	return p.show(c, t.wrong.status(), page)
}

// checkIn takes a roll in, says what became of it, and goes on to the next roll
// of the order.
func (p staffPages) checkIn(c echo.Context) error {
	id, err := keyInPath(c)
	if err != nil {
		return err
	}
	var form checkInForm
	if err := readForm(c, &form); err != nil {
		return err
	}
	ctx := c.Request().Context()
	ordered, err := p.services.Rolls.Roll(ctx, jobs.RollID(id))
	if err != nil {
		return err
	}
	found, err := form.found(ordered.Roll)
	var taken jobs.Roll
	if err == nil {
		taken, err = p.services.Rolls.CheckIn(ctx, actorOf(c), found)
	}
	if err != nil {
		wrong, ok := staffFaults(err)
		switch code := jobs.CodeOf(err); {
		case !ok:
			return err
		case code == jobs.Stale || code == jobs.WrongState:
			return p.showRoll(c, jobs.RollID(id), typedIn(c, wrong))
		}
		return p.showCheckIn(c, jobs.RollID(id), typedIn(c, wrong))
	}
	order, err := p.services.Orders.Order(ctx, taken.Order)
	if err != nil {
		return err
	}
	next := "/check-in"
	notice := checkedInWords(taken)
	if roll, ok := firstExpected(order); ok {
		next = checkInPath(roll.ID)
	} else {
		notice += " That was the last roll of order " + keyText(order.ID) + "."
	}
	return p.done(c, next, notice)
}

// checkedInWords says what became of a roll that was checked in.
func checkedInWords(roll jobs.Roll) string {
	words := roll.Label() + " is " + roll.TwinCheck
	if roll.State == jobs.Held {
		return words + " and is held: " + sentence(roll.Question) + ". Keep it apart."
	}
	return words + " and is " + string(roll.State) + "."
}

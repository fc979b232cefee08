package server

import (
	"strings"

	"github.com/labstack/echo/v4"

	"wetside/jobs"
	"wetside/web"
)

// deliverOrder hands over the ticked rolls of an order, all or none of them.
func (p staffPages) deliverOrder(c echo.Context) error {
	id, err := keyInPath(c)
	if err != nil {
		return err
	}
	var form struct {
		How      string `form:"deliver.how"`
		Tracking string `form:"deliver.tracking"`
		Back     string `form:"back"`
	}
	if err := readForm(c, &form); err != nil {
		return err
	}
	order, err := p.services.Orders.Order(c.Request().Context(), jobs.OrderID(id))
	if err != nil {
		return err
	}
	delivered, err := p.deliverTicked(c, order, jobs.Return(form.How), form.Tracking)
	if err == nil {
		return p.done(c, localPath(form.Back, staffOrderPath(order.ID)), deliveredWords(delivered))
	}
	wrong, ok := staffFaults(err)
	if !ok {
		return err
	}
	return p.showOrder(c, order.ID, typedIn(c, wrong.within("deliver")))
}

func (p staffPages) deliverTicked(c echo.Context, order jobs.Order, how jobs.Return, tracking string) ([]jobs.Roll, error) {
	keys, err := ticked(c, "deliver.rolls")
	if err != nil {
		return nil, jobs.InvalidField("rolls", "%s", problemOf(err).Detail)
	}
	if len(keys) == 0 {
		return nil, jobs.InvalidField("rolls", "tick the rolls that leave")
	}
	delivery := jobs.Delivery{How: how, Tracking: tracking}
	own := map[jobs.RollID]bool{}
	for _, roll := range order.Rolls {
		own[roll.ID] = true
	}
	for _, key := range keys {
		if !own[jobs.RollID(key)] {
			return nil, jobs.InvalidField("rolls", "roll %d is not of order %d", key, order.ID)
		}
		delivery.Rolls = append(delivery.Rolls, jobs.RollID(key))
	}
	return p.services.Rolls.Deliver(c.Request().Context(), actorOf(c), delivery)
}

// deliveredWords says what has left, and how.
func deliveredWords(rolls []jobs.Roll) string {
	if len(rolls) == 0 {
		return ""
	}
	names := make([]string, len(rolls))
	for i, roll := range rolls {
		names[i] = roll.Label()
	}
	words := listWords(names) + " collected."
	if rolls[0].Tracking != "" {
		words = listWords(names) + " posted, tracking " + rolls[0].Tracking + "."
	}
	return words
}

// parcelsShown is how many orders the counter shows at once.
const parcelsShown = 40

// counter hands out and posts what is ready.
func (p staffPages) counter(c echo.Context) error {
	ctx := c.Request().Context()
	search := strings.TrimSpace(c.QueryParam("q"))
	ready, err := p.services.Rolls.Rolls(ctx, jobs.RollQuery{States: []jobs.RollState{jobs.Ready}, Search: search, Limit: 500})
	wrong, known := faultsOf(err)
	if err != nil && !known {
		return err
	}
	d := p.desk(c)
	page := &web.CounterPage{
		Frame: web.Frame{Title: "Counter", Problems: wrong.problems()},
		Search: web.Field{Kind: web.Text, Name: "q", Label: "Who is it for?", Value: search, Focus: true, Autocomplete: "off",
			Error: wrong.of("search"), Hint: "Name, order number or twin-check."},
		Asked:   search != "",
		Parcels: d.parcels(ready),
	}
	if more := len(page.Parcels) - parcelsShown; more > 0 {
		page.Parcels, page.More = page.Parcels[:parcelsShown], more
	}
	for i := range page.Parcels {
		if err := p.completeParcel(c, &page.Parcels[i]); err != nil {
			return err
		}
	}
	return p.show(c, wrong.status(), page)
}

// completeParcel adds where an order is posted to, and how many of its rolls
// are not ready yet.
func (p staffPages) completeParcel(c echo.Context, parcel *web.Parcel) error {
	order, err := p.services.Orders.Order(c.Request().Context(), jobs.OrderID(parcel.Order))
	if err != nil {
		return err
	}
	parcel.Address = order.Address
	for _, roll := range order.Rolls {
		if roll.State != jobs.Ready && !roll.State.Ended() {
			parcel.Waiting++
		}
	}
	return nil
}

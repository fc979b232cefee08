package server

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"github.com/labstack/echo/v4"

	"wetside/chemistry"
	"wetside/jobs"
	"wetside/web"
)

// local is now in the lab's time zone.
func (d desk) local() time.Time { return d.now.In(d.zone) }

// moveWords name what happened to a lot, a mix or a container.
var moveWords = map[jobs.EntryKind]string{
	jobs.EntryReceived: "Received", jobs.EntryMixed: "Mixed", jobs.EntryFilled: "Poured into a tank", jobs.EntryReplenished: "Replenisher",
	jobs.EntryToppedUp: "Top-up", jobs.EntryUsedOnce: "Used once", jobs.EntrySpilled: "Spilled", jobs.EntryFouled: "Fouled",
	jobs.EntryDumped: "Dumped", jobs.EntryCollected: "Collected",
}

// moveLine writes an entry of a ledger in a unit.
func (d desk) moveLine(e jobs.Entry, unit jobs.Unit) web.MoveLine {
	line := web.MoveLine{At: d.moment(e.At), What: moveWords[e.Kind], Change: "+" + amountWords(e.Amount, unit), By: e.By, Why: e.Why}
	if e.Amount < 0 {
		line.Change = "−" + amountWords(-e.Amount, unit)
	}
	return line
}

// lot shows one lot with its ledger.
func (p stockRoomPages) lot(c echo.Context) error { return p.showLot(c, typed{}) }

func (p stockRoomPages) showLot(c echo.Context, t typed) error {
	id, err := keyInPath(c)
	if err != nil {
		return err
	}
	ctx := c.Request().Context()
	lot, moves, err := p.services.Lots.Lot(ctx, jobs.LotID(id))
	if err != nil {
		return err
	}
	catalogue, err := p.services.Catalogue.Catalogue(ctx)
	if err != nil {
		return err
	}
	containers, err := p.services.Waste.Containers(ctx)
	if err != nil {
		return err
	}
	low, _, err := p.lots(ctx)
	if err != nil {
		return err
	}
	d := p.desk(c)
	kinds := catalogue.WasteKinds(lot.Part)
	page := &web.LotPage{
		Frame: web.Frame{Title: lot.Name(), Problems: t.wrong.problems()},
		Lot:   d.lotRow(lot, low), Trace: tracePath(jobs.FromLot, lot.ID), Cautions: chemistry.HandlingCautions(chemistry.Dumping, familyOf(catalogue, lot)),
	}
	page.Ledger = d.lotMoves(lot, moves, containers)
	if lot.Left > 0 {
		page.Acts = lossForms(t, lotPath(lot.ID)+"/lose", amountWords(lot.Left, lot.Unit), lot.Unit, containerOptions(containers, kinds))
		page.Acts[0].Open = page.Acts[0].Open || lot.Expired(d.local())
	}
	return p.show(c, t.wrong.status(), page)
}

// lotMoves lists what happened to a lot, the last first, with the mix or the
// container that it went to.
func (d desk) lotMoves(lot jobs.Lot, moves []jobs.Entry, containers jobs.Containers) []web.MoveLine {
	others := map[int64]web.Link{} // by move
	for _, e := range moves {
		switch {
		case e.Mix != 0:
			others[e.Move] = web.Link{Label: "mix " + keyText(e.Mix), Path: mixPath(e.Mix)}
		case e.Container != 0:
			others[e.Move] = web.Link{Label: containers[e.Container].Name}
		}
	}
	var lines []web.MoveLine
	holds := 0.0
	for _, e := range moves {
		if e.Lot != lot.ID {
			continue
		}
		holds += e.Amount
		line := d.moveLine(e, lot.Unit)
		line.Now, line.Other = amountWords(toThousandth(holds), lot.Unit), others[e.Move]
		lines = append(lines, line)
	}
	slices.Reverse(lines)
	return lines
}

// toThousandth rounds a sum of amounts, which are kept to a thousandth.
func toThousandth(sum float64) float64 { return math.Round(sum*1000) / 1000 }

// familyOf is what a lot is mixed into, "" where no recipe names it.
func familyOf(c jobs.Catalogue, lot jobs.Lot) chemistry.SolutionFamily {
	for _, solution := range sortedSolutions(c) {
		for _, part := range solution.Parts {
			if strings.EqualFold(part.Name, lot.Part) {
				return solution.Family
			}
		}
	}
	return ""
}

// containerOptions offers the containers in use for kinds of waste.
func containerOptions(all jobs.Containers, kinds []chemistry.WasteKind) []web.Option {
	var options []web.Option
	for _, container := range sortedContainers(all) {
		if container.Active && slices.Contains(kinds, container.Kind) {
			options = append(options, web.Option{Value: keyText(container.ID), Label: container.Name + ", " + fullWords(container)})
		}
	}
	return options
}

// lossForms are the forms for what is dumped and for what is spilled.
func lossForms(t typed, path, left string, unit jobs.Unit, containers []web.Option) []web.ActionForm {
	amount := func(name, label string) web.Field {
		return measured(t.field(web.Number, name, label, ""), string(unit))
	}
	dump := web.ActionForm{
		Title: "Dump it", Path: path, Button: "It is in the container", Class: "danger", Open: t.values.Has("dump.reason"),
		Hidden: []web.Hidden{{Name: "do", Value: "dump"}},
		Fields: []web.Field{
			hinted(amount("dump.amount", "How much"), left+" are left. Leave it empty for all of it."),
			required(t.field(web.Select, "dump.container", "Into", "", containers...)),
			required(t.field(web.Text, "dump.reason", "Why it is dumped", "")),
		},
	}
	if unit == jobs.Grams {
		room := hinted(measured(t.field(web.Number, "dump.takes_ml", "Room that it takes up there", ""), "mL"), "Leave it empty where it goes in its own packaging.")
		dump.Fields = slices.Insert(dump.Fields, 2, room)
	}
	spill := web.ActionForm{
		Title: "Some of it was spilled", Path: path, Button: "Record the spill", Open: t.values.Has("spill.reason"),
		Hidden: []web.Hidden{{Name: "do", Value: "spill"}},
		Fields: []web.Field{
			hinted(amount("spill.amount", "How much"), "Leave it empty for all of it."),
			required(t.field(web.Text, "spill.reason", "What happened", "")),
		},
	}
	return []web.ActionForm{dump, spill}
}

// lossIn reads which of the forms was sent, and what it says.
func lossIn(c echo.Context) (form string, loss jobs.Loss, wrong faults, err error) {
	if err := readForm(c, &struct{}{}); err != nil {
		return "", loss, wrong, err
	}
	values := c.Request().PostForm
	form = "dump"
	if loss.Spilled = values.Get("do") == "spill"; loss.Spilled {
		form = "spill"
	}
	loss.Reason = values.Get(form + ".reason")
	if text := values.Get(form + ".amount"); text != "" {
		amount := decimal(text, "amount", "amount", &wrong)
		loss.Amount = &amount
	}
	if !loss.Spilled {
		loss.Container = jobs.ContainerID(key(values.Get("dump.container"), "container", &wrong))
		loss.TakesML = count(values.Get("dump.takes_ml"), "takes_ml", &wrong)
	}
	return form, loss, wrong, nil
}

// loseLot records what was dumped or spilled of a lot.
func (p stockRoomPages) loseLot(c echo.Context) error {
	id, err := keyInPath(c)
	if err != nil {
		return err
	}
	form, loss, wrong, err := lossIn(c)
	if err != nil {
		return err
	}
	if len(wrong.list) > 0 {
		return p.showLot(c, typedIn(c, wrong.within(form)))
	}
	lot, err := p.services.Lots.LoseLot(c.Request().Context(), actorOf(c), jobs.LotID(id), loss)
	if found, ok := staffFaults(err); ok {
		return p.showLot(c, typedIn(c, found.within(form)))
	}
	if err != nil {
		return err
	}
	return p.done(c, lotPath(lot.ID), fmt.Sprintf("It is recorded. %s are left of %s.", amountWords(lot.Left, lot.Unit), lot.Name()))
}

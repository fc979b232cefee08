package server

import (
	"fmt"
	"maps"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"github.com/labstack/echo/v4"

	"wetside/jobs"
	"wetside/web"
)

// stockRoutes are what is in stock and what is mixed.
func stockRoutes(s *site) []Route {
	const get, post = http.MethodGet, http.MethodPost
	stock, mixing := stockRoomPages{s}, mixingPages{s}
	return []Route{
		{get, "/chemistry/stock", "stock and mixes", StaffOnly, "", nil, stock.room},
		{get, "/chemistry/stock/receive", "form for what came in", StaffOnly, "", nil, stock.blank},
		{post, "/chemistry/stock/receive", "receive a lot", StaffOnly, "", nil, stock.receive},
		{get, "/chemistry/lots/:id", "lot", StaffOnly, "", nil, stock.lot},
		{post, "/chemistry/lots/:id/lose", "lose of a lot", StaffOnly, "", nil, stock.loseLot},
		{get, "/chemistry/mixing", "mixing sheet", StaffOnly, "", nil, mixing.sheet},
		{post, "/chemistry/mixing", "record a mix", StaffOnly, "", nil, mixing.record},
		{get, "/chemistry/mixes/:id", "mix", StaffOnly, "", nil, mixing.mix},
		{post, "/chemistry/mixes/:id/lose", "lose of a mix", StaffOnly, "", nil, mixing.loseMix},
	}
}

// stockRoomPages show what is in stock, and take in what comes.
type stockRoomPages struct{ *site }

func lotPath(id jobs.LotID) string { return "/chemistry/lots/" + keyText(id) }
func mixPath(id jobs.MixID) string { return "/chemistry/mixes/" + keyText(id) }

// room shows the lots and mixes.
func (p stockRoomPages) room(c echo.Context) error {
	low, lots, err := p.lots(c.Request().Context())
	if err != nil {
		return err
	}
	mixes, err := p.services.Mixes.Mixes(c.Request().Context())
	if err != nil {
		return err
	}
	catalogue, err := p.services.Catalogue.Catalogue(c.Request().Context())
	if err != nil {
		return err
	}
	d := p.desk(c)
	page := &web.StockRoomPage{Frame: web.Frame{Title: "Stock and mixes"}, CanMix: len(catalogue.Solutions) > 0}
	for _, lot := range lots {
		row := d.lotRow(lot, low)
		if lot.Left > 0 {
			page.Lots = append(page.Lots, row)
		} else {
			page.UsedUp = append(page.UsedUp, row)
		}
		if lot.Left > 0 && (lot.Expired(d.local()) || lot.Expiring(d.local())) {
			page.Wanting = append(page.Wanting, web.Noted{Text: lot.Name() + " " + d.expiryWords(lot), Path: lotPath(lot.ID)})
		}
	}
	for _, mix := range mixes {
		row := d.mixRow(mix, catalogue.Solutions[mix.Solution])
		if mix.LeftML > 0 {
			page.Mixes = append(page.Mixes, row)
		} else {
			page.Emptied = append(page.Emptied, row)
		}
		if until := mix.KeepsUntil(catalogue.Solutions[mix.Solution], d.zone); mix.LeftML > 0 && !until.IsZero() && !d.now.Before(until) {
			page.Wanting = append(page.Wanting, web.Noted{Text: mix.Name() + " kept until " + until.Format(dayWords), Path: mixPath(mix.ID)})
		}
	}
	for _, part := range slices.Sorted(maps.Keys(low)) {
		if low[part] {
			name := partName(part, lots, catalogue)
			page.Wanting = append(page.Wanting, web.Noted{Text: name + " is running low: " + leftOf(part, lots, d), Path: "/chemistry/stock/receive?part=" + url.QueryEscape(name)})
		}
	}
	return p.show(c, http.StatusOK, page)
}

// partName writes a part, known by its name in small letters, as its bottle or
// a recipe does.
func partName(part string, lots []jobs.Lot, c jobs.Catalogue) string {
	for _, lot := range lots {
		if strings.EqualFold(lot.Part, part) {
			return lot.Part
		}
	}
	for _, solution := range sortedSolutions(c) {
		for _, p := range solution.Parts {
			if strings.EqualFold(p.Name, part) {
				return p.Name
			}
		}
	}
	return part
}

// leftOf says how much of a part is left that may be used.
func leftOf(part string, lots []jobs.Lot, d desk) string {
	left, unit := 0.0, jobs.Millilitres
	for _, lot := range lots {
		if strings.EqualFold(lot.Part, part) && !lot.Expired(d.local()) {
			left, unit = left+lot.Left, lot.Unit
		}
	}
	if left == 0 {
		return "none is left that may be used"
	}
	return amountWords(left, unit) + " left"
}

// lotRow is a lot as it stands in a list; low are the parts that run low.
func (d desk) lotRow(lot jobs.Lot, low map[string]bool) web.LotRow {
	row := web.LotRow{
		Path: lotPath(lot.ID), Part: lot.Part, Number: lot.Number, Left: amountWords(lot.Left, lot.Unit), Of: amountWords(lot.Received, lot.Unit),
		Expires: "undated", Received: d.moment(lot.ReceivedAt), State: web.Chip{Class: "ready", Word: "Good"},
	}
	if !lot.ExpiresOn.IsZero() {
		row.Expires = lot.ExpiresOn.Format(dayWords)
	}
	switch {
	case lot.Left == 0:
		row.State = web.Chip{Word: "Used up"}
	case lot.Expired(d.local()):
		row.State = web.Chip{Class: "bad", Word: "Expired"}
	case lot.Expiring(d.local()):
		row.State = web.Chip{Class: "hold", Word: "Expiring"}
	case low[strings.ToLower(lot.Part)]:
		row.State = web.Chip{Class: "hold", Word: "Low"}
	}
	return row
}

// expiryWords says what is wrong with the last day of a lot.
func (d desk) expiryWords(lot jobs.Lot) string {
	if lot.Expired(d.local()) {
		return "expired on " + lot.ExpiresOn.Format(dayWords) + ": dump it"
	}
	return "expires on " + lot.ExpiresOn.Format(dayWords) + ": use it first"
}

// dayWords is how a day is written.
const dayWords = "2 January 2006"

// amountWords writes an amount of mL or g.
func amountWords(amount float64, unit jobs.Unit) string {
	if unit == jobs.Grams {
		return strconv.FormatFloat(amount, 'f', -1, 64) + " g"
	}
	return mlWords(amount)
}

// plainAmount writes an amount with its unit, as it is measured out.
func plainAmount(amount float64, unit jobs.Unit) string {
	return strconv.FormatFloat(amount, 'f', -1, 64) + " " + string(unit)
}

// blank asks what came in.
func (p stockRoomPages) blank(c echo.Context) error {
	return p.showReceive(c, receiveForm{Part: c.QueryParam("part"), Unit: string(jobs.Millilitres)}, faults{})
}

type receiveForm struct {
	Part    string `form:"part"`
	Number  string `form:"number"`
	Amount  string `form:"amount"`
	Unit    string `form:"unit"`
	Expires string `form:"expires_on"`
}

func (p stockRoomPages) showReceive(c echo.Context, form receiveForm, wrong faults) error {
	catalogue, err := p.services.Catalogue.Catalogue(c.Request().Context())
	if err != nil {
		return err
	}
	fields := newTypedForm(form, wrong)
	page := &web.ReceivePage{
		Frame:   web.Frame{Title: "Receive a lot", Problems: wrong.problems()},
		Part:    fields.needed(web.Text, "part", "Part", "As on its bottle, and as the recipe calls it."),
		Number:  fields.needed(web.Text, "number", "Lot number", "As on its bottle. The same part and number again is more of that lot."),
		Amount:  fields.needed(web.Number, "amount", "Amount that came in", "All bottles together, as in 5000 or 12.5."),
		Unit:    fields.needed(web.Radio, "unit", "Measured in", "", web.Option{Value: string(jobs.Millilitres), Label: "mL"}, web.Option{Value: string(jobs.Grams), Label: "g"}),
		Expires: fields.field(web.Text, "expires_on", "Last day it may be used", "As in 2027-03-31. Leave it empty where the bottle bears no date."),
	}
	known := map[string]bool{}
	for _, solution := range catalogue.Solutions {
		for _, part := range solution.Parts {
			known[part.Name] = solution.Active || known[part.Name]
		}
	}
	for _, name := range slices.Sorted(maps.Keys(known)) {
		if known[name] {
			page.Known = append(page.Known, name)
		}
	}
	return p.show(c, wrong.status(), page)
}

// receive takes a lot into stock.
func (p stockRoomPages) receive(c echo.Context) error {
	var form receiveForm
	if err := readForm(c, &form); err != nil {
		return err
	}
	var wrong faults
	receipt := jobs.Receipt{
		Part: form.Part, Number: form.Number, Unit: jobs.Unit(form.Unit),
		Amount: decimal(form.Amount, "amount", "amount", &wrong), ExpiresOn: calendarDay(form.Expires, "expires_on", &wrong),
	}
	if len(wrong.list) > 0 {
		return p.showReceive(c, form, wrong)
	}
	lot, err := p.services.Lots.Receive(c.Request().Context(), actorOf(c), receipt)
	if found, ok := faultsOf(err); ok {
		return p.showReceive(c, form, found)
	}
	if err != nil {
		return err
	}
	return p.done(c, "/chemistry/stock", fmt.Sprintf("%s came in. There are %s of %s now.", amountWords(receipt.Amount, lot.Unit), amountWords(lot.Left, lot.Unit), lot.Name()))
}

package server

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strconv"

	"wetside/chemistry"
	"wetside/jobs"
	"wetside/web"
)

// orderFields puts a form as it was typed into the fields of its page.
func orderFields(form orderForm, wrong faults, c jobs.Catalogue) *web.OrderFormPage {
	page := &web.OrderFormPage{
		Frame: web.Frame{Title: "Send film", Problems: wrong.problems()},
		Key:   form.Key,
		Name: web.Field{Kind: web.Text, Name: "name", Label: "Your name", Value: form.Name, Required: true,
			Autocomplete: "name", Error: wrong.of("name")},
		Email: web.Field{Kind: web.Email, Name: "email", Label: "E-mail address", Value: form.Email, Required: true,
			Autocomplete: "email", Error: wrong.of("email"), Hint: "For questions about your film, and nothing else."},
		Phone: web.Field{Kind: web.Tel, Name: "phone", Label: "Phone", Value: form.Phone,
			Autocomplete: "tel", Error: wrong.of("phone"), Hint: "The quickest way to ask you something."},
		Return: web.Field{Kind: web.Radio, Name: "return", Label: "How it goes back", Value: form.Return, Required: true,
			Error: wrong.of("return"), Options: []web.Option{
				{Value: string(jobs.Collect), Label: "I collect it"},
				{Value: string(jobs.Post), Label: "By post, to the address below"},
			}},
		Address: web.Field{Kind: web.TextArea, Name: "address", Label: "Address to post to", Value: form.Address,
			Autocomplete: "street-address", Error: wrong.of("address"), Hint: "Only when it goes back by post."},
		CanAdd: len(form.Rolls) < jobs.MaxRolls,
	}
	stocks := stockOptions(c)
	for i, roll := range form.Rolls {
		fields := rollFields(i, roll, wrong, c)
		fields.Stock.Options = stocks
		fields.CanRemove, fields.CanCopy = len(form.Rolls) > 1, page.CanAdd
		page.Rolls = append(page.Rolls, fields)
	}
	return page
}

// rollFields are the fields of one roll, all but the list of stocks.
func rollFields(i int, roll rollForm, wrong faults, c jobs.Catalogue) web.RollFields {
	// Every change that may alter the lab's reading asks for it anew.
	field := func(kind, name, label, value, hint string, options ...web.Option) web.Field {
		name = fmt.Sprintf("rolls[%d].%s", i, name)
		return web.Field{Kind: kind, Name: name, Label: label, Value: value, Hint: hint, Options: options,
			Error: wrong.of(name), Swap: "refresh"}
	}
	tick := func(name, label string, checked bool) web.Field {
		return web.Field{Kind: web.Checkbox, Name: fmt.Sprintf("rolls[%d].%s", i, name), Label: label, Checked: checked}
	}
	fields := web.RollFields{
		Index: i, Number: i + 1,
		Stock:     field(web.Select, "stock", "Film", roll.Stock, ""),
		Format:    field(web.Select, "format", "Format", roll.Format, "", formatOptions()...),
		Exposures: field(web.Number, "exposures", "Exposures", roll.Exposures, "36, 24 … or the number of sheets."),
		EI:        field(web.Number, "ei", "How you rated it", roll.EI, "The speed on your meter, if not box speed."),
		Push:      field(web.Select, "push", "Push or pull", roll.Push, "", pushOptions()...),
		Light:     field(web.Select, "light", "Light", roll.Light, "", lightOptions()...),
		Filter:    field(web.Select, "filter", "Filter", roll.Filter, "", filterOptions()...),
		Developer: field(web.Select, "solution", "Developer", roll.Solution, "This film can go through more than one.", developerOptions(roll.Stock, c)...),
		Note:      field(web.TextArea, "note", "Note to the lab", roll.Note, "In your own words: how you exposed it, what you want done."),
		Service: []web.Field{
			tick("cut_and_sleeve", "Cut and sleeve", roll.CutAndSleeve),
			tick("scan", "Scan", roll.Scan),
			tick("return_negatives", "Send the film back; else the lab keeps it", roll.ReturnNegatives),
		},
	}
	fields.Stock.Required, fields.Format.Required = true, true
	fields.EI.Unit = "EI"
	fields.Note.MaxLength = jobs.MaxNote
	return fields
}

// processNames say what a process is for to somebody who does not run one.
var processNames = map[chemistry.Process]string{
	chemistry.C41:  "C-41, colour negative",
	chemistry.E6:   "E-6, slides",
	chemistry.ECN2: "ECN-2, motion-picture negative",
	chemistry.BW:   "BW, black and white",
}

// activeStocks lists the stocks that can be ordered, by process and name.
func activeStocks(c jobs.Catalogue) []jobs.Stock {
	var stocks []jobs.Stock
	for stock := range maps.Values(c.Stocks) {
		if stock.Active {
			stocks = append(stocks, stock)
		}
	}
	slices.SortFunc(stocks, func(a, b jobs.Stock) int {
		return cmp.Or(
			cmp.Compare(slices.Index(chemistry.Processes, a.Film.Process), slices.Index(chemistry.Processes, b.Film.Process)),
			cmp.Compare(a.Name, b.Name))
	})
	return stocks
}

func stockOptions(c jobs.Catalogue) []web.Option {
	options := []web.Option{{Label: "Choose the film"}}
	for _, stock := range activeStocks(c) {
		options = append(options, web.Option{
			Value: strconv.FormatInt(int64(stock.ID), 10),
			Label: stock.Name + " · " + speedWords(stock.Film),
			Group: processNames[stock.Film.Process],
		})
	}
	return options
}

// speedWords writes the speeds that a stock is rated for.
func speedWords(film chemistry.Film) string {
	switch {
	case film.ISODaylight != 0 && film.ISOTungsten != 0 && film.ISODaylight != film.ISOTungsten:
		return fmt.Sprintf("ISO %d daylight, %d tungsten", film.ISODaylight, film.ISOTungsten)
	case film.ISODaylight != 0:
		return fmt.Sprintf("ISO %d", film.ISODaylight)
	}
	return fmt.Sprintf("ISO %d tungsten", film.ISOTungsten)
}

func formatOptions() []web.Option {
	var options []web.Option
	for _, format := range chemistry.Formats {
		label := format.String()
		if format == chemistry.Format4x5 {
			label += " sheets"
		}
		options = append(options, web.Option{Value: string(format), Label: label})
	}
	return options
}

func lightOptions() []web.Option {
	return []web.Option{
		{Value: "", Label: "Not said"},
		{Value: string(chemistry.LightDaylight), Label: "Daylight or flash"},
		{Value: string(chemistry.LightTungsten), Label: "Tungsten"},
		{Value: string(chemistry.LightMixed), Label: "Mixed"},
	}
}

func filterOptions() []web.Option {
	options := []web.Option{{Value: "", Label: "None for colour"}}
	for _, name := range chemistry.FilterNames() {
		group := "Warming"
		if chemistry.Filters[name] < 0 {
			group = "Cooling"
		}
		options = append(options, web.Option{Value: name, Label: name, Group: group})
	}
	slices.SortStableFunc(options[1:], func(a, b web.Option) int { return cmp.Compare(b.Group, a.Group) })
	return options
}

// pushOptions offers what most people ask for; anything finer goes into the
// note.
func pushOptions() []web.Option {
	options := []web.Option{{Value: "", Label: "As my note says, or normal"}, {Value: "0", Label: "Normal, no push"}}
	for _, push := range []chemistry.Stops{3, 6, 9, 12, 15, 18, -3, -6, -9, -12} {
		verb, group := "Push", "Push"
		if push < 0 {
			verb, group = "Pull", "Pull"
		}
		options = append(options, web.Option{Value: push.String(), Label: verb + " " + push.String(), Group: group})
	}
	return options
}

// developerOptions lists the developers a black-and-white stock has times for,
// when there is something to choose.
func developerOptions(stockKey string, c jobs.Catalogue) []web.Option {
	id, err := strconv.ParseInt(stockKey, 10, 64)
	if err != nil {
		return nil
	}
	stock := c.Stocks[jobs.StockID(id)]
	options := []web.Option{{Value: "", Label: "The usual one"}}
	for _, times := range stock.Times {
		solution := c.Solutions[times.Solution]
		if !solution.Active {
			continue
		}
		label := solution.Name
		if solution.ID == stock.Solution {
			label += " (usual)"
		}
		options = append(options, web.Option{Value: strconv.FormatInt(int64(solution.ID), 10), Label: label})
	}
	if len(options) < 3 {
		return nil
	}
	return options
}

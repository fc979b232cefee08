package server

import (
	"errors"
	"strconv"
	"strings"

	"wetside/chemistry"
	"wetside/jobs"
	"wetside/web"
)

// checkInForm is what was found in the hand, as it was typed.
type checkInForm struct {
	Do        string `form:"do"`
	Version   string `form:"version"`
	TwinCheck string `form:"twin_check"`
	Stock     string `form:"stock"`
	Format    string `form:"format"`
	Exposures string `form:"exposures"`
	Remjet    string `form:"remjet"`
	Confirmed bool   `form:"confirmed"`
	Push      string `form:"push"`
	EI        string `form:"ei"`
	Solution  string `form:"solution"`
	Question  string `form:"question"`
}

// issue is the button that asks for a number; without it a number is wanted
// from the preprinted pair, so that an empty scan checks nothing in.
const issue = "issue"

// found turns what was typed into a check-in: Invalid with the fields.
func (f checkInForm) found(ordered jobs.Roll) (jobs.CheckIn, error) {
	var wrong faults
	found := jobs.CheckIn{
		Roll: ordered.ID, Version: versionOf(f.Version), TwinCheck: strings.TrimSpace(f.TwinCheck),
		Stock:  jobs.StockID(key(f.Stock, "stock", &wrong)),
		Format: chemistry.Format(f.Format), Exposures: count(f.Exposures, "exposures", &wrong),
		Remjet: chemistry.Remjet(f.Remjet), Confirmed: f.Confirmed,
		EI: count(f.EI, "ei", &wrong), Solution: jobs.SolutionID(key(f.Solution, "solution", &wrong)),
		Question: f.Question,
	}
	if found.Stock == 0 {
		found.Stock = ordered.Stock
	}
	switch {
	case f.Do == issue:
		found.TwinCheck = ""
	case found.TwinCheck == "":
		wrong.add("twin_check", "scan the number of a preprinted pair, or press “Give it a number”")
	}
	var err error
	if found.Push, err = chemistry.ParseStops(f.Push); err != nil {
		wrong.add("push", "%v", err)
	}
	changed := found.Push != ordered.Push || found.EI != 0 && found.EI != ordered.EI
	if changed && !f.Confirmed && len(wrong.list) == 0 {
		wrong.add("confirmed", "push or EI is not what was ordered: tick this to develop it so, or put the old values back")
	}
	return found, wrong.err()
}

// checkInFields makes the fields of the form. What was ordered stands in them,
// so that a roll that is as ordered needs nothing but its number.
func checkInFields(page *web.CheckInRollPage, roll jobs.RollView, t typed, c jobs.Catalogue) {
	exposures := ""
	if roll.Exposures > 0 {
		exposures = strconv.Itoa(roll.Exposures)
	}
	solution := ""
	if roll.Solution != 0 {
		solution = keyText(roll.Solution)
	}
	stocks := foundStocks("As ordered: "+roll.StockName, roll.Stock, c)
	page.TwinCheck = hinted(t.field(web.Text, "twin_check", "Twin-check", ""), "Scan the pair: one on the roll, one on its envelope.")
	page.TwinCheck.Focus, page.TwinCheck.Autocomplete, page.TwinCheck.Required = true, "off", true
	page.Stock = required(t.field(web.Select, "stock", "Film", "", stocks...))
	page.FormatIs = required(t.field(web.Select, "format", "Format", string(roll.Format), formatOptions()...))
	page.Exposures = t.field(web.Number, "exposures", "Exposures", exposures)
	page.Remjet = t.field(web.Select, "remjet", "Remjet, as found", "", remjetChoices("As listed: "+string(roll.Remjet))...)
	page.Push = required(t.field(web.Text, "push", "Push or pull", roll.Push.String()))
	page.EI = measured(t.field(web.Number, "ei", "Rated", strconv.Itoa(roll.EI)), "EI")
	page.Confirmed = t.field(web.Checkbox, "confirmed", "I read the note: develop it "+pushWords(roll.Push)+", rated EI "+strconv.Itoa(roll.EI)+", or as changed here", "")
	page.Confirmed.Checked = t.values.Has("confirmed")
	if roll.Confirm {
		page.Confirmed.Hint = "Without the tick the roll is held until its owner says what is wanted."
	}
	page.Developer = t.field(web.Select, "solution", "Developer", solution, developerOptions(keyText(roll.Stock), c)...)
	page.Question = hinted(t.field(web.TextArea, "question", "Hold it with a question", ""), "Leave it empty when all is clear. Its owner reads it.")
}

// scannedDX looks a cartridge's code up among the stocks and puts what it says
// into the form.
func scannedDX(page *web.CheckInRollPage, code string, roll jobs.RollView, t *typed, c jobs.Catalogue) {
	known := false
	for _, stock := range c.Stocks {
		known = known || stock.Active && stock.DX != ""
	}
	if !known {
		return
	}
	page.DX = web.Field{Kind: web.Text, Name: "dx", Label: "Cartridge code", Value: code, Autocomplete: "off",
		Hint: "Scan the bars on the cartridge, or type its DX number."}
	if code = strings.TrimSpace(code); code == "" {
		return
	}
	number, exposures, err := readDX(code)
	if err != nil {
		t.wrong.add("dx", "%v", err)
		page.DX.Error = t.wrong.of("dx")
		return
	}
	stock, ok := stockByDX(number, c)
	if !ok {
		page.DXSays, page.DXWrong = "DX "+number.String()+" is no stock of the catalogue.", true
		return
	}
	page.DXSays = "The cartridge says " + stock.Name
	if exposures > 0 {
		page.DXSays += ", " + strconv.Itoa(exposures) + " exposures"
	}
	page.DXWrong = stock.ID != roll.Stock || exposures > 0 && roll.Exposures > 0 && exposures != roll.Exposures
	if page.DXWrong {
		page.DXSays += ". That is not what was ordered; it is filled in below."
	} else {
		page.DXSays += ", as ordered."
	}
	if t.values == nil {
		t.values = map[string][]string{}
	}
	if stock.ID != roll.Stock {
		t.values.Set("stock", keyText(stock.ID))
	}
	if exposures > 0 {
		t.values.Set("exposures", strconv.Itoa(exposures))
	}
}

// readDX reads the bars of a cartridge, which tell the exposures too, or a DX
// number.
func readDX(code string) (number chemistry.DXNumber, exposures int, err error) {
	if cartridge, err := chemistry.ParseCartridge(code); err == nil {
		return cartridge.DX, cartridge.Exposures, nil
	} else if errors.As(err, new(*chemistry.RangeError)) {
		return 0, 0, err
	}
	number, err = chemistry.ParseDXNumber(code)
	return number, 0, err
}

func stockByDX(number chemistry.DXNumber, c jobs.Catalogue) (jobs.Stock, bool) {
	for _, stock := range activeStocks(c) {
		if stock.DX == number.String() {
			return stock, true
		}
	}
	return jobs.Stock{}, false
}

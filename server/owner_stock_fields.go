package server

import (
	"fmt"
	"math"

	"github.com/labstack/echo/v4"

	"wetside/chemistry"
	"wetside/jobs"
	"wetside/web"
)

// remjetOptions explain where it is chosen what remjet does.
var remjetOptions = []web.Option{
	{Value: string(chemistry.RemjetNone), Label: "None", Hint: "Made without the black backing. Nearly every film for still cameras."},
	{Value: string(chemistry.RemjetPresent), Label: "Present", Hint: "Motion-picture film with its black backing still on. Only ECN-2 has the prebath that takes it off; in C-41, E-6 or black and white it fouls the tank and every film in it. Save it for ECN-2."},
	{Value: string(chemistry.RemjetRemoved), Label: "Removed", Hint: "Motion-picture film sold with the backing taken off, for C-41. Expect halation around lights."},
	{Value: string(chemistry.RemjetUnknown), Label: "Unknown", Hint: "Kept out of C-41 and E-6 until somebody has looked at the back of the film."},
}

// showForm shows a stock as it was typed, with what its saved times come to.
func (p stockPages) showForm(c echo.Context, saved jobs.Stock, catalogue jobs.Catalogue, f typedForm, form stockForm) error {
	title := saved.Name
	if saved.ID == 0 {
		title = "New film stock"
	}
	page := &web.StockPage{
		OwnerFrame: ownerFrame("/stocks", title, f.wrong),
		Entry:      web.Entry{Path: entryPath("/stocks", saved.ID), New: saved.ID == 0, Version: f.values["version"]},
		Name:       f.needed(web.Text, "name", "Name", "As customers and staff know it."),
		Process:    f.needed(web.Select, "process", "Process", "", choose("Choose the process", processOptions())...),
		Kind: f.needed(web.Select, "kind", "Kind", "It decides what misexposure and a push do to it.", choose("Choose the kind",
			wordOptions([]chemistry.Kind{chemistry.ColourNegative, chemistry.Reversal, chemistry.BlackAndWhite, chemistry.Chromogenic}))...),
		Remjet: f.needed(web.Radio, "remjet", "Remjet", "", remjetOptions...),
		Balance: f.needed(web.Select, "balance", "Balance", "The light that colour film is made for; what black-and-white film sees.", choose("Choose the balance",
			wordOptions([]chemistry.Balance{chemistry.Daylight, chemistry.Tungsten, chemistry.Panchromatic, chemistry.Orthochromatic}))...),
		ISODaylight: f.field(web.Number, "iso_daylight", "Box speed in daylight", "ISO; one of the two speeds is needed."),
		ISOTungsten: f.field(web.Number, "iso_tungsten", "Box speed in tungsten light", "ISO; only where it differs."),
		MaxPush:     measured(f.field(web.Number, "max_push", "Push at most", "0 to 10, as in 2 or 1½."), "stops"),
		MaxPull:     measured(f.field(web.Number, "max_pull", "Pull at most", "0 to 10, without a sign."), "stops"),
		Unforgiving: f.field(web.Checkbox, "unforgiving", "Unforgiving", "Misexposure shows sooner than usual. Customers are told so."),
		DX:          f.field(web.Text, "dx", "DX number", "Of its 135 cartridges, as in 109-12 or 1756."),
		Active:      f.field(web.Checkbox, "active", "Taken in", "Untick it when you no longer take this film. Rolls that are here stay."),
		Solution:    f.field(web.Select, "solution", "Usual developer", "What it goes through unless another is asked for.", choose("None yet", developers(catalogue))...),
		ShowTimes:   form.Process == "" || form.Process == string(chemistry.BW) || len(saved.Times) > 0,
		CanAdd:      len(form.Times) < maxTimes,
		Worked:      workedTimes(saved, catalogue),
	}
	for i := range form.Times {
		page.ShowTimes = page.ShowTimes || !form.Times[i].empty()
		name := fmt.Sprintf("times[%d].", i)
		page.Times = append(page.Times, web.TimesFields{
			Index: i, Number: i + 1,
			Solution: f.needed(web.Select, name+"solution", "Developer", "", choose("Choose the developer", developers(catalogue))...),
			Rows: f.needed(web.TextArea, name+"rows", "Times at box speed",
				"One a line: °C = time, as in 20 = 7:30. Rows at two or more temperatures fit the temperature coefficient."),
			PushRows: f.field(web.TextArea, name+"push_rows", "Times when pushed or pulled",
				"One a line: stops = time at the temperature of the first row above, as in 1 = 10:30 or -1 = 6:15."),
			Source: f.field(web.Text, name+"source", "Where they are from", "It stands on the run sheet, as in “own test, March” or “maker's sheet”."),
		})
	}
	nameSets(page.Problems, func(i int) string { return fmt.Sprintf("Times %d", i+1) })
	return p.show(c, f.wrong.status(), page)
}

// developers offers the black-and-white developers.
func developers(c jobs.Catalogue) []web.Option {
	var options []web.Option
	for _, solution := range sortedSolutions(c) {
		if solution.Process == chemistry.BW && solution.Family == chemistry.BWDeveloper {
			option := web.Option{Value: plainInt(solution.ID), Label: solution.Name}
			if !solution.Active {
				option.Label += " (out of use)"
			}
			options = append(options, option)
		}
	}
	return options
}

// workedTimes shows what the times of a stock come to in each solution: the
// temperature coefficient, and the time for a normal roll and a pushed one.
func workedTimes(stock jobs.Stock, c jobs.Catalogue) []web.WorkedTimes {
	var worked []web.WorkedTimes
	for _, times := range stock.Times {
		solution := c.Solutions[times.Solution]
		shown := web.WorkedTimes{Solution: solution.Name, Coefficient: coefficientWords(times, solution)}
		for _, push := range []chemistry.Stops{0, chemistry.Stop} {
			if push > stock.Film.MaxPush {
				continue
			}
			roll := jobs.Roll{Stock: stock.ID, Process: chemistry.BW, Solution: times.Solution, Push: push}
			development, err := c.UsualTime(roll)
			shown.Examples = append(shown.Examples, workedTime(sentence(pushWords(push)), development, err))
		}
		worked = append(worked, shown)
	}
	return worked
}

func workedTime(what string, d chemistry.Development, err error) web.WorkedTime {
	if err != nil {
		return web.WorkedTime{What: what, Fault: sentence(problemOf(err).Detail) + "."}
	}
	worked := web.WorkedTime{What: what + " at " + degrees(d.TempC) + " °C", DevelopS: d.Seconds, Cautions: d.Cautions}
	for _, factor := range d.Factors {
		value := fmt.Sprintf("× %.3f", factor.Value)
		if factor.Unit == "s" {
			value = chemistry.FormatClock(int(math.Round(factor.Value)))
		}
		worked.Factors = append(worked.Factors, web.WorkedFactor{Name: sentence(factor.Name), Value: value, Source: factor.Source})
	}
	return worked
}

// coefficientWords says by how much a degree changes the time, and where that
// is from.
func coefficientWords(times jobs.StockTimes, solution jobs.Solution) string {
	if solution.B != 0 {
		return fmt.Sprintf("b = %.3g per °C, the recipe's own; a degree warmer takes %.1f %% less time.", solution.B, lessPerDegree(solution.B))
	}
	b, err := chemistry.FitB(times.Rows)
	if err != nil {
		return fmt.Sprintf("b = %.2f per °C, a starting point, because there is one temperature only; a second row fits it.", chemistry.StartB)
	}
	return fmt.Sprintf("b = %.3f per °C, fitted to %d rows; a degree warmer takes %.1f %% less time.", b, len(times.Rows), lessPerDegree(b))
}

func lessPerDegree(b float64) float64 { return 100 * (1 - math.Exp(-b)) }

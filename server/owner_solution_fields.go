package server

import (
	"fmt"

	"github.com/labstack/echo/v4"

	"wetside/chemistry"
	"wetside/jobs"
	"wetside/web"
)

// showForm shows a recipe as it was typed, with the cautions for what it was
// when it was last saved.
func (p solutionPages) showForm(c echo.Context, saved jobs.Solution, f typedForm) error {
	title := saved.Name
	if saved.ID == 0 {
		title = "New solution"
	}
	page := &web.SolutionPage{
		OwnerFrame: ownerFrame("/solutions", title, f.wrong),
		Entry:      web.Entry{Path: entryPath("/solutions", saved.ID), New: saved.ID == 0, Version: f.values["version"]},
		Name:       f.needed(web.Text, "name", "Name", "As it stands on bottles and run sheets."),
		Process:    f.needed(web.Select, "process", "Process", "", choose("Choose the process", processOptions())...),
		Family:     f.needed(web.Select, "family", "What it does", "Its cautions and its waste go by this.", choose("Choose what it does", wordOptions(chemistry.SolutionFamilies))...),
		Use: f.needed(web.Radio, "use", "How it is used", "",
			web.Option{Value: string(chemistry.OneShot), Label: "One-shot", Hint: "Mixed for a load, then dumped."},
			web.Option{Value: string(chemistry.Reused), Label: "Reused", Hint: "Again and again, until its capacity is used."},
			web.Option{Value: string(chemistry.Replenished), Label: "Replenished", Hint: "Kept going by replenisher for every area of film."}),
		Temp:   measured(f.needed(web.Number, "temp_c", "Working temperature", "5 to 50 °C. Fahrenheit is understood with an F, as in 68F."), "°C"),
		Active: f.field(web.Checkbox, "active", "In use", "Untick it when you no longer mix it. It stays in the records."),
	}
	page.Figures = figureFields(f)
	page.Replenishment = replenishmentFields(f)
	page.Rates = startingRates(chemistry.Process(f.values["process"]), chemistry.SolutionFamily(f.values["family"]))
	page.Bromide = bromideFields(f)
	page.Keeping = keepingFields(f)
	page.Mixing = mixingFields(f)
	page.Costs = []web.Field{
		measured(f.field(web.Number, "cost_per_l", "A litre of working solution", "In your money, 0 to 100000."), "a litre"),
		measured(f.field(web.Number, "replenisher_cost_per_l", "A litre of replenisher", "In your money."), "a litre"),
	}
	if saved.ID != 0 {
		page.Kind = string(saved.Family)
		page.Waste = string(saved.Family.Waste())
		page.Versions, page.WhatIf = versionsPath(saved.ID), whatIfPath("solution", saved.ID)
		for _, work := range []struct {
			name     string
			handling chemistry.Handling
		}{{"Mixing and pouring", chemistry.Mixing}, {"Running film", chemistry.Processing}, {"Dumping", chemistry.Dumping}} {
			page.Cautions = append(page.Cautions, web.CautionList{Work: work.name, Lines: chemistry.HandlingCautions(work.handling, saved.Family)})
		}
	}
	return p.show(c, f.wrong.status(), page)
}

// figureFields are what film does to a solution and it to film.
func figureFields(f typedForm) []web.Field {
	return []web.Field{
		measured(f.field(web.Number, "capacity_m2_per_l", "Capacity of a litre", "In m² of film, 0 to 100; or as in “20 rolls”. Of a replenished solution, what it takes without replenisher. Empty when you do not know: then nothing says when a fill is used up."), "m²"),
		measured(f.field(web.Number, "minimum_ml_per_roll", "Least for a roll", "Working solution that a roll of 80 in² (a 135-36 or a 120) needs in its load. A batch that has less is not started."), "mL"),
		measured(f.field(web.Number, "per_roll_percent", "More time for each roll", perRollHint), "%"),
		measured(f.field(web.Number, "b", "Temperature coefficient b", "Up to 0.3; developers have 0.05 to 0.12. Empty fits it to each stock's rows."), "per °C"),
		measured(f.field(web.Number, "push_factor", "Push factor", pushFactorHint), "a stop"),
	}
}

var (
	perRollHint = fmt.Sprintf("For a reused developer: in per cent of the fresh time, for each roll of 80 in² through one litre; 0 to 50. "+
		"Empty takes a starting point of %g %% in black and white.", chemistry.StartPerRoll)
	pushFactorHint = fmt.Sprintf("What a stop multiplies the time by where a stock has no push rows; above 1 up to 3. "+
		"Empty takes the starting point, %.2f.", chemistry.StartPushFactor)
	bromideHint = fmt.Sprintf("Film gives off %d to %d mg as potassium bromide (%s).",
		chemistry.BromideReleaseLowMG, chemistry.BromideReleaseHighMG, chemistry.BromideReleaseSource)
)

// replenishmentFields are what keeps a solution going.
func replenishmentFields(f typedForm) []web.Field {
	return []web.Field{
		measured(f.field(web.Number, "replenish_ml_per_m2", "Replenisher for film", "In mL for a m² of film; or as in “45 a roll” for a roll of 80 in². Only for a replenished solution."), "mL/m²"),
		measured(f.field(web.Number, "replenish_push_factor", "Pushed film counts", "What a stop of push multiplies the rate by, in a developer: 0.5 to 2. No figure is published (US Army SS0520), so it is yours; empty counts pushed film like any other."), "a stop"),
	}
}

// bromideFields are what a developer takes up from film.
func bromideFields(f typedForm) []web.Field {
	return []web.Field{
		measured(f.field(web.Number, "bromide_release_mg", "A roll gives off", bromideHint), "mg"),
		measured(f.field(web.Number, "bromide_replenisher_g_per_l", "In the replenisher", "0 to 100."), "g/L"),
		measured(f.field(web.Number, "bromide_start_g_per_l", "In a fresh fill", "0 to 100."), "g/L"),
	}
}

// keepingFields ask how long a solution keeps, once for each kind of storage.
func keepingFields(f typedForm) []web.KeepingFields {
	var rows []web.KeepingFields
	for i, storage := range keepingStorages {
		label := sentence(string(storage))
		if storage == "" {
			label = "However it stands"
		}
		name := fmt.Sprintf("keeping[%d].", i)
		rows = append(rows, web.KeepingFields{
			Storage: label,
			For:     f.field(web.Text, name+"for", "Keeps", ""),
			Source:  f.field(web.Text, name+"source", "Where that is from", ""),
		})
	}
	rows[0].For.Hint = "As in 6 weeks, 2 months or 1 month 15 days, from when it was mixed. The shortest that applies counts."
	return rows
}

// mixingFields ask what a litre is mixed from.
func mixingFields(f typedForm) []web.Field {
	return []web.Field{
		f.field(web.TextArea, "working", "A litre of working solution",
			"One part a line, in the order of mixing: Part A = 100 mL. Solids in g. Write “, acid” behind an acid: the mixing sheet then says to add it to the water. Water makes up the rest. The name is what lots of the part go by."),
		f.field(web.TextArea, "replenisher", "A litre of replenisher", "The same, for what a replenished solution is kept going with."),
	}
}

// startingRates lists the rates that are known for a process, for every process
// where none is chosen yet.
func startingRates(process chemistry.Process, family chemistry.SolutionFamily) []web.RateHint {
	low := chemistry.C41LowRate
	var hints []web.RateHint
	for _, table := range []struct {
		process chemistry.Process
		what    string
		rates   []chemistry.BathRate
	}{
		{chemistry.C41, "", chemistry.C41Rates}, {chemistry.C41, ", low-replenishment", []chemistry.BathRate{low}},
		{chemistry.E6, "", chemistry.E6Rates}, {chemistry.ECN2, "", chemistry.ECN2Rates}, {chemistry.BW, "", chemistry.BWRates},
	} {
		if process != "" && process != table.process {
			continue
		}
		for _, bath := range table.rates {
			hints = append(hints, web.RateHint{
				Bath: fmt.Sprintf("%s %s%s", table.process, bath.Family, table.what), This: process != "" && bath.Family == family,
				PerM2: fmt.Sprintf("%.0f mL", bath.Rate.MLPerM2), PerRoll: fmt.Sprintf("%.3g mL", bath.Rate.MLPerM2*chemistry.FilmUnitArea),
				Standing: standingChips[bath.Source.Standing], Source: sourceWords(bath.Source),
			})
		}
	}
	return hints
}

func processOptions() []web.Option {
	var options []web.Option
	for _, process := range chemistry.Processes {
		options = append(options, web.Option{Value: string(process), Label: processNames[process]})
	}
	return options
}

package server

import (
	"context"
	"errors"
	"fmt"
	"math"
	"net/http"
	"strconv"
	"strings"
	"time"

	"github.com/labstack/echo/v4"

	"wetside/chemistry"
	"wetside/jobs"
	"wetside/web"
)

// whatIfPages show what a change would do; nothing is written.
type whatIfPages struct{ *site }

func whatIfRoutes(s *site) []Route {
	return []Route{{http.MethodGet, "/chemistry/what-if", "what if", OwnerOnly, "", nil, whatIfPages{s}.whatIf}}
}

// whatIfRecords reads everything that a what-if stands on.
func (s *site) whatIfRecords(ctx context.Context) (r jobs.WhatIfRecords, err error) {
	if r.Catalogue, err = s.services.Catalogue.Catalogue(ctx); err != nil {
		return r, err
	}
	if r.Fills, err = s.services.Fills.Fills(ctx); err != nil {
		return r, err
	}
	ids := make([]jobs.FillID, len(r.Fills))
	for i, fill := range r.Fills {
		ids[i] = fill.ID
	}
	if r.Ledgers, err = s.services.Fills.Ledgers(ctx, ids); err != nil {
		return r, err
	}
	r.Mixes, err = s.services.Mixes.Mixes(ctx)
	return r, err
}

// whatIfForm is what was typed; it stands in the address, so that it can be
// kept and sent.
type whatIfForm struct {
	Of     string `form:"of"`
	Rate   string `form:"replenish_ml_per_m2"`
	Volume string `form:"volume_ml"`
	Work   string `form:"rolls_per_day"`
	Stock  string `form:"replenisher_ml"`
	Cost   string `form:"replenisher_cost_per_l"`
	Days   string `form:"days"`
}

// change reads what is to be different; what is left empty stays as it is.
func (f whatIfForm) change(wrong *faults) jobs.WhatIfChange {
	var change jobs.WhatIfChange
	litres := func(text, field string, wrong *faults) float64 { return float64(tankVolume(text, field, wrong)) }
	for _, one := range []struct {
		text, field string
		read        func(text, field string, wrong *faults) float64
		into        **float64
	}{
		{f.Rate, "replenish_ml_per_m2", rate, &change.MLPerM2}, {f.Volume, "volume_ml", litres, &change.VolumeML},
		{f.Work, "rolls_per_day", measure, &change.RollsPerDay}, {f.Stock, "replenisher_ml", litres, &change.StockML},
		{f.Cost, "replenisher_cost_per_l", measure, &change.ReplenisherPerL}, {f.Days, "days", measure, &change.DaysAhead},
	} {
		if strings.TrimSpace(one.text) != "" {
			value := one.read(one.text, one.field, wrong)
			*one.into = &value
		}
	}
	return change
}

// whatIf asks what it is about and shows it as it is and changed.
func (p whatIfPages) whatIf(c echo.Context) error {
	form := whatIfForm{Of: c.QueryParam("of"), Rate: c.QueryParam("replenish_ml_per_m2"), Volume: c.QueryParam("volume_ml"),
		Work: c.QueryParam("rolls_per_day"), Stock: c.QueryParam("replenisher_ml"), Cost: c.QueryParam("replenisher_cost_per_l"), Days: c.QueryParam("days")}
	records, err := p.whatIfRecords(c.Request().Context())
	if err != nil {
		return err
	}
	d := p.desk(c)
	page := &web.WhatIfPage{Frame: web.Frame{Title: "What if"}}
	var wrong faults
	var about *jobs.WhatIf
	if form.Of != "" {
		found, err := whatIfOf(records, form.Of, d.now.In(d.zone))
		if known, ok := faultsOf(err); ok {
			wrong = known
		} else if err != nil {
			return err
		} else {
			about = &found
		}
	}
	if about != nil {
		change := form.change(&wrong)
		wrong.also(about.Check(change), asNamed)
		if len(wrong.list) == 0 {
			if page.Compared, err = compared(*about, change, d); err != nil {
				return err
			}
		}
	}
	fields := newTypedForm(form, wrong)
	page.Problems = wrong.problems()
	page.Of = fields.needed(web.Select, "of", "Fill or solution", "", whatIfOptions(records)...)
	if about != nil {
		page.Chosen = whatIfFields(fields, *about, form.Of)
	}
	return p.show(c, wrong.status(), page)
}

// whatIfOf finds the fill or the solution that is named like fill-3 or
// solution-2.
func whatIfOf(records jobs.WhatIfRecords, of string, now time.Time) (jobs.WhatIf, error) {
	kind, number, _ := strings.Cut(of, "-")
	id, err := strconv.ParseInt(number, 10, 64)
	var found jobs.WhatIf
	switch {
	case err != nil || kind != "fill" && kind != "solution":
		return found, jobs.InvalidField("of", "choose a fill or a solution of the list")
	case kind == "fill":
		found, err = records.OfFill(jobs.FillID(id), now)
	default:
		found, err = records.OfSolution(jobs.SolutionID(id), now)
	}
	return found, err
}

// whatIfPath is where a fill or a solution is looked at.
func whatIfPath[ID ~int64](kind string, id ID) string {
	return fmt.Sprintf("/chemistry/what-if?of=%s-%d", kind, id)
}

// whatIfOptions offers the fills in use and every solution in use.
func whatIfOptions(records jobs.WhatIfRecords) []web.Option {
	options := []web.Option{{Label: "Choose a fill or a solution"}}
	for _, fill := range records.Fills {
		if fill.DumpedAt.IsZero() {
			options = append(options, web.Option{Value: fmt.Sprintf("fill-%d", fill.ID), Label: fill.SolutionName + " in " + fill.LineName, Group: "Fills in the tanks"})
		}
	}
	for _, solution := range sortedSolutions(records.Catalogue) {
		if solution.Active {
			options = append(options, web.Option{Value: fmt.Sprintf("solution-%d", solution.ID), Label: solution.Name, Group: "A fresh fill of"})
		}
	}
	return options
}

// whatIfFields ask what is to be different, each with how it is.
func whatIfFields(f typedForm, w jobs.WhatIf, of string) *web.WhatIfChosen {
	now := w.Supposed(jobs.WhatIfChange{})
	as := func(value float64, unit string) string {
		if value == 0 {
			return "Nothing is on record."
		}
		return "Now " + amount(value) + unit + "."
	}
	chosen := &web.WhatIfChosen{Of: of}
	if w.Solution.Use == chemistry.Replenished {
		chosen.Fields = append(chosen.Fields,
			measured(f.field(web.Number, "replenish_ml_per_m2", "Replenisher for film", as(now.Solution.Replenisher.MLPerM2, " mL for a m²")+" Or as in “45 a roll”."), "mL/m²"),
			measured(f.field(web.Number, "replenisher_ml", "Replenisher that stands ready", as(now.StockML, " mL")), "mL"),
			measured(f.field(web.Number, "replenisher_cost_per_l", "Cost of replenisher", as(now.ReplenisherCostPerL, " a litre")), "a litre"))
	}
	chosen.Fields = append(chosen.Fields,
		measured(f.field(web.Number, "volume_ml", "Volume of the tank", as(now.VolumeML, " mL")), "mL"),
		measured(f.field(web.Number, "rolls_per_day", "Work on a day", as(math.Round(100*now.RollsPerDay)/100, " rolls of 80 in²")+" Idle days count in."), "rolls"),
		measured(f.field(web.Number, "days", "Look ahead", fmt.Sprintf("%d days unless you say otherwise.", jobs.WhatIfDays)), "days"))
	return chosen
}

// compared sets what a use comes to as it is beside what it comes to changed.
func compared(w jobs.WhatIf, change jobs.WhatIfChange, d desk) (*web.Comparison, error) {
	now := d.now.In(d.zone)
	as := jobs.WhatIfChange{DaysAhead: change.DaysAhead}
	before, err1 := w.Prospect(as, now)
	after, err2 := w.Prospect(change, now)
	if err := errors.Join(err1, err2); err != nil {
		return nil, err
	}
	use := w.Supposed(change)
	shown := &web.Comparison{Name: w.Solution.Name, Days: amount(use.Days), Unknown: w.Unknown(use)}
	if w.Fill != 0 {
		shown.Name += " in " + w.LineName
	}
	old, changed := prospectWords(w.Supposed(as), before), prospectWords(use, after)
	for i, row := range old {
		shown.Rows = append(shown.Rows, web.ComparedRow{Name: row.Name, Now: row.Value, Changed: changed[i].Value, Differs: row.Value != changed[i].Value})
		shown.Changed = shown.Changed || row.Value != changed[i].Value
	}
	shown.LowUse = after.LowUse
	return shown, nil
}

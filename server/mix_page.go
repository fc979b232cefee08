package server

import (
	"fmt"
	"slices"

	"github.com/labstack/echo/v4"

	"wetside/chemistry"
	"wetside/jobs"
	"wetside/web"
)

// preparationWords name what is mixed.
var preparationWords = map[jobs.Preparation]string{jobs.Working: "Working solution", jobs.ReplenisherMixture: "Replenisher"}

// mixRow is a mix as it stands in a list.
func (d desk) mixRow(mix jobs.Mix, solution jobs.Solution) web.MixRow {
	row := web.MixRow{
		Path: mixPath(mix.ID), Solution: mix.SolutionName, Preparation: preparationWords[mix.Preparation], Left: mlWords(mix.LeftML), Of: volumeWords(mix.VolumeML),
		Age: ageWords(mix.MixedAt, d.now), Storage: sentence(string(mix.Storage)), Keeps: "not known", Mixed: d.moment(mix.MixedAt), By: mix.By,
		State: web.Chip{Class: "ready", Word: "Good"},
	}
	until := mix.KeepsUntil(solution, d.zone)
	if !until.IsZero() {
		row.Keeps = until.Format(dayWords)
	}
	switch {
	case mix.LeftML == 0:
		row.State = web.Chip{Word: "Used up"}
	case until.IsZero():
		row.State = web.Chip{Class: "wait", Word: "Watch its age"}
	case !d.now.Before(until):
		row.State = web.Chip{Class: "bad", Word: "Too old"}
	case d.local().AddDate(0, 0, mixEndsSoon).After(until):
		row.State = web.Chip{Class: "hold", Word: "Use it soon"}
	}
	return row
}

// mixEndsSoon is how many days before its keeping time ends a mix is marked.
const mixEndsSoon = 7

// mix shows one mix with where it came from and went.
func (p mixingPages) mix(c echo.Context) error { return p.showMix(c, typed{}) }

func (p mixingPages) showMix(c echo.Context, t typed) error {
	id, err := keyInPath(c)
	if err != nil {
		return err
	}
	ctx := c.Request().Context()
	record, err := p.services.Mixes.Mix(ctx, jobs.MixID(id))
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
	d := p.desk(c)
	solution := catalogue.Solutions[record.Solution]
	page := &web.MixPage{
		Frame: web.Frame{Title: record.Name(), Problems: t.wrong.problems()},
		Mix:   d.mixRow(record.Mix, solution), Kind: solutionKind(solution), Note: record.Note,
		Recipe: web.Link{Label: fmt.Sprintf("version %d", record.Mix.Recipe), Path: versionsPath(record.Solution)},
		Trace:  tracePath(jobs.FromMix, record.ID), Took: mixParts(record), Went: d.went(record, containers),
		Cautions: chemistry.HandlingCautions(chemistry.Dumping, solution.Family),
	}
	if record.LeftML > 0 {
		if record.Preparation == jobs.Working {
			page.Pour = fmt.Sprintf("/chemistry/pour?solution=%d&mix=%d", record.Solution, record.ID)
		}
		page.Acts = lossForms(t, mixPath(record.ID)+"/lose", mlWords(record.LeftML), jobs.Millilitres,
			containerOptions(containers, []chemistry.WasteKind{solution.Family.Waste()}))
	}
	return p.show(c, t.wrong.status(), page)
}

// mixParts compares what went in with what the recipe asked for.
func mixParts(record jobs.MixRecord) []web.MixPart {
	var parts []web.MixPart
	for _, use := range record.Uses() {
		part := web.MixPart{Name: use.Name, Asked: plainAmount(use.Asked, use.Unit), Used: plainAmount(use.Used, use.Unit)}
		switch {
		case use.Asked == 0:
			part.Asked, part.Off = "nothing", "not in the recipe"
		case len(use.Lots) == 0:
			part.Used, part.Off = "not on record", "no lot named"
		case use.Used > use.Asked:
			part.Off = plainAmount(toThousandth(use.Used-use.Asked), use.Unit) + " more"
		case use.Used < use.Asked:
			part.Off = plainAmount(toThousandth(use.Asked-use.Used), use.Unit) + " less"
		}
		for _, from := range use.Lots {
			lot := record.Lots[from.Lot]
			part.Lots = append(part.Lots, web.Link{Label: lot.Number + ", " + plainAmount(from.Amount, lot.Unit), Path: lotPath(lot.ID)})
		}
		parts = append(parts, part)
	}
	return parts
}

// went lists where a mix went, the last first.
func (d desk) went(record jobs.MixRecord, containers jobs.Containers) []web.MoveLine {
	others := map[int64]web.Link{} // by move
	for _, e := range record.Moves {
		switch {
		case e.Fill != 0:
			fill := record.Fills[e.Fill]
			others[e.Move] = web.Link{Label: fill.SolutionName + " in " + fill.LineName, Path: fillPath(fill.ID)}
		case e.Container != 0 && others[e.Move].Label == "":
			others[e.Move] = web.Link{Label: containers[e.Container].Name}
		}
	}
	var lines []web.MoveLine
	left := 0.0
	for _, e := range record.Moves {
		if e.Mix != record.ID {
			continue
		}
		left += e.Amount
		line := d.moveLine(e, jobs.Millilitres)
		line.Now = mlWords(left)
		if e.Kind != jobs.EntryMixed {
			line.Other = others[e.Move]
		}
		lines = append(lines, line)
	}
	slices.Reverse(lines)
	return lines
}

// loseMix records what was dumped or spilled of a mix.
func (p mixingPages) loseMix(c echo.Context) error {
	id, err := keyInPath(c)
	if err != nil {
		return err
	}
	form, loss, wrong, err := lossIn(c)
	if err != nil {
		return err
	}
	if len(wrong.list) > 0 {
		return p.showMix(c, typedIn(c, wrong.within(form)))
	}
	mix, err := p.services.Mixes.LoseMix(c.Request().Context(), actorOf(c), jobs.MixID(id), loss)
	if found, ok := staffFaults(err); ok {
		return p.showMix(c, typedIn(c, found.within(form)))
	}
	if err != nil {
		return err
	}
	return p.done(c, mixPath(mix.ID), fmt.Sprintf("It is recorded. %s are left of %s.", mlWords(mix.LeftML), mix.Name()))
}

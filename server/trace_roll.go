package server

import (
	"fmt"
	"strconv"
	"time"

	"github.com/labstack/echo/v4"

	"wetside/chemistry"
	"wetside/jobs"
	"wetside/web"
)

// rollTrace shows everything that a roll touched.
func (p tracePages) rollTrace(c echo.Context) error {
	id, err := keyInPath(c)
	if err != nil {
		return err
	}
	ctx := c.Request().Context()
	trace, err := p.services.Traces.TraceRoll(ctx, jobs.RollID(id))
	if err != nil {
		return err
	}
	catalogue, err := p.services.Catalogue.Catalogue(ctx)
	if err != nil {
		return err
	}
	d := p.desk(c)
	page := &web.RollTracePage{
		Frame: web.Frame{Title: "What roll " + rollName(trace.Roll.Roll) + " touched"},
		Roll:  d.line(trace.Roll), Inspections: d.inspectionLines(trace.Inspections, nil),
	}
	for _, run := range trace.Runs {
		page.Runs = append(page.Runs, d.rollRun(run, catalogue))
	}
	return p.show(c, 200, page)
}

// rollRun is a batch with what its film met.
func (d desk) rollRun(run jobs.RollRun, c jobs.Catalogue) web.RollRun {
	b := run.Batch
	shown := web.RollRun{
		Batch: int64(b.ID), Line: b.LineName, What: batchWhat(b, c), State: batchChip(b.State), Started: d.due(b.StartedAt),
		StartedBy: run.StartedBy, EndedBy: run.EndedBy, Override: b.Override, DevelopS: b.Develop,
		Before: d.runStrip(run.Before), After: d.runStrip(run.After),
	}
	if !b.EndedAt.IsZero() {
		shown.Ended = d.due(b.EndedAt)
	}
	for _, r := range run.Readings {
		shown.Readings = append(shown.Readings, web.RunReading{At: d.moment(r.At), Step: r.Step, By: r.By, Note: r.Note,
			Temp: strconv.FormatFloat(r.TempC, 'f', 1, 64) + " °C"})
	}
	for _, fill := range run.Fills {
		bath := web.RunBath{Name: fill.SolutionName, Fill: int64(fill.Fill), Filled: d.due(fill.FilledAt),
			Recipe: recipeWords(fill), Trace: tracePath(jobs.FromFill, fill.Fill)}
		for _, mix := range fill.Mixes {
			bath.Mixes = append(bath.Mixes, d.runMix(mix))
		}
		shown.Baths = append(shown.Baths, bath)
	}
	for _, mix := range run.UsedOnce {
		shown.Baths = append(shown.Baths, web.RunBath{Name: mix.Mix.SolutionName + ", used once", Mixes: []web.RunMix{d.runMix(mix)}})
	}
	return shown
}

// recipeWords says by which versions of its recipe a fill was poured and film
// went through it.
func recipeWords(fill jobs.TouchedFill) string {
	if fill.FilmRecipe == 0 || fill.FilmRecipe == fill.PouredRecipe {
		return fmt.Sprintf("version %d", fill.PouredRecipe)
	}
	return fmt.Sprintf("version %d when it was poured, %d when the film went through", fill.PouredRecipe, fill.FilmRecipe)
}

func (d desk) runMix(mix jobs.TouchedMix) web.RunMix {
	name := mix.Mix.SolutionName
	if mix.Mix.Preparation == jobs.ReplenisherMixture {
		name += " replenisher"
	}
	shown := web.RunMix{
		Name: fmt.Sprintf("Mix %d: %s", mix.Mix.ID, name), Mixed: d.due(mix.Mix.MixedAt), In: d.due(mix.In), How: string(mix.How),
		Recipe: fmt.Sprintf("version %d", mix.Mix.Recipe), By: mix.Mix.By, Trace: tracePath(jobs.FromMix, mix.Mix.ID),
	}
	for _, lot := range mix.Lots {
		shown.Lots = append(shown.Lots, web.Link{Label: lot.Part + ", lot " + lot.Number, Path: tracePath(jobs.FromLot, lot.Lot)})
	}
	return shown
}

var verdictClasses = map[chemistry.StripVerdict]string{
	chemistry.InControl: "done", chemistry.PastAction: "hold", chemistry.PastControl: "bad",
}

func (d desk) runStrip(seen *jobs.StripSeen) *web.RunStrip {
	if seen == nil {
		return nil
	}
	strip := &web.RunStrip{ID: int64(seen.ID), At: d.due(seen.At), By: seen.By,
		Verdict: web.Chip{Class: verdictClasses[seen.Verdict], Word: sentence(string(seen.Verdict))}}
	if !seen.Verdict.MayRun() {
		strip.Trace = tracePath(jobs.FromStrip, seen.ID)
	}
	return strip
}

// inspectionLines are inspections as they stand in a list.
func (d desk) inspectionLines(list []jobs.Inspection, chosen []string) []web.InspectionLine {
	lines := make([]web.InspectionLine, len(list))
	for i, inspection := range list {
		lines[i] = web.InspectionLine{
			ID: int64(inspection.ID), Roll: d.line(inspection.Roll), Why: inspection.Why, At: d.moment(inspection.At), By: inspection.By,
			Cause:  web.Link{Label: fmt.Sprintf("%s %d", sentence(string(inspection.Cause.Kind)), inspection.Cause.ID), Path: tracePath(inspection.Cause.Kind, inspection.Cause.ID)},
			DoneBy: inspection.DoneBy, Finding: inspection.Finding, Ticked: hasValue(chosen, keyText(inspection.ID)), Outcome: outcomeChip(inspection),
		}
		if inspection.DoneAt != (time.Time{}) {
			lines[i].Done = d.moment(inspection.DoneAt)
		}
	}
	return lines
}

// outcomeChip says how an inspection stands.
func outcomeChip(i jobs.Inspection) web.Chip {
	switch i.Outcome {
	case jobs.FoundGood:
		return web.Chip{Class: "done", Word: "Good"}
	case jobs.FoundSpoiled:
		return web.Chip{Class: "bad", Word: "Spoiled"}
	case jobs.LetGo:
		return web.Chip{Class: "work", Word: "Let go"}
	}
	if i.Roll.State == jobs.Delivered {
		return web.Chip{Class: "hold", Word: "With its owner"}
	}
	return web.Chip{Class: "hold", Word: "To be looked at"}
}

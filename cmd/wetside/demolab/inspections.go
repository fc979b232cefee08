package demolab

import (
	"context"
	"slices"

	"wetside/chemistry"
	"wetside/jobs"
)

// lookedAt is how many rolls of the demo are marked to be looked at.
const lookedAt = 3

// inspect has some film looked at that went through a colour developer, and
// writes down what was found in the first of it.
func (l *lab) inspect(ctx context.Context) error {
	fills, err := l.Fills.Fills(ctx)
	if err != nil {
		return err
	}
	c, err := l.Catalogue.Catalogue(ctx)
	if err != nil {
		return err
	}
	for _, fill := range fills {
		solution := c.Solutions[fill.Solution]
		if solution.Process != chemistry.C41 || solution.Family != chemistry.ColourDeveloper || !fill.DumpedAt.IsZero() {
			continue
		}
		if err := l.markFilm(ctx, jobs.TraceQuery{Cause: jobs.Cause{Kind: jobs.FromFill, ID: int64(fill.ID)}}); err != nil {
			return err
		}
	}
	return l.findGood(ctx)
}

// markFilm marks the last film of a trace that is on the dry side, until enough
// is marked.
func (l *lab) markFilm(ctx context.Context, query jobs.TraceQuery) error {
	open, err := l.Inspections.CountInspections(ctx)
	if err != nil {
		return err
	}
	trace, err := l.Traces.Trace(ctx, query)
	if err != nil {
		return err
	}
	marking := jobs.Marking{TraceQuery: query, Why: "The floating lid had slipped over night: look for flat shadows."}
	for _, roll := range slices.Backward(trace.Rolls) {
		if (roll.State == jobs.Drying || roll.State == jobs.Finishing) && len(marking.Rolls) < lookedAt-open {
			marking.Rolls = append(marking.Rolls, roll.ID)
		}
	}
	if len(marking.Rolls) == 0 {
		return nil
	}
	_, err = l.Inspections.Mark(ctx, l.staff, marking)
	return err
}

// findGood writes a finding for the roll that was marked first.
func (l *lab) findGood(ctx context.Context) error {
	open, err := l.Inspections.Inspections(ctx, jobs.InspectionQuery{Open: true, Limit: lookedAt})
	if err != nil || len(open) < 2 {
		return err
	}
	first := open[len(open)-1]
	_, err = l.Inspections.CloseInspections(ctx, l.staff, jobs.Closing{
		Inspections: []jobs.InspectionID{first.ID}, Outcome: jobs.FoundGood, Finding: "Shadows as they should be.",
	})
	return err
}

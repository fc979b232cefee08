package server

import (
	"context"
	"time"

	"wetside/jobs"
	"wetside/server/api"
)

// GetTrace shows the rolls that a cause touched.
func (a apiCalls) GetTrace(ctx context.Context, request api.GetTraceRequestObject) (api.GetTraceResponseObject, error) {
	var wrong faults
	query := jobs.TraceQuery{Cause: jobs.Cause{Kind: request.Cause, ID: request.Id},
		Since: sentTime(request.Params.Since, "since", &wrong), Until: sentTime(request.Params.Until, "until", &wrong)}
	if err := wrong.err(); err != nil {
		return nil, err
	}
	trace, err := a.services.Traces.Trace(ctx, query)
	counts := map[string]int{}
	for state, n := range trace.Counts() {
		counts[string(state)] = n
	}
	return api.GetTrace200JSONResponse{
		Cause: trace.Kind, Id: trace.ID, Name: trace.Name, At: trace.At, From: trace.From, Until: trace.Until, Counts: counts,
		Rolls: each(trace.Rolls, func(r jobs.TracedRoll) api.TracedRoll {
			return api.TracedRoll{Roll: apiRollView(r.RollView), Email: r.Email, Phone: r.Phone, Batch: r.Run, LineName: r.LineName,
				StartedAt: r.StartedAt, EndedAt: r.EndedAt, Inspection: r.Marked}
		}),
	}, err
}

// sentTime reads a moment out of an address; the zero time where none is sent.
func sentTime(text, field string, wrong *faults) time.Time {
	if text == "" {
		return time.Time{}
	}
	at, err := time.Parse(time.RFC3339, text)
	if err != nil {
		wrong.add(field, "%q is no moment as RFC 3339 writes it, such as 2026-03-02T14:30:00Z", text)
	}
	return at
}

// TraceRoll shows everything that a roll touched.
func (a apiCalls) TraceRoll(ctx context.Context, request api.TraceRollRequestObject) (api.TraceRollResponseObject, error) {
	trace, err := a.services.Traces.TraceRoll(ctx, request.Id)
	return api.TraceRoll200JSONResponse{
		Roll: apiRollView(trace.Roll), Runs: each(trace.Runs, apiRollRun), Inspections: each(trace.Inspections, apiInspection),
	}, err
}

func apiRollRun(run jobs.RollRun) api.RollRun {
	b := run.Batch
	return api.RollRun{
		Batch: b.ID, Line: b.Line, LineName: b.LineName, Process: b.Process, State: b.State, DevelopS: b.Develop,
		StartedAt: b.StartedAt, EndedAt: b.EndedAt, StartedBy: run.StartedBy, EndedBy: run.EndedBy, Override: b.Override,
		Readings: each(run.Readings, func(r jobs.Reading) api.Reading {
			return api.Reading{At: r.At, By: r.By, Step: r.Step, TempC: r.TempC, Note: r.Note}
		}),
		Fills: each(run.Fills, func(f jobs.TouchedFill) api.TouchedFill {
			return api.TouchedFill{Fill: f.Fill, SolutionName: f.SolutionName, FilledAt: f.FilledAt, FilmRecipe: f.FilmRecipe,
				PouredRecipe: f.PouredRecipe, Mixes: each(f.Mixes, apiTouchedMix)}
		}),
		UsedOnce: each(run.UsedOnce, apiTouchedMix), Before: apiStripSeen(run.Before), After: apiStripSeen(run.After),
	}
}

func apiTouchedMix(m jobs.TouchedMix) api.TouchedMix {
	return api.TouchedMix{
		Mix: m.Mix.ID, SolutionName: m.Mix.SolutionName, Preparation: m.Mix.Preparation, Recipe: m.Mix.Recipe, MixedAt: m.Mix.MixedAt,
		By: m.Mix.By, How: string(m.How), In: m.In, Lots: each(m.Lots, func(l jobs.TouchedLot) api.TouchedLot {
			return api.TouchedLot{Lot: l.Lot, Part: l.Part, Number: l.Number}
		}),
	}
}

func apiStripSeen(seen *jobs.StripSeen) api.StripSeen {
	if seen == nil {
		return api.StripSeen{}
	}
	return api.StripSeen{Id: seen.ID, At: seen.At, By: seen.By, Verdict: string(seen.Verdict)}
}

func apiInspection(i jobs.Inspection) api.Inspection {
	return api.Inspection{
		Id: i.ID, Roll: apiRollView(i.Roll), At: i.At, By: i.By, Cause: i.Cause.Kind, CauseId: i.Cause.ID, Why: i.Why,
		DoneAt: i.DoneAt, DoneBy: i.DoneBy, Outcome: i.Outcome, Finding: i.Finding,
	}
}

// ListInspections lists inspections, the last marked first.
func (a apiCalls) ListInspections(ctx context.Context, request api.ListInspectionsRequestObject) (api.ListInspectionsResponseObject, error) {
	limit := pageSize(request.Params.Limit)
	found, err := a.services.Inspections.Inspections(ctx, jobs.InspectionQuery{
		Open: request.Params.Open, Kind: request.Params.Cause, Search: request.Params.Search, Before: request.Params.Before, Limit: limit,
	})
	answer := api.ListInspections200JSONResponse{Inspections: each(found, apiInspection)}
	if len(found) == limit {
		answer.Next = found[limit-1].ID
	}
	return answer, err
}

// MarkRolls marks rolls of a trace for inspection.
func (a apiCalls) MarkRolls(ctx context.Context, request api.MarkRollsRequestObject) (api.MarkRollsResponseObject, error) {
	sent := request.Body
	marked, err := a.services.Inspections.Mark(ctx, by(ctx), jobs.Marking{
		TraceQuery: jobs.TraceQuery{Cause: jobs.Cause{Kind: sent.Cause, ID: sent.CauseId}, Since: sent.Since, Until: sent.Until},
		Rolls:      sent.Rolls, Why: sent.Why, Delivered: sent.Delivered,
	})
	same := func(id jobs.RollID) jobs.RollID { return id }
	return api.MarkRolls201JSONResponse{
		Marked: each(marked.Marked, same), Already: each(marked.Already, same),
		Delivered: each(marked.Delivered, same), Spoiled: each(marked.Spoiled, same),
	}, err
}

// CloseInspections writes what was found.
func (a apiCalls) CloseInspections(ctx context.Context, request api.CloseInspectionsRequestObject) (api.CloseInspectionsResponseObject, error) {
	sent := request.Body
	closed, err := a.closeAs(callOf(ctx), jobs.Closing{Inspections: sent.Inspections, Outcome: sent.Outcome, Finding: sent.Finding})
	return api.CloseInspections200JSONResponse{Inspections: each(closed, apiInspection)}, err
}

package server

import (
	"context"

	"wetside/chemistry"
	"wetside/jobs"
	"wetside/server/api"
)

// GetRunSheet shows what the operator follows.
func (a apiCalls) GetRunSheet(ctx context.Context, request api.GetRunSheetRequestObject) (api.GetRunSheetResponseObject, error) {
	sheet, err := a.services.Batches.RunSheet(ctx, request.Id)
	if err != nil {
		return nil, err
	}
	sheet.Development.Cautions = append([]string{}, sheet.Development.Cautions...)
	return api.GetRunSheet200JSONResponse{
		Batch: apiBatch(sheet.Batch), Line: apiLine(sheet.Line), Solution: sheet.Solution, Development: sheet.Development,
		Cycle: sheet.Cycle.Name, Steps: each(sheet.Cycle.Steps, apiStep),
		Readings: each(sheet.Readings, func(r jobs.Reading) api.Reading {
			return api.Reading{At: r.At, By: r.By, Step: r.Step, TempC: r.TempC, Note: r.Note}
		}),
		Cautions: append([]string{}, sheet.Cautions...), Doses: each(sheet.Doses, apiDose), Against: append([]string{}, sheet.Against...),
	}, nil
}

func apiStep(s chemistry.Step) api.Step {
	return api.Step{
		Name: s.Name, Solution: s.Solution, Seconds: s.Seconds, MaxSeconds: s.MaxSeconds, TempC: s.TempC, LowC: s.LowC, HighC: s.HighC,
		Develop: s.Develop, Exact: s.Exact, Agitation: s.Agitation, Drain: s.Drain, Cautions: append([]string{}, s.Cautions...),
		Source: s.Source.String(),
	}
}

// StartBatch puts a batch into the chemistry.
func (a apiCalls) StartBatch(ctx context.Context, request api.StartBatchRequestObject) (api.StartBatchResponseObject, error) {
	if err := mayOverride(callOf(ctx), request.Body.Override); err != nil {
		return nil, err
	}
	batch, err := a.services.Batches.Start(ctx, by(ctx), request.Id, jobs.BatchStart{
		Version: request.Body.Version, DeveloperC: *request.Body.DeveloperC, Override: request.Body.Override,
	})
	return api.StartBatch200JSONResponse(apiBatch(batch)), err
}

// TakeReading records a temperature while a batch runs.
func (a apiCalls) TakeReading(ctx context.Context, request api.TakeReadingRequestObject) (api.TakeReadingResponseObject, error) {
	reading := jobs.Reading{Step: request.Body.Step, TempC: *request.Body.TempC, Note: request.Body.Note}
	return api.TakeReading204Response{}, a.services.Batches.TakeReading(ctx, by(ctx), request.Id, reading)
}

func outcomeOf(sent api.Outcome) jobs.RollOutcome {
	return jobs.RollOutcome{Roll: sent.Roll, State: sent.State, Reason: sent.Reason}
}

// FinishBatch ends a run.
func (a apiCalls) FinishBatch(ctx context.Context, request api.FinishBatchRequestObject) (api.FinishBatchResponseObject, error) {
	batch, err := a.services.Batches.Finish(ctx, by(ctx), request.Id, request.Body.Version, each(request.Body.Outcomes, outcomeOf))
	return api.FinishBatch200JSONResponse(apiBatch(batch)), err
}

// StopBatch breaks a run off.
func (a apiCalls) StopBatch(ctx context.Context, request api.StopBatchRequestObject) (api.StopBatchResponseObject, error) {
	batch, err := a.services.Batches.Stop(ctx, by(ctx), request.Id, request.Body.Version, request.Body.Reason, each(request.Body.Outcomes, outcomeOf))
	return api.StopBatch200JSONResponse(apiBatch(batch)), err
}

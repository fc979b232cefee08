package server

import (
	"context"
	"time"

	"wetside/jobs"
	"wetside/server/api"
)

func apiBatch(b jobs.Batch) api.Batch {
	return api.Batch{
		Id: b.ID, Line: b.Line, LineName: b.LineName, Process: b.Process, Solution: b.Solution, Push: b.Push,
		DevelopS: b.Develop, TempC: b.TempC, State: b.State, PlannedStart: b.PlannedStart, StartedAt: b.StartedAt,
		EndedAt: b.EndedAt, Reason: b.Reason, Override: b.Override, Rolls: each(b.Rolls, apiRollView), Version: b.Version,
	}
}

// ListBatches lists batches, the newest first.
func (a apiCalls) ListBatches(ctx context.Context, request api.ListBatchesRequestObject) (api.ListBatchesResponseObject, error) {
	limit := pageSize(request.Params.Limit)
	batches, err := a.services.Batches.Batches(ctx, jobs.BatchQuery{
		Open: request.Params.Open, Before: request.Params.Before, Limit: limit,
	})
	answer := api.ListBatches200JSONResponse{Batches: each(batches, apiBatch)}
	if len(batches) == limit {
		answer.Next = batches[limit-1].ID
	}
	return answer, err
}

// AcceptBatch makes a batch of queued rolls.
func (a apiCalls) AcceptBatch(ctx context.Context, request api.AcceptBatchRequestObject) (api.AcceptBatchResponseObject, error) {
	draft := jobs.BatchDraft{Line: request.Body.Line, Rolls: request.Body.Rolls}
	if text := request.Body.PlannedStart; text != "" {
		var err error
		if draft.PlannedStart, err = time.Parse(time.RFC3339, text); err != nil {
			return nil, jobs.InvalidField("planned_start", "%q is no time; write it like 2026-03-02T10:42:00Z", text)
		}
	}
	batch, err := a.services.Batches.Accept(ctx, by(ctx), draft)
	return api.AcceptBatch201JSONResponse(apiBatch(batch)), err
}

// GetBatch shows one batch.
func (a apiCalls) GetBatch(ctx context.Context, request api.GetBatchRequestObject) (api.GetBatchResponseObject, error) {
	batch, err := a.services.Batches.Batch(ctx, request.Id)
	return api.GetBatch200JSONResponse(apiBatch(batch)), err
}

// ListBatchEvents lists what happened to a batch and the rolls in it.
func (a apiCalls) ListBatchEvents(ctx context.Context, request api.ListBatchEventsRequestObject) (api.ListBatchEventsResponseObject, error) {
	events, err := a.services.Batches.BatchHistory(ctx, request.Id)
	return api.ListBatchEvents200JSONResponse{Events: each(events, apiEvent)}, err
}

// SplitBatch makes a batch of some rolls of a batch.
func (a apiCalls) SplitBatch(ctx context.Context, request api.SplitBatchRequestObject) (api.SplitBatchResponseObject, error) {
	batch, err := a.services.Batches.Split(ctx, by(ctx), jobs.Split{
		Batch: request.Id, Version: request.Body.Version, Rolls: request.Body.Rolls, Line: request.Body.Line,
	})
	return api.SplitBatch201JSONResponse(apiBatch(batch)), err
}

// LockBatch fixes the rolls of a batch.
func (a apiCalls) LockBatch(ctx context.Context, request api.LockBatchRequestObject) (api.LockBatchResponseObject, error) {
	batch, err := a.services.Batches.Lock(ctx, by(ctx), request.Id, request.Body.Version)
	return api.LockBatch200JSONResponse(apiBatch(batch)), err
}

// UnlockBatch lets the rolls of a batch be moved again.
func (a apiCalls) UnlockBatch(ctx context.Context, request api.UnlockBatchRequestObject) (api.UnlockBatchResponseObject, error) {
	batch, err := a.services.Batches.Unlock(ctx, by(ctx), request.Id, request.Body.Version)
	return api.UnlockBatch200JSONResponse(apiBatch(batch)), err
}

// CancelBatch gives the rolls of a batch back to the queue.
func (a apiCalls) CancelBatch(ctx context.Context, request api.CancelBatchRequestObject) (api.CancelBatchResponseObject, error) {
	batch, err := a.services.Batches.CancelBatch(ctx, by(ctx), request.Id, request.Body.Version, request.Body.Reason)
	return api.CancelBatch200JSONResponse(apiBatch(batch)), err
}

package server

import (
	"context"

	"wetside/jobs"
	"wetside/server/api"
)

// ListRolls lists rolls, the earliest due first.
func (a apiCalls) ListRolls(ctx context.Context, request api.ListRollsRequestObject) (api.ListRollsResponseObject, error) {
	limit := pageSize(request.Params.Limit)
	rolls, err := a.services.Rolls.Rolls(ctx, jobs.RollQuery{
		States: request.Params.State, Search: request.Params.Search, After: request.Params.After, Limit: limit,
	})
	answer := api.ListRolls200JSONResponse{Rolls: each(rolls, apiRollView)}
	if len(rolls) == limit {
		answer.Next = rolls[limit-1].ID
	}
	return answer, err
}

// GetRoll shows one roll.
func (a apiCalls) GetRoll(ctx context.Context, request api.GetRollRequestObject) (api.GetRollResponseObject, error) {
	roll, err := a.services.Rolls.Roll(ctx, request.Id)
	return api.GetRoll200JSONResponse(apiRollView(roll)), err
}

// GetRollByTwinCheck shows the roll with a number.
func (a apiCalls) GetRollByTwinCheck(ctx context.Context, request api.GetRollByTwinCheckRequestObject) (api.GetRollByTwinCheckResponseObject, error) {
	number, err := jobs.ParseTwinCheck(request.TwinCheck)
	if err != nil {
		return nil, err
	}
	roll, err := a.services.Rolls.RollByTwinCheck(ctx, number)
	return api.GetRollByTwinCheck200JSONResponse(apiRollView(roll)), err
}

// ListRollEvents lists what happened to a roll.
func (a apiCalls) ListRollEvents(ctx context.Context, request api.ListRollEventsRequestObject) (api.ListRollEventsResponseObject, error) {
	events, err := a.services.Rolls.History(ctx, request.Id)
	return api.ListRollEvents200JSONResponse{Events: each(events, apiEvent)}, err
}

// HoldRoll stops a roll with a question.
func (a apiCalls) HoldRoll(ctx context.Context, request api.HoldRollRequestObject) (api.HoldRollResponseObject, error) {
	roll, err := a.services.Rolls.Hold(ctx, by(ctx), request.Id, request.Body.Version, request.Body.Question)
	return api.HoldRoll200JSONResponse(apiRoll(roll)), err
}

// QueueRoll queues a received roll.
func (a apiCalls) QueueRoll(ctx context.Context, request api.QueueRollRequestObject) (api.QueueRollResponseObject, error) {
	roll, err := a.services.Rolls.Queue(ctx, by(ctx), request.Id, request.Body.Version)
	return api.QueueRoll200JSONResponse(apiRoll(roll)), err
}

// AdvanceRoll moves a roll one step along the dry side.
func (a apiCalls) AdvanceRoll(ctx context.Context, request api.AdvanceRollRequestObject) (api.AdvanceRollResponseObject, error) {
	roll, err := a.services.Rolls.Advance(ctx, by(ctx), request.Id, request.Body.Version)
	return api.AdvanceRoll200JSONResponse(apiRoll(roll)), err
}

// CancelRoll calls a roll off.
func (a apiCalls) CancelRoll(ctx context.Context, request api.CancelRollRequestObject) (api.CancelRollResponseObject, error) {
	roll, err := a.services.Rolls.Cancel(ctx, by(ctx), request.Id, request.Body.Version, request.Body.Reason)
	return api.CancelRoll200JSONResponse(apiRoll(roll)), err
}

// SpoilRoll records that a roll is ruined.
func (a apiCalls) SpoilRoll(ctx context.Context, request api.SpoilRollRequestObject) (api.SpoilRollResponseObject, error) {
	roll, err := a.services.Rolls.Spoil(ctx, by(ctx), request.Id, request.Body.Version, request.Body.Reason)
	return api.SpoilRoll200JSONResponse(apiRoll(roll)), err
}

// MoveRoll moves a roll between the queue and accepted batches.
func (a apiCalls) MoveRoll(ctx context.Context, request api.MoveRollRequestObject) (api.MoveRollResponseObject, error) {
	seen := []jobs.SeenRoll{{ID: request.Id, Version: request.Body.Version}}
	if err := a.services.Batches.MoveRolls(ctx, by(ctx), seen, request.Body.Batch); err != nil {
		return nil, err
	}
	roll, err := a.services.Rolls.Roll(ctx, request.Id)
	return api.MoveRoll200JSONResponse(apiRollView(roll)), err
}

// DeliverRolls hands over rolls, all or none of them.
func (a apiCalls) DeliverRolls(ctx context.Context, request api.DeliverRollsRequestObject) (api.DeliverRollsResponseObject, error) {
	rolls, err := a.services.Rolls.Deliver(ctx, by(ctx), jobs.Delivery{
		Rolls: request.Body.Rolls, How: request.Body.How, Tracking: request.Body.Tracking,
	})
	return api.DeliverRolls201JSONResponse{Rolls: each(rolls, apiRoll)}, err
}

package server

import (
	"context"

	"wetside/chemistry"
	"wetside/jobs"
	"wetside/server/api"
)

// stops reads an amount of stops that may be left out.
func (f *faults) stops(field string, sent *api.AskedStops) *chemistry.Stops {
	if sent == nil {
		return nil
	}
	stops, err := chemistry.StopsOf(*sent)
	if err != nil {
		f.add(field, "%v", err)
		return nil
	}
	return &stops
}

// CheckInRoll takes a roll in. What is left out is as it was ordered.
func (a apiCalls) CheckInRoll(ctx context.Context, request api.CheckInRollRequestObject) (api.CheckInRollResponseObject, error) {
	ordered, err := a.services.Rolls.Roll(ctx, request.Id)
	if err != nil {
		return nil, err
	}
	found, err := foundRoll(*request.Body, ordered.Roll)
	if err != nil {
		return nil, err
	}
	roll, err := a.services.Rolls.CheckIn(ctx, by(ctx), found)
	return api.CheckInRoll200JSONResponse(apiRoll(roll)), err
}

func foundRoll(sent api.CheckIn, ordered jobs.Roll) (jobs.CheckIn, error) {
	var wrong faults
	found := jobs.CheckIn{
		Roll: ordered.ID, Version: sent.Version, TwinCheck: sent.TwinCheck,
		Stock: or(sent.Stock, ordered.Stock), Format: or(sent.Format, ordered.Format), Exposures: or(sent.Exposures, ordered.Exposures),
		Remjet: sent.Remjet, Confirmed: sent.Confirmed, Solution: sent.Solution, Question: sent.Question,
	}
	push := wrong.stops("push", sent.Push)
	if !sent.Confirmed && (sent.Push != nil || sent.Ei != nil) {
		wrong.add("confirmed", "push and ei are only taken when this is true: they are what was agreed")
	}
	found.Push, found.EI = or(push, ordered.Push), or(sent.Ei, ordered.EI)
	if found.Stock != ordered.Stock && sent.Ei == nil {
		found.EI = 0 // the other film's own speed
	}
	return found, wrong.err()
}

// AnswerRoll ends a hold.
func (a apiCalls) AnswerRoll(ctx context.Context, request api.AnswerRollRequestObject) (api.AnswerRollResponseObject, error) {
	var wrong faults
	answer := jobs.Answer{
		Roll: request.Id, Version: request.Body.Version, Answer: request.Body.Answer,
		Push: wrong.stops("push", request.Body.Push), EI: request.Body.Ei, Remjet: request.Body.Remjet,
		Stock: request.Body.Stock, Solution: request.Body.Solution,
	}
	if err := wrong.err(); err != nil {
		return nil, err
	}
	roll, err := a.services.Rolls.AnswerHold(ctx, by(ctx), answer)
	return api.AnswerRoll200JSONResponse(apiRoll(roll)), err
}

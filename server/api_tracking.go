package server

import (
	"context"

	"wetside/server/api"
)

// TrackOrder shows an order to its customer, as the page of the same link does.
func (a apiCalls) TrackOrder(ctx context.Context, _ api.TrackOrderRequestObject) (api.TrackOrderResponseObject, error) {
	order, catalogue, err := trackingPages{a.site}.find(callOf(ctx))
	if err != nil {
		return nil, err
	}
	answer := api.TrackOrder200JSONResponse{
		Number: order.ID, State: order.State(), Submitted: order.Submitted, Due: order.Due, Rolls: []api.TrackedRoll{},
	}
	for _, roll := range order.Rolls {
		told := progressOf(roll, order, catalogue)
		answer.Rolls = append(answer.Rolls, api.TrackedRoll{
			Label: told.Label, Film: told.Film, Process: roll.Process, Ei: roll.EI, Push: roll.Push, Note: told.Note, Reading: told.Reading,
			State: roll.State, Say: told.Say, Since: told.Since,
			Question: told.Question, Answer: told.Answer, Reason: told.Reason, Tracking: told.Tracking,
		})
	}
	return answer, nil
}

package server

import (
	"context"

	"wetside/chemistry"
	"wetside/jobs"
	"wetside/server/api"
)

// TopUpFill records what went into a fill beside what film called for.
func (a apiCalls) TopUpFill(ctx context.Context, request api.TopUpFillRequestObject) (api.TopUpFillResponseObject, error) {
	fill, err := a.services.Fills.TopUpFill(ctx, by(ctx), request.Id, jobs.TopUp{
		ML: *request.Body.Ml, Mix: request.Body.Mix, Reason: request.Body.Reason, Seen: request.Body.Seen,
	})
	return api.TopUpFill200JSONResponse(apiFill(fill)), err
}

// SpillFill records what was lost of a fill.
func (a apiCalls) SpillFill(ctx context.Context, request api.SpillFillRequestObject) (api.SpillFillResponseObject, error) {
	fill, err := a.services.Fills.SpillFill(ctx, by(ctx), request.Id, jobs.Spill{
		ML: *request.Body.Ml, Reason: request.Body.Reason, Seen: request.Body.Seen,
	})
	return api.SpillFill200JSONResponse(apiFill(fill)), err
}

// FoulFill records what got into a fill and does not belong there.
func (a apiCalls) FoulFill(ctx context.Context, request api.FoulFillRequestObject) (api.FoulFillResponseObject, error) {
	fill, err := a.services.Fills.FoulFill(ctx, by(ctx), request.Id, jobs.Fouling{
		What: request.Body.What, ML: request.Body.Ml, Mix: request.Body.Mix, Seen: request.Body.Seen,
	})
	return api.FoulFill200JSONResponse(apiFill(fill)), err
}

// TestClearing records a clearing test of a fixer.
func (a apiCalls) TestClearing(ctx context.Context, request api.TestClearingRequestObject) (api.TestClearingResponseObject, error) {
	fill, err := a.services.Fills.TestClearing(ctx, by(ctx), request.Id, chemistry.ClearingTest{
		FreshS: request.Body.FreshS, NowS: *request.Body.NowS,
	})
	return api.TestClearing200JSONResponse(apiFill(fill)), err
}

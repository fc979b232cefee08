package server

import (
	"context"

	"wetside/jobs"
	"wetside/server/api"
)

func apiDose(d jobs.Dose) api.Dose {
	shown := api.Dose{
		Id: d.ID, Batch: d.Batch, Line: d.Line, LineName: d.LineName, Solution: d.Solution, SolutionName: d.SolutionName, Fill: d.Fill,
		FillDumpedAt: d.DumpedAt, Preparation: string(d.Preparation()), At: d.At, Rolls: d.Rolls, AreaM2: d.AreaM2, Push: d.Push,
		CalledMl: d.CalledML, RoundedMl: d.RoundedML(), Recipe: d.Recipe,
	}
	if d.Given != nil {
		shown.Given = &api.Poured{At: d.Given.At, By: d.Given.By, Ml: d.Given.ML, Mix: d.Given.Mix, Why: d.Given.Why, MissingMl: d.MissingML()}
	}
	return shown
}

// ListDoses lists what film called for and what was poured.
func (a apiCalls) ListDoses(ctx context.Context, request api.ListDosesRequestObject) (api.ListDosesResponseObject, error) {
	doses, err := a.services.Doses.Doses(ctx, jobs.DoseQuery{
		Open: request.Params.Open, Batch: request.Params.Batch, Fill: request.Params.Fill, Limit: pageSize(request.Params.Limit),
	})
	return api.ListDoses200JSONResponse{Doses: each(doses, apiDose)}, err
}

// ConfirmDose records what was poured.
func (a apiCalls) ConfirmDose(ctx context.Context, request api.ConfirmDoseRequestObject) (api.ConfirmDoseResponseObject, error) {
	dose, err := a.services.Doses.ConfirmDose(ctx, by(ctx), request.Id, jobs.Confirmation{
		ML: *request.Body.Ml, Mix: request.Body.Mix, Why: request.Body.Why,
	})
	return api.ConfirmDose200JSONResponse(apiDose(dose)), err
}

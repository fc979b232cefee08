package server

import (
	"context"

	"wetside/jobs"
	"wetside/server/api"
)

func apiFill(f jobs.Fill) api.Fill {
	return api.Fill{
		Id: f.ID, Solution: f.Solution, SolutionName: f.SolutionName, Line: f.Line, LineName: f.LineName, VolumeMl: f.VolumeML,
		Mix: f.Mix, Recipe: f.Recipe, Storage: string(f.Storage), MixedAt: f.MixedAt, FilledAt: f.FilledAt, DumpedAt: f.DumpedAt,
		DumpReason: f.DumpReason, NowMl: f.NowML, Rolls: f.Rolls, AreaM2: f.AreaM2, AddedMl: f.AddedML,
	}
}

// ListFills lists the fills in use and those dumped lately.
func (a apiCalls) ListFills(ctx context.Context, _ api.ListFillsRequestObject) (api.ListFillsResponseObject, error) {
	fills, err := a.services.Fills.Fills(ctx)
	return api.ListFills200JSONResponse{Fills: each(fills, apiFill)}, err
}

// PourFill records a fresh fill.
func (a apiCalls) PourFill(ctx context.Context, request api.PourFillRequestObject) (api.PourFillResponseObject, error) {
	if err := mayOverride(callOf(ctx), request.Body.Override); err != nil {
		return nil, err
	}
	fill, err := a.services.Fills.PourFill(ctx, by(ctx), jobs.Pour{
		Solution: request.Body.Solution, Line: request.Body.Line, VolumeML: request.Body.VolumeMl,
		Mix: request.Body.Mix, Override: request.Body.Override,
	})
	return api.PourFill201JSONResponse(apiFill(fill)), err
}

// DumpFill ends a fill.
func (a apiCalls) DumpFill(ctx context.Context, request api.DumpFillRequestObject) (api.DumpFillResponseObject, error) {
	fill, err := a.services.Fills.DumpFill(ctx, by(ctx), request.Id, jobs.Dump{
		Reason: request.Body.Reason, Container: request.Body.Container,
	})
	return api.DumpFill200JSONResponse(apiFill(fill)), err
}

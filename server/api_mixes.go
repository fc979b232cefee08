package server

import (
	"context"

	"wetside/jobs"
	"wetside/server/api"
)

// apiMixes shows mixes with when they are too old.
func (a apiCalls) apiMixes(ctx context.Context, mixes []jobs.Mix, err error) ([]api.Mix, error) {
	if err != nil {
		return nil, err
	}
	catalogue, err := a.services.Catalogue.Catalogue(ctx)
	return each(mixes, func(m jobs.Mix) api.Mix {
		return api.Mix{
			Id: m.ID, Solution: m.Solution, SolutionName: m.SolutionName, Recipe: m.Recipe, Preparation: m.Preparation, VolumeMl: m.VolumeML,
			Storage: string(m.Storage), MixedAt: m.MixedAt, By: m.By, Note: m.Note, LeftMl: m.LeftML,
			KeepsUntil: m.KeepsUntil(catalogue.Solutions[m.Solution], catalogue.Lab.Zone()),
		}
	}), err
}

// oneMix shows a mix that was just changed.
func (a apiCalls) oneMix(ctx context.Context, mix jobs.Mix, err error) (api.Mix, error) {
	shown, err := a.apiMixes(ctx, []jobs.Mix{mix}, err)
	if err != nil {
		return api.Mix{}, err
	}
	return shown[0], nil
}

func apiLotUse(use jobs.LotUse) api.LotUse { return api.LotUse{Lot: use.Lot, Amount: use.Amount} }

// GetMixingSheet says what to mix, and from which lots.
func (a apiCalls) GetMixingSheet(ctx context.Context, request api.GetMixingSheetRequestObject) (api.GetMixingSheetResponseObject, error) {
	wanted := request.Params
	sheet, err := a.services.Mixes.MixingSheet(ctx, jobs.MixRequest{Solution: wanted.Solution, Preparation: wanted.Preparation, VolumeML: wanted.VolumeMl})
	return api.GetMixingSheet200JSONResponse{
		Solution: sheet.Solution, Recipe: sheet.Recipe.Version, Preparation: sheet.Preparation, VolumeMl: sheet.VolumeML, WaterMl: sheet.WaterML,
		Parts: each(sheet.Parts, func(p jobs.SheetPart) api.SheetPart {
			return api.SheetPart{Name: p.Name, Unit: p.Unit, Acid: p.Acid, Amount: p.Amount, Lots: each(p.Lots, apiLotUse), Missing: p.Missing}
		}),
		Keeps: each(sheet.Keeps, func(k jobs.KeepsFor) api.KeepsFor {
			return api.KeepsFor{Storage: k.Storage, Until: k.Until, Source: k.Source.String()}
		}),
		Steps: sheet.Steps(), Cautions: each(sheet.Cautions, func(c string) string { return c }),
	}, err
}

// ListMixes lists the mixes.
func (a apiCalls) ListMixes(ctx context.Context, _ api.ListMixesRequestObject) (api.ListMixesResponseObject, error) {
	mixes, err := a.services.Mixes.Mixes(ctx)
	shown, err := a.apiMixes(ctx, mixes, err)
	return api.ListMixes200JSONResponse{Mixes: shown}, err
}

// GetMix shows one mix with where it came from and went.
func (a apiCalls) GetMix(ctx context.Context, request api.GetMixRequestObject) (api.GetMixResponseObject, error) {
	record, err := a.services.Mixes.Mix(ctx, request.Id)
	shown, err := a.oneMix(ctx, record.Mix, err)
	return api.GetMix200JSONResponse{Mix: shown, Ledger: each(record.Moves, apiEntry), Parts: each(record.Uses(), func(u jobs.PartUse) api.PartUse {
		return api.PartUse{Name: u.Name, Unit: u.Unit, Asked: u.Asked, Used: u.Used, Lots: each(u.Lots, apiLotUse)}
	})}, err
}

// RecordMix records what was mixed.
func (a apiCalls) RecordMix(ctx context.Context, request api.RecordMixRequestObject) (api.RecordMixResponseObject, error) {
	sent := request.Body
	mix, err := a.services.Mixes.RecordMix(ctx, by(ctx), jobs.NewMix{
		MixRequest: jobs.MixRequest{Solution: sent.Solution, Preparation: sent.Preparation, VolumeML: sent.VolumeMl},
		Storage:    sent.Storage, Note: sent.Note,
		Lots: each(sent.Lots, func(use api.LotUse) jobs.LotUse { return jobs.LotUse{Lot: use.Lot, Amount: use.Amount} }),
	})
	shown, err := a.oneMix(ctx, mix, err)
	return api.RecordMix201JSONResponse(shown), err
}

// LoseMix records what was dumped or spilled of a mix.
func (a apiCalls) LoseMix(ctx context.Context, request api.LoseMixRequestObject) (api.LoseMixResponseObject, error) {
	mix, err := a.services.Mixes.LoseMix(ctx, by(ctx), request.Id, lossOf(*request.Body))
	shown, err := a.oneMix(ctx, mix, err)
	return api.LoseMix201JSONResponse(shown), err
}

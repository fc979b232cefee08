package server

import (
	"context"

	"wetside/chemistry"
	"wetside/jobs"
	"wetside/server/api"
)

// WhatIfAsItIs says what a fill, or a fresh one, comes to as it is.
func (a apiCalls) WhatIfAsItIs(ctx context.Context, request api.WhatIfAsItIsRequestObject) (api.WhatIfAsItIsResponseObject, error) {
	answer, err := a.whatIf(ctx, request.Params.Fill, request.Params.Solution, jobs.WhatIfChange{})
	return api.WhatIfAsItIs200JSONResponse(answer), err
}

// WhatIfChanged says what it would come to with something changed.
func (a apiCalls) WhatIfChanged(ctx context.Context, request api.WhatIfChangedRequestObject) (api.WhatIfChangedResponseObject, error) {
	sent := request.Body
	answer, err := a.whatIf(ctx, sent.Fill, sent.Solution, jobs.WhatIfChange{
		MLPerM2: sent.ReplenishMlPerM2, VolumeML: sent.VolumeMl, RollsPerDay: sent.RollsPerDay, StockML: sent.ReplenisherMl,
		ReplenisherPerL: sent.ReplenisherCostPerL, DaysAhead: sent.Days,
	})
	return api.WhatIfChanged200JSONResponse(answer), err
}

// whatIf compares; nothing is written.
func (a apiCalls) whatIf(ctx context.Context, fill jobs.FillID, solution jobs.SolutionID, change jobs.WhatIfChange) (api.WhatIf, error) {
	if (fill == 0) == (solution == 0) {
		return api.WhatIf{}, jobs.InvalidField("fill", "name a fill or a solution, one of the two")
	}
	records, err := a.whatIfRecords(ctx)
	if err != nil {
		return api.WhatIf{}, err
	}
	now := a.options.Now().In(records.Lab.Zone())
	var about jobs.WhatIf
	if fill != 0 {
		about, err = records.OfFill(fill, now)
	} else {
		about, err = records.OfSolution(solution, now)
	}
	if err != nil {
		return api.WhatIf{}, err
	}
	as := jobs.WhatIfChange{DaysAhead: change.DaysAhead}
	present, err := about.Prospect(as, now)
	if err != nil {
		return api.WhatIf{}, err
	}
	changed, err := about.Prospect(change, now)
	return api.WhatIf{
		Solution: about.Solution.ID, Fill: about.Fill, AsItIs: apiSupposed(about.Supposed(as), present),
		Changed: apiSupposed(about.Supposed(change), changed), Unknown: append([]string{}, about.Unknown(about.Supposed(change))...),
	}, err
}

// apiSupposed shows a use and what it comes to; what is not known is left out.
func apiSupposed(use chemistry.Supposed, p chemistry.Prospect) api.Supposed {
	shown := api.Supposed{
		ReplenishMlPerM2: use.Solution.Replenisher.MLPerM2, VolumeMl: use.VolumeML, RollsPerDay: use.RollsPerDay,
		ReplenisherMl: use.StockML, ReplenisherCostPerL: use.ReplenisherCostPerL, Days: use.Days,
		TurnoversPerDay: p.TurnoversPerDay, DaysToSteady: p.DaysToSteady, ShareAfter: p.ShareAfter, LowUse: p.LowUse,
		CapacityEnds: apiDay(p.CapacityEnds), KeepingEnds: apiDay(p.KeepingEnds), ReplenisherEnds: apiDay(p.StockEnds), RunsOut: apiDay(p.RunsOut()),
		MlPerRoll: p.Uses.MLPerRoll, MlPerDay: p.Uses.MLPerDay, MlPerMonth: chemistry.PerMonth(p.Uses.MLPerDay),
		CostPerRoll: p.Uses.CostPerRoll, CostPerDay: p.Uses.CostPerDay, CostPerMonth: chemistry.PerMonth(p.Uses.CostPerDay),
	}
	if p.BromideKnown {
		shown.BromideSteadyGPerL, shown.BromideAfterGPerL = p.BromideSteadyGPerL, p.BromideAfterGPerL
	}
	if p.RollsAtOnce >= 0 {
		shown.RollsAtOnce = &p.RollsAtOnce
	}
	return shown
}

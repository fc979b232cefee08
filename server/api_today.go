package server

import (
	"context"
	"maps"
	"slices"
	"time"

	"wetside/jobs"
	"wetside/server/api"
)

// GetToday sums up the day.
func (a apiCalls) GetToday(ctx context.Context, _ api.GetTodayRequestObject) (api.GetTodayResponseObject, error) {
	today, err := a.services.Today.Today(ctx)
	if err != nil {
		return nil, err
	}
	counts := map[string]int{}
	for state, n := range today.Counts {
		counts[string(state)] = n
	}
	return api.GetToday200JSONResponse{
		At: today.At, Morning: apiMorningShort(today.Morning), Counts: counts, Held: each(today.Held, apiRollView), DueToday: each(today.DueToday, apiRollView),
		Ready: each(today.Ready, apiRollView), Batches: each(today.Batches, apiBatch),
		AtRisk: each(today.AtRisk, func(risk jobs.Risk) api.Risk {
			return api.Risk{Roll: apiRollView(risk.Roll), Ready: risk.Ready, Save: risk.Save, CanBeSaved: risk.Saved}
		}),
	}, nil
}

// GetProposal plans the queued rolls.
func (a apiCalls) GetProposal(ctx context.Context, _ api.GetProposalRequestObject) (api.GetProposalResponseObject, error) {
	proposal, err := a.services.Batches.Propose(ctx)
	if err != nil {
		return nil, err
	}
	return api.GetProposal200JSONResponse{
		At: proposal.At, Batches: each(proposal.Batches, apiProposedBatch),
		Left: each(proposal.Left, func(left jobs.LeftOut) api.LeftOut {
			return api.LeftOut{Roll: apiRollView(left.Roll), Reason: left.Reason}
		}),
		Late: append([]jobs.RollID{}, proposal.Late...), Proven: proposal.Proven, OpenFirst: openFirst(proposal),
	}, nil
}

// openFirst lists what open batches need before they start, by their numbers.
func openFirst(proposal jobs.Proposal) []api.OpenFirst {
	list := []api.OpenFirst{}
	for _, id := range slices.Sorted(maps.Keys(proposal.First)) {
		list = append(list, api.OpenFirst{Batch: id, First: proposal.First[id]})
	}
	return list
}

func apiProposedBatch(b jobs.ProposedBatch) api.ProposedBatch {
	rolls := each(b.Rolls, func(r jobs.RollView) jobs.RollID { return r.ID })
	return api.ProposedBatch{
		Line: b.Line, LineName: b.LineName, Process: b.Process, Solution: b.Solution, Push: b.Push,
		DevelopS: b.Develop, TempC: b.TempC, PlannedStart: b.PlannedStart, End: b.End, Why: b.Why, First: b.First,
		Rolls:  each(b.Rolls, apiRollView),
		Accept: api.NewBatch{Line: b.Line, Rolls: rolls, PlannedStart: b.PlannedStart.Format(time.RFC3339)},
	}
}

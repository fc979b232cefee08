package server

import (
	"context"
	"time"

	"wetside/chemistry"
	"wetside/jobs"
	"wetside/server/api"
)

// GetFill shows one fill with its ledger and how it stands.
func (a apiCalls) GetFill(ctx context.Context, request api.GetFillRequestObject) (api.GetFillResponseObject, error) {
	fill, ledger, err := a.services.Fills.Fill(ctx, request.Id)
	if err != nil {
		return nil, err
	}
	tests, err := a.services.Fills.ClearingTests(ctx, fill.ID)
	if err != nil {
		return nil, err
	}
	catalogue, err := a.services.Catalogue.Catalogue(ctx)
	if err != nil {
		return nil, err
	}
	return api.GetFill200JSONResponse{
		Fill: apiFill(fill), State: a.fillState(fill, catalogue, ledger), Entries: each(ledger, apiEntry),
		Ledger: each(jobs.FilmThrough(ledger), func(e jobs.Entry) api.FillEntry {
			return api.FillEntry{At: e.At, Batch: e.Batch, Rolls: e.Rolls, AreaM2: e.AreaM2, By: e.By}
		}),
		ClearingTests: each(tests, func(t jobs.Clearing) api.ClearingTest {
			return api.ClearingTest{At: t.At, By: t.By, FreshS: t.FreshS, NowS: t.NowS}
		}),
	}, nil
}

func apiEntry(e jobs.Entry) api.LedgerEntry {
	return api.LedgerEntry{
		Id: e.ID, Move: e.Move, At: e.At, By: e.By, Kind: string(e.Kind), Lot: e.Lot, Mix: e.Mix, Fill: e.Fill, Container: e.Container,
		Solution: e.Solution, Amount: e.Amount, Batch: e.Batch, Rolls: e.Rolls, AreaM2: e.AreaM2, Push: e.Push, CalledMl: e.CalledML,
		Recipe: e.Recipe, Answers: e.Answers, Why: e.Why,
	}
}

// fillState is how a fill stands, or stood when it was dumped.
func (a apiCalls) fillState(fill jobs.Fill, c jobs.Catalogue, ledger []jobs.Entry) api.FillState {
	at := a.options.Now()
	if !fill.DumpedAt.IsZero() {
		at = fill.DumpedAt
	}
	state, err := fill.State(c.Solutions[fill.Solution], ledger, at.In(c.Lab.Zone()))
	if err != nil {
		// A clock that was set back must not take the ledger away.
		return api.FillState{Verdict: "not known", Reasons: []api.FillReason{{Verdict: "not known", Text: err.Error()}}}
	}
	shown := api.FillState{
		Verdict: string(state.Verdict), AreaM2: state.AreaM2, CapacityM2: state.CapacityM2, CapacityUsed: state.CapacityUsed,
		AreaLeftM2: state.AreaLeftM2, TimePercent: state.TimePercent, ReplenisherCalledMl: state.ReplenisherCalledML,
		ReplenisherAddedMl: state.ReplenisherAddedML, ReplenisherDueMl: state.ReplenisherDueML, IdleTopUpMl: state.IdleTopUpML,
		Turnovers: state.Turnovers, LowUse: state.LowUse, KeepsUntil: state.KeepsUntil, KeepingUsed: state.KeepingUsed,
		FixAtLeastS: state.FixAtLeastS, RunsOut: dayText(state.RunsOut.Date), Earliest: dayText(state.RunsOut.Earliest),
		Latest: dayText(state.RunsOut.Latest),
		Reasons: each(state.Reasons, func(r chemistry.Reason) api.FillReason {
			return api.FillReason{Verdict: string(r.Verdict), Text: r.Text}
		}),
	}
	if state.BromideKnown {
		shown.Bromide = &api.Bromide{GPerL: state.BromideGPerL, SteadyGPerL: state.BromideSteadyGPerL, SteadyShare: state.BromideSteadyShare}
	}
	return shown
}

// dayText writes a day, "" for none.
func dayText(day time.Time) string {
	if day.IsZero() {
		return ""
	}
	return day.Format(time.DateOnly)
}

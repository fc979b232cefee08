package server

import (
	"context"
	"strings"

	"wetside/jobs"
	"wetside/server/api"
)

// apiLot shows a lot; low are the parts that are running low.
func (a apiCalls) apiLot(ctx context.Context, low map[string]bool) func(jobs.Lot) api.Lot {
	d := a.desk(callOf(ctx))
	now := d.now.In(d.zone)
	return func(l jobs.Lot) api.Lot {
		return api.Lot{
			Id: l.ID, Part: l.Part, Number: l.Number, Unit: l.Unit, ExpiresOn: dayText(l.ExpiresOn), ReceivedAt: l.ReceivedAt,
			Received: l.Received, Left: l.Left, UsedLately: l.UsedLately,
			Expired: l.Expired(now), Expiring: l.Expiring(now), Low: low[strings.ToLower(l.Part)],
		}
	}
}

// oneLot shows a lot that was just changed.
func (a apiCalls) oneLot(ctx context.Context, lot jobs.Lot, err error) (api.Lot, error) {
	if err != nil {
		return api.Lot{}, err
	}
	low, _, err := a.lots(ctx)
	return a.apiLot(ctx, low)(lot), err
}

// lots reads the lots, and which parts are running low.
func (s *site) lots(ctx context.Context) (low map[string]bool, lots []jobs.Lot, err error) {
	catalogue, err := s.services.Catalogue.Catalogue(ctx)
	if err != nil {
		return nil, nil, err
	}
	lots, err = s.services.Lots.Lots(ctx)
	return catalogue.LowParts(lots, s.options.Now().In(catalogue.Lab.Zone())), lots, err
}

// ListLots lists the lots.
func (a apiCalls) ListLots(ctx context.Context, _ api.ListLotsRequestObject) (api.ListLotsResponseObject, error) {
	low, lots, err := a.lots(ctx)
	return api.ListLots200JSONResponse{Lots: each(lots, a.apiLot(ctx, low))}, err
}

// GetLot shows one lot with its ledger.
func (a apiCalls) GetLot(ctx context.Context, request api.GetLotRequestObject) (api.GetLotResponseObject, error) {
	lot, ledger, err := a.services.Lots.Lot(ctx, request.Id)
	shown, err := a.oneLot(ctx, lot, err)
	return api.GetLot200JSONResponse{Lot: shown, Ledger: each(ledger, apiEntry)}, err
}

// ReceiveLot takes into stock what came in.
func (a apiCalls) ReceiveLot(ctx context.Context, request api.ReceiveLotRequestObject) (api.ReceiveLotResponseObject, error) {
	sent := request.Body
	var wrong faults
	receipt := jobs.Receipt{Part: sent.Part, Number: sent.Number, Unit: sent.Unit, Amount: sent.Amount, ExpiresOn: calendarDay(sent.ExpiresOn, "expires_on", &wrong)}
	if err := wrong.err(); err != nil {
		return nil, err
	}
	lot, err := a.services.Lots.Receive(ctx, by(ctx), receipt)
	shown, err := a.oneLot(ctx, lot, err)
	return api.ReceiveLot201JSONResponse(shown), err
}

func lossOf(sent api.Loss) jobs.Loss {
	return jobs.Loss{Amount: sent.Amount, Reason: sent.Reason, Spilled: sent.Spilled, Container: sent.Container, TakesML: sent.TakesMl}
}

// LoseLot records what was dumped or spilled of a lot.
func (a apiCalls) LoseLot(ctx context.Context, request api.LoseLotRequestObject) (api.LoseLotResponseObject, error) {
	lot, err := a.services.Lots.LoseLot(ctx, by(ctx), request.Id, lossOf(*request.Body))
	shown, err := a.oneLot(ctx, lot, err)
	return api.LoseLot201JSONResponse(shown), err
}

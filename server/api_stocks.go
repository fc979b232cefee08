package server

import (
	"context"
	"fmt"

	"wetside/chemistry"
	"wetside/jobs"
	"wetside/server/api"
)

// ListStocks lists the film stocks, for whoever does not work here only those
// that can be ordered, and without what the lab alone needs.
func (a apiCalls) ListStocks(ctx context.Context, _ api.ListStocksRequestObject) (api.ListStocksResponseObject, error) {
	catalogue, err := a.services.Catalogue.Catalogue(ctx)
	if err != nil {
		return nil, err
	}
	show, stocks := apiOfferedStock, activeStocks(catalogue)
	if _, signed := personOf(callOf(ctx)); signed {
		show, stocks = apiStock, sortedByProcess(catalogue.Stocks)
	}
	return api.ListStocks200JSONResponse{Stocks: each(stocks, func(s jobs.Stock) api.Stock { return show(s, catalogue) })}, nil
}

// apiOfferedStock shows what a customer needs to know of a stock.
func apiOfferedStock(s jobs.Stock, c jobs.Catalogue) api.Stock {
	f := s.Film
	shown := api.Stock{
		Id: s.ID, Name: s.Name, Process: f.Process, Kind: f.Kind, Remjet: f.Remjet, Balance: f.Balance,
		IsoDaylight: f.ISODaylight, IsoTungsten: f.ISOTungsten, MaxPush: f.MaxPush, MaxPull: f.MaxPull,
		Unforgiving: f.Unforgiving, Solution: s.Solution, Solutions: []jobs.SolutionID{},
	}
	for _, times := range s.Times {
		if c.Solutions[times.Solution].Active {
			shown.Solutions = append(shown.Solutions, times.Solution)
		}
	}
	return shown
}

// apiStock shows the whole of a stock.
func apiStock(s jobs.Stock, c jobs.Catalogue) api.Stock {
	shown := apiOfferedStock(s, c)
	shown.Dx, shown.Active, shown.Version = s.DX, &s.Active, s.Version
	for _, times := range s.Times {
		shown.Times = append(shown.Times, api.StockTimes{
			Solution: times.Solution, Source: times.Source,
			Rows: each(times.Rows, func(r chemistry.BWRow) api.Row { return api.Row{TempC: r.TempC, DevelopS: r.Seconds} }),
			PushRows: each(times.PushRows, func(r chemistry.PushTime) api.PushRow {
				return api.PushRow{Push: r.Push.Float(), DevelopS: r.Seconds}
			}),
		})
	}
	return shown
}

// stockOf turns a stock as it was sent into one to save.
func stockOf(sent api.StockInput, wrong *faults) jobs.Stock {
	stock := jobs.Stock{
		Name: sent.Name, DX: sent.Dx, Solution: sent.Solution, Active: or(sent.Active, true), Version: sent.Version,
		Film: chemistry.Film{
			Kind: sent.Kind, Process: sent.Process, Remjet: sent.Remjet, Balance: sent.Balance,
			ISODaylight: sent.IsoDaylight, ISOTungsten: sent.IsoTungsten, Unforgiving: sent.Unforgiving,
			MaxPush: or(wrong.stops("max_push", &sent.MaxPush), 0), MaxPull: or(wrong.stops("max_pull", &sent.MaxPull), 0),
		},
	}
	for i, times := range sent.Times {
		set := jobs.StockTimes{Solution: times.Solution, Source: times.Source}
		for _, row := range times.Rows {
			set.Rows = append(set.Rows, chemistry.BWRow{TempC: row.TempC, Seconds: row.DevelopS})
		}
		for j, row := range times.PushRows {
			push := wrong.stops(fmt.Sprintf("times[%d].push_rows[%d].push", i, j), &row.Push)
			set.PushRows = append(set.PushRows, chemistry.PushTime{Push: or(push, 0), Seconds: row.DevelopS})
		}
		stock.Times = append(stock.Times, set)
	}
	return stock
}

// AddStock adds a stock.
func (a apiCalls) AddStock(ctx context.Context, request api.AddStockRequestObject) (api.AddStockResponseObject, error) {
	saved, err := a.saveStock(ctx, 0, *request.Body)
	return api.AddStock201JSONResponse(saved), err
}

// ChangeStock changes one.
func (a apiCalls) ChangeStock(ctx context.Context, request api.ChangeStockRequestObject) (api.ChangeStockResponseObject, error) {
	saved, err := a.saveStock(ctx, request.Id, *request.Body)
	return api.ChangeStock200JSONResponse(saved), err
}

func (a apiCalls) saveStock(ctx context.Context, id jobs.StockID, sent api.StockInput) (api.Stock, error) {
	catalogue, err := a.services.Catalogue.Catalogue(ctx)
	if err != nil {
		return api.Stock{}, err
	}
	var wrong faults
	stock := stockOf(sent, &wrong)
	wrong.seen(int64(id), sent.Version)
	if err := wrong.err(); err != nil {
		return api.Stock{}, err
	}
	if stock.ID, err = entry(catalogue.Stocks, id, "stock"); err != nil {
		return api.Stock{}, err
	}
	saved, err := a.services.Catalogue.SaveStock(ctx, by(ctx), stock)
	return apiStock(saved, catalogue), err
}

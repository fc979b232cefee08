package server

import (
	"context"
	"fmt"

	"wetside/chemistry"
	"wetside/jobs"
	"wetside/server/api"
)

// apiNewRoll turns a roll as it was sent into one as its owner describes it.
// The prefix leads the names of its fields.
func apiNewRoll(sent api.NewRoll, prefix string, wrong *faults) jobs.NewRoll {
	return jobs.NewRoll{
		Stock: sent.Stock, Format: sent.Format, Exposures: sent.Exposures, Light: sent.Light, Filter: sent.Filter,
		EI: or(sent.Ei, 0), Push: wrong.stops(prefix+"push", sent.Push), Solution: sent.Solution, Note: sent.Note,
		// As on the order form, everything is done unless it is declined.
		Service: jobs.Service{
			CutAndSleeve: or(sent.CutAndSleeve, true), Scan: or(sent.Scan, true), ReturnNegatives: or(sent.ReturnNegatives, true),
		},
	}
}

// ReadRoll tells what the lab reads in a roll.
func (a apiCalls) ReadRoll(ctx context.Context, request api.ReadRollRequestObject) (api.ReadRollResponseObject, error) {
	var wrong faults
	roll := apiNewRoll(*request.Body, "", &wrong)
	if err := wrong.err(); err != nil {
		return nil, err
	}
	catalogue, err := a.services.Catalogue.Catalogue(ctx)
	if err != nil {
		return nil, err
	}
	read, err := jobs.ReadRoll(roll, catalogue)
	if err != nil {
		return nil, err
	}
	work, err := a.services.Orders.Workload(ctx)
	if err != nil {
		return nil, err
	}
	promise := catalogue.Promise([]jobs.Roll{read.Roll}, work, a.options.Now())
	return api.ReadRoll200JSONResponse(apiReading(read, promise)), nil
}

// apiReading shows what the lab reads in a roll that it promises.
func apiReading(read jobs.Understanding, promise jobs.Promise) api.RollReading {
	return api.RollReading{
		Ready: promise.Ready, HereBy: promise.HereBy,
		Iso: read.Request.ISO, Ei: read.Request.EI, Rated: read.Request.Rated, Asked: read.Request.Asked, Left: read.Request.Left,
		Reading: read.Reading, Confirm: read.Confirm, DevelopS: read.Develop,
		Advice: each(read.Request.Advice, func(advice chemistry.Advice) api.Advice {
			return api.Advice{Code: advice.Code, Severity: advice.Severity, Text: advice.Text}
		}),
	}
}

// SendOrder takes an order in, once for each key.
func (a apiCalls) SendOrder(ctx context.Context, request api.SendOrderRequestObject) (api.SendOrderResponseObject, error) {
	sent := request.Body
	var wrong faults
	order := jobs.NewOrder{Name: sent.Name, Email: sent.Email, Phone: sent.Phone, Return: sent.Return}
	if order.Return == jobs.Post {
		order.Address = sent.Address
	}
	for i, roll := range sent.Rolls {
		order.Rolls = append(order.Rolls, apiNewRoll(roll, fmt.Sprintf("rolls[%d].", i), &wrong))
	}
	if err := wrong.err(); err != nil {
		return nil, err
	}
	taken, again, err := a.services.Orders.Submit(ctx, by(ctx), order, request.Params.IdempotencyKey)
	if err != nil {
		return nil, err
	}
	if again {
		return api.SendOrder200JSONResponse(apiOrderTaken(taken)), nil
	}
	return api.SendOrder201JSONResponse(apiOrderTaken(taken)), nil
}

func apiOrderTaken(o jobs.Order) api.OrderTaken {
	return api.OrderTaken{
		Number: o.ID, Token: o.Token, Reference: o.Reference, Page: orderPath(o), Tracking: apiRoot + "/tracking/" + o.Token,
		Submitted: o.Submitted, Due: o.Due,
		Rolls: each(o.Rolls, func(r jobs.Roll) api.RollTaken {
			return api.RollTaken{Id: r.ID, Label: r.Label(), Process: r.Process, Ei: r.EI, Push: r.Push, Reading: r.Reading, Confirm: r.Confirm}
		}),
	}
}

// apiOrder shows an order without the secret of its customer's link.
func apiOrder(o jobs.Order) api.Order {
	return api.Order{
		Number: o.ID, Reference: o.Reference, Name: o.Name, Email: o.Email, Phone: o.Phone, Return: o.Return, Address: o.Address,
		State: o.State(), Submitted: o.Submitted, Due: o.Due, Rolls: each(o.Rolls, apiRoll),
	}
}

// ListOrders lists orders, the newest first.
func (a apiCalls) ListOrders(ctx context.Context, request api.ListOrdersRequestObject) (api.ListOrdersResponseObject, error) {
	limit := pageSize(request.Params.Limit)
	orders, err := a.services.Orders.Orders(ctx, jobs.OrderQuery{
		Search: request.Params.Search, Open: request.Params.Open, Before: request.Params.Before, Limit: limit,
	})
	answer := api.ListOrders200JSONResponse{Orders: each(orders, apiOrder)}
	if len(orders) == limit {
		answer.Next = orders[limit-1].ID
	}
	return answer, err
}

// GetOrder shows one order.
func (a apiCalls) GetOrder(ctx context.Context, request api.GetOrderRequestObject) (api.GetOrderResponseObject, error) {
	order, err := a.services.Orders.Order(ctx, request.Id)
	return api.GetOrder200JSONResponse(apiOrder(order)), err
}

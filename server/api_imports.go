package server

import (
	"context"
	"io"
	"mime"
	"net/http"
	"strings"

	"github.com/labstack/echo/v4"

	"wetside/jobs"
	"wetside/server/api"
)

// mimeCSV is the kind of a file of orders.
const mimeCSV = "text/csv"

// sentOrders takes the file apart that a call brings.
func sentOrders(ctx context.Context, body io.Reader) (jobs.OrderFile, error) {
	kind, _, err := mime.ParseMediaType(callOf(ctx).Request().Header.Get(echo.HeaderContentType))
	if err != nil || kind != mimeCSV {
		return jobs.OrderFile{}, echo.NewHTTPError(http.StatusUnsupportedMediaType, "Send the file as "+mimeCSV+".")
	}
	text, err := io.ReadAll(body)
	if err != nil {
		return jobs.OrderFile{}, err
	}
	return jobs.ParseOrderFile(string(text))
}

// GetOrderTemplate sends a file with no order in it.
func (a apiCalls) GetOrderTemplate(ctx context.Context, _ api.GetOrderTemplateRequestObject) (api.GetOrderTemplateResponseObject, error) {
	catalogue, err := a.services.Catalogue.Catalogue(ctx)
	if err != nil {
		return nil, err
	}
	callOf(ctx).Response().Header().Set(echo.HeaderContentDisposition, `attachment; filename="orders.csv"`)
	return api.GetOrderTemplate200TextcsvResponse{Body: strings.NewReader(jobs.OrderTemplate(catalogue))}, nil
}

// ImportOrders takes the orders of a file in, once.
func (a apiCalls) ImportOrders(ctx context.Context, request api.ImportOrdersRequestObject) (api.ImportOrdersResponseObject, error) {
	file, err := sentOrders(ctx, request.Body)
	if err != nil {
		return nil, err
	}
	taken, again, err := a.services.Imports.Import(ctx, by(ctx), file, request.Params.IdempotencyKey)
	if err != nil {
		return nil, err
	}
	answer := api.Import{Id: taken.ID, At: taken.At, By: taken.By, Orders: each(taken.Orders, apiOrderTaken)}
	if again {
		return api.ImportOrders200JSONResponse(answer), nil
	}
	return api.ImportOrders201JSONResponse(answer), nil
}

// ReadOrderFile tells what the lab reads in a file, each order behind those
// before it.
func (a apiCalls) ReadOrderFile(ctx context.Context, request api.ReadOrderFileRequestObject) (api.ReadOrderFileResponseObject, error) {
	file, err := sentOrders(ctx, request.Body)
	if err != nil {
		return nil, err
	}
	catalogue, err := a.services.Catalogue.Catalogue(ctx)
	if err != nil {
		return nil, err
	}
	work, err := a.services.Orders.Workload(ctx)
	if err != nil {
		return nil, err
	}
	now := a.options.Now()
	orders, err := file.Orders(catalogue, work, now)
	if err != nil {
		return nil, err
	}
	same, err := a.services.Imports.SameReference(ctx, orders)
	if err != nil {
		return nil, err
	}
	var answer api.ReadOrderFile200JSONResponse
	for i, order := range orders {
		promise := catalogue.Promise(order.Admitted.Rolls, work, now)
		promise.Ready = order.Admitted.Due
		shown := apiFileOrder(order, promise, catalogue)
		shown.SameReference = same[i]
		answer.Orders = append(answer.Orders, shown)
	}
	before, err := a.services.Imports.ImportOf(ctx, file)
	if jobs.CodeOf(err) == jobs.NotFound {
		err = nil
	}
	answer.Before = before.ID
	return answer, err
}

func apiFileOrder(order jobs.FileOrder, promise jobs.Promise, catalogue jobs.Catalogue) api.FileOrder {
	o := order.Admitted
	shown := api.FileOrder{Reference: o.Reference, Name: o.Name, Email: o.Email, Phone: o.Phone, Return: o.Return, Address: o.Address}
	for i, roll := range order.Sent.Rolls {
		// It was read without fault when the order was admitted.
		read, _ := jobs.ReadRoll(roll, catalogue)
		shown.Rolls = append(shown.Rolls, api.FileRoll{
			Line: order.Lines[i], Stock: roll.Stock, Format: roll.Format, Reading: apiReading(read, promise),
		})
	}
	return shown
}

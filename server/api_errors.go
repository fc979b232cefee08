package server

import (
	"net/http"

	"github.com/labstack/echo/v4"

	"wetside/server/api"
)

// errorJSON sends an error as programs get it.
func errorJSON(c echo.Context, p problem) error {
	if c.Request().Method == http.MethodHead {
		return c.NoContent(p.Status)
	}
	return c.JSON(p.Status, api.Error{Error: api.Fault{Code: p.Code, Message: p.Detail, Fields: p.Fields, RequestId: p.RequestID}})
}

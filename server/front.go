package server

import (
	"net/http"

	"github.com/labstack/echo/v4"

	"wetside/web"
)

// frontPages greet whoever comes by.
type frontPages struct{ *site }

func (p frontPages) front(c echo.Context) error {
	catalogue, err := p.services.Catalogue.Catalogue(c.Request().Context())
	if err != nil {
		return err
	}
	return p.show(c, http.StatusOK, &web.FrontPage{
		Frame:      web.Frame{Title: "Film in, pictures out"},
		ReadyHours: catalogue.Lab.ReadyHours,
	})
}

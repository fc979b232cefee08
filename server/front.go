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
	page := &web.FrontPage{Frame: web.Frame{Title: "Send your film"}, Open: opening(catalogue.Lab, p.options.Now()),
		ReadyHours: catalogue.Lab.ReadyHours}
	for _, stock := range activeStocks(catalogue) {
		push := "as it is"
		if stock.Film.MaxPull > 0 || stock.Film.MaxPush > 0 {
			push = (-stock.Film.MaxPull).String() + " to " + stock.Film.MaxPush.String()
		}
		page.Films = append(page.Films, web.FilmRow{
			Name:    stock.Name,
			Process: processNames[stock.Film.Process],
			Speed:   speedWords(stock.Film),
			Push:    push,
		})
	}
	return p.show(c, http.StatusOK, page)
}

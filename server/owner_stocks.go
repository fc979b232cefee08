package server

import (
	"net/http"

	"github.com/labstack/echo/v4"

	"wetside/chemistry"
	"wetside/jobs"
	"wetside/web"
)

// stockPages keep the film stocks.
type stockPages struct{ *site }

func (p stockPages) list(c echo.Context) error {
	catalogue, err := p.services.Catalogue.Catalogue(c.Request().Context())
	if err != nil {
		return err
	}
	page := &web.StocksPage{OwnerFrame: ownerFrame("/stocks", "Film stocks", faults{})}
	for _, s := range sortedStocks(catalogue) {
		row := web.StockRow{
			ID: int64(s.ID), Name: s.Name, Process: string(s.Film.Process), Kind: sentence(string(s.Film.Kind)),
			Remjet: sentence(string(s.Film.Remjet)), Speed: speedWords(s.Film), Push: "none", State: useChip(s.Active),
			Solution: catalogue.Solutions[s.Solution].Name,
		}
		if s.Film.MaxPull > 0 || s.Film.MaxPush > 0 {
			row.Push = (-s.Film.MaxPull).String() + " to " + s.Film.MaxPush.String()
		}
		page.Stocks = append(page.Stocks, row)
	}
	return p.show(c, http.StatusOK, page)
}

func (p stockPages) blank(c echo.Context) error {
	_, catalogue, err := p.find(c)
	if err != nil {
		return err
	}
	form := stockForm{Remjet: string(chemistry.RemjetNone), Active: true, Times: make([]stockTimesForm, 1)}
	return p.showForm(c, jobs.Stock{}, catalogue, newTypedForm(form, faults{}), form)
}

func (p stockPages) form(c echo.Context) error {
	stock, catalogue, err := p.find(c)
	if err != nil {
		return err
	}
	form := stockFormOf(stock)
	return p.showForm(c, stock, catalogue, newTypedForm(form, faults{}), form)
}

// find returns the stock in the address; the zero one for a new one.
func (p stockPages) find(c echo.Context) (jobs.Stock, jobs.Catalogue, error) {
	id, err := entryKey(c)
	if err != nil {
		return jobs.Stock{}, jobs.Catalogue{}, err
	}
	catalogue, err := p.services.Catalogue.Catalogue(c.Request().Context())
	if err != nil || id == 0 {
		return jobs.Stock{}, catalogue, err
	}
	stock, ok := catalogue.Stocks[jobs.StockID(id)]
	if !ok {
		return stock, catalogue, jobs.Errorf(jobs.NotFound, "There is no such stock.")
	}
	return stock, catalogue, nil
}

// save saves a stock, or adds and removes a set of times in the form.
func (p stockPages) save(c echo.Context) error {
	var form stockForm
	if err := readForm(c, &form); err != nil {
		return err
	}
	was, catalogue, err := p.find(c)
	if err != nil {
		return err
	}
	if form.arrange() {
		return p.showForm(c, was, catalogue, newTypedForm(form, faults{}), form)
	}
	var wrong faults
	stock, rename := form.stock(&wrong)
	stock.ID = was.ID
	if len(wrong.list) > 0 {
		_, err := jobs.CheckStock(stock, catalogue)
		wrong.also(err, rename)
		return p.showForm(c, was, catalogue, newTypedForm(form, wrong), form)
	}
	saved, err := p.services.Catalogue.SaveStock(c.Request().Context(), actorOf(c), stock)
	if jobs.CodeOf(err) == jobs.Stale {
		now, catalogue, err := p.find(c)
		if err != nil {
			return err
		}
		stored := stockFormOf(now)
		form.Version = stored.Version
		return p.showForm(c, now, catalogue, newTypedForm(form, changedMeanwhile("this stock")).beside(stored), form)
	}
	if found, ok := faultsOf(err); ok {
		return p.showForm(c, was, catalogue, newTypedForm(form, found.renamed(rename)), form)
	}
	if err != nil {
		return err
	}
	return p.done(c, entryPath("/stocks", saved.ID), savedWords(was.ID == 0, saved.Name))
}

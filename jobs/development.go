package jobs

import (
	"maps"

	"wetside/chemistry"
)

// UsualTime returns how long a roll would be developed in a fresh solution at
// its usual temperature, by hand: what can be said of its time before it is
// known on which line it runs. Refused, with the reason, when no time is known.
func (c Catalogue) UsualTime(roll Roll) (chemistry.Development, error) {
	wetSide := WetSide{Catalogue: c}
	tank, err := wetSide.Tank(Line{}, roll.Process, roll.Solution)
	if err != nil {
		return chemistry.Development{}, err
	}
	return wetSide.DevelopmentFor(roll, tank)
}

// withStock is the catalogue as it would be with a stock that is not saved.
func (c Catalogue) withStock(stock Stock) Catalogue {
	c.Stocks = maps.Clone(c.Stocks)
	c.Stocks[stock.ID] = stock
	return c
}

package jobs

// Reclassified are the states of the rolls that a change of their stock
// concerns: they are here, and not yet in the chemistry.
var Reclassified = []RollState{Received, Held, Queued, Batched}

// Reclassifies reports whether a change to a stock concerns the rolls that are
// already here: another process or another backing decides which tank they may
// enter.
func (s Stock) Reclassifies(was Stock) bool {
	return s.Film.Process != was.Film.Process || s.Film.Remjet != was.Film.Remjet
}

// Reclassify makes a roll follow its stock, and takes it out of the queue when
// that leaves something open. A backing that was found on the roll itself stays
// as it was found. It is Refused for a roll in a batch, which has to be taken
// out first.
func Reclassify(roll Roll, was Stock, c Catalogue) (*RollMove, error) {
	stock := c.Stocks[roll.Stock]
	if roll.State == Batched {
		return nil, Errorf(Refused, "%s is %s and in a batch; take it out of the batch before its stock is changed", nameOf(roll), was.Name)
	}
	move := roll.Move()
	now := &move.Roll
	found := roll.Remjet != was.Film.Remjet
	if stock.Film.Process != roll.Process {
		var wrong fieldErrors
		wrong.changeStock(now, roll.Stock, c)
	}
	now.Remjet = stock.Film.Remjet
	if found {
		now.Remjet = roll.Remjet
	}
	open := c.openMatters(*now)
	if roll.State == Queued && open != "" {
		now.Question = open
		return move, move.To(Held, "hold", open)
	}
	move.Stay("stock changed", stock.Name+" is now "+string(now.Process)+" film, remjet "+string(now.Remjet))
	return move, nil
}

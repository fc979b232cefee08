package jobs

import (
	"math"

	"wetside/chemistry"
)

// Loss is chemistry that nobody will use: dumped into a container, or spilled.
type Loss struct {
	Amount    *float64 // nil for all that is left
	Reason    string
	Spilled   bool        // lost, so that no container takes it
	Container ContainerID // 0 for the first one in use of its kind
	TakesML   int         // of a lot in g: the room that it takes up in the container, mL; 0 in its own packaging
}

// LoseMix decides what a loss does to the ledger of a mix.
func (c Catalogue) LoseMix(mix Mix, containers Containers, loss Loss) ([]Entry, error) {
	loss, amount, err := loss.check(mix.Name(), mix.LeftML, Millilitres)
	if err != nil {
		return nil, err
	}
	if amount != mix.LeftML && amount != math.Trunc(amount) {
		return nil, InvalidField("amount", "%g mL: write whole mL", amount)
	}
	if loss.Spilled {
		return []Entry{{Kind: EntrySpilled, Mix: mix.ID, Amount: -amount, Why: loss.Reason}}, nil
	}
	into, err := containers.For(c.Solutions[mix.Solution].Family.Waste(), loss.Container, amount)
	if err != nil {
		return nil, err
	}
	return []Entry{
		{Kind: EntryDumped, Mix: mix.ID, Amount: -amount, Why: loss.Reason},
		{Kind: EntryDumped, Container: into.ID, Amount: amount, Why: loss.Reason},
	}, nil
}

// LoseLot decides what a loss does to the ledger of a lot. A concentrate goes
// with the waste of what is mixed from it, or with other waste.
func (c Catalogue) LoseLot(lot Lot, containers Containers, loss Loss) ([]Entry, error) {
	loss, amount, err := loss.check(lot.Name(), lot.Left, lot.Unit)
	if err != nil {
		return nil, err
	}
	if loss.Spilled {
		return []Entry{{Kind: EntrySpilled, Lot: lot.ID, Amount: -amount, Why: loss.Reason}}, nil
	}
	ml := amount
	if lot.Unit == Grams {
		ml = float64(loss.TakesML)
	}
	if loss.TakesML < 0 || loss.TakesML > MaxVolumeML {
		return nil, InvalidField("takes_ml", "%d mL is no room that it takes up, allowed are 0 to %d mL", loss.TakesML, MaxVolumeML)
	}
	kind, err := c.wasteOf(lot, containers, loss.Container)
	if err != nil {
		return nil, err
	}
	into, err := containers.For(kind, loss.Container, ml)
	if err != nil {
		return nil, err
	}
	return []Entry{
		{Kind: EntryDumped, Lot: lot.ID, Amount: -amount, Why: loss.Reason},
		{Kind: EntryDumped, Container: into.ID, Amount: ml, Why: loss.Reason},
	}, nil
}

// check is what goes for every loss: a reason, and no more than there is.
func (l Loss) check(name string, left float64, unit Unit) (Loss, float64, error) {
	if left <= 0 {
		return l, 0, Errorf(WrongState, "nothing is left of %s", name)
	}
	var wrong fieldErrors
	l.Reason = wrong.reason("reason", l.Reason)
	amount := left
	if l.Amount != nil {
		amount = *l.Amount
		wrong.amount("amount", amount, unit)
	}
	if err := wrong.err("this cannot be recorded like this"); err != nil {
		return l, 0, err
	}
	if amount > left {
		return l, 0, Errorf(Refused, "%g %s are left of %s, %g %s cannot be gone", left, unit, name, amount, unit)
	}
	return l, amount, nil
}

// WasteKinds lists the kinds of waste that a part may go with: those of what is
// mixed from it, and other waste; every kind where no recipe names it.
func (c Catalogue) WasteKinds(part string) []chemistry.WasteKind {
	found := map[chemistry.WasteKind]bool{chemistry.OtherWaste: true}
	for _, solution := range c.Solutions {
		for _, p := range solution.Parts {
			if (Lot{Part: part}).of(p.Name) {
				found[solution.Family.Waste()] = true
			}
		}
	}
	var kinds []chemistry.WasteKind
	for _, kind := range chemistry.WasteKinds {
		if found[kind] || len(found) == 1 {
			kinds = append(kinds, kind)
		}
	}
	return kinds
}

// wasteOf is the kind of waste that a lot becomes in a container. Where several
// are possible somebody has to choose.
func (c Catalogue) wasteOf(lot Lot, containers Containers, chosen ContainerID) (chemistry.WasteKind, error) {
	kinds := c.WasteKinds(lot.Part)
	into, ok := containers[chosen]
	if chosen == 0 || !ok {
		if len(kinds) == 2 && chosen == 0 {
			return kinds[0], nil // that of the one solution which is mixed from it
		}
		return "", InvalidField("container", "choose the container that it goes into")
	}
	for _, kind := range kinds {
		if kind == into.Kind {
			return kind, nil
		}
	}
	return kinds[0], nil // [Containers.For] says what is wrong with it
}

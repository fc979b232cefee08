package jobs

import (
	"cmp"
	"slices"
	"strings"
	"time"

	"wetside/chemistry"
)

// MixRequest is what somebody is about to mix.
type MixRequest struct {
	Solution    SolutionID
	Preparation Preparation
	VolumeML    int
}

// MixingSheet says how to mix.
type MixingSheet struct {
	MixRequest
	Recipe   Solution    // as it is
	Parts    []SheetPart // in the order of mixing; none for what is bought ready
	WaterML  float64     // about how much water it takes: what the liquid parts leave of the volume
	Keeps    []KeepsFor  // by storage, the longest first; empty where nobody has said
	Cautions []string
}

// SheetPart is one part of a mix, with the lots that it should come from.
type SheetPart struct {
	Part
	Amount  float64 // for the whole volume, to a thousandth
	Lots    []LotUse
	Missing float64 // what no usable lot has
}

// LotUse is an amount of a lot, in its unit.
type LotUse struct {
	Lot    LotID
	Amount float64
}

// KeepsFor is when a mix is too old, stored in one way.
type KeepsFor struct {
	Storage chemistry.Storage
	Until   time.Time
	Source  chemistry.Source
}

// MixingSheet works out what to mix, and from which of the lots: those that
// expire first before others, and no expired one.
func (c Catalogue) MixingSheet(wanted MixRequest, lots []Lot, now time.Time) (MixingSheet, error) {
	if err := c.checkRequest(wanted); err != nil {
		return MixingSheet{}, err
	}
	recipe := c.Solutions[wanted.Solution]
	now = now.In(c.Lab.Zone())
	sheet := MixingSheet{
		MixRequest: wanted, Recipe: recipe, WaterML: float64(wanted.VolumeML),
		Keeps: recipe.keepsFor(now), Cautions: chemistry.HandlingCautions(chemistry.Mixing, recipe.Family),
	}
	left := map[LotID]float64{}
	usable := slices.DeleteFunc(slices.Clone(lots), func(l Lot) bool { return l.Expired(now) || l.Left <= 0 })
	slices.SortStableFunc(usable, soonestFirst)
	for _, lot := range usable {
		left[lot.ID] = lot.Left
	}
	for _, part := range recipe.Parts {
		if part.Preparation != wanted.Preparation {
			continue
		}
		line := SheetPart{Part: part, Amount: part.forML(wanted.VolumeML)}
		line.Missing = line.Amount
		for _, lot := range usable {
			if !lot.of(part.Name) || lot.Unit != part.Unit || left[lot.ID] == 0 || line.Missing == 0 {
				continue
			}
			take := min(line.Missing, left[lot.ID])
			left[lot.ID], line.Missing = thousandths(left[lot.ID]-take), thousandths(line.Missing-take)
			line.Lots = append(line.Lots, LotUse{lot.ID, take})
		}
		if part.Unit == Millilitres {
			sheet.WaterML = max(0, sheet.WaterML-line.Amount)
		}
		sheet.Parts = append(sheet.Parts, line)
	}
	return sheet, nil
}

// forML is what a volume takes of a part.
func (p Part) forML(ml int) float64 { return thousandths(p.AmountPerL * float64(ml) / 1000) }

// soonestFirst orders lots by expiry, those without one last, then as they came
// in.
func soonestFirst(a, b Lot) int {
	switch {
	case a.ExpiresOn.IsZero() != b.ExpiresOn.IsZero():
		if a.ExpiresOn.IsZero() {
			return 1
		}
		return -1
	case !a.ExpiresOn.Equal(b.ExpiresOn):
		return a.ExpiresOn.Compare(b.ExpiresOn)
	}
	return cmp.Or(a.ReceivedAt.Compare(b.ReceivedAt), cmp.Compare(a.ID, b.ID))
}

// keepsFor lists how long a mix of now keeps in every storage that the recipe
// speaks of.
func (s Solution) keepsFor(mixed time.Time) []KeepsFor {
	var keeps []KeepsFor
	for _, entry := range s.life().Keeping {
		keeps = append(keeps, KeepsFor{entry.Storage, entry.Until(mixed), entry.Source})
	}
	slices.SortStableFunc(keeps, func(a, b KeepsFor) int { return b.Until.Compare(a.Until) })
	return keeps
}

// checkRequest refuses what cannot be mixed.
func (c Catalogue) checkRequest(wanted MixRequest) error {
	var wrong fieldErrors
	recipe, ok := c.Solutions[wanted.Solution]
	if !ok {
		wrong.add("solution", "there is no such solution")
	}
	wrong.oneOf("preparation", string(wanted.Preparation), names(Preparations))
	if wanted.VolumeML < MinVolumeML || wanted.VolumeML > MaxVolumeML {
		wrong.add("volume_ml", "%d mL is no volume of a mix, allowed are %d to %d mL", wanted.VolumeML, MinVolumeML, MaxVolumeML)
	}
	switch {
	case len(wrong) > 0:
		return wrong.err("this cannot be mixed")
	case !recipe.Active:
		return Errorf(Refused, "%s is out of use", recipe.Name)
	case wanted.Preparation == ReplenisherMixture && recipe.Use != chemistry.Replenished:
		return Errorf(Refused, "%s is %s, so it has no replenisher", recipe.Name, recipe.Use)
	}
	return nil
}

// hasAcid reports whether an acid goes into the mix.
func (s MixingSheet) hasAcid() bool {
	return slices.ContainsFunc(s.Parts, func(p SheetPart) bool { return p.Acid })
}

// Steps tells in words how the parts go together, in their order.
func (s MixingSheet) Steps() []string {
	if len(s.Parts) == 0 {
		return []string{"Follow the words on its bottle: the recipe names no parts."}
	}
	steps := []string{"Put on gloves, goggles and an apron, and see that the air moves.", "Begin with water, with room left for the parts."}
	if s.hasAcid() {
		steps[1] = "Begin with water, with room left for the parts: acid goes into water, never water into acid."
	}
	for _, part := range s.Parts {
		step := "Add the " + strings.TrimSpace(part.Name) + " and stir until nothing is left to see of it."
		if part.Acid {
			step = "Slowly add the acid, " + strings.TrimSpace(part.Name) + ", to the water while stirring. Never water to acid."
		}
		steps = append(steps, step)
	}
	return append(steps, "Add water to the full volume, and stir.", "Label it: what it is, when it was mixed, and until when it keeps.")
}

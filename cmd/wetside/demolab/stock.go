package demolab

import (
	"context"
	"fmt"
	"math"
	"time"

	"wetside/chemistry"
	"wetside/jobs"
)

// mixKey names what is mixed; poured is what is left of the mix of it that is
// in use.
type (
	mixKey struct {
		solution    jobs.SolutionID
		preparation jobs.Preparation
	}
	poured struct {
		mix  jobs.MixID
		left int // mL
	}
)

// leastMixML is the smallest mix that is worth the washing up.
const leastMixML = 5000

// mixFor returns a mix of which so much is left, and mixes one where there is
// none.
func (l *lab) mixFor(ctx context.Context, solution jobs.SolutionID, preparation jobs.Preparation, ml int) (jobs.MixID, error) {
	key := mixKey{solution, preparation}
	in := l.mixes[key]
	if in.left < ml {
		mix, err := l.mix(ctx, jobs.MixRequest{Solution: solution, Preparation: preparation, VolumeML: max(2*ml, leastMixML)})
		if err != nil {
			return 0, err
		}
		in = poured{mix.ID, mix.VolumeML}
	}
	in.left -= ml
	l.mixes[key] = in
	return in.mix, nil
}

// mix mixes by the sheet, and takes into stock what is missing for it.
func (l *lab) mix(ctx context.Context, wanted jobs.MixRequest) (jobs.Mix, error) {
	sheet, err := l.Mixes.MixingSheet(ctx, wanted)
	if err != nil {
		return jobs.Mix{}, err
	}
	mixed := jobs.NewMix{MixRequest: wanted, Storage: chemistry.FullBottle}
	for _, part := range sheet.Parts {
		mixed.Lots = append(mixed.Lots, part.Lots...)
		if part.Missing == 0 {
			continue
		}
		lot, err := l.receive(ctx, part.Name, part.Unit, math.Ceil(part.Missing*bottles/500)*500, 400)
		if err != nil {
			return jobs.Mix{}, err
		}
		mixed.Lots = append(mixed.Lots, jobs.LotUse{Lot: lot.ID, Amount: part.Missing})
	}
	return l.Mixes.RecordMix(ctx, l.staff, mixed)
}

// bottles is how many times what is missing comes in at once.
const bottles = 6

// receive takes a new lot into stock that may be used for so many days.
func (l *lab) receive(ctx context.Context, part string, unit jobs.Unit, amount float64, days int) (jobs.Lot, error) {
	l.lots++
	return l.Lots.Receive(ctx, l.staff, jobs.Receipt{
		Part: part, Number: fmt.Sprintf("SQ-%04d", 4400+7*l.lots), Unit: unit, Amount: amount, ExpiresOn: l.clock.Now().AddDate(0, 0, days),
	})
}

// openStore sets up the containers, and puts on the shelf what a shelf collects.
func (l *lab) openStore(ctx context.Context) error {
	containers, err := l.Waste.Containers(ctx)
	if err != nil {
		return err
	}
	for _, container := range containers {
		if container.Kind == chemistry.DeveloperWaste || container.Kind == chemistry.SilverWaste {
			container.VolumeML = 120_000
			if _, err := l.Waste.SaveContainer(ctx, jobs.Program, container); err != nil {
				return err
			}
		}
	}
	for _, one := range []struct {
		part   string
		amount float64
		days   int
	}{
		{"Fixer hardener", 250, days - 1},           // expired by now
		{"Rapid fixer concentrate", 500, days + 20}, // and one that will soon
	} {
		if _, err := l.receive(ctx, one.part, jobs.Millilitres, one.amount, one.days); err != nil {
			return err
		}
	}
	return nil
}

// haulAge is how long ago the hauler was at the demo lab.
const haulAge = 49 * time.Hour

// haul has the silver-bearing waste collected once.
func (l *lab) haul(ctx context.Context, at time.Time) error {
	if l.hauled || l.now.Sub(at) > haulAge {
		return nil
	}
	containers, err := l.Waste.Containers(ctx)
	if err != nil {
		return err
	}
	silver, err := containers.First(chemistry.SilverWaste)
	if err != nil || silver.HoldsML < 1 {
		return err
	}
	l.hauled = true
	_, err = l.Waste.Collect(ctx, l.staff, jobs.NewCollection{
		Container: silver.ID, VolumeML: int(silver.HoldsML), Hauler: "Tern and Tide Haulage", Document: "TT-20771"})
	return err
}

package chemistry

import (
	"fmt"
	"math"
)

// ReplenishRate is the replenisher that an area of film calls for.
type ReplenishRate struct {
	MLPerM2 float64
	// PushFactor multiplies the rate for every stop of push, and divides it for
	// every stop of pull. It is the lab's own setting, because pushed film wears
	// a developer more but no figure is published (US Army SS0520); 0 means 1.
	PushFactor float64
}

func (r ReplenishRate) check() error {
	if r.PushFactor == 0 {
		r.PushFactor = 1
	}
	return firstFault(
		within("replenisher in mL/m²", r.MLPerM2, 0, 1e5),
		within("push factor", r.PushFactor, 0.5, 2),
	)
}

// ml is the replenisher in mL that an area at a push level calls for. The push
// counts in developers only: the baths after them do not see it.
func (r ReplenishRate) ml(family SolutionFamily, areaM2 float64, push Stops) float64 {
	ml := areaM2 * r.MLPerM2
	if r.PushFactor != 0 && family.IsDeveloper() {
		ml *= math.Pow(r.PushFactor, push.Float())
	}
	return ml
}

// FilmLot is film of one format, length and push level in a batch.
type FilmLot struct {
	Format    Format
	Exposures int // 0 means a full roll
	Count     int // rolls, or sheets
	Push      Stops
}

// areaM2 is the area of the whole lot.
func (l FilmLot) areaM2() (float64, error) {
	if err := within("rolls", float64(l.Count), 1, 1e5); err != nil {
		return 0, err
	}
	area, err := l.Format.Area(l.Exposures)
	return float64(l.Count) * area, err
}

// BathRate is what one bath of a line takes.
type BathRate struct {
	Family SolutionFamily
	Rate   ReplenishRate
	Source Source
}

// Dose is the replenisher that one bath gets for a batch.
type Dose struct {
	Family SolutionFamily
	ML     float64
	Source Source
}

// Replenishment returns what every bath gets for a batch, in the order of the
// rates.
func Replenishment(rates []BathRate, batch []FilmLot) ([]Dose, error) {
	if len(batch) == 0 {
		return nil, fmt.Errorf("%w: no film in the batch, at least 1 roll is needed", ErrTooFew)
	}
	var doses []Dose
	for _, bath := range rates {
		if err := bath.Rate.check(); err != nil {
			return nil, fmt.Errorf("%s: %w", bath.Family, err)
		}
		dose := Dose{Family: bath.Family, Source: bath.Source}
		for _, lot := range batch {
			area, err := lot.areaM2()
			if err != nil {
				return nil, err
			}
			dose.ML += bath.Rate.ml(bath.Family, area, lot.Push)
		}
		doses = append(doses, dose)
	}
	return doses, nil
}

// MinimumML is the working solution in mL that an area of film needs at least;
// 0 where the solution's least amount is not known.
func (s Solution) MinimumML(areaM2 float64) float64 {
	return areaM2 / FilmUnitArea * s.MinimumMLPerRoll
}

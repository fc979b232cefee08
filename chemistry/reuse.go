package chemistry

import (
	"fmt"
	"math"
)

// Bounds of what goes through a developer that is reused.
const (
	// MaxReuse is the most rolls of 80 in² a litre that a time is worked out
	// for, common practice, no source: two and a half times what is published.
	// Beyond it a count or a volume is wrong, or the developer is long dead.
	MaxReuse = 100.0
	// MaxReuseM2PerL is the same in m² a litre.
	MaxReuseM2PerL = MaxReuse * FilmUnitArea

	publishedReuseM2PerL = 2 // without replenishment (ABC der Röntgentechnik)
	maxPerRoll           = 50
)

// reuseStart is the usual compensation for rolls already developed.
type reuseStart struct {
	percent float64 // of the fresh time, a roll
	source  Source
}

// The starting points for reuse.
var (
	bwStartReuse     = reuseStart{StartPerRoll, Source{CommonPractice, "starting point, MQ borax stock, one litre"}}
	colourStartReuse = reuseStart{2, Source{CommonPractice, "starting point, small kits, kit sheets"}}
)

// reuse lengthens the time for a developer that rolls went through before, by a
// percentage of the fresh time for a roll in a litre. 0 mL is a litre, or
// whatever the percentage was found in.
func (d *Development) reuse(rolls, percent, volumeML float64, start reuseStart) error {
	litres, most := 1.0, MaxReuse
	if volumeML != 0 {
		if err := within("volume of a reused developer in mL", volumeML, minVolumeML, maxVolumeML); err != nil {
			return err
		}
		litres, most = volumeML/1000, MaxReuse*volumeML/1000
	}
	if !(rolls >= 0 && rolls <= most*(1+shareError)) {
		return tooMuchReuse(rolls, most, volumeML)
	}
	if !(percent >= 0 && percent <= maxPerRoll) {
		return &RangeError{ErrRecipe, fmt.Sprintf("%g %% more time a roll", percent), fmt.Sprintf("0 to %d %%", maxPerRoll)}
	}
	if rolls == 0 {
		return nil
	}
	source := Source{LabsOwn, ""}
	if percent == 0 {
		percent, source = start.percent, start.source
		d.caution("The time added for reuse is a starting point (%g %% a roll): test it.", percent)
	}
	said := fmt.Sprintf("%g %% a roll, %s already through (%s)", percent, countOf(rolls), source)
	if volumeML != 0 {
		said = fmt.Sprintf("%g %% for a roll in a litre, %s already through %s L (%s)", percent, countOf(rolls), plain(litres), source)
		d.cautionReuse(rolls*FilmUnitArea/litres, countOf(rolls))
	}
	d.Factors = append(d.Factors, Factor{Name: "reuse", Value: 1 + percent/100*rolls/litres, Source: said})
	return nil
}

// tooMuchReuse refuses rolls that no such developer takes.
func tooMuchReuse(rolls, most, volumeML float64) error {
	value := countOf(rolls) + " rolls already through the developer"
	allowed := "0 to " + countOf(most)
	if volumeML != 0 {
		value = fmt.Sprintf("%s rolls of 80 in² already through %s L of developer", countOf(rolls), plain(volumeML/1000))
		allowed += fmt.Sprintf(" (%g a litre); pour a fresh fill, or correct what its records say", MaxReuse)
	}
	return &RangeError{ErrRecipe, value, allowed}
}

// cautionReuse warns of more film than any publication lets through.
func (d *Development) cautionReuse(m2PerL float64, rolls string) {
	if m2PerL > publishedReuseM2PerL {
		d.caution("%s rolls are %.1f m² a litre; a developer takes at most %d m² without replenishment (ABC der Röntgentechnik): test it, or pour a fresh fill.",
			rolls, m2PerL, publishedReuseM2PerL)
	}
}

// countOf writes rolls of 80 in², which shorter film makes fractions of, to a
// tenth.
func countOf(rolls float64) string { return plain(math.Round(rolls*10) / 10) }

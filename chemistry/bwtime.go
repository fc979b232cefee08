package chemistry

import (
	"errors"
	"fmt"
)

// BWRow is the developing time of a stock in a developer at a temperature.
type BWRow struct {
	TempC   float64
	Seconds int
}

// BWRecipe is how a stock is developed in one black-and-white developer. Rows
// are its tested times without a push, at one or more temperatures; PushRows
// its times by push at the first row's temperature. The zero of any other
// number stands for what is usual: see the fields.
type BWRecipe struct {
	Rows     []BWRow
	PushRows []PushTime
	// B is the developer's temperature coefficient per °C. 0 fits it to the
	// rows, or takes StartB where there is one row only.
	B float64
	// PushFactor is what one stop multiplies the time by, where there are no
	// push rows and no calibration. 0 takes StartPushFactor.
	PushFactor float64
	// Calibration, if any, serves pushes where there are no push rows.
	Calibration *Calibration
	// Reused is how many rolls of 80 in² went through the developer before, each
	// of which adds PerRollPercent of the fresh time for a litre, and less in
	// more of it. 0 per cent takes StartPerRoll, 0 mL a litre.
	Reused         float64
	PerRollPercent float64
	VolumeML       float64
	// Rotary says that agitation is continuous, which shortens the time by
	// RotaryPercent, at most MaxRotary. 0 per cent takes MaxRotary.
	Rotary        bool
	RotaryPercent float64
	// Source is where rows and push rows come from; empty is the lab's own.
	Source Source
}

// Starting points and bounds of black-and-white development.
const (
	StartB          = 0.09 // per °C, between the 0.05 and 0.12 of published developers
	StartPushFactor = 1.30 // a stop; the mean of published rows for MQ developers (HARMAN sheets)
	StartPerRoll    = 10.0 // per cent a roll after the first, MQ borax stock, one litre
	MaxRotary       = 15.0 // per cent (HARMAN, processing chart, August 2004)

	bwUsualC      = 20.0
	bwLowC        = 18.0
	bwHighC       = 24.0
	bwSofteningC  = 26.0 // above it unhardened emulsion softens
	bwEvenSeconds = 300  // below it development may be uneven
)

// ErrRows is wrapped by errors about rows of a recipe that cannot be used.
var ErrRows = errors.New("these rows cannot be used")

// ErrRecipe is wrapped by errors about the other numbers of a recipe.
var ErrRecipe = errors.New("not a number for a recipe")

// BWTime returns the developing time of a recipe at a developer temperature in
// °C and a push. Every factor is named with its source; the time is rounded to
// [RoundingSeconds] at the end only. Rows in disorder are refused with
// [ErrRows], a push out of reach with [ErrPush], other numbers with a
// [RangeError] that names what is allowed.
func BWTime(recipe BWRecipe, tempC float64, push Stops) (Development, error) {
	if err := CheckTemperature(tempC); err != nil {
		return Development{}, err
	}
	rows, err := checkedRows(recipe.Rows)
	if err != nil {
		return Development{}, err
	}
	d := Development{TempC: tempC, Cautions: []string{}}
	if err := d.base(recipe, rows, tempC); err != nil {
		return Development{}, err
	}
	if err := d.pushFactor(recipe, push); err != nil {
		return Development{}, err
	}
	if err := d.reuse(recipe.Reused, recipe.PerRollPercent, recipe.VolumeML, bwStartReuse); err != nil {
		return Development{}, err
	}
	if err := d.rotary(recipe); err != nil {
		return Development{}, err
	}
	if err := d.settleNearest(); err != nil {
		return Development{}, err
	}
	d.cautionBW()
	return d, nil
}

// rotary shortens the time for continuous agitation.
func (d *Development) rotary(recipe BWRecipe) error {
	percent := recipe.RotaryPercent
	if !(percent >= 0 && percent <= MaxRotary) {
		return &RangeError{ErrRecipe, fmt.Sprintf("%g %% less time for rotary agitation", percent), "0 to 15 %"}
	}
	if !recipe.Rotary {
		return nil
	}
	source := Source{LabsOwn, fmt.Sprintf("%g %% shorter", percent)}
	if percent == 0 {
		percent = MaxRotary
		source = Source{Published, fmt.Sprintf("HARMAN, processing chart, August 2004: up to %g %% shorter", percent)}
		d.caution("Rotary agitation shortens the time by up to %g %%, all of which is taken off here: test it.", percent)
	}
	d.Factors = append(d.Factors, Factor{Name: "rotary agitation", Value: 1 - percent/100, Source: source.String()})
	return nil
}

// cautionBW says what to look out for.
func (d *Development) cautionBW() {
	if d.Seconds < bwEvenSeconds {
		d.caution("Under %s development may be uneven (HARMAN, processing chart, August 2004).", FormatClock(bwEvenSeconds))
	}
	switch {
	case d.TempC > bwSofteningC:
		d.caution("Above %g °C unhardened emulsion softens: cool the developer (range %g to %g °C).", bwSofteningC, bwLowC, bwHighC)
	case d.TempC < bwLowC || d.TempC > bwHighC:
		d.caution("%s is outside the range of %g to %g °C: the time is less certain.", degrees(d.TempC), bwLowC, bwHighC)
	}
}

package chemistry

import (
	"fmt"
	"math"
	"slices"
)

// pushFactor returns what a push multiplies the time by, from the best that the
// recipe has: its push rows, its calibration, its factor, the starting factor.
// The first of them decides alone; where it does not reach, the push is refused.
func (d *Development) pushFactor(recipe BWRecipe, push Stops) error {
	if f := recipe.PushFactor; f != 0 && !(f > 1 && f <= 3) {
		return &RangeError{ErrRecipe, fmt.Sprintf("push factor of %g a stop", f), "above 1, up to 3 (published rows have 1.11 to 1.54)"}
	}
	rows, err := recipe.pushRows()
	if err != nil || push == 0 {
		return err
	}
	factor := Factor{Name: levelName(push)}
	switch {
	case len(rows) > 1:
		factor.Value, factor.Source, err = factorFromRows(rows, push)
	case recipe.Calibration != nil:
		factor.Value, factor.Source, err = recipe.Calibration.factor(push)
	default:
		factor.Value, factor.Source, err = d.factorPerStop(recipe.PushFactor, push)
	}
	if err != nil {
		return err
	}
	d.Factors = append(d.Factors, factor)
	return nil
}

// pushRows returns the recipe's push rows in rising order, with the first row's
// time as the level without a push.
func (r BWRecipe) pushRows() ([]PushTime, error) {
	normal := PushTime{Push: 0, Seconds: r.Rows[0].Seconds, Source: r.Source}
	rows := []PushTime{normal}
	for _, row := range r.PushRows {
		if err := checkPushTime(row); err != nil {
			return nil, err
		}
		i := slices.IndexFunc(rows, func(t PushTime) bool { return t.Push == row.Push })
		switch {
		case i < 0:
			rows = append(rows, row)
		case rows[i].Seconds != row.Seconds:
			return nil, fmt.Errorf("%w: %s takes %s and %s takes %s", ErrTable, levelName(row.Push),
				FormatClock(rows[i].Seconds), levelName(row.Push), FormatClock(row.Seconds))
		}
	}
	slices.SortFunc(rows, func(a, b PushTime) int { return int(a.Push - b.Push) })
	return rows, checkRising(rows)
}

// factorFromRows interpolates the push rows as the colour table is.
func factorFromRows(rows []PushTime, push Stops) (float64, string, error) {
	first, last := rows[0].Push, rows[len(rows)-1].Push
	if push < first || push > last {
		return 0, "", &RangeError{ErrPush, fmt.Sprintf("%s with these push rows", push), pushSpan(first, last)}
	}
	points := make([]timePoint, len(rows))
	for i, row := range rows {
		points[i] = timePoint{row.Push.Float(), float64(row.Seconds)}
	}
	curve := newTimeCurve(points)
	below, above := curve.neighbours(push.Float())
	value := curve.seconds(push.Float()) / curve.seconds(0)
	named := timesAt(rows, below.level, above.level)
	if len(named) == 1 {
		return value, fmt.Sprintf("push row: %s, where normal is %s", named[0].inWords(), FormatClock(int(curve.seconds(0)))), nil
	}
	return value, fmt.Sprintf("between the push rows %s and %s, by log time", named[0].inWords(), named[1].inWords()), nil
}

// factorPerStop is one factor for every stop, within what has been published.
func (d *Development) factorPerStop(own float64, push Stops) (float64, string, error) {
	if push < bwMinPush || push > bwMaxPush {
		return 0, "", &RangeError{ErrPush, fmt.Sprintf("%s without push rows", push), pushSpan(bwMinPush, bwMaxPush)}
	}
	if own != 0 {
		return math.Pow(own, push.Float()), Source{LabsOwn, fmt.Sprintf("× %.3g a stop", own)}.String(), nil
	}
	d.caution("The push factor is a starting point (× %.2f a stop; published rows have 1.11 to 1.54): test it, or enter push rows.", StartPushFactor)
	return math.Pow(StartPushFactor, push.Float()),
		fmt.Sprintf("starting point: × %.2f a stop, mean of published rows for MQ developers (HARMAN sheets)", StartPushFactor), nil
}

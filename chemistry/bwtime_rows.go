package chemistry

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/stat"
)

// checkedRows returns the rows in rising order of temperature, or refuses them.
func checkedRows(rows []BWRow) ([]BWRow, error) {
	if len(rows) == 0 {
		return nil, fmt.Errorf("%w: there is none; one developing time at one temperature is the least", ErrRows)
	}
	rows = slices.Clone(rows)
	for _, row := range rows {
		if err := CheckTemperature(row.TempC); err != nil {
			return nil, err
		}
		if row.Seconds < 1 || row.Seconds > MaxClockSeconds {
			return nil, &RangeError{ErrClock, fmt.Sprintf("%d s at %s", row.Seconds, degrees(row.TempC)), "1 s to 180:00"}
		}
	}
	slices.SortFunc(rows, func(a, b BWRow) int { return cmp.Compare(a.TempC, b.TempC) })
	for i := 1; i < len(rows); i++ {
		cool, warm := rows[i-1], rows[i]
		switch {
		case cool.TempC == warm.TempC:
			return nil, fmt.Errorf("%w: two rows at %s (%s and %s)", ErrRows, degrees(cool.TempC), FormatClock(cool.Seconds), FormatClock(warm.Seconds))
		case warm.Seconds > cool.Seconds:
			return nil, fmt.Errorf("%w: %s at %s but %s at %s; warmer takes no longer", ErrRows,
				FormatClock(cool.Seconds), degrees(cool.TempC), FormatClock(warm.Seconds), degrees(warm.TempC))
		}
	}
	return rows, nil
}

// FitB fits a developer's temperature coefficient b per °C, of t = t20·exp(−b·(T
// − 20)), to rows at two or more temperatures, by least squares on ln t.
func FitB(rows []BWRow) (float64, error) {
	rows, err := checkedRows(rows)
	if err != nil {
		return 0, err
	}
	if len(rows) < 2 {
		return 0, fmt.Errorf("%w: one row fits no temperature coefficient, two temperatures are needed", ErrRows)
	}
	temps, logs := make([]float64, len(rows)), make([]float64, len(rows))
	for i, row := range rows {
		temps[i], logs[i] = row.TempC, math.Log(float64(row.Seconds))
	}
	_, slope := stat.LinearRegression(temps, logs, nil, false)
	return max(0, -slope), nil
}

// coefficient returns b with where it comes from; starting says that nothing
// better was known.
func (r BWRecipe) coefficient(rows []BWRow) (b float64, source Source, starting bool, err error) {
	switch {
	case r.B != 0 && !(r.B > 0 && r.B <= 0.3):
		return 0, Source{}, false, &RangeError{ErrRecipe, fmt.Sprintf("b of %g per °C", r.B), "above 0, up to 0.3 per °C (developers have 0.05 to 0.12)"}
	case r.B != 0:
		return r.B, Source{LabsOwn, fmt.Sprintf("b = %.3g per °C", r.B)}, false, nil
	case len(rows) == 1:
		return StartB, Source{FromMemory, fmt.Sprintf("b = %.3g per °C, a starting point; developers have 0.05 to 0.12", StartB)}, true, nil
	}
	b, err = FitB(rows)
	return b, Source{Computed, fmt.Sprintf("b = %.3f per °C, fitted to %d rows", b, len(rows))}, false, err
}

// base sets the time without a push at a temperature: between the rows by the
// curve through them, which returns every row exactly, beyond them from the
// nearest row by the coefficient.
func (d *Development) base(recipe BWRecipe, rows []BWRow, tempC float64) error {
	b, source, starting, err := recipe.coefficient(rows)
	if err != nil {
		return err
	}
	nearest := rows[0]
	points := make([]timePoint, len(rows))
	for i, row := range rows {
		points[i] = timePoint{row.TempC, float64(row.Seconds)}
		if math.Abs(row.TempC-tempC) < math.Abs(nearest.TempC-tempC) {
			nearest = row
		}
	}
	d.Factors = append(d.Factors, Factor{"time at " + degrees(nearest.TempC), float64(nearest.Seconds), "s", recipe.rowSource().String()})
	d.cautionStarting(degrees(nearest.TempC), recipe.rowSource())
	const same = 1e-3 // 68 °F and 20 °C are one temperature
	if math.Abs(nearest.TempC-tempC) < same {
		return nil
	}
	factor := Factor{Name: fmt.Sprintf("temperature, %s for %s", degrees(tempC), degrees(nearest.TempC))}
	if curve := newTimeCurve(points); tempC > curve.low().level && tempC < curve.high().level {
		below, above := curve.neighbours(tempC)
		factor.Value = curve.seconds(tempC) / float64(nearest.Seconds)
		factor.Source = Source{Computed, fmt.Sprintf("between the rows at %s and %s, by log time", degrees(below.level), degrees(above.level))}.String()
	} else {
		factor.Value = math.Exp(-b * (tempC - nearest.TempC))
		factor.Source = source.String()
		if starting {
			d.caution("The temperature coefficient is a starting point (b = %.3g per °C): enter a second row, or test it.", b)
		}
	}
	d.Factors = append(d.Factors, factor)
	return nil
}

// rowSource is where the recipe's rows come from.
func (r BWRecipe) rowSource() Source {
	if r.Source.Standing == "" {
		return Source{LabsOwn, "row of the recipe"}
	}
	return r.Source
}

package server

import (
	"fmt"
	"math"

	"wetside/jobs"
	"wetside/web"
)

// doseLine writes what film calls for.
func (d desk) doseLine(dose jobs.Dose) web.DoseLine {
	line := web.DoseLine{
		ID: int64(dose.ID), Batch: int64(dose.Batch), At: d.moment(dose.At), Gone: !dose.DumpedAt.IsZero(),
		What:  volumeWords(dose.RoundedML()) + " of " + dose.SolutionName + " replenisher",
		Where: "into " + dose.LineName,
		Film:  counted(dose.Rolls, "roll", "rolls") + ", " + squareMetres(dose.AreaM2),
	}
	if dose.Fill == 0 {
		line.What, line.Where = volumeWords(dose.RoundedML())+" of "+dose.SolutionName+", used once", "on "+dose.LineName
	}
	if dose.Push != 0 {
		line.Film += ", " + pushWords(dose.Push)
	}
	if given := dose.Given; given != nil {
		line.Given, line.Off, line.By, line.Why = volumeWords(int(given.ML)), offWords(dose.MissingML()), given.By, given.Why
	}
	return line
}

func (d desk) doseLines(doses []jobs.Dose) []web.DoseLine {
	lines := make([]web.DoseLine, len(doses))
	for i, dose := range doses {
		lines[i] = d.doseLine(dose)
	}
	return lines
}

// offWords says by how much less (or, below 0, more) than called for something
// was; "" within half a millilitre, to which doses are rounded.
func offWords(missingML float64) string {
	off := math.Round(math.Abs(missingML))
	switch {
	case math.Abs(missingML) <= 0.5:
		return ""
	case missingML > 0:
		return fmt.Sprintf("%.0f mL less than called for", off)
	}
	return fmt.Sprintf("%.0f mL more than called for", off)
}

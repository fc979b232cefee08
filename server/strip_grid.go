package server

import (
	"net/url"
	"slices"
	"strconv"
	"strings"

	"wetside/chemistry"
	"wetside/jobs"
	"wetside/web"
)

// densityGrid asks for the densities of a process, as a densitometer prints
// them. The fields are named by the prefix and the patch; beside stands what
// they should be, if anything.
func (f typedForm) densityGrid(caption, prefix string, process chemistry.Process, beside jobs.Densities, needed bool) web.DensityGrid {
	grid := web.DensityGrid{Caption: caption}
	for _, patch := range jobs.Patches(process) {
		if !slices.Contains(grid.Channels, sentence(patch.Channel)) {
			grid.Channels = append(grid.Channels, sentence(patch.Channel))
		}
	}
	for _, patch := range jobs.Patches(process) {
		last := len(grid.Rows) - 1
		if last < 0 || grid.Rows[last].Name != patch.Row {
			grid.Rows = append(grid.Rows, web.DensityRow{Name: patch.Row, Cells: make([]web.DensityCell, len(grid.Channels))})
			last++
		}
		cell := &grid.Rows[last].Cells[slices.Index(grid.Channels, sentence(patch.Channel))]
		cell.Read, cell.Field = true, f.field(web.Number, prefix+patch.Name, patch.Row+" "+patch.Channel, "")
		cell.Field.Required = needed && !patch.Silver
		if aim, known := beside[patch.Name]; known {
			cell.Note = "aim " + density(aim)
		}
	}
	return grid
}

// typedDensities reads what was typed into a grid; what is empty is left out.
func typedDensities(values url.Values, prefix string, process chemistry.Process, wrong *faults) jobs.Densities {
	densities := jobs.Densities{}
	for _, patch := range jobs.Patches(process) {
		text := strings.TrimSpace(values.Get(prefix + patch.Name))
		if text == "" {
			continue
		}
		value, err := strconv.ParseFloat(strings.Replace(text, ",", ".", 1), 64)
		if err != nil {
			wrong.add(prefix+patch.Name, "%s through %s: %q is no density; write it like 0.85", patch.Row, patch.Channel, text)
			continue
		}
		densities[patch.Name] = value
	}
	return densities
}

// firstValues are the values of a form by name.
func firstValues(values url.Values) map[string]string {
	first := map[string]string{}
	for name := range values {
		first[name] = values.Get(name)
	}
	return first
}

// density writes a density as a densitometer does.
func density(value float64) string { return strconv.FormatFloat(value, 'f', 2, 64) }

// deviation writes how far something is off, with its sign.
func deviation(value float64) string {
	text := strconv.FormatFloat(value, 'f', 2, 64)
	switch {
	case text == "-0.00":
		return "0.00"
	case value > 0 && text != "0.00":
		return "+" + text
	}
	return strings.Replace(text, "-", "−", 1)
}

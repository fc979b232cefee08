package jobs

import (
	"cmp"
	"maps"
	"math"
	"slices"

	"wetside/chemistry"
)

// Densities are densities as they are read, by the name of patch and channel:
// "ld_red".
type Densities map[string]float64

// MaxDensity is the highest density that a strip reads.
const MaxDensity = 5

// maxCorrection is far beyond the correction factor of any box.
const maxCorrection = 1

// Patch is what a densitometer reads in one place of a strip through one
// channel.
type Patch struct {
	Name    string // as densities and errors name it
	Row     string // the place on the strip
	Channel string // red, green, blue or, in black and white, visual
	Silver  bool   // only read to see whether silver is left in the film
	in      func(*chemistry.StripReading) *float64
}

// visual is where a reading holds the one channel of black and white: the green
// filter is the nearest to what the eye sees. The other two stay 0 in aims and
// strips alike, so that nothing is judged by them.
const visual = chemistry.Green

var (
	colourPatches = append(channelPatches("red", "green", "blue"),
		Patch{"d_max_blue", "D-max", "blue", true, func(r *chemistry.StripReading) *float64 { return &r.DMaxBlue }},
		Patch{"yellow_blue", "Yellow", "blue", true, func(r *chemistry.StripReading) *float64 { return &r.YellowBlue }})
	greyPatches = channelPatches("visual")
)

// channelPatches lists D-min, LD and HD through each channel.
func channelPatches(channels ...string) []Patch {
	var patches []Patch
	for _, row := range []struct {
		name, row string
		in        func(*chemistry.StripReading) *[3]float64
	}{
		{"d_min", "D-min", func(r *chemistry.StripReading) *[3]float64 { return &r.DMin }},
		{"ld", "LD", func(r *chemistry.StripReading) *[3]float64 { return &r.LD }},
		{"hd", "HD", func(r *chemistry.StripReading) *[3]float64 { return &r.HD }},
	} {
		for layer, channel := range channels {
			if channel == "visual" {
				layer = visual
			}
			patches = append(patches, Patch{row.name + "_" + channel, row.row, channel, false,
				func(r *chemistry.StripReading) *float64 { return &row.in(r)[layer] }})
		}
	}
	return patches
}

// Patches lists what is read from a strip of a process, in the order of a
// densitometer's print-out.
func Patches(process chemistry.Process) []Patch {
	if process == chemistry.BW {
		return greyPatches
	}
	return colourPatches
}

// DensitiesOf lists a reading of a process by its patches, to a thousandth.
func DensitiesOf(process chemistry.Process, reading chemistry.StripReading) Densities {
	densities := Densities{}
	for _, patch := range Patches(process) {
		densities[patch.Name] = thousandth(*patch.in(&reading))
	}
	return densities
}

// thousandth rounds to what no densitometer tells any more.
func thousandth(density float64) float64 { return math.Round(density*1000) / 1000 }

// rounded rounds every density of a reading.
func rounded(reading chemistry.StripReading) chemistry.StripReading {
	for _, patch := range colourPatches {
		*patch.in(&reading) = thousandth(*patch.in(&reading))
	}
	return reading
}

// reading checks densities that must all be there, from 0 to 5. The two that
// tell of silver may both be left out where no limit judges them.
func (f *fieldErrors) reading(prefix string, process chemistry.Process, densities Densities, limits chemistry.StripLimits) chemistry.StripReading {
	_, silver := limits.Limits[chemistry.ParameterSilver]
	for _, patch := range Patches(process) {
		if _, read := densities[patch.Name]; read && patch.Silver {
			silver = true
		}
	}
	for _, patch := range Patches(process) {
		if _, read := densities[patch.Name]; !read && (silver || !patch.Silver) {
			f.add(prefix+patch.Name, "the density of %s through %s is missing", patch.Row, patch.Channel)
		}
	}
	return f.densities(prefix, process, densities, 0, MaxDensity)
}

// densities puts what is there into a reading; what is left out is 0.
func (f *fieldErrors) densities(prefix string, process chemistry.Process, densities Densities, low, high float64) chemistry.StripReading {
	var reading chemistry.StripReading
	for _, name := range slices.Sorted(maps.Keys(densities)) {
		known := slices.IndexFunc(Patches(process), func(p Patch) bool { return p.Name == name })
		if known < 0 {
			f.add(prefix+name, "%q is not read from a strip of %s", name, cmp.Or(process, "no process"))
			continue
		}
		patch := Patches(process)[known]
		if value := densities[name]; value >= low && value <= high {
			*patch.in(&reading) = value
		} else {
			f.add(prefix+name, "%g is no density of %s through %s, allowed are %g to %g", value, patch.Row, patch.Channel, low, high)
		}
	}
	return reading
}

package chemistry

// Areas that publications speak in, in m².
const (
	SquareFoot = 0.09290304
	SquareInch = 0.00064516
)

var (
	z119       = Source{Published, "Kodak Z-119, table 2-1"}
	rateMemory = Source{FromMemory, "mL for a roll of 80 in²; compare with your supplier's sheet"}
	tissTables = Source{Published, "HARMAN technology, technical information sheet, March 2025, pp. 3-4"}
)

// perFt2 and perRoll turn published rates into mL per m².
func perFt2(ml float64) ReplenishRate  { return ReplenishRate{MLPerM2: ml / SquareFoot} }
func perRoll(ml float64) ReplenishRate { return ReplenishRate{MLPerM2: ml / FilmUnitArea} }

// E6Rates are the published rates of the reversal process.
var E6Rates = []BathRate{
	{FirstDeveloper, perFt2(200), z119},
	{ReversalBath, perFt2(100), z119},
	{ColourDeveloper, perFt2(200), z119},
	{PreBleach, perFt2(100), z119},
	{Bleach, perFt2(20), z119},
	{Fixer, perFt2(100), z119},
	{FinalRinse, perFt2(100), z119},
}

// C41Rates are starting points for colour negative; with low-replenishment
// developer see [C41LowRate].
var C41Rates = []BathRate{
	{ColourDeveloper, perRoll(45), rateMemory},
	{Bleach, perRoll(5), rateMemory},
	{Fixer, perRoll(33), rateMemory},
	{FinalRinse, perRoll(40), rateMemory},
}

// C41LowRate is a starting point for low-replenishment colour developer.
var C41LowRate = BathRate{ColourDeveloper, perRoll(22), rateMemory}

// ECN2Rates are starting points for motion-picture negative.
var ECN2Rates = []BathRate{
	{ColourDeveloper, ReplenishRate{MLPerM2: 840}, Source{FromMemory, "compare with your supplier's sheet"}},
}

// BWRates are the published rates after a black-and-white developer, whose own
// rate depends on the formula.
var BWRates = []BathRate{
	{StopBath, perRoll(60), tissTables},
	{Fixer, perRoll(40), tissTables},
}

// XRayRate is the published rate of manual X-ray developer: 1 L for 3100 in².
var XRayRate = BathRate{BWDeveloper, ReplenishRate{MLPerM2: 1000 / (3100 * SquareInch)},
	Source{Published, "New Mexico Administrative Code 20.3.6.612"}}

// CapacityFigure is how much film a litre takes, for use as a starting point.
type CapacityFigure struct {
	Name   string
	Family SolutionFamily
	M2PerL float64
	Source Source
}

// Capacities are the capacities known of solutions that are not replenished.
var Capacities = []CapacityFigure{
	{"fixer, acid", Fixer, 20 * FilmUnitArea, Source{Published, "Darkroom Cookbook, 3rd edition, p. 108"}},
	{"fixer, alkaline", Fixer, 25 * FilmUnitArea, Source{Published, "Darkroom Cookbook, 3rd edition, p. 108"}},
	{"stop bath SB-5", StopBath, 12 * FilmUnitArea, Source{Published, "Darkroom Cookbook, 3rd edition, p. 268"}},
	{"X-ray developer", BWDeveloper, publishedReuseM2PerL, Source{Published, "ABC der Röntgentechnik"}},
}

// TimeRise is how much longer each further film takes in a reused solution.
type TimeRise struct {
	Name           string
	Family         SolutionFamily
	PercentPerRoll float64 // of the fresh time, for a roll of 80 in² in 1 L
	Source         Source
}

// TimeRises are the rises known of reused solutions.
var TimeRises = []TimeRise{
	{"MQ borax, stock", BWDeveloper, 10, Source{CommonPractice, "about 10 % a film after the first in 1 L"}},
	{"small C-41 kit", ColourDeveloper, 2, Source{CommonPractice, "kit sheets, about 2 % a roll"}},
}

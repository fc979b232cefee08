package demolab

import (
	"context"
	"math"
	"time"

	"wetside/chemistry"
	"wetside/jobs"
)

// solutions are the demo's recipes. Rates are those of package chemistry;
// capacities, parts, keeping, bromide and costs are invented.
var solutions = []jobs.Solution{
	{
		Name: mqBorax, Process: chemistry.BW, Family: chemistry.BWDeveloper, Use: chemistry.Reused, TempC: 20, PerRollPercent: 10,
		CapacityM2PerL: 0.41, MinimumMLPerRoll: 250, Keeping: keeping(6), CostPerL: 2.4,
		Parts: []jobs.Part{powder("MQ borax, Part A", 7), powder("MQ borax, Part B", 102)},
	},
	{
		Name: pqFineGrain, Process: chemistry.BW, Family: chemistry.BWDeveloper, Use: chemistry.OneShot, TempC: 20,
		MinimumMLPerRoll: 300, Keeping: keeping(1), CostPerL: 3.1, Parts: []jobs.Part{liquid("PQ fine grain concentrate", 200)},
	},
	{
		Name: "Rapid fixer, BW", Process: chemistry.BW, Family: chemistry.Fixer, Use: chemistry.Reused, TempC: 20,
		CapacityM2PerL: 1.03, MinimumMLPerRoll: 250, Keeping: keeping(2), CostPerL: 1.9,
		Parts: []jobs.Part{liquid("Rapid fixer concentrate", 200), acid(liquid("Fixer hardener", 10))},
	},
	developer(jobs.Solution{Name: "Colour developer, C-41", Process: chemistry.C41, Family: chemistry.ColourDeveloper, TempC: 37.8}, chemistry.C41Rates, 0.4, 1.2),
	replenished(jobs.Solution{Name: "Bleach, C-41", Process: chemistry.C41, Family: chemistry.Bleach, TempC: 38}, chemistry.C41Rates),
	replenished(jobs.Solution{Name: "Fixer, C-41", Process: chemistry.C41, Family: chemistry.Fixer, TempC: 38}, chemistry.C41Rates),
	developer(jobs.Solution{Name: "First developer, E-6", Process: chemistry.E6, Family: chemistry.FirstDeveloper, TempC: 38}, chemistry.E6Rates, 1.0, 1.3),
	replenished(jobs.Solution{Name: "Colour developer, E-6", Process: chemistry.E6, Family: chemistry.ColourDeveloper, TempC: 38}, chemistry.E6Rates),
	developer(jobs.Solution{Name: "Developer, ECN-2", Process: chemistry.ECN2, Family: chemistry.ColourDeveloper, TempC: 41.1}, chemistry.ECN2Rates, 0.6, 1.4),
}

// replenished completes a recipe that is kept going at the rate that a table
// has for its bath.
func replenished(s jobs.Solution, rates []chemistry.BathRate) jobs.Solution {
	s.Use, s.CapacityM2PerL, s.MinimumMLPerRoll = chemistry.Replenished, 0.4, 120
	for _, bath := range rates {
		if bath.Family == s.Family {
			s.Replenisher.MLPerM2 = math.Round(bath.Rate.MLPerM2)
		}
	}
	s.Keeping, s.CostPerL, s.ReplenisherCostPerL = keeping(2), 4.5, 3.6
	bottle := string(s.Process) + " " + string(s.Family)
	a, b := bottle+" A", bottle+" B"
	s.Parts = []jobs.Part{liquid(a, 80), liquid(b, 60), acid(liquid(bottle+" starter", 20))}
	for _, part := range []jobs.Part{liquid(a, 95), liquid(b, 70)} {
		part.Preparation = jobs.ReplenisherMixture
		s.Parts = append(s.Parts, part)
	}
	return s
}

// developer is a replenished developer with its bromide in g/L: in the
// replenisher, and in a fresh fill.
func developer(s jobs.Solution, rates []chemistry.BathRate, added, start float64) jobs.Solution {
	s = replenished(s, rates)
	s.Replenisher.PushFactor = 1.05
	s.Bromide = chemistry.BromideFigures{ReleasedMGPerRoll: 50, ReplenisherGPerL: added, StartGPerL: start}
	return s
}

func liquid(name string, ml float64) jobs.Part {
	return jobs.Part{Preparation: jobs.Working, Name: name, AmountPerL: ml, Unit: jobs.Millilitres}
}

func powder(name string, grams float64) jobs.Part {
	return jobs.Part{Preparation: jobs.Working, Name: name, AmountPerL: grams, Unit: jobs.Grams}
}

func acid(part jobs.Part) jobs.Part {
	part.Acid = true
	return part
}

// keeping is so many months in a full bottle, and less the more air there is.
func keeping(months int) []chemistry.Keeping {
	own := chemistry.Source{Standing: chemistry.LabsOwn, Text: invented}
	return []chemistry.Keeping{
		{Storage: chemistry.FullBottle, Months: months, Source: own},
		{Storage: chemistry.PartBottle, Days: 20 * months, Source: own},
		{Storage: chemistry.FloatingLid, Days: 25 * months, Source: own},
		{Storage: chemistry.OpenTank, Days: 15 * months, Source: own},
	}
}

// stored is how what is in a line's tanks stands between runs.
var stored = map[string]chemistry.Storage{
	"Rotary drum": chemistry.FullBottle, "Hand tanks": chemistry.FullBottle, "Dip-and-dunk": chemistry.FloatingLid,
}

// tanks are a line's tanks: one for every solution of its processes that is used
// more than once.
func tanks(line jobs.Line, known map[string]jobs.Solution) map[jobs.SolutionID]jobs.LineTank {
	const perUnitML = 300
	all := map[jobs.SolutionID]jobs.LineTank{}
	for _, s := range known {
		if s.Use != chemistry.OneShot && line.RunsProcess(s.Process) {
			all[s.ID] = jobs.LineTank{VolumeML: line.Capacity * perUnitML, Storage: stored[line.Name]}
		}
	}
	return all
}

// lately is the time of which nobody has poured the doses yet, so that some wait
// for whoever looks at the demo.
const lately = 4 * time.Hour

// pourDoses pours what film called for, a little less now and then.
func (l *lab) pourDoses(ctx context.Context, _ time.Time) error {
	open, err := l.Doses.Doses(ctx, jobs.DoseQuery{Open: true, Limit: 500})
	if err != nil {
		return err
	}
	for _, dose := range open {
		if !dose.DumpedAt.IsZero() || l.now.Sub(dose.At) < lately {
			continue
		}
		ml := dose.RoundedML()
		if dose.ID%9 == 4 {
			ml -= ml / 25
		}
		from, err := l.mixFor(ctx, dose.Solution, dose.Preparation(), ml)
		if err != nil {
			return err
		}
		if _, err := l.Doses.ConfirmDose(ctx, l.staff, dose.ID, jobs.Confirmation{ML: ml, Mix: from}); err != nil {
			return err
		}
	}
	return nil
}

package server

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"wetside/chemistry"
	"wetside/jobs"
)

// solutionForm is a recipe as it was typed. Its keeping stands in the order of
// keepingStorages.
type solutionForm struct {
	Version         string        `form:"version"`
	Name            string        `form:"name"`
	Process         string        `form:"process"`
	Family          string        `form:"family"`
	Use             string        `form:"use"`
	TempC           string        `form:"temp_c"`
	PerRoll         string        `form:"per_roll_percent"`
	Capacity        string        `form:"capacity_m2_per_l"`
	Minimum         string        `form:"minimum_ml_per_roll"`
	B               string        `form:"b"`
	PushFactor      string        `form:"push_factor"`
	Rate            string        `form:"replenish_ml_per_m2"`
	RatePush        string        `form:"replenish_push_factor"`
	BromideReleased string        `form:"bromide_release_mg"`
	BromideAdded    string        `form:"bromide_replenisher_g_per_l"`
	BromideStart    string        `form:"bromide_start_g_per_l"`
	Keeping         []keepingForm `form:"keeping" most:"5"`
	Working         string        `form:"working"`
	ReplenisherFrom string        `form:"replenisher"`
	Cost            string        `form:"cost_per_l"`
	ReplenisherCost string        `form:"replenisher_cost_per_l"`
	Active          bool          `form:"active"`
}

// keepingForm is how long a solution keeps in one kind of storage; empty where
// nobody knows.
type keepingForm struct {
	For    string `form:"for"`
	Source string `form:"source"`
}

// keepingStorages are the rows of the form's keeping, in the order in which
// entries are kept: "" goes for every storage.
var keepingStorages = append(slices.Clone(chemistry.Storages), "")

func solutionFormOf(s jobs.Solution) solutionForm {
	form := solutionForm{
		Version: fmt.Sprint(s.Version), Name: s.Name, Process: string(s.Process), Family: string(s.Family), Use: string(s.Use),
		TempC: plainFloat(s.TempC), PerRoll: plainFloat(s.PerRollPercent), Capacity: plainFloat(s.CapacityM2PerL),
		Minimum: plainFloat(s.MinimumMLPerRoll), B: plainFloat(s.B), PushFactor: plainFloat(s.PushFactor),
		Rate: plainFloat(s.Replenisher.MLPerM2), RatePush: plainFloat(s.Replenisher.PushFactor),
		BromideReleased: plainFloat(s.Bromide.ReleasedMGPerRoll), BromideAdded: plainFloat(s.Bromide.ReplenisherGPerL),
		BromideStart: plainFloat(s.Bromide.StartGPerL), Keeping: make([]keepingForm, len(keepingStorages)),
		Working: partLines(s.Parts, jobs.Working), ReplenisherFrom: partLines(s.Parts, jobs.ReplenisherMixture),
		Cost: plainFloat(s.CostPerL), ReplenisherCost: plainFloat(s.ReplenisherCostPerL), Active: s.Active,
	}
	for _, keeping := range s.Keeping {
		form.Keeping[slices.Index(keepingStorages, keeping.Storage)] = keepingForm{keepingText(keeping), keeping.Source.Text}
	}
	return form
}

// solution turns what was typed into a recipe, and returns how the form names
// the fields of the rules.
func (f solutionForm) solution(wrong *faults) (jobs.Solution, func(string) string) {
	solution := jobs.Solution{
		Version: versionOf(f.Version), Name: f.Name, Process: chemistry.Process(f.Process),
		Family: chemistry.SolutionFamily(f.Family), Use: chemistry.UseMode(f.Use), Active: f.Active,
		PerRollPercent:   measure(f.PerRoll, "per_roll_percent", wrong),
		CapacityM2PerL:   capacity(f.Capacity, "capacity_m2_per_l", wrong),
		MinimumMLPerRoll: measure(f.Minimum, "minimum_ml_per_roll", wrong),
		B:                measure(f.B, "b", wrong),
		PushFactor:       measure(f.PushFactor, "push_factor", wrong),
		TempC:            bathTemp(f.TempC, "temp_c", wrong),
		Replenisher: chemistry.ReplenishRate{
			MLPerM2: rate(f.Rate, "replenish_ml_per_m2", wrong), PushFactor: measure(f.RatePush, "replenish_push_factor", wrong),
		},
		Bromide: chemistry.BromideFigures{
			ReleasedMGPerRoll: measure(f.BromideReleased, "bromide_release_mg", wrong),
			ReplenisherGPerL:  measure(f.BromideAdded, "bromide_replenisher_g_per_l", wrong),
			StartGPerL:        measure(f.BromideStart, "bromide_start_g_per_l", wrong),
		},
		CostPerL:            measure(f.Cost, "cost_per_l", wrong),
		ReplenisherCostPerL: measure(f.ReplenisherCost, "replenisher_cost_per_l", wrong),
	}
	for _, one := range []struct{ field, value, what string }{
		{"process", f.Process, "the process"}, {"family", f.Family, "what it does"}, {"use", f.Use, "how it is used"},
	} {
		if one.value == "" {
			wrong.add(one.field, "choose %s", one.what)
		}
	}
	var names recipeNames
	for i, row := range f.Keeping {
		if i < len(keepingStorages) && strings.TrimSpace(row.For+row.Source) != "" {
			solution.Keeping = append(solution.Keeping, row.keeping(keepingStorages[i], fmt.Sprintf("keeping[%d].for", i), wrong))
			names.keeping = append(names.keeping, i)
		}
	}
	for _, list := range []struct {
		preparation jobs.Preparation
		text, field string
	}{{jobs.Working, f.Working, "working"}, {jobs.ReplenisherMixture, f.ReplenisherFrom, "replenisher"}} {
		for _, part := range typedParts(list.text, list.field, list.preparation, wrong) {
			solution.Parts = append(solution.Parts, part)
			names.parts = append(names.parts, list.field)
		}
	}
	return solution, names.field
}

// capacity reads the film that a litre takes, in m² or, with the word, in rolls
// of 80 in².
func capacity(text, field string, wrong *faults) float64 {
	number, inRolls := strings.CutSuffix(strings.TrimSuffix(strings.ToLower(strings.TrimSpace(text)), "s"), "roll")
	if !inRolls {
		return measure(strings.TrimSuffix(strings.TrimSpace(text), "m²"), field, wrong)
	}
	return measure(number, field, wrong) * chemistry.FilmUnitArea
}

// rate reads the replenisher for film in mL for a m² or, with the word, for a
// roll of 80 in², as in "45 mL a roll": that comes to a hundredth of a mL.
func rate(text, field string, wrong *faults) float64 {
	number, forRoll := strings.CutSuffix(strings.ToLower(strings.TrimSpace(text)), "roll")
	for _, word := range []string{"m²", "for a", "per", "a", "/", "ml"} {
		number = strings.TrimSpace(strings.TrimSuffix(strings.TrimSpace(number), word))
	}
	if !forRoll {
		return measure(number, field, wrong)
	}
	return math.Round(measure(number, field, wrong)/chemistry.FilmUnitArea*100) / 100
}

package server

import (
	"context"
	"fmt"
	"strconv"

	"wetside/chemistry"
	"wetside/jobs"
	"wetside/server/api"
)

// showRecipe adds what a recipe says beyond the first figures of a solution.
func showRecipe(shown *api.Solution, s jobs.Solution) {
	shown.ReplenishMlPerM2, shown.ReplenishPushFactor = s.Replenisher.MLPerM2, s.Replenisher.PushFactor
	shown.MinimumMlPerRoll = s.MinimumMLPerRoll
	shown.BromideReleaseMg, shown.BromideReplenisherGPerL = s.Bromide.ReleasedMGPerRoll, s.Bromide.ReplenisherGPerL
	shown.BromideStartGPerL = s.Bromide.StartGPerL
	shown.CostPerL, shown.ReplenisherCostPerL = s.CostPerL, s.ReplenisherCostPerL
	shown.Waste = string(s.Family.Waste())
	for _, keeping := range s.Keeping {
		shown.Keeping = append(shown.Keeping, api.Keeping{Storage: string(keeping.Storage), Months: keeping.Months, Days: keeping.Days, Source: keeping.Source.Text})
	}
	for _, part := range s.Parts {
		shown.Parts = append(shown.Parts, api.Part{Preparation: string(part.Preparation), Name: part.Name, AmountPerL: part.AmountPerL,
			Unit: string(part.Unit), Acid: part.Acid})
	}
}

// takeRecipe puts what was sent of a recipe in the place of what it said; what
// was left out stays, so that whoever knows nothing of it does no harm.
func takeRecipe(s *jobs.Solution, sent api.SolutionInput) {
	for _, one := range []struct {
		sent   *float64
		figure *float64
	}{
		{sent.ReplenishMlPerM2, &s.Replenisher.MLPerM2}, {sent.ReplenishPushFactor, &s.Replenisher.PushFactor},
		{sent.MinimumMlPerRoll, &s.MinimumMLPerRoll}, {sent.BromideReleaseMg, &s.Bromide.ReleasedMGPerRoll},
		{sent.BromideReplenisherGPerL, &s.Bromide.ReplenisherGPerL}, {sent.BromideStartGPerL, &s.Bromide.StartGPerL},
		{sent.CostPerL, &s.CostPerL}, {sent.ReplenisherCostPerL, &s.ReplenisherCostPerL},
	} {
		if one.sent != nil {
			*one.figure = *one.sent
		}
	}
	if sent.Keeping != nil {
		s.Keeping = each(sent.Keeping, func(k api.Keeping) chemistry.Keeping {
			return chemistry.Keeping{Storage: chemistry.Storage(k.Storage), Months: k.Months, Days: k.Days,
				Source: chemistry.Source{Standing: chemistry.LabsOwn, Text: k.Source}}
		})
	}
	if sent.Parts != nil {
		s.Parts = each(sent.Parts, func(p api.Part) jobs.Part {
			return jobs.Part{Preparation: jobs.Preparation(p.Preparation), Name: p.Name, AmountPerL: p.AmountPerL, Unit: jobs.Unit(p.Unit), Acid: p.Acid}
		})
	}
}

// apiTanks shows what a line's tanks hold, by solution.
func apiTanks(tanks map[jobs.SolutionID]jobs.LineTank) map[string]api.LineTank {
	shown := map[string]api.LineTank{}
	for id, tank := range tanks {
		shown[strconv.FormatInt(int64(id), 10)] = api.LineTank{VolumeMl: tank.VolumeML, Storage: string(tank.Storage)}
	}
	return shown
}

// takeTanks reads what the tanks hold; what was left out stays as it was.
func takeTanks(was map[jobs.SolutionID]jobs.LineTank, sent map[string]api.LineTank, wrong *faults) map[jobs.SolutionID]jobs.LineTank {
	if sent == nil {
		return was
	}
	tanks := map[jobs.SolutionID]jobs.LineTank{}
	for key, tank := range sent {
		id, err := strconv.ParseInt(key, 10, 64)
		if err != nil {
			wrong.add(fmt.Sprintf("tanks[%s]", key), "%q is no key of a solution: keys are whole numbers from 1", key)
		}
		tanks[jobs.SolutionID(id)] = jobs.LineTank{VolumeML: tank.VolumeMl, Storage: chemistry.Storage(tank.Storage)}
	}
	return tanks
}

// ListRecipeVersions lists the versions of a solution.
func (a apiCalls) ListRecipeVersions(ctx context.Context, request api.ListRecipeVersionsRequestObject) (api.ListRecipeVersionsResponseObject, error) {
	versions, err := a.services.Catalogue.RecipeVersions(ctx, request.Id)
	if err != nil {
		return nil, err
	}
	answer := api.ListRecipeVersions200JSONResponse{}
	for i, version := range versions {
		shown := api.RecipeVersion{At: version.At, By: version.By, Solution: apiSolution(version.Solution), Changes: []api.RecipeChange{}}
		if i+1 < len(versions) {
			for _, change := range jobs.RecipeChanges(versions[i+1].Solution, version.Solution) {
				shown.Changes = append(shown.Changes, api.RecipeChange{Name: change.Name, Was: change.Was, Now: change.Now})
			}
		}
		answer.Versions = append(answer.Versions, shown)
	}
	return answer, nil
}

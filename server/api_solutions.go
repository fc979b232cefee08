package server

import (
	"context"

	"wetside/chemistry"
	"wetside/jobs"
	"wetside/server/api"
)

// ListSolutions lists the solutions, for whoever does not work here only the
// developers that can be asked for.
func (a apiCalls) ListSolutions(ctx context.Context, _ api.ListSolutionsRequestObject) (api.ListSolutionsResponseObject, error) {
	catalogue, err := a.services.Catalogue.Catalogue(ctx)
	if err != nil {
		return nil, err
	}
	_, signed := personOf(callOf(ctx))
	answer := api.ListSolutions200JSONResponse{Solutions: []api.Solution{}}
	for _, solution := range sortedByProcess(catalogue.Solutions) {
		switch {
		case signed:
			answer.Solutions = append(answer.Solutions, apiSolution(solution))
		case solution.Active && solution.Family == chemistry.BWDeveloper:
			answer.Solutions = append(answer.Solutions, apiOfferedSolution(solution))
		}
	}
	return answer, nil
}

// apiOfferedSolution shows what a customer needs to know of a developer.
func apiOfferedSolution(s jobs.Solution) api.Solution {
	return api.Solution{Id: s.ID, Name: s.Name, Process: s.Process, Family: s.Family, Use: s.Use, TempC: s.TempC}
}

// apiSolution shows the whole of a solution.
func apiSolution(s jobs.Solution) api.Solution {
	shown := apiOfferedSolution(s)
	shown.PerRollPercent, shown.CapacityM2PerL, shown.B, shown.PushFactor = s.PerRollPercent, s.CapacityM2PerL, s.B, s.PushFactor
	shown.Active, shown.Version = &s.Active, s.Version
	showRecipe(&shown, s)
	return shown
}

// AddSolution adds a solution.
func (a apiCalls) AddSolution(ctx context.Context, request api.AddSolutionRequestObject) (api.AddSolutionResponseObject, error) {
	saved, err := a.saveSolution(ctx, 0, *request.Body)
	return api.AddSolution201JSONResponse(apiSolution(saved)), err
}

// ChangeSolution changes one.
func (a apiCalls) ChangeSolution(ctx context.Context, request api.ChangeSolutionRequestObject) (api.ChangeSolutionResponseObject, error) {
	saved, err := a.saveSolution(ctx, request.Id, *request.Body)
	return api.ChangeSolution200JSONResponse(apiSolution(saved)), err
}

func (a apiCalls) saveSolution(ctx context.Context, id jobs.SolutionID, sent api.SolutionInput) (jobs.Solution, error) {
	var wrong faults
	wrong.seen(int64(id), sent.Version)
	if err := wrong.err(); err != nil {
		return jobs.Solution{}, err
	}
	catalogue, err := a.services.Catalogue.Catalogue(ctx)
	if err != nil {
		return jobs.Solution{}, err
	}
	if _, err := entry(catalogue.Solutions, id, "solution"); err != nil {
		return jobs.Solution{}, err
	}
	solution := catalogue.Solutions[id]
	solution.Name, solution.Process, solution.Family, solution.Use = sent.Name, sent.Process, sent.Family, sent.Use
	solution.TempC, solution.PerRollPercent, solution.CapacityM2PerL = sent.TempC, sent.PerRollPercent, sent.CapacityM2PerL
	solution.B, solution.PushFactor = sent.B, sent.PushFactor
	takeRecipe(&solution, sent)
	solution.Active, solution.Version = or(sent.Active, true), sent.Version
	return a.services.Catalogue.SaveSolution(ctx, by(ctx), solution)
}

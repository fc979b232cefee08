package postgres

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"

	"github.com/jackc/pgx/v5"

	"wetside/jobs"
)

const recipeColumns = "at, by_name, recipe FROM solution_versions WHERE solution_id = $1"

// RecipeVersions lists the versions of a solution, the latest first.
func (s *CatalogueStore) RecipeVersions(ctx context.Context, id jobs.SolutionID) ([]jobs.RecipeVersion, error) {
	rows, err := s.db.pool.Query(ctx, "SELECT "+recipeColumns+" ORDER BY version DESC", id)
	if err != nil {
		return nil, err
	}
	versions, err := pgx.CollectRows(rows, scanRecipe)
	if err != nil {
		return nil, err
	}
	if len(versions) == 0 {
		return nil, jobs.Errorf(jobs.NotFound, "There is no such solution.")
	}
	return versions, nil
}

// Recipe returns one version of a solution.
func (s *CatalogueStore) Recipe(ctx context.Context, id jobs.SolutionID, version int) (jobs.RecipeVersion, error) {
	rows, err := s.db.pool.Query(ctx, "SELECT "+recipeColumns+" AND version = $2", id, version)
	if err != nil {
		return jobs.RecipeVersion{}, err
	}
	recipe, err := pgx.CollectExactlyOneRow(rows, scanRecipe)
	if errors.Is(err, pgx.ErrNoRows) {
		return jobs.RecipeVersion{}, jobs.Errorf(jobs.NotFound, "There is no version %d of such a solution on record.", version)
	}
	return recipe, err
}

func scanRecipe(row pgx.CollectableRow) (jobs.RecipeVersion, error) {
	var version jobs.RecipeVersion
	var recipe []byte
	if err := row.Scan(&version.At, &version.By, &recipe); err != nil {
		return version, err
	}
	if err := json.Unmarshal(recipe, &version.Solution); err != nil {
		return version, fmt.Errorf("a version of a recipe: %w", err)
	}
	version.At = version.At.UTC()
	return version, nil
}

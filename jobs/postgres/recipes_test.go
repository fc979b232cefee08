package postgres

import (
	"context"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"wetside/chemistry"
	"wetside/jobs"
)

// fullRecipe is a replenished colour developer of which everything is said.
func fullRecipe() jobs.Solution {
	own := func(text string) chemistry.Source { return chemistry.Source{Standing: chemistry.LabsOwn, Text: text} }
	return jobs.Solution{
		Name: "C-41 developer, low rate", Process: chemistry.C41, Family: chemistry.ColourDeveloper, Use: chemistry.Replenished,
		TempC: 37.8, CapacityM2PerL: 0.8, Active: true,
		Replenisher:      chemistry.ReplenishRate{MLPerM2: 426.3, PushFactor: 1.1},
		MinimumMLPerRoll: 120,
		Bromide:          chemistry.BromideFigures{ReleasedMGPerRoll: 50, ReplenisherGPerL: 0.4, StartGPerL: 1.3},
		Keeping: []chemistry.Keeping{
			{Storage: chemistry.FloatingLid, Months: 2, Source: own("supplier's sheet")},
			{Storage: chemistry.OpenTank, Days: 10, Source: own("")},
		},
		Parts: []jobs.Part{
			{Preparation: jobs.Working, Name: "Part B", AmountPerL: 60, Unit: jobs.Millilitres},
			{Preparation: jobs.Working, Name: "Starter", AmountPerL: 2.5, Unit: jobs.Grams, Acid: true},
			{Preparation: jobs.ReplenisherMixture, Name: "Part B", AmountPerL: 75, Unit: jobs.Millilitres},
			{Preparation: jobs.ReplenisherMixture, Name: "Part A", AmountPerL: 100, Unit: jobs.Millilitres},
		},
		CostPerL: 4.2, ReplenisherCostPerL: 3.1,
	}
}

func TestRecipesAreReadAsTheyWereSaved(t *testing.T) {
	t.Parallel()
	lab, ctx := newLab(t), context.Background()
	saved, err := lab.catalogue.SaveSolution(ctx, ada, fullRecipe())
	lab.must(err)
	want := fullRecipe()
	want.ID, want.Version = saved.ID, 1
	for what, got := range map[string]jobs.Solution{"returned": saved, "read": lab.readCatalogue().Solutions[saved.ID]} {
		if diff := cmp.Diff(want, got); diff != "" {
			t.Errorf("%s:\n%s", what, diff)
		}
	}
	// What is taken out of a recipe is gone, and it can be emptied.
	less := saved
	less.Parts, less.Keeping, less.Replenisher = saved.Parts[1:2], saved.Keeping[1:], chemistry.ReplenishRate{}
	less, err = lab.catalogue.SaveSolution(ctx, ada, less)
	lab.must(err)
	if diff := cmp.Diff(less, lab.readCatalogue().Solutions[saved.ID]); diff != "" {
		t.Error(diff)
	}
	_, err = lab.catalogue.SaveSolution(ctx, ada, saved)
	wantCode(t, err, jobs.Stale)
	less.Parts, less.Keeping = nil, nil
	less, err = lab.catalogue.SaveSolution(ctx, ada, less)
	lab.must(err)
	if diff := cmp.Diff(less, lab.readCatalogue().Solutions[saved.ID]); diff != "" {
		t.Error(diff)
	}
}

func TestTanksOfALineAreKept(t *testing.T) {
	t.Parallel()
	lab, ctx := newLab(t), context.Background()
	line := lab.readCatalogue().Lines[dipAndDunk]
	line.Tanks = map[jobs.SolutionID]jobs.LineTank{c41Developer: {VolumeML: 50_000, Storage: chemistry.FloatingLid}}
	line, err := lab.catalogue.SaveLine(ctx, ada, line)
	lab.must(err)
	if diff := cmp.Diff(line, lab.readCatalogue().Lines[dipAndDunk]); diff != "" {
		t.Error(diff)
	}
	wrong := line
	wrong.Tanks = map[jobs.SolutionID]jobs.LineTank{mqBorax: {VolumeML: 1000}}
	_, err = lab.catalogue.SaveLine(ctx, ada, wrong)
	wantCode(t, err, jobs.Invalid)
	line.Tanks = nil
	line, err = lab.catalogue.SaveLine(ctx, ada, line)
	lab.must(err)
	if diff := cmp.Diff(line, lab.readCatalogue().Lines[dipAndDunk]); diff != "" {
		t.Error(diff)
	}
}

// Every save leaves the recipe as it then was, and a save that is refused
// leaves none.
func TestEveryVersionOfARecipeIsKept(t *testing.T) {
	t.Parallel()
	lab, ctx := newLab(t), context.Background()
	first, err := lab.catalogue.SaveSolution(ctx, ada, fullRecipe())
	lab.must(err)
	second := first
	second.Replenisher.MLPerM2, second.Parts = 872, second.Parts[:2]
	lab.clock.advance(time.Hour)
	later := fixtureStart.Add(time.Hour)
	second, err = lab.catalogue.SaveSolution(ctx, jobs.Actor{Name: "Wren"}, second)
	lab.must(err)
	_, err = lab.catalogue.SaveSolution(ctx, ada, first)
	wantCode(t, err, jobs.Stale)
	bad := second
	bad.TempC = 99
	_, err = lab.catalogue.SaveSolution(ctx, ada, bad)
	wantCode(t, err, jobs.Invalid)
	want := []jobs.RecipeVersion{{At: later, By: "Wren", Solution: second}, {At: fixtureStart, By: "Ada", Solution: first}}
	got, err := lab.catalogue.RecipeVersions(ctx, first.ID)
	lab.must(err)
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
	one, err := lab.catalogue.Recipe(ctx, first.ID, 1)
	lab.must(err)
	if diff := cmp.Diff(want[1], one); diff != "" {
		t.Error(diff)
	}
	_, err = lab.catalogue.Recipe(ctx, first.ID, 3)
	wantCode(t, err, jobs.NotFound)
	_, err = lab.catalogue.RecipeVersions(ctx, 99)
	wantCode(t, err, jobs.NotFound)
}

package jobs

import (
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"wetside/chemistry"
)

func TestARecipeInWords(t *testing.T) {
	t.Parallel()
	recipe := replenishedRecipe()
	recipe.Keeping[1].Source.Text = "supplier's sheet"
	recipe.Active = false
	want := []RecipeLine{
		{"Name", "Colour developer"}, {"Process", "C-41"}, {"What it does", "colour developer"}, {"How it is used", "replenished"},
		{"Working temperature", "37.8 °C"}, {"Least for a roll", "120 mL"},
		{"Replenisher", "872 mL for a m²"}, {"Replenisher, push factor", "1.1 a stop"},
		{"Bromide from a roll", "50 mg"}, {"Bromide in the replenisher", "0.4 g/L"}, {"Bromide at the start", "1.3 g/L"},
		{"Keeps in an open tank", "10 days"}, {"Keeps however it stands", "2 months (supplier's sheet)"},
		{"Part A in the working mixture", "900 mL for a litre"}, {"Starter in the working mixture", "100 mL for a litre, an acid"},
		{"Order of the working mixture", "Part A, Starter"}, {"part a in the replenisher mixture", "1000 mL for a litre"},
		{"Cost of a litre", "4"}, {"Cost of a litre of replenisher", "3"}, {"Out of use", "yes"},
	}
	if diff := cmp.Diff(want, recipe.Says()); diff != "" {
		t.Error(diff)
	}
}

func TestRecipeChanges(t *testing.T) {
	t.Parallel()
	was, now := replenishedRecipe(), replenishedRecipe()
	now.Replenisher = chemistry.ReplenishRate{MLPerM2: 426}
	now.Parts = []Part{was.Parts[1], was.Parts[0]}
	now.CapacityM2PerL = 0.8
	want := []RecipeChange{
		{"Capacity of a litre", "", "0.8 m²"},
		{"Replenisher", "872 mL for a m²", "426 mL for a m²"},
		{"Order of the working mixture", "Part A, Starter", "Starter, Part A"},
		{"Replenisher, push factor", "1.1 a stop", ""},
		{"part a in the replenisher mixture", "1000 mL for a litre", ""},
	}
	if diff := cmp.Diff(want, RecipeChanges(was, now)); diff != "" {
		t.Error(diff)
	}
}

// Nothing changed says nothing, and what is undone reads backwards.
func TestRecipeChangesReadBothWays(t *testing.T) {
	t.Parallel()
	recipe := rapid.Custom(func(t *rapid.T) Solution {
		s := replenishedRecipe()
		s.TempC = rapid.SampledFrom([]float64{37.8, 38}).Draw(t, "°C")
		s.Replenisher.MLPerM2 = rapid.SampledFrom([]float64{0, 872, 426}).Draw(t, "rate")
		s.Parts = s.Parts[:rapid.IntRange(0, 3).Draw(t, "parts")]
		s.Keeping = s.Keeping[:rapid.IntRange(0, 2).Draw(t, "keeping")]
		s.Active = rapid.Bool().Draw(t, "active")
		return s
	})
	rapid.Check(t, func(t *rapid.T) {
		one, two := recipe.Draw(t, "one"), recipe.Draw(t, "two")
		if changes := RecipeChanges(one, one); len(changes) > 0 {
			t.Errorf("nothing changed: %v", changes)
		}
		back := map[RecipeChange]bool{}
		for _, change := range RecipeChanges(two, one) {
			back[RecipeChange{change.Name, change.Now, change.Was}] = true
		}
		there := map[RecipeChange]bool{}
		for _, change := range RecipeChanges(one, two) {
			there[change] = true
		}
		if diff := cmp.Diff(there, back); diff != "" {
			t.Error(diff)
		}
	})
}

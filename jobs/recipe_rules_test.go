package jobs

import (
	"math"
	"slices"
	"strings"
	"testing"

	"wetside/chemistry"
)

// replenishedRecipe is a developer of which everything is said.
func replenishedRecipe() Solution {
	return Solution{
		Name: "Colour developer", Process: chemistry.C41, Family: chemistry.ColourDeveloper, Use: chemistry.Replenished, TempC: 37.8,
		Replenisher: chemistry.ReplenishRate{MLPerM2: 872, PushFactor: 1.1}, MinimumMLPerRoll: 120,
		Bromide:  chemistry.BromideFigures{ReleasedMGPerRoll: 50, ReplenisherGPerL: 0.4, StartGPerL: 1.3},
		Keeping:  []chemistry.Keeping{{Storage: chemistry.OpenTank, Days: 10}, {Months: 2}},
		Parts:    []Part{{Working, "Part A", 900, Millilitres, false}, {Working, "Starter", 100, Millilitres, true}, {ReplenisherMixture, "part a", 1000, Millilitres, false}},
		CostPerL: 4, ReplenisherCostPerL: 3, Active: true,
	}
}

func TestCheckRecipe(t *testing.T) {
	t.Parallel()
	part := func(change func(*Part)) func(*Solution) {
		return func(s *Solution) { change(&s.Parts[1]) }
	}
	keeping := func(change func(*chemistry.Keeping)) func(*Solution) {
		return func(s *Solution) { change(&s.Keeping[0]) }
	}
	for _, test := range []struct {
		name   string
		change func(*Solution)
		fields []string // none where it is right
	}{
		{"as it is", func(*Solution) {}, nil},
		{"nothing said", func(s *Solution) {
			*s = Solution{Name: s.Name, Process: s.Process, Family: s.Family, Use: s.Use, TempC: s.TempC}
		}, nil},
		{"negative rate", func(s *Solution) { s.Replenisher.MLPerM2 = -1 }, []string{"replenish_ml_per_m2"}},
		{"the highest rate", func(s *Solution) { s.Replenisher.MLPerM2 = 1e5 }, nil},
		{"a rate too high", func(s *Solution) { s.Replenisher.MLPerM2 = 100_001 }, []string{"replenish_ml_per_m2"}},
		{"no number", func(s *Solution) { s.Replenisher.MLPerM2 = math.NaN() }, []string{"replenish_ml_per_m2"}},
		{"push counts half", func(s *Solution) { s.Replenisher.PushFactor = 0.5 }, nil},
		{"push counts less", func(s *Solution) { s.Replenisher.PushFactor = 0.49 }, []string{"replenish_push_factor"}},
		{"push counts more", func(s *Solution) { s.Replenisher.PushFactor = 2.01 }, []string{"replenish_push_factor"}},
		{"a rate and parts of what is reused", func(s *Solution) { s.Use = chemistry.Reused }, []string{"replenish_ml_per_m2", "parts[2].preparation"}},
		{"negative minimum", func(s *Solution) { s.MinimumMLPerRoll = -0.1 }, []string{"minimum_ml_per_roll"}},
		{"bromide", func(s *Solution) {
			s.Bromide = chemistry.BromideFigures{ReleasedMGPerRoll: 1001, ReplenisherGPerL: 101, StartGPerL: -1}
		},
			[]string{"bromide_release_mg", "bromide_replenisher_g_per_l", "bromide_start_g_per_l"}},
		{"bromide of a fixer", func(s *Solution) { s.Family = chemistry.Fixer }, []string{"bromide_release_mg"}},
		{"costs", func(s *Solution) { s.CostPerL, s.ReplenisherCostPerL = -1, math.Inf(1) }, []string{"cost_per_l", "replenisher_cost_per_l"}},
		{"unknown storage", keeping(func(k *chemistry.Keeping) { k.Storage = "shelf" }), []string{"keeping[0].storage"}},
		{"storage twice", keeping(func(k *chemistry.Keeping) { k.Storage = "" }), []string{"keeping[1].storage"}},
		{"keeps for no time", keeping(func(k *chemistry.Keeping) { k.Days = 0 }), []string{"keeping[0].days"}},
		{"keeps for less", keeping(func(k *chemistry.Keeping) { k.Days = -1 }), []string{"keeping[0].days"}},
		{"keeps for ten years", keeping(func(k *chemistry.Keeping) { k.Months, k.Days = 120, 3660 }), nil},
		{"keeps for ever", keeping(func(k *chemistry.Keeping) { k.Months, k.Days = 121, 3661 }), []string{"keeping[0].months", "keeping[0].days"}},
		{"endless source", keeping(func(k *chemistry.Keeping) { k.Source.Text = strings.Repeat("x", 201) }), []string{"keeping[0].source"}},
		{"too many entries", func(s *Solution) { s.Keeping = make([]chemistry.Keeping, 21) }, []string{"keeping"}},
		{"unknown preparation", part(func(p *Part) { p.Preparation = "syrup" }), []string{"parts[1].preparation"}},
		{"part without a name", part(func(p *Part) { p.Name = " " }), []string{"parts[1].name"}},
		{"part with a long name", part(func(p *Part) { p.Name = strings.Repeat("x", 81) }), []string{"parts[1].name"}},
		{"part named twice", part(func(p *Part) { p.Name = " PART A" }), []string{"parts[1].name"}},
		{"nothing of a part", part(func(p *Part) { p.AmountPerL = 0 }), []string{"parts[1].amount_per_l"}},
		{"an amount that is none", part(func(p *Part) { p.AmountPerL = math.NaN() }), []string{"parts[1].amount_per_l"}},
		{"more than a litre in one part", part(func(p *Part) { p.AmountPerL, p.Unit = 1001, Grams }), []string{"parts[1].amount_per_l"}},
		{"more than a litre together", part(func(p *Part) { p.AmountPerL = 100.1 }), []string{"parts"}},
		{"unknown unit", part(func(p *Part) { p.Unit = "oz" }), []string{"parts[1].unit"}},
		{"one part in two units", func(s *Solution) { s.Parts[2].Unit = Grams }, []string{"parts[2].unit"}},
		{"too many parts", func(s *Solution) { s.Parts = make([]Part, 41) }, []string{"parts"}},
	} {
		t.Run(test.name, func(t *testing.T) {
			recipe := replenishedRecipe()
			test.change(&recipe)
			if _, err := CheckSolution(recipe, Catalogue{}); len(test.fields) > 0 || err != nil {
				wantFields(t, err, test.fields...)
			}
		})
	}
}

// A recipe is kept with the parts of what film goes through first, names
// trimmed, and its keeping as the lab's own.
func TestRecipesAreKeptInOrder(t *testing.T) {
	t.Parallel()
	recipe := replenishedRecipe()
	slices.Reverse(recipe.Parts)
	recipe.Parts[1].Name = " Starter "
	slices.Reverse(recipe.Keeping)
	recipe.Keeping[0].Source = chemistry.FixerKeeping.Source
	kept, err := CheckSolution(recipe, Catalogue{})
	if err != nil {
		t.Fatal(err)
	}
	var order []string
	for _, part := range kept.Parts {
		order = append(order, part.Name)
	}
	if !slices.Equal(order, []string{"Starter", "Part A", "part a"}) {
		t.Errorf("the parts are kept as %q", order)
	}
	if got := kept.Keeping[1].Source; got.Standing != chemistry.LabsOwn || got.Text != chemistry.FixerKeeping.Source.Text {
		t.Errorf("its keeping is kept as from %+v", got)
	}
	if recipe.Parts[0].Name != "part a" || recipe.Keeping[0].Source != chemistry.FixerKeeping.Source {
		t.Error("what was handed in is changed")
	}
}

func TestCheckTanks(t *testing.T) {
	t.Parallel()
	c := counter()
	tank := func(id SolutionID, volumeML int, storage chemistry.Storage) func(*Line) {
		return func(l *Line) { l.Tanks = map[SolutionID]LineTank{id: {volumeML, storage}} }
	}
	for _, test := range []struct {
		name   string
		line   LineID
		change func(*Line)
		fields []string
	}{
		{"a litre", blackDrum, tank(mqBorax, 1000, chemistry.OpenTank), nil},
		{"the largest", blackDrum, tank(mqBorax, MaxVolumeML, ""), nil},
		{"nothing", blackDrum, tank(mqBorax, 0, ""), []string{"tanks[1].volume_ml"}},
		{"a lake", blackDrum, tank(mqBorax, MaxVolumeML+1, ""), []string{"tanks[1].volume_ml"}},
		{"unknown storage", blackDrum, tank(mqBorax, 1000, "shelf"), []string{"tanks[1].storage"}},
		{"unknown solution", blackDrum, tank(99, 1000, ""), []string{"tanks[99]"}},
		{"a process that it does not run", drum, tank(mqBorax, 1000, ""), []string{"tanks[1]"}},
	} {
		t.Run(test.name, func(t *testing.T) {
			line := c.Lines[test.line]
			test.change(&line)
			if _, err := CheckLine(line, c); len(test.fields) > 0 || err != nil {
				wantFields(t, err, test.fields...)
			}
		})
	}
	// A solution cannot leave the process that a line has a tank of it for.
	line := c.Lines[drum]
	fixer := c.Solutions[bwFixer]
	fixer.Process = chemistry.C41
	c.Solutions[bwFixer] = fixer
	line.Tanks = map[SolutionID]LineTank{bwFixer: {VolumeML: 1000}}
	c.Lines[drum] = line
	if _, err := CheckSolution(fixer, c); err != nil {
		t.Error(err)
	}
	fixer.Process = chemistry.ECN2
	_, err := CheckSolution(fixer, c)
	wantFields(t, err, "process")
}

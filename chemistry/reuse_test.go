package chemistry

import (
	"errors"
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// About 10 % a film in a litre: common practice, no source. The bound of 100
// rolls a litre is common practice as well.
func TestReuseInTanksOfAnySize(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		rolls, volumeML float64
		seconds         int
	}{
		{1, 0, 495}, {1, 1000, 495}, {100, 0, 4950}, // 450 · (1 + 0.10 · rolls / litres)
		{1, 150, 750}, {15, 150, 4950}, // less than a litre
		{0.5, 500, 495}, {4, 500, 810}, {50, 500, 4950}, // the half of a roll counts
		{1, 5000, 460}, {40, 5000, 810}, {500, 5000, 4950},
		{1, 72000, 450}, {101, 72000, 515}, {576, 72000, 810}, {7200, 72000, 4950},
	} {
		d, err := BWTime(BWRecipe{Rows: []BWRow{{20, 450}}, Reused: c.rolls, VolumeML: c.volumeML}, 20, 0)
		if err != nil || d.Seconds != c.seconds {
			t.Errorf("%v rolls through %v mL: %d s, %v; want %d", c.rolls, c.volumeML, d.Seconds, err, c.seconds)
		}
	}
}

func TestReuseRefused(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		rolls, volumeML float64
		want            error
		words           string
	}{
		{100.1, 0, ErrRecipe, "100.1 rolls already through the developer, allowed are 0 to 100"},
		{7201, 72000, ErrRecipe, "7201 rolls of 80 in² already through 72 L of developer, allowed are 0 to 7200 (100 a litre); pour a fresh fill"},
		{501, 5000, ErrRecipe, "allowed are 0 to 500 (100 a litre)"},
		{50.1, 500, ErrRecipe, "50.1 rolls of 80 in² already through 0.5 L"},
		{math.NaN(), 500, ErrRecipe, "NaN rolls"},
		{1, -1, ErrAmount, "volume of a reused developer in mL -1, allowed are 1 to 10000000"},
		{1, math.NaN(), ErrAmount, "NaN"},
	} {
		_, err := BWTime(BWRecipe{Rows: []BWRow{{20, 450}}, Reused: c.rolls, VolumeML: c.volumeML}, 20, 0)
		if !errors.Is(err, c.want) || !strings.Contains(err.Error(), c.words) {
			t.Errorf("%v rolls through %v mL: %v; want %v saying %q", c.rolls, c.volumeML, err, c.want, c.words)
		}
	}
	slow := Development{Factors: []Factor{{"developer time", 1950, "s", ""}}}
	if _, err := slow.WithReuse(100, 5); !errors.Is(err, ErrRecipe) || !strings.Contains(err.Error(), "5 s to 180:00") {
		t.Errorf("a time that no clock runs: %v", err)
	}
}

// At most 2 m² a litre without replenishment (ABC der Röntgentechnik).
func TestReuseBeyondWhatIsPublished(t *testing.T) {
	t.Parallel()
	for rolls, cautioned := range map[float64]bool{38.7 * 72: false, 38.8 * 72: true} {
		d, err := BWTime(BWRecipe{Rows: []BWRow{{20, 450}}, Reused: rolls, PerRollPercent: 5, VolumeML: 72000}, 20, 0)
		if err != nil {
			t.Fatal(err)
		}
		said := slices.ContainsFunc(d.Cautions, func(c string) bool { return strings.Contains(c, "at most 2 m² without replenishment") })
		if said != cautioned {
			t.Errorf("%v rolls through 72 L: %q", rolls, d.Cautions)
		}
	}
}

// A tank lasts by its litres: twice the film through twice the developer takes
// the same time, and more film never takes less.
func TestReuseGoesByTheLitre(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		recipe := BWRecipe{Rows: []BWRow{{20, 450}}, PerRollPercent: rapid.Float64Range(0.1, 20).Draw(t, "per roll"),
			VolumeML: rapid.Float64Range(100, 1e5).Draw(t, "mL")}
		recipe.Reused = recipe.VolumeML / 1000 * rapid.Float64Range(0, MaxReuse).Draw(t, "rolls a litre")
		one, err := BWTime(recipe, 20, 0)
		if err != nil {
			t.Fatal(err)
		}
		less := recipe
		less.Reused /= 2
		half, err := BWTime(less, 20, 0)
		if err != nil || half.Seconds > one.Seconds {
			t.Fatalf("half the film takes %d s, all of it %d s, %v", half.Seconds, one.Seconds, err)
		}
		recipe.Reused, recipe.VolumeML = 2*recipe.Reused, 2*recipe.VolumeML
		if two, err := BWTime(recipe, 20, 0); err != nil || math.Abs(float64(two.Seconds-one.Seconds)) > RoundingSeconds {
			t.Fatalf("twice the tank takes %d s, one %d s, %v", two.Seconds, one.Seconds, err)
		}
	})
}

package chemistry

import (
	"errors"
	"math"
	"slices"
	"testing"
)

// 3200 → 5500 K = −130.7 and 5500 → 3400 K = +112.3 mired (Sekonic C-800
// manual, p. 188).
func TestMiredShift(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ from, to, want float64 }{{3200, 5500, -130.7}, {5500, 3400, 112.3}, {5500, 5500, 0}} {
		got, err := MiredShift(c.from, c.to)
		if err != nil || math.Abs(float64(got)-c.want) > 0.05 {
			t.Errorf("%v to %v K: %v mired, %v; want %v", c.from, c.to, got, err, c.want)
		}
	}
	for _, bad := range []float64{0, -5500, 999, 50001, math.NaN(), math.Inf(1)} {
		if _, err := MiredShift(bad, 5500); !errors.Is(err, ErrLight) {
			t.Errorf("from %v K: %v, want ErrLight", bad, err)
		}
		if _, err := MiredShift(5500, bad); !errors.Is(err, ErrLight) {
			t.Errorf("to %v K: %v, want ErrLight", bad, err)
		}
	}
}

// The filters of the Sekonic C-800 manual, p. 188. The pairs that undo each
// other, 85/80B, 85B/80A and 85C/80C, are of one size.
func TestFilters(t *testing.T) {
	t.Parallel()
	want := map[string]Mired{"85": 112, "85B": 131, "85C": 81, "81": 9, "81A": 18, "81B": 27, "81C": 35, "82": -10, "82A": -21, "82B": -32, "80A": -131, "80B": -112, "80C": -81}
	if len(Filters) != len(want) || len(FilterNames()) != len(want) || !slices.IsSorted(FilterNames()) {
		t.Errorf("filters %v, want %d sorted", FilterNames(), len(want))
	}
	for name, shift := range want {
		if Filters[name] != shift {
			t.Errorf("filter %s shifts %v, want %v", name, Filters[name], shift)
		}
	}
	for a, b := range map[string]string{"85": "80B", "85B": "80A", "85C": "80C"} {
		if Filters[a]+Filters[b] != 0 {
			t.Errorf("%s and %s do not undo each other", a, b)
		}
	}
}

func TestParseFilter(t *testing.T) {
	t.Parallel()
	for text, want := range map[string]string{"85": "85", "85b": "85B", " 80 A ": "80A", "81-a": "81A", "#82": "82", "No. 85C": "85C"} {
		if got, err := ParseFilter(text); err != nil || got != want {
			t.Errorf("ParseFilter(%q) = %q, %v; want %q", text, got, err, want)
		}
	}
	for _, text := range []string{"", "86", "85D", "red", "No."} {
		if got, err := ParseFilter(text); !errors.Is(err, ErrFilter) {
			t.Errorf("ParseFilter(%q) = %q, %v; want ErrFilter", text, got, err)
		}
	}
}

func TestParseLight(t *testing.T) {
	t.Parallel()
	for text, want := range map[string]Light{"": LightUnknown, "Daylight": LightDaylight, " tungsten": LightTungsten, "mixed": LightMixed, "unknown": LightUnknown} {
		if got, err := ParseLight(text); err != nil || got != want {
			t.Errorf("ParseLight(%q) = %q, %v; want %q", text, got, err, want)
		}
	}
	if got, err := ParseLight("candle"); !errors.Is(err, ErrLight) {
		t.Errorf("ParseLight(candle) = %q, %v; want ErrLight", got, err)
	}
}

// The filter made for the job leaves less than a mired: 80A turns tungsten
// light into daylight, 85B the other way (Sekonic C-800 manual, p. 188).
func TestColourMismatch(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		balance Balance
		light   Light
		filter  string
		want    float64
		known   bool
	}{
		{Daylight, LightDaylight, "", 0, true}, {Tungsten, LightTungsten, "", 0, true},
		{Daylight, LightTungsten, "", 130.7, true}, {Tungsten, LightDaylight, "", -130.7, true},
		{Daylight, LightTungsten, "80A", 0, true}, {Tungsten, LightDaylight, "85B", 0, true}, {Tungsten, LightDaylight, "85", -18.7, true},
		{Panchromatic, LightTungsten, "", 0, false}, {Orthochromatic, LightDaylight, "85", 0, false},
		{Daylight, LightMixed, "", 0, false}, {Tungsten, LightUnknown, "85", 0, false},
	} {
		got, known := ColourMismatch(c.balance, c.light, c.filter)
		if known != c.known || math.Abs(float64(got)-c.want) > 0.5 {
			t.Errorf("%s film in %s through %q: %v, %v; want %v, %v", c.balance, c.light, c.filter, got, known, c.want, c.known)
		}
	}
}

func FuzzParseLightAndFilter(f *testing.F) {
	for _, text := range []string{"daylight", "85B", "No. 80 a", "", "##"} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		light, err := ParseLight(text)
		if (err == nil) != slices.Contains(Lights, light) || err != nil && !errors.Is(err, ErrLight) {
			t.Fatalf("ParseLight(%q) = %q, %v", text, light, err)
		}
		filter, err := ParseFilter(text)
		if _, ok := Filters[filter]; ok != (err == nil) || err != nil && !errors.Is(err, ErrFilter) {
			t.Fatalf("ParseFilter(%q) = %q, %v", text, filter, err)
		}
	})
}

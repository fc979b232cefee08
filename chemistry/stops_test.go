package chemistry

import (
	"encoding/json"
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"
)

func TestParseStops(t *testing.T) {
	t.Parallel()
	for text, want := range map[string]Stops{
		"0": 0, "1": 6, "+1": 6, "-1": -6, "−1": -6, "–2": -12, "- 1": -6, " +2 ": 12,
		"1/2": 3, "+1/2": 3, "-1/3": -2, "1 1/3": 8, "+1  2/3": 10, "½": 3, "−½": -3, "1⅓": 8, "1 ⅔": 10, "⅙": 1, "2⅚": 17,
		"1.5": 9, "0,5": 3, "1.33": 8, "1.3333": 8, "0.67": 4, "+1.5": 9, "10": 60, "-10": -60,
		"2 stops": 12, "+1 stop": 6, "½ Stop": 3, "007": 42,
	} {
		got, err := ParseStops(text)
		if err != nil || got != want {
			t.Errorf("ParseStops(%q) = %v, %v; want %v", text, got, err, want)
		}
	}
	for _, text := range []string{
		"", " ", "+", "-", "+-1", "one", "1.4", "¼", "¾", "10.2", "-11", "1 1", "1/0", "1/2/3", "/2", "1/", "1.5½", "1.5 1/2", "1 3/2",
		"1e1", "NaN", "Inf", "0x1", "1..5", "1.5.5", ".", ",", "9999999999999", "1 stop 2", "½½", "stops",
	} {
		if got, err := ParseStops(text); !errors.Is(err, ErrStops) {
			t.Errorf("ParseStops(%q) = %v, %v; want ErrStops", text, got, err)
		}
	}
}

func TestStopsOf(t *testing.T) {
	t.Parallel()
	for _, bad := range []float64{math.NaN(), math.Inf(1), math.Inf(-1), 10.01, -10.01, 0.25, 1.07, -1.42} {
		if got, err := StopsOf(bad); !errors.Is(err, ErrStops) {
			t.Errorf("StopsOf(%v) = %v, %v; want ErrStops", bad, got, err)
		}
	}
}

func TestStopsString(t *testing.T) {
	t.Parallel()
	for stops, want := range map[Stops]string{
		0: "0", 1: "+⅙", 2: "+⅓", 3: "+½", 4: "+⅔", 5: "+⅚", 6: "+1", 8: "+1⅓", -3: "−½", -6: "−1", -14: "−2⅓", 60: "+10",
	} {
		if got := stops.String(); got != want {
			t.Errorf("Stops(%d) = %q, want %q", int(stops), got, want)
		}
	}
}

func TestStopsJSON(t *testing.T) {
	t.Parallel()
	for stops, want := range map[Stops]string{6: "1", -3: "-0.5", 8: "1.3333", 0: "0", 1: "0.1667", -10: "-1.6667"} {
		got, err := json.Marshal(stops)
		if err != nil || string(got) != want {
			t.Errorf("JSON of %v = %s, %v; want %s", stops, got, err, want)
		}
	}
	for _, bad := range []string{`"1"`, `0.25`, `11`, `{}`, `1e400`} {
		var stops Stops
		if err := json.Unmarshal([]byte(bad), &stops); !errors.Is(err, ErrStops) {
			t.Errorf("reading %s: %v, want ErrStops", bad, err)
		}
	}
}

func TestStopsComeBack(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		stops := Stops(rapid.IntRange(int(-MaxStops), int(MaxStops)).Draw(t, "sixths"))
		if got, err := ParseStops(stops.String()); err != nil || got != stops {
			t.Fatalf("%v read back as %v, %v", stops, got, err)
		}
		text, err := json.Marshal(stops)
		var got Stops
		if err != nil || json.Unmarshal(text, &got) != nil || got != stops {
			t.Fatalf("%v came back from JSON %s as %v", stops, text, got)
		}
	})
}

func FuzzParseStops(f *testing.F) {
	for _, text := range []string{"1", "-1/2", "1 1/3", "1⅓", "0,5", "+2 stops", "½½", "1e9", "−", "10.2"} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		stops, err := ParseStops(text)
		if err != nil {
			if !errors.Is(err, ErrStops) || stops != 0 {
				t.Fatalf("ParseStops(%q) = %v, %v", text, stops, err)
			}
			return
		}
		if stops < -MaxStops || stops > MaxStops {
			t.Fatalf("ParseStops(%q) = %v, beyond what is allowed", text, stops)
		}
	})
}

package chemistry

import (
	"errors"
	"math"
	"strings"
	"testing"
)

func TestParseTemperature(t *testing.T) {
	t.Parallel()
	for text, want := range map[string]float64{
		"20": 20, "20C": 20, "20 °C": 20, "20.5": 20.5, "20,5 °c": 20.5, "68F": 20, "68 °F": 20, "68 deg F": 20, "68 Fahrenheit": 20, "20 celsius": 20,
		"100F": 37.777777777777779, "0": 0, "-0": 0, "50": 50, "32F": 0, "122F": 50, "20º": 20,
	} {
		if got, err := ParseTemperature(text); err != nil || math.Abs(got-want) > 1e-9 {
			t.Errorf("ParseTemperature(%q) = %v, %v; want %v", text, got, err, want)
		}
	}
	for _, text := range []string{"", "C", "F", "°C", "warm", "20K", "NaN", "Inf", "1e1", "-1", "−5 °C", "213", "500", "20F", "31F", "123F", "20 20", "-40F"} {
		if got, err := ParseTemperature(text); !errors.Is(err, ErrTemperature) {
			t.Errorf("ParseTemperature(%q) = %v, %v; want ErrTemperature", text, got, err)
		}
	}
}

func TestFahrenheitIsSuspected(t *testing.T) {
	t.Parallel()
	for _, value := range []float64{50.1, 68, 75, 100, 212} {
		var suspect *SuspectFahrenheit
		err := CheckTemperature(value)
		if !errors.As(err, &suspect) || suspect.Value != value {
			t.Errorf("CheckTemperature(%v) = %v, want a suspicion of Fahrenheit", value, err)
		}
	}
	_, err := ParseTemperature("68")
	if err == nil || !strings.Contains(err.Error(), "Fahrenheit: 68 °F is 20.0 °C, write 68F") {
		t.Errorf("a bare 68: %v", err)
	}
	for _, value := range []float64{math.NaN(), math.Inf(1), math.Inf(-1), -0.1, 213} {
		var out *RangeError
		if err := CheckTemperature(value); !errors.As(err, &out) || !errors.Is(err, ErrTemperature) {
			t.Errorf("CheckTemperature(%v) = %v, want a range error", value, err)
		}
	}
}

func FuzzParseTemperature(f *testing.F) {
	for _, text := range []string{"20", "68F", "20,5 °C", "-1", "68", "°", "NaN"} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		celsius, err := ParseTemperature(text)
		if err == nil && !(celsius >= MinBathC && celsius <= MaxBathC) {
			t.Fatalf("ParseTemperature(%q) = %v °C, beyond what is allowed", text, celsius)
		}
		if err != nil && !errors.Is(err, ErrTemperature) {
			t.Fatalf("ParseTemperature(%q): %v", text, err)
		}
	})
}

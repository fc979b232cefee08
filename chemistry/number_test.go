package chemistry

import "testing"

func TestAmountsHaveNoExponent(t *testing.T) {
	t.Parallel()
	for want, value := range map[string]float64{"12350": 12345.6, "0": 0, "0.5": 0.5, "123.5": 123.45678, "1000000": 999999, "-2.25": -2.25} {
		if got := FormatAmount(value); got != want {
			t.Errorf("%v is written %s, want %s", value, got, want)
		}
	}
}

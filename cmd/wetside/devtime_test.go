package main

import (
	"bytes"
	"context"
	"encoding/json"
	"math"
	"strings"
	"testing"
)

// devtime runs the command as a shell would.
func devtime(args ...string) (status int, out, errors string) {
	var stdout, stderr bytes.Buffer
	status = run(context.Background(), append([]string{"devtime"}, args...), stdio{strings.NewReader(""), &stdout, &stderr})
	return status, stdout.String(), stderr.String()
}

// Published figures, each with its source, as a person would ask for them.
func TestDevtimeGivesPublishedTimes(t *testing.T) {
	t.Parallel()
	const xray = "--process BW --row 65F=6 --row 66F=5.5 --row 67F=5.5 --row 68F=5 --row 69F=4.5 --row 70F=4.5 --row 71F=4 --row 72F=4 --row 73F=3.5 --row 74F=3.5 --row 75F=3"
	for _, c := range []struct {
		source, args string
		low, high    int // seconds: the figure, or its rounding either way
		temp         float64
	}{
		{"Kodak Z-131, table 2-1", "--process C-41", 195, 195, 37.8},
		{"Kodak TI-2420, push table", "--process c41 --push 1", 225, 225, 37.8},
		{"Kodak Z-131, table 2-7", "--process C-41 --push +2 --temp 100F", 255, 255, 37.8},
		{"common practice, no source", "--process C-41 --push -1", 165, 165, 37.8},
		{"encyclopaedia, six-bath table", "--process E6 --temp 38.3", 360, 360, 38},
		{"Kodak H-24, module 7", "--process ECN-2 --temp 41.1C", 180, 180, 41.1},
		{"Kennel and Sehlin, SMPTE Journal 1982", "--process ECN-2 --push 1", 220, 240, 41.1},
		{"HARMAN, July 2004, p. 3", "--process BW --row 20=7½ --push-row 1=10½ --push-row 2=14 --push 1", 630, 630, 20},
		{"HARMAN, Sept 2002, p. 3, at 24 °C", "--process BW --row 20=9:30 --row 24=8 --temp 24", 480, 480, 24},
		{"HARMAN, Sept 2002, p. 3", "--process BW --row 20°C=9:30 --push-row -1=7 --push −1", 420, 420, 20},
		{"Kodak F-32 part 2, 75 °F from the fitted b, to half a minute", "--process BW --row 68F=7 --b 0.062 --temp 75F", 315, 345, 23.89},
		{"Kodak F-32 part 2", "--process BW --row 68F=6 --row 70F=5.25 --row 72F=4.75 --row 75F=4 --temp 72F", 285, 285, 22.22},
		{"New Mexico code, X-ray manual developer, 75 °F", xray + " --temp 75F", 180, 180, 23.89},
		{"New Mexico code, X-ray manual developer, 80 °F from 65 to 75 °F, to half a minute", xray + " --temp 80F", 105, 150, 26.67},
	} {
		status, out, stderr := devtime(append(strings.Fields(c.args), "--json")...)
		var got devtimeAnswer
		if status != 0 || stderr != "" || json.Unmarshal([]byte(out), &got) != nil {
			t.Errorf("devtime %s: status %d, %q, %q", c.args, status, out, stderr)
			continue
		}
		if got.DevelopS < c.low || got.DevelopS > c.high || math.Abs(got.TempC-c.temp) > 0.005 {
			t.Errorf("devtime %s: %d s at %v °C; %s has %d to %d at %v", c.args, got.DevelopS, got.TempC, c.source, c.low, c.high, c.temp)
		}
		product := 1.0
		for _, factor := range got.Factors {
			product *= factor.Value
		}
		if math.Abs(product-float64(got.DevelopS)) > 1e-6 {
			t.Errorf("devtime %s: the factors multiply to %v, the time is %d", c.args, product, got.DevelopS)
		}
	}
}

func TestDevtimeJSON(t *testing.T) {
	t.Parallel()
	status, out, _ := devtime("--process", "C-41", "--json")
	want := `{"develop_s":195,"temp_c":37.8,"factors":[{"name":"developer time, normal","value":195,"source":"Kodak Z-131, table 2-1"}],"cautions":[]}` + "\n"
	if status != 0 || out != want {
		t.Errorf("status %d, %s; want %s", status, out, want)
	}
}

func TestDevtimeForPeople(t *testing.T) {
	t.Parallel()
	_, out, _ := devtime("--process", "BW", "--row", "20=7:30", "--push-row", "1=10:30", "--push", "1", "--reused", "2", "--per-roll", "8 %", "--rotary", "10", "--temp", "68F")
	want := `BW, push +1: develop 11:00 at 20 °C

  time at 20 °C     450 s    the lab's own: row of the recipe
  push +1           × 1.4    push row: 10:30 at push +1, where normal is 7:30
  reuse             × 1.16   8 % a roll, 2 already through (the lab's own)
  rotary agitation  × 0.9    the lab's own: 10 % shorter
  rounding          × 1.003  to the nearest 5 s
`
	if out != want {
		t.Errorf("printed\n%s\nwant\n%s", out, want)
	}
	_, out, _ = devtime("--process", "E-6", "--push", "-1/2")
	for _, line := range []string{"E-6, push −½: develop 5:00 at 38 ± 0.3 °C\n", "\nCautions\n  - The time at pull −1 is a starting point (from memory: pull of a stop)"} {
		if !strings.Contains(out, line) {
			t.Errorf("printed\n%s\nwithout %q", out, line)
		}
	}
}

func TestDevtimeReusedAndRotary(t *testing.T) {
	t.Parallel()
	for args, want := range map[string]int{
		"--process BW --row 20=10 --reused 2":                  720,
		"--process BW --row 20=10 --reused 2 --per-roll 0":     600,
		"--process BW --row 20=10 --reused 2 --per-roll=5%":    660,
		"--process BW --row 20=10 --rotary":                    510,
		"--process BW --row 20=10 --rotary=0":                  600,
		"--process BW --row 20=10 --rotary 7,5":                555,
		"--process BW --rotary --row 20=10":                    510,
		"--process BW --row 20=10 --push 1 --push-factor ×1.4": 840,
		"--process BW --row 20=10 --push 1 --push-factor x1.4": 840,
		"--process BW --row 20=10 --temp 22 --b 0,1":           490,
		"--process C-41 --reused 5":                            215,
		"--process C-41 --reused 5 --per-roll 4":               235,
		"--process C-41 --push-row 0=3:20":                     200,
		"--process E-6 --push 3 --push-row 3=15:00":            900,
	} {
		status, out, stderr := devtime(append(strings.Fields(args), "--json")...)
		var got devtimeAnswer
		if err := json.Unmarshal([]byte(out), &got); status != 0 || err != nil || got.DevelopS != want {
			t.Errorf("devtime %s: status %d, %d s, %s; want %d", args, status, got.DevelopS, stderr, want)
		}
	}
}

func TestDevtimeRefuses(t *testing.T) {
	t.Parallel()
	for args, words := range map[string]string{
		"":                                                   "--process is missing",
		"--process C-42":                                     "unknown process",
		"--process C-41 --push four":                         "not an amount of stops",
		"--process C-41 --push 4":                            "allowed are −1 to +3",
		"--process E-6 --push 3":                             "allowed are −1 to +2",
		"--process C-41 --temp 39":                           "cool it, measure again",
		"--process C-41 --temp 100":                          "100 °F is 37.8 °C",
		"--process C-41 --temp warm":                         "not the temperature",
		"--process C-41 --row 20=7":                          "--row is for BW only",
		"--process C-41 --rotary":                            "--rotary is for BW only",
		"--process C-41 --reused 200":                        "0 to 100",
		"--process BW":                                       "there is none",
		"--process BW --row 20":                              "write it like 20=7:30",
		"--process BW --row 68=7":                            "write 68F",
		"--process BW --row 20=450":                          "450s",
		"--process BW --row 20=7 --row 68F=8":                "two rows at 20 °C",
		"--process BW --row 20=7 --push-row 1":               "write it like 1=10:30",
		"--process BW --row 20=7 --push-row one=8":           "not an amount of stops",
		"--process BW --row 20=7 --push-row 1=8:75":          "not a time",
		"--process BW --row 20=7 --push 2 --push-row 1=8":    "allowed are 0 to +1",
		"--process BW --row 20=7 --b 0":                      "above 0",
		"--process BW --row 20=7 --b NaN":                    "not a number",
		"--process BW --row 20=7 --b 7 --temp 21":            "up to 0.3",
		"--process BW --row 20=7 --push-factor 0.5 --push 1": "above 1, up to 3",
		"--process BW --row 20=7 --reused -1":                "0 or more",
		"--process BW --row 20=7 --reused some":              "number of rolls",
		"--process BW --row 20=7 --per-roll -1":              "0 or more",
		"--process BW --row 20=7 --rotary 16":                "0 to 15 %",
		"--process BW --row 20=7 --rotary=much":              "not a number",
		"--process BW --row 20=7 and more":                   `"and" is not a flag`,
		"--process BW --row 20=7 --colour":                   "not defined",
	} {
		status, out, stderr := devtime(append(strings.Fields(args), "--json")...)
		if status != 2 || out != "" || !strings.Contains(stderr, words) || strings.Count(stderr, "\n") != 1 {
			t.Errorf("devtime %s: status %d, out %q, %q; want status 2 and one line saying %q", args, status, out, stderr, words)
		}
	}
}

func TestDevtimeHelp(t *testing.T) {
	t.Parallel()
	status, out, stderr := devtime("--help")
	if status != 0 || stderr != "" || !strings.Contains(out, "-push-row STOPS=TIME") {
		t.Errorf("status %d, %q, %q", status, out, stderr)
	}
}

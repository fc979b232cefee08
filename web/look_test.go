package web

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"
)

// colours reads the colour tokens of both schemes from the style sheet.
func colours(t *testing.T) (light, dark map[string]string) {
	t.Helper()
	text, err := assetFiles.ReadFile("style/10-tokens.css")
	if err != nil {
		t.Fatal(err)
	}
	before, after, ok := strings.Cut(string(text), "@media (prefers-color-scheme: dark)")
	if !ok {
		t.Fatal("there is no dark scheme")
	}
	token := regexp.MustCompile(`(--[a-z-]+):\s*(#[0-9a-f]{6})`)
	read := func(text string) map[string]string {
		found := map[string]string{}
		for _, match := range token.FindAllStringSubmatch(text, -1) {
			found[match[1]] = match[2]
		}
		return found
	}
	return read(before), read(after)
}

// luminance is the relative luminance of a colour (WCAG 2.2).
func luminance(t *testing.T, colour string) float64 {
	t.Helper()
	value, err := strconv.ParseUint(strings.TrimPrefix(colour, "#"), 16, 32)
	if err != nil {
		t.Fatalf("colour %q: %v", colour, err)
	}
	linear := func(shift uint) float64 {
		c := float64(value>>shift&0xff) / 255
		if c <= 0.04045 {
			return c / 12.92
		}
		return math.Pow((c+0.055)/1.055, 2.4)
	}
	return 0.2126*linear(16) + 0.7152*linear(8) + 0.0722*linear(0)
}

// contrast is the ratio of two colours (WCAG 2.2).
func contrast(t *testing.T, a, b string) float64 {
	t.Helper()
	light, dark := luminance(t, a), luminance(t, b)
	return (max(light, dark) + 0.05) / (min(light, dark) + 0.05)
}

func TestContrastIsMeasuredRight(t *testing.T) {
	t.Parallel()
	// Black on white is 21:1 by definition (WCAG 2.2).
	if got := contrast(t, "#000000", "#ffffff"); math.Abs(got-21) > 1e-9 {
		t.Errorf("black on white: %g", got)
	}
}

// Text needs 4.5:1, the edge of a field 3:1 (WCAG 2.2, 1.4.3 and 1.4.11).
func TestColoursCanBeRead(t *testing.T) {
	t.Parallel()
	light, dark := colours(t)
	if len(light) != len(dark) {
		t.Errorf("%d colours in light, %d in dark", len(light), len(dark))
	}
	for name, scheme := range map[string]map[string]string{"light": light, "dark": dark} {
		for _, pair := range []struct {
			front, back string
			least       float64
		}{
			{"--ink", "--paper", 7}, {"--ink", "--sheet", 7}, {"--ink-soft", "--paper", 4.5}, {"--ink-soft", "--sheet", 4.5},
			{"--accent", "--paper", 4.5}, {"--accent", "--sheet", 4.5}, {"--accent", "--accent-wash", 4.5}, {"--accent-deep", "--accent-wash", 4.5},
			{"--on-accent", "--accent", 4.5}, {"--on-accent", "--accent-deep", 4.5}, {"--on-danger", "--danger", 4.5},
			{"--danger", "--danger-wash", 4.5}, {"--danger", "--sheet", 4.5}, {"--danger", "--paper", 4.5},
			{"--warn", "--warn-wash", 4.5}, {"--sheet", "--warn", 4.5}, {"--done", "--done-wash", 4.5},
			{"--ink", "--danger-wash", 4.5}, {"--ink", "--warn-wash", 4.5}, {"--ink", "--done-wash", 4.5}, {"--ink", "--accent-wash", 4.5},
			{"--rule-strong", "--sheet", 3}, {"--rule-strong", "--paper", 3}, {"--accent", "--paper", 3},
		} {
			front, back := scheme[pair.front], scheme[pair.back]
			if front == "" || back == "" {
				t.Errorf("%s: %s or %s is not a colour", name, pair.front, pair.back)
				continue
			}
			if got := contrast(t, front, back); got < pair.least {
				t.Errorf("%s: %s on %s is %s, want %g", name, pair.front, pair.back, fmt.Sprintf("%.2f", got), pair.least)
			}
		}
	}
}

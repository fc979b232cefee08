package chemistry

import (
	"errors"
	"math"
	"slices"
	"testing"
)

func TestParseProcess(t *testing.T) {
	t.Parallel()
	for text, want := range map[string]Process{
		"C-41": C41, "c41": C41, "C 41": C41, "e6": E6, "E-6": E6, "ecn2": ECN2, "ECN-2": ECN2, "bw": BW, "B&W": BW, "b & w": BW,
	} {
		if got, err := ParseProcess(text); err != nil || got != want {
			t.Errorf("ParseProcess(%q) = %q, %v; want %q", text, got, err, want)
		}
	}
	for _, text := range []string{"", "C-42", "E", "colour", "C-41 E-6"} {
		if got, err := ParseProcess(text); !errors.Is(err, ErrProcess) {
			t.Errorf("ParseProcess(%q) = %q, %v; want ErrProcess", text, got, err)
		}
	}
}

func TestParseFormat(t *testing.T) {
	t.Parallel()
	for text, want := range map[string]Format{
		"135": Format135, "35mm": Format135, "35 mm": Format135, "120": Format120, "220": Format220, "4x5": Format4x5, "4×5 in": Format4x5, "4X5": Format4x5,
	} {
		if got, err := ParseFormat(text); err != nil || got != want {
			t.Errorf("ParseFormat(%q) = %q, %v; want %q", text, got, err, want)
		}
	}
	for _, text := range []string{"", "110", "8x10", "4x6"} {
		if got, err := ParseFormat(text); !errors.Is(err, ErrFormat) {
			t.Errorf("ParseFormat(%q) = %q, %v; want ErrFormat", text, got, err)
		}
	}
	if got := Format4x5.String(); got != "4×5" {
		t.Errorf("4x5 is printed %q", got)
	}
}

// The unit of 80 in² is one 135-36, one 120, half a 220, four 4×5 sheets
// (Darkroom Cookbook, 3rd edition, p. 108). A square inch is 0.00064516 m². A
// 135-24 is two thirds of a 135-36: common practice, no source.
func TestArea(t *testing.T) {
	t.Parallel()
	const unit = 80 * 0.00064516
	for _, c := range []struct {
		format    Format
		exposures int
		units     float64
	}{
		{Format135, 36, 1}, {Format135, 0, 1}, {Format135, 24, 2. / 3}, {Format135, 12, 1. / 3},
		{Format120, 0, 1}, {Format120, 12, 1}, {Format220, 0, 2}, {Format4x5, 4, 1}, {Format4x5, 0, 0.25}, {Format4x5, 1, 0.25},
	} {
		got, err := c.format.Area(c.exposures)
		if err != nil || math.Abs(got-c.units*unit) > 0.0001*c.units*unit {
			t.Errorf("%s with %d exposures: %v m², %v; want %v", c.format, c.exposures, got, err, c.units*unit)
		}
	}
	for _, c := range []struct {
		format    Format
		exposures int
	}{{Format135, -1}, {Format135, 251}, {"110", 12}} {
		if got, err := c.format.Area(c.exposures); !errors.Is(err, ErrFormat) {
			t.Errorf("%s with %d exposures: %v, %v; want ErrFormat", c.format, c.exposures, got, err)
		}
	}
}

func TestSourceString(t *testing.T) {
	t.Parallel()
	for source, want := range map[Source]string{
		{Published, "Kodak Z-131, table 2-1"}: "Kodak Z-131, table 2-1",
		{LabsOwn, ""}:                         "the lab's own",
		{FromMemory, "pull of a stop"}:        "from memory: pull of a stop",
	} {
		if got := source.String(); got != want {
			t.Errorf("%#v is written %q, want %q", source, got, want)
		}
	}
}

func FuzzParseFormat(f *testing.F) {
	for _, text := range []string{"135", "35mm", "4×5 in", "120", "x", ""} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		format, err := ParseFormat(text)
		if (err == nil) != slices.Contains(Formats, format) || err != nil && !errors.Is(err, ErrFormat) {
			t.Fatalf("ParseFormat(%q) = %q, %v", text, format, err)
		}
	})
}

func FuzzParseProcess(f *testing.F) {
	for _, text := range []string{"C-41", "e6", "B&W", "ECN 2", ""} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		process, err := ParseProcess(text)
		if (err == nil) != slices.Contains(Processes, process) || err != nil && !errors.Is(err, ErrProcess) {
			t.Fatalf("ParseProcess(%q) = %q, %v", text, process, err)
		}
	})
}

package jobs

import (
	"math"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"wetside/chemistry"
)

// The strips of the tests, by how far their LD is off through red and blue, with
// the published limits of C-41: action 0.06, control 0.08 (Kodak Z-131,
// table 5-1).
var stripAim = chemistry.StripReading{
	DMin: [3]float64{0.2, 0.6, 0.9}, LD: [3]float64{0.8, 1.2, 1.5}, HD: [3]float64{1.3, 1.9, 2.2}, DMaxBlue: 2.9, YellowBlue: 2.8,
}

// stripOff is a strip whose speed is off.
func stripOff(t interface{ Fatal(...any) }, id StripID, at time.Time, red, blue float64) Strip {
	reading := stripAim
	reading.LD[chemistry.Red] += red
	reading.HD[chemistry.Red] += red
	reading.LD[chemistry.Blue] += blue
	reading.HD[chemistry.Blue] += blue
	result, err := chemistry.JudgeStrip(reading, stripAim, chemistry.C41StripLimits)
	if err != nil {
		t.Fatal(err)
	}
	return Strip{ID: id, Line: drum, LineName: "Drum", Process: chemistry.C41, At: at, Reading: reading, Aim: stripAim, Result: result}
}

func released(strip Strip, at time.Time) Strip {
	strip.Release = StripRelease{At: at, By: "Wren", Reason: "the densitometer was out"}
	return strip
}

func TestStateOfStrips(t *testing.T) {
	t.Parallel()
	yesterday := monday.AddDate(0, 0, -1)
	at := func(minutes int) time.Time { return monday.Add(time.Duration(minutes) * time.Minute) }
	good, action, control := 0.0, 0.07, 0.10
	strip := func(id StripID, at time.Time, red, blue float64) Strip { return stripOff(t, id, at, red, blue) }
	for name, test := range map[string]struct {
		strips  []Strip
		want    Standing
		suspect bool
	}{
		"no strip yet":                   {nil, StripDue, false},
		"good yesterday":                 {[]Strip{strip(1, yesterday, good, 0)}, StripDue, false},
		"good today":                     {[]Strip{strip(1, at(0), good, 0)}, LineInControl, false},
		"past action today":              {[]Strip{strip(1, at(0), action, 0)}, LinePastAction, false},
		"past action yesterday":          {[]Strip{strip(1, yesterday, action, 0)}, StripDue, false},
		"exactly the action limit":       {[]Strip{strip(1, at(0), 0.06, 0)}, LineInControl, false},
		"exactly the control limit":      {[]Strip{strip(1, at(0), 0.08, 0)}, LinePastAction, false},
		"past control":                   {[]Strip{strip(1, at(0), control, 0)}, SecondWanted, false},
		"past control yesterday":         {[]Strip{strip(1, yesterday, control, 0)}, SecondWanted, false},
		"confirmed":                      {[]Strip{strip(1, at(0), control, 0), strip(2, at(5), control, 0)}, LineStopped, false},
		"confirmed the day before":       {[]Strip{strip(1, yesterday, control, 0), strip(2, yesterday, control, 0)}, LineStopped, false},
		"again, but past action by now":  {[]Strip{strip(1, at(0), control, 0), strip(2, at(5), action, 0)}, LineStopped, false},
		"the other way":                  {[]Strip{strip(1, at(0), control, 0), strip(2, at(5), -control, 0)}, LineStopped, true},
		"another layer":                  {[]Strip{strip(1, at(0), control, 0), strip(2, at(5), 0, control)}, LineStopped, true},
		"another layer past action":      {[]Strip{strip(1, at(0), control, 0), strip(2, at(5), 0, action)}, LinePastAction, true},
		"the second is good":             {[]Strip{strip(1, at(0), control, 0), strip(2, at(5), good, 0)}, LineInControl, true},
		"stopped, then past action":      {[]Strip{strip(1, at(0), control, 0), strip(2, at(5), control, 0), strip(3, at(60), action, 0)}, LineStopped, false},
		"stopped, then good":             {[]Strip{strip(1, at(0), control, 0), strip(2, at(5), control, 0), strip(3, at(60), good, 0)}, LineInControl, false},
		"good, then past control":        {[]Strip{strip(1, at(0), good, 0), strip(2, at(5), control, 0)}, SecondWanted, false},
		"suspect, good, past control":    {[]Strip{strip(1, at(0), control, 0), strip(2, at(5), good, 0), strip(3, at(9), control, 0)}, SecondWanted, false},
		"released on the first":          {[]Strip{released(strip(1, at(0), control, 0), at(1))}, LineReleased, false},
		"released when stopped":          {[]Strip{strip(1, at(0), control, 0), released(strip(2, at(5), control, 0), at(9))}, LineReleased, false},
		"released yesterday":             {[]Strip{released(strip(1, yesterday, control, 0), yesterday)}, StripDue, false},
		"released today for yesterday":   {[]Strip{released(strip(1, yesterday, control, 0), at(0))}, LineReleased, false},
		"released, then past control":    {[]Strip{released(strip(1, at(0), control, 0), at(1)), strip(2, at(9), control, 0)}, SecondWanted, false},
		"released, then past action":     {[]Strip{released(strip(1, at(0), control, 0), at(1)), strip(2, at(9), action, 0)}, LinePastAction, false},
		"released, then bad, then again": {[]Strip{released(strip(1, at(0), control, 0), at(1)), strip(2, at(8), control, 0), strip(3, at(9), control, 0)}, LineStopped, false},
	} {
		got := StateOfStrips(test.strips, monday.Add(3*time.Hour))
		if got.Standing != test.want || got.FirstSuspect() != test.suspect {
			t.Errorf("%s: %s, first suspect %t; want %s, %t", name, got.Standing, got.FirstSuspect(), test.want, test.suspect)
		}
		if got.MayRun() != (got.Standing == LineInControl || got.Standing == LinePastAction || got.Standing == LineReleased) {
			t.Errorf("%s: may run is %t", name, got.MayRun())
		}
		watched := WatchedLine{drum, "Drum", chemistry.C41, StripBox{}, got}
		if says := watched.Control(); !says.Required || (says.Objection == "") != got.MayRun() {
			t.Errorf("%s: control says %+v", name, says)
		}
	}
}

// A day ends at the lab's midnight, not at UTC's.
func TestStripDueInTheLabsZone(t *testing.T) {
	t.Parallel()
	east := time.FixedZone("east", 9*3600)
	read := time.Date(2026, 3, 2, 14, 0, 0, 0, time.UTC) // 23:00 on 2 March
	strips := []Strip{stripOff(t, 1, read, 0, 0)}
	if got := StateOfStrips(strips, read.Add(59*time.Minute).In(east)).Standing; got != LineInControl {
		t.Errorf("before midnight: %s", got)
	}
	if got := StateOfStrips(strips, read.Add(time.Hour).In(east)).Standing; got != StripDue {
		t.Errorf("at midnight: %s", got)
	}
}

func TestObjectionsOfStrips(t *testing.T) {
	t.Parallel()
	first, second := stripOff(t, 1, monday, 0.1, 0), stripOff(t, 2, monday, 0.1, 0)
	for _, test := range []struct {
		strips []Strip
		says   []string
	}{
		{nil, []string{"no control strip of C-41", "Drum", "run a control strip first"}},
		{[]Strip{first}, []string{"line stopped: ", "LD red is off by +0.10, past the control limit of 0.08", "second one at once"}},
		{[]Strip{first, second}, []string{"line stopped: ", "LD red", "in control"}},
	} {
		got := WatchedLine{drum, "Drum", chemistry.C41, StripBox{}, StateOfStrips(test.strips, monday)}.Objection()
		for _, words := range test.says {
			if !strings.Contains(got, words) {
				t.Errorf("%d strips: %q does not say %q", len(test.strips), got, words)
			}
		}
	}
}

// The laws of a line: once past the control limit it never runs before a good
// strip or a release; a release never outlives the next bad strip or the day;
// nothing before the last strip in control matters.
func TestLawsOfAStoppedLine(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		var strips []Strip
		at := monday
		stopped, first := false, [2]float64{} // first is off past the control limit and wants a second strip
		for i := range rapid.IntRange(1, 30).Draw(t, "strips") {
			at = at.Add(time.Duration(rapid.IntRange(1, 20*3600).Draw(t, "seconds later")) * time.Second)
			off := rapid.SampledFrom([]float64{0, 0, 0.05, 0.07, -0.07, 0.1, -0.1})
			layers := [2]float64{off.Draw(t, "red"), off.Draw(t, "blue")}
			strip := stripOff(t, StripID(i+1), at, layers[0], layers[1])
			strips = append(strips, strip)
			state := StateOfStrips(strips, at)
			// A stop lasts: only a good strip, or a second one that shows the
			// first to be suspect, lets film in by itself.
			again := false
			for layer, was := range first {
				again = again || math.Abs(was) > 0.08 && math.Abs(layers[layer]) > 0.06 && was*layers[layer] > 0
			}
			wanted := first != [2]float64{}
			first = [2]float64{}
			switch {
			case math.Abs(layers[0]) > 0.08 || math.Abs(layers[1]) > 0.08:
				if !stopped {
					first = layers
				}
				stopped = true
			case math.Abs(layers[0]) <= 0.06 && math.Abs(layers[1]) <= 0.06, wanted && !again:
				stopped = false
			}
			if stopped && state.MayRun() {
				t.Fatalf("strip %d: stopped, and may run as %s", i+1, state.Standing)
			}
			if !stopped && !state.MayRun() {
				t.Fatalf("strip %d: not stopped, and may not run as %s", i+1, state.Standing)
			}
			if stopped && rapid.Bool().Draw(t, "released") {
				if _, err := CheckRelease(strip, strips, "a reason"); err != nil {
					t.Fatalf("strip %d: %v", i+1, err)
				}
				strips[i].Release = StripRelease{At: at, By: "Wren", Reason: "a reason"}
				stopped, first = false, [2]float64{}
				if got := StateOfStrips(strips, at).Standing; got != LineReleased {
					t.Fatalf("strip %d: released, and %s", i+1, got)
				}
				if got := StateOfStrips(strips, at.AddDate(0, 0, 1)).Standing; got != StripDue {
					t.Fatalf("strip %d: the day after a release, %s", i+1, got)
				}
			} else if !stopped {
				if _, err := CheckRelease(strip, strips, "a reason"); CodeOf(err) != WrongState {
					t.Fatalf("strip %d: a line that runs is released: %v", i+1, err)
				}
			}
		}
		for i := range strips {
			if strips[i].Result.Verdict == chemistry.InControl {
				whole, since := StateOfStrips(strips, at), StateOfStrips(strips[i:], at)
				if i < len(strips)-1 && (whole.Standing != since.Standing || whole.Last.ID != since.Last.ID) {
					t.Fatalf("since strip %d: %s, in all %s", i+1, since.Standing, whole.Standing)
				}
			}
		}
	})
}

func TestCheckRelease(t *testing.T) {
	t.Parallel()
	good, bad, again := stripOff(t, 1, monday, 0, 0), stripOff(t, 2, monday, 0.1, 0), stripOff(t, 3, monday, 0.1, 0)
	for name, test := range map[string]struct {
		strip  Strip
		since  []Strip
		reason string
		code   Code
		says   string
	}{
		"no reason":           {bad, []Strip{good, bad}, " ", Invalid, "reason is missing"},
		"reason too long":     {bad, []Strip{good, bad}, strings.Repeat("x", MaxReason+1), Invalid, "too long"},
		"runs":                {good, []Strip{good}, "why not", WrongState, "not stopped"},
		"another strip since": {bad, []Strip{good, bad, again}, "why not", WrongState, "another strip was read"},
		"released before":     {released(bad, monday), []Strip{good, released(bad, monday)}, "why not", WrongState, "released on this strip already, by Wren"},
		"first past control":  {bad, []Strip{good, bad}, " the densitometer ", "", ""},
		"confirmed":           {again, []Strip{good, bad, again}, "the densitometer", "", ""},
	} {
		reason, err := CheckRelease(test.strip, test.since, test.reason)
		if CodeOf(err) != test.code || err != nil && !strings.Contains(err.Error(), test.says) {
			t.Errorf("%s: %v, want %s %q", name, err, test.code, test.says)
		}
		if err == nil && reason != "the densitometer" {
			t.Errorf("%s: reason %q", name, reason)
		}
	}
}

package jobs

import (
	"math"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"wetside/chemistry"
)

// testBench is the test lab with a box of C-41 strips and one of black and white
// in use, and no strips read.
func testBench() Bench {
	grey := chemistry.StripReading{}
	grey.DMin[visual], grey.LD[visual], grey.HD[visual] = 0.25, 0.6, 1.2
	return Bench{
		Catalogue: testLab().Catalogue,
		Boxes: map[chemistry.Process]StripBox{
			chemistry.C41: {ID: 1, Process: chemistry.C41, Number: "4711", Aim: stripAim, Limits: chemistry.C41StripLimits, Active: true},
			chemistry.BW: {ID: 2, Process: chemistry.BW, Number: "12", Aim: grey, Active: true, Limits: chemistry.StripLimits{
				Limits: map[chemistry.StripParameter]chemistry.StripLimit{chemistry.ParameterContrast: {Action: 0.05, Control: 0.1}},
				Source: chemistry.Source{Standing: chemistry.LabsOwn, Text: "our own first month"},
			}},
		},
		Since: map[ControlKey][]Strip{},
	}
}

// with returns densities with one of them changed, or taken away by a value
// that is no number.
func (d Densities) with(name string, value float64) Densities {
	changed := Densities{}
	for n, v := range d {
		changed[n] = v
	}
	if changed[name] = value; math.IsNaN(value) {
		delete(changed, name)
	}
	return changed
}

func TestPatchesAreReadInPlace(t *testing.T) {
	t.Parallel()
	for _, process := range chemistry.Processes {
		densities := Densities{}
		for i, patch := range Patches(process) {
			densities[patch.Name] = float64(i+1) / 10
		}
		var wrong fieldErrors
		reading := wrong.reading("", process, densities, chemistry.C41StripLimits)
		if process == chemistry.BW {
			wrong = nil // has no patches for silver
			reading = wrong.reading("", process, densities, chemistry.StripLimits{})
		}
		if diff := cmp.Diff(densities, DensitiesOf(process, reading)); len(wrong) > 0 || diff != "" {
			t.Errorf("%s: %v %s", process, wrong, diff)
		}
	}
	// A densitometer prints red, green, blue.
	aim := DensitiesOf(chemistry.C41, stripAim)
	if aim["d_min_red"] != 0.2 || aim["ld_green"] != 1.2 || aim["hd_blue"] != 2.2 || aim["d_max_blue"] != 2.9 || aim["yellow_blue"] != 2.8 {
		t.Errorf("the aim is listed as %v", aim)
	}
}

func TestCheckStrip(t *testing.T) {
	t.Parallel()
	aim := DensitiesOf(chemistry.C41, stripAim)
	missing := math.NaN()
	for name, test := range map[string]struct {
		change func(*Bench, *StripRun)
		code   Code
		field  string
		says   string
	}{
		"right":              {func(*Bench, *StripRun) {}, "", "", ""},
		"no such line":       {func(_ *Bench, r *StripRun) { r.Line = 99 }, Invalid, "line", "no such line"},
		"line out of use":    {func(b *Bench, _ *StripRun) { l := b.Lines[drum]; l.Active = false; b.Lines[drum] = l }, Refused, "", "out of use"},
		"not its process":    {func(_ *Bench, r *StripRun) { r.Line = handTanks }, Refused, "", "does not run C-41, it runs BW"},
		"no process":         {func(_ *Bench, r *StripRun) { r.Process = "" }, Refused, "", "does not run"},
		"no box":             {func(b *Bench, _ *StripRun) { delete(b.Boxes, chemistry.C41) }, Refused, "", "no box of C-41 strips is in use"},
		"missing":            {func(_ *Bench, r *StripRun) { r.Densities = aim.with("ld_green", missing) }, Invalid, "ld_green", "LD through green is missing"},
		"silver missing":     {func(_ *Bench, r *StripRun) { r.Densities = aim.with("yellow_blue", missing) }, Invalid, "yellow_blue", "missing"},
		"too dark":           {func(_ *Bench, r *StripRun) { r.Densities = aim.with("hd_red", 5.01) }, Invalid, "hd_red", "0 to 5"},
		"as dark as can be":  {func(_ *Bench, r *StripRun) { r.Densities = aim.with("hd_red", 5) }, "", "", ""},
		"below nothing":      {func(_ *Bench, r *StripRun) { r.Densities = aim.with("d_min_red", -0.01) }, Invalid, "d_min_red", "0 to 5"},
		"nothing":            {func(_ *Bench, r *StripRun) { r.Densities = aim.with("d_min_red", 0) }, "", "", ""},
		"infinite":           {func(_ *Bench, r *StripRun) { r.Densities = aim.with("hd_red", math.Inf(1)) }, Invalid, "hd_red", "0 to 5"},
		"of another process": {func(_ *Bench, r *StripRun) { r.Densities = aim.with("ld_visual", 1) }, Invalid, "ld_visual", "not read from a strip of C-41"},
		"clock set back": {func(b *Bench, _ *StripRun) {
			b.Since[ControlKey{drum, chemistry.C41}] = []Strip{stripOff(t, 1, monday.Add(time.Second), 0, 0)}
		}, WrongState, "", "set the clock right"},
		"at the same moment": {func(b *Bench, _ *StripRun) {
			b.Since[ControlKey{drum, chemistry.C41}] = []Strip{stripOff(t, 1, monday, 0, 0)}
		}, "", "", ""},
	} {
		bench, run := testBench(), StripRun{drum, chemistry.C41, aim}
		test.change(&bench, &run)
		strip, err := bench.CheckStrip(run, monday)
		if CodeOf(err) != test.code || err != nil && !strings.Contains(err.Error(), test.says) {
			t.Errorf("%s: %v, want %s %q", name, err, test.code, test.says)
			continue
		}
		if test.field != "" && fieldsOf(err) != test.field {
			t.Errorf("%s: fields %q, want %q", name, fieldsOf(err), test.field)
		}
		if err == nil && (strip.Box != 1 || strip.Aim != stripAim || !strip.At.Equal(monday) || strip.LineName != "Drum") {
			t.Errorf("%s: recorded as %+v", name, strip)
		}
	}
}

func fieldsOf(err error) string {
	told, ok := err.(*Error)
	if !ok {
		return ""
	}
	var fields []string
	for _, field := range told.Fields {
		fields = append(fields, field.Field)
	}
	return strings.Join(fields, ",")
}

// A second strip is one that follows the first past the control limit, and no
// other.
func TestWhichStripConfirms(t *testing.T) {
	t.Parallel()
	bad, good := stripOff(t, 7, monday, 0.1, 0), stripOff(t, 6, monday, 0, 0)
	action := stripOff(t, 8, monday, 0.07, 0)
	again := stripOff(t, 9, monday, 0.1, 0)
	for name, test := range map[string]struct {
		since []Strip
		want  StripID
	}{
		"the first ever":           {nil, 0},
		"after a good one":         {[]Strip{good}, 0},
		"after the action limit":   {[]Strip{good, action}, 0},
		"after the control limit":  {[]Strip{good, bad}, 7},
		"after a second one":       {[]Strip{good, bad, again}, 0},
		"after a release":          {[]Strip{good, released(bad, monday)}, 0},
		"after a release and more": {[]Strip{good, released(bad, monday), again}, 9},
	} {
		bench := testBench()
		bench.Since[ControlKey{drum, chemistry.C41}] = test.since
		strip, err := bench.CheckStrip(StripRun{drum, chemistry.C41, DensitiesOf(chemistry.C41, stripAim)}, monday.Add(time.Hour))
		if err != nil || strip.Confirms != test.want {
			t.Errorf("%s: confirms %d, want %d (%v)", name, strip.Confirms, test.want, err)
		}
	}
}

// A black-and-white strip is read in one channel: no colours, no silver, and
// none of what the patterns of C-41 mean.
func TestBlackAndWhiteStrip(t *testing.T) {
	t.Parallel()
	run := StripRun{handTanks, chemistry.BW, Densities{"d_min_visual": 0.25, "ld_visual": 0.6, "hd_visual": 1.32}}
	strip, err := testBench().CheckStrip(run, monday)
	if err != nil {
		t.Fatal(err)
	}
	if strip.Result.Verdict != chemistry.PastControl || len(strip.Result.Signals) != 1 {
		t.Fatalf("%s: %v", strip.Result.Verdict, strip.Result.Signals)
	}
	if got := strip.Result.Signals[0].String(); got != "HD − LD is off by +0.12, past the control limit of 0.10" {
		t.Errorf("signal reads %q", got)
	}
	if next := strings.Join(strip.Result.Next, " "); len(strip.Result.Suspects) > 0 || strings.Contains(next, "CIS-254") {
		t.Errorf("suspects %v, next %s", strip.Result.Suspects, next)
	}
	run.Densities = run.Densities.with("d_max_blue", 2)
	if _, err := testBench().CheckStrip(run, monday); fieldsOf(err) != "d_max_blue" {
		t.Errorf("D-max through blue in black and white: %v", err)
	}
}

// What Kodak Z-131, table 5-1 allows stands behind the verdict, and what the
// pattern suggests is said at once.
func TestStripIsJudgedAtOnce(t *testing.T) {
	t.Parallel()
	aim := DensitiesOf(chemistry.C41, stripAim)
	run := StripRun{drum, chemistry.C41, aim.with("d_max_blue", aim["d_max_blue"]+0.13)}
	strip, err := testBench().CheckStrip(run, monday)
	if err != nil {
		t.Fatal(err)
	}
	if strip.Result.Verdict != chemistry.PastControl || !strings.Contains(strip.Result.Source.String(), "Z-131") {
		t.Errorf("%s by %s", strip.Result.Verdict, strip.Result.Source)
	}
	if next := strings.Join(strip.Result.Next, " "); !strings.Contains(next, "bleach") || !strings.Contains(next, "second strip") {
		t.Errorf("next: %s", next)
	}
}

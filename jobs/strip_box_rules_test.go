package jobs

import (
	"maps"
	"math"
	"strings"
	"testing"
	"time"

	"wetside/chemistry"
)

func boxDraft(change func(*BoxDraft)) BoxDraft {
	limits := chemistry.C41StripLimits
	limits.Limits = maps.Clone(limits.Limits)
	draft := BoxDraft{
		Process: chemistry.C41, Number: " 4712 ", Aim: DensitiesOf(chemistry.C41, stripAim), Limits: limits,
		Strips: 50, ExpiresOn: time.Date(2026, 3, 2, 0, 0, 0, 0, time.UTC),
	}
	change(&draft)
	return draft
}

func TestNewBox(t *testing.T) {
	t.Parallel()
	limit := func(parameter chemistry.StripParameter, action, control float64) func(*BoxDraft) {
		return func(d *BoxDraft) { d.Limits.Limits[parameter] = chemistry.StripLimit{Action: action, Control: control} }
	}
	own := func(change func(*BoxDraft)) func(*BoxDraft) {
		return func(d *BoxDraft) { d.Limits.Source.Text = "our manual, table 3"; change(d) }
	}
	for name, test := range map[string]struct {
		change func(*BoxDraft)
		field  string
		says   string
	}{
		"right":                {func(*BoxDraft) {}, "", ""},
		"no process":           {func(d *BoxDraft) { d.Process = "C-22" }, "process", "C-41"},
		"no number":            {func(d *BoxDraft) { d.Number = " " }, "number", "missing"},
		"number too long":      {func(d *BoxDraft) { d.Number = strings.Repeat("1", 41) }, "number", "too long"},
		"too many strips":      {func(d *BoxDraft) { d.Strips = 1001 }, "strips", "1 to 1000"},
		"fewer than none":      {func(d *BoxDraft) { d.Strips = -1 }, "strips", "1 to 1000"},
		"not counted":          {func(d *BoxDraft) { d.Strips = 0 }, "", ""},
		"past its date":        {func(d *BoxDraft) { d.ExpiresOn = d.ExpiresOn.AddDate(0, 0, -1) }, "expires_on", "past its date"},
		"no date":              {func(d *BoxDraft) { d.ExpiresOn = time.Time{} }, "", ""},
		"no aim":               {func(d *BoxDraft) { d.Aim = d.Aim.with("ld_red", math.NaN()) }, "aim.ld_red", "missing"},
		"aim too dark":         {func(d *BoxDraft) { d.Aim = d.Aim.with("hd_red", 5.5) }, "aim.hd_red", "0 to 5"},
		"patches mixed up":     {func(d *BoxDraft) { d.Aim = d.Aim.with("ld_red", 1.4) }, "aim.hd_red", "mixed up"},
		"correction too large": {func(d *BoxDraft) { d.Correction = Densities{"ld_red": 1.01} }, "correction.ld_red", "-1 to 1"},
		"corrected below 0":    {func(d *BoxDraft) { d.Correction = Densities{"d_min_red": -0.3} }, "aim.d_min_red", "0 to 5"},
		"action past control":  {own(limit(chemistry.ParameterSpeed, 0.09, 0.08)), "limits.ld_action", "beyond its control limit"},
		"limit of no density":  {own(limit(chemistry.ParameterSpeed, 0.06, 2.1)), "limits.ld_control", "0 to 2"},
		"limit below 0":        {own(limit(chemistry.ParameterSpeed, -0.06, 0.08)), "limits.ld_action", "0 to 2"},
		"own limits, no word":  {limit(chemistry.ParameterSpeed, 0.05, 0.08), "limits_source", "where these limits are from"},
		"own limits":           {own(limit(chemistry.ParameterSpeed, 0.05, 0.08)), "", ""},
		"no limits":            {own(func(d *BoxDraft) { d.Limits.Limits = nil }), "limits", "at least one control limit"},
		"only action limits": {own(func(d *BoxDraft) {
			d.Limits.Limits = map[chemistry.StripParameter]chemistry.StripLimit{chemistry.ParameterSpeed: {Action: 0.06}}
		}), "limits", "at least one control limit"},
	} {
		box, err := boxDraft(test.change).NewBox(StripBox{}, nil, monday)
		if fields := fieldsOf(err); fields != test.field || test.says != "" && (err == nil || !strings.Contains(err.Error(), test.says)) {
			t.Errorf("%s: %v, want %q at %q", name, err, test.says, test.field)
		}
		if err == nil && (box.Number != "4712" || !box.Active || box.Aim != stripAim || !box.OpenedAt.Equal(monday)) {
			t.Errorf("%s: %+v", name, box)
		}
	}
}

// The aim is what the reference strip reads with the correction factors of the
// box; limits as published keep their source.
func TestAimAndLimitsOfABox(t *testing.T) {
	t.Parallel()
	box, err := boxDraft(func(d *BoxDraft) { d.Correction = Densities{"ld_red": 0.02, "hd_blue": -0.013} }).NewBox(StripBox{}, nil, monday)
	if err != nil {
		t.Fatal(err)
	}
	want := stripAim
	want.LD[chemistry.Red], want.HD[chemistry.Blue] = 0.82, 2.187
	if box.Aim != want || box.Basis.Read != stripAim || box.Basis.Correction.LD[chemistry.Red] != 0.02 {
		t.Errorf("aim %+v from %+v", box.Aim, box.Basis)
	}
	if box.Limits.Source != chemistry.C41StripLimits.Source {
		t.Errorf("the published limits are said to be from %s", box.Limits.Source)
	}
	grey, err := BoxDraft{
		Process: chemistry.BW, Number: "1", Aim: Densities{"d_min_visual": 0.2, "ld_visual": 0.6, "hd_visual": 1.2},
		Limits: chemistry.StripLimits{Source: chemistry.Source{Text: "our first month"}, Limits: map[chemistry.StripParameter]chemistry.StripLimit{
			chemistry.ParameterDMin: {Action: 0.02, Control: 0.04}, chemistry.ParameterSpeed: {Control: 0.1}, chemistry.ParameterSilver: {}, chemistry.ParameterSpread: {}}},
	}.NewBox(StripBox{}, nil, monday)
	if fieldsOf(err) != "limits,limits" {
		t.Errorf("silver and spread in black and white: %v %v", grey.Limits, err)
	}
}

// A new box is crossed over in a line that is in control: its aim is what its
// strips read, less what the old strips are off.
func TestBoxIsCrossedOver(t *testing.T) {
	t.Parallel()
	old := testBench().Boxes[chemistry.C41]
	inBox := func(strip Strip) Strip { strip.Box = old.ID; return strip }
	strips := []Strip{inBox(stripOff(t, 1, monday, 0.02, 0)), inBox(stripOff(t, 2, monday, 0.04, 0)), inBox(stripOff(t, 3, monday, 0.07, 0)), stripOff(t, 4, monday, 0, 0)}
	fresh := DensitiesOf(chemistry.C41, stripAim)
	pair := func(id StripID, red float64) CrossPair {
		return CrossPair{id, fresh.with("ld_red", 0.9+red).with("hd_red", 1.4+red)}
	}
	cross := func(pairs ...CrossPair) func(*BoxDraft) {
		return func(d *BoxDraft) { d.Aim, d.Pairs = nil, pairs }
	}
	box, err := boxDraft(cross(pair(1, 0.02), pair(2, 0.04))).NewBox(old, strips, monday)
	if err != nil {
		t.Fatal(err)
	}
	want := stripAim
	want.LD[chemistry.Red], want.HD[chemistry.Red] = 0.9, 1.4
	if box.Aim != want || box.Basis.Crossed != old.ID || len(box.Basis.Pairs) != 2 {
		t.Errorf("aim %+v from %+v", box.Aim, box.Basis)
	}
	for name, test := range map[string]struct {
		change func(*BoxDraft)
		old    StripBox
		code   Code
		says   string
	}{
		"a line that is off":   {cross(pair(3, 0)), old, Refused, "not in control"},
		"of another box":       {cross(pair(4, 0)), old, Invalid, "no strip that was read from box 4711"},
		"no such strip":        {cross(pair(9, 0)), old, Invalid, "no strip that was read"},
		"the same strip":       {cross(pair(1, 0), pair(1, 0)), old, Invalid, "two pairs"},
		"nothing to cross":     {cross(pair(1, 0)), StripBox{}, Invalid, "type the aim"},
		"both ways":            {func(d *BoxDraft) { d.Pairs = []CrossPair{pair(1, 0)} }, old, Invalid, "not both"},
		"half a strip":         {cross(CrossPair{1, fresh.with("ld_red", math.NaN())}), old, Invalid, "missing"},
		"to an impossible aim": {cross(CrossPair{1, fresh.with("ld_red", 1.5)}), old, Invalid, "mixed up"},
	} {
		if _, err := boxDraft(test.change).NewBox(test.old, strips, monday); CodeOf(err) != test.code || !strings.Contains(err.Error(), test.says) {
			t.Errorf("%s: %v, want %s %q", name, err, test.code, test.says)
		}
	}
}

func TestBoxIsCorrected(t *testing.T) {
	t.Parallel()
	crossed := testBench().Boxes[chemistry.C41]
	crossed.Basis = AimBasis{Crossed: 7}
	same, err := crossed.Changed(boxDraft(func(d *BoxDraft) { d.Strips = 40; d.ExpiresOn = monday.AddDate(-1, 0, 0) }))
	if err != nil || same.Basis.Crossed != 7 || same.Strips != 40 || same.ID != crossed.ID || same.Number != "4712" {
		t.Errorf("%+v, %v", same, err)
	}
	other, err := crossed.Changed(boxDraft(func(d *BoxDraft) { d.Aim = d.Aim.with("ld_red", 0.81) }))
	if err != nil || other.Basis.Crossed != 0 || other.Aim.LD[chemistry.Red] != 0.81 {
		t.Errorf("%+v, %v", other, err)
	}
}

// A box is crossed over while a week's strips are left; strips are counted down.
func TestStripsLeft(t *testing.T) {
	t.Parallel()
	for _, test := range []struct {
		strips, read, recent, lines, left int
		counted, due                      bool
	}{
		{50, 20, 14, 2, 30, true, false}, // 2 a day: 14 a week
		{50, 35, 14, 2, 15, true, false},
		{50, 36, 14, 2, 14, true, true},
		{50, 30, 21, 2, 20, true, true}, // 3 a day
		{50, 36, 0, 2, 14, true, true},  // a strip a line a day at least
		{50, 60, 14, 2, 0, true, true},  // miscounted
		{0, 60, 14, 2, 0, false, false},
	} {
		box := StripBox{Active: true, Strips: test.strips, Read: test.read, Recent: test.recent}
		left, counted := box.Left()
		if left != test.left || counted != test.counted || box.CrossOverDue(test.lines) != test.due {
			t.Errorf("%+v: %d left (%t), due %t", test, left, counted, box.CrossOverDue(test.lines))
		}
	}
	expires := StripBox{ExpiresOn: time.Date(2026, 3, 2, 0, 0, 0, 0, time.UTC)}
	if expires.Expired(monday) || !expires.Expired(monday.AddDate(0, 0, 1)) || (StripBox{}).Expired(monday) {
		t.Error("a box is good on its last day, and no longer")
	}
}

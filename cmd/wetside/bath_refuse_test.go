package main

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"io"
	"strings"
	"testing"
	"testing/iotest"

	"wetside/chemistry"
)

// TestBathRefuses spoils one thing at a time in a good input: exit status 2, and
// one line that names the field and what is allowed.
func TestBathRefuses(t *testing.T) {
	t.Parallel()
	const good = `{"solution": {"family": "fixer", "use": "reused", "capacity": {"rolls": 20}, "keeps": [{"days": 60}]},
		"fill": {"volume_ml": 1000, "filled": "2026-03-02T08:00:00Z", "clearing": {"fresh_s": 30, "now_s": 40}},
		"through": [{"at": "2026-03-03T09:00:00Z", "rolls": 2}], "recent": [{"day": "2026-03-03", "rolls": 2}],
		"next": {"rolls": 1}, "now": "2026-03-04T08:00:00Z"}`
	if status, _, fault := bath(good, "--json"); status != 0 {
		t.Fatalf("the good input gives exit %d, %s", status, fault)
	}
	for _, test := range []struct{ old, spoilt, field, allowed string }{
		{`"use": "reused"`, `"use": "often"`, "solution.use", "one-shot, reused, replenished"},
		{`"family": "fixer"`, `"family": "soup"`, "solution.family", "colour developer"},
		{`"family": "fixer"`, `"famly": "fixer"`, "solution.famly", "family"},
		{`"family": "fixer"`, `"Family": "fixer"`, "solution.Family", "family"},
		{`"family": "fixer"`, `"family": "bleach"`, "fill.clearing", "fixer or bleach-fix"},
		{`"use": "reused"`, `"use": "replenished"`, "solution.replenisher", "ml_per_m2"},
		{`"use": "reused"`, `"use": "reused", "replenisher": {"ml_per_m2": 5}`, "solution.replenisher", "replenished only"},
		{`"use": "reused"`, `"use": "replenished", "replenisher": {"ml_per_m2": 0}`, "solution.replenisher.ml_per_m2", "1 to 100000"},
		{`"use": "reused"`, `"use": "replenished", "replenisher": {"ml_per_m2": 5, "ml_per_ft2": 5}`, "solution.replenisher", "exactly one"},
		{`"use": "reused"`, `"use": "replenished", "replenisher": {"ml_per_m2": 5, "push_factor": 3}`, "push_factor", "0.5 to 2"},
		{`"use": "reused"`, `"use": "one-shot", "time_percent_per_roll": 5`, "solution.time_percent_per_roll", "reused only"},
		{`"use": "reused"`, `"use": "reused", "time_percent_per_roll": -1`, "solution.time_percent_per_roll", "0 to 100"},
		{`"use": "reused"`, `"use": "reused", "minimum_ml_per_roll": 0`, "solution.minimum_ml_per_roll", "1 to 100000"},
		{`"use": "reused"`, `"use": "reused", "bromide": {"start_g_per_l": -1}`, "solution.bromide.start_g_per_l", "0 to 100"},
		{`{"rolls": 20}`, `{"rolls": -20}`, "solution.capacity.rolls", "0.01 to"},
		{`{"rolls": 20}`, `{"rolls": 99000}`, "solution.capacity", "0.001 to 100"},
		{`{"rolls": 20}`, `{}`, "solution.capacity", "m2_per_l, rolls_per_l, m2, rolls"},
		{`{"rolls": 20}`, `{"rolls": 20, "m2": 1}`, "solution.capacity", "exactly one"},
		{`{"days": 60}`, `{}`, "solution.keeps[0]", "0 to 120 months"},
		{`{"days": 60}`, `{"days": 1.5}`, "keeps.days", "a whole number"},
		{`{"days": 60}`, `{"days": 60, "storage": "shelf"}`, "solution.keeps[0].storage", "open tank"},
		{`"volume_ml": 1000`, `"volume_ml": 0`, "fill.volume_ml", "1 to 10000000"},
		{`"volume_ml": 1000, `, ``, "fill.volume_ml", "1 to 10000000"},
		{`"volume_ml": 1000`, `"volume_ml": "1 L"`, "fill.volume_ml", "a number"},
		{`"volume_ml": 1000`, `"volume_ml": 1000, "volume_ml": 2000`, "fill.volume_ml", "twice"},
		{`"volume_ml": 1000`, `"volume_ml": 1000, "storage": "shelf"`, "fill.storage", "floating lid"},
		{`"volume_ml": 1000`, `"volume_ml": 1000, "mixed": "2026-03-03T08:00:00Z"`, "filled", "mixed"},
		{`"filled": "2026-03-02T08:00:00Z"`, `"filled": "yesterday"`, "fill.filled", "2026-03-02T08:00:00Z"},
		{`"filled": "2026-03-02T08:00:00Z"`, `"filled": "0001-01-01T00:00:00Z"`, "fill.filled", "1900"},
		{`"clearing": {"fresh_s": 30, "now_s": 40}`, `"clearing": {"fresh_s": 30}`, "fill.clearing.now_s", "1 to 3600"},
		{`"clearing": {"fresh_s": 30, "now_s": 40}`, `"two_bath": true`, "fill.two_bath", "fill.clearing"},
		{`"clearing": {"fresh_s": 30, "now_s": 40}`, `"two_bath": "yes"`, "fill.two_bath", "true or false"},
		{`09:00:00Z", "rolls": 2`, `09:00:00Z"`, "through[0].rolls", "through[0].area_m2"},
		{`09:00:00Z", "rolls": 2`, `09:00:00Z", "rolls": null`, "through[0].rolls", "through[0].area_m2"},
		{`09:00:00Z", "rolls": 2`, `09:00:00Z", "rolls": 2, "area_m2": 1`, "through[0]", "only one"},
		{`09:00:00Z", "rolls": 2`, `09:00:00Z", "rolls": -2`, "through[0].rolls", "0 to 100000"},
		{`09:00:00Z", "rolls": 2`, `09:00:00Z", "rolls": "two"`, "through[0].rolls", `{"135": 10`},
		{`09:00:00Z", "rolls": 2`, `09:00:00Z", "rolls": [[2]]`, "through[0].rolls", `{"135": 10`},
		{`09:00:00Z", "rolls": 2`, `09:00:00Z", "rolls": {"127": 2}`, "through[0].rolls.127", "135, 120, 220 and 4x5"},
		{`09:00:00Z", "rolls": 2`, `09:00:00Z", "rolls": {"135-x": 2}`, "through[0].rolls.135-x", "135-24"},
		{`09:00:00Z", "rolls": 2`, `09:00:00Z", "rolls": {"135-999": 2}`, "through[0].rolls.135-999", "1 to 250"},
		{`09:00:00Z", "rolls": 2`, `09:00:00Z", "rolls": {"135": -1}`, "through[0].rolls.135", "0 to 100000"},
		{`09:00:00Z", "rolls": 2`, `09:00:00Z", "rolls": {"135": 1, "135": 2}`, "through[0].rolls.135", "twice"},
		{`09:00:00Z", "rolls": 2`, `09:00:00Z", "area_m2": 1e300`, "through[0].area_m2", "0 to 10000"},
		{`09:00:00Z", "rolls": 2`, `09:00:00Z", "area_m2": 1e999`, "area_m2", "a number of sensible size"},
		{`09:00:00Z", "rolls": 2`, `09:00:00Z", "rolls": 2, "push": 0.4`, "through[0].push", "halves, thirds"},
		{`09:00:00Z", "rolls": 2`, `09:00:00Z", "rolls": 2, "replenisher_ml": -1`, "through[0].replenisher_ml", "0 to"},
		{`2026-03-03T09:00:00Z`, `2026-03-01T09:00:00Z`, "through[0].at", "fill.filled"},
		{`2026-03-03T09:00:00Z`, `2026-03-05T09:00:00Z`, "through[0].at", "now"},
		{`"2026-03-03", "rolls": 2`, `"2026-03-05", "rolls": 2`, "recent[0].day", "not after now"},
		{`"2026-03-03", "rolls": 2`, `"3 March", "rolls": 2`, "recent[0].day", "2026-03-02"},
		{`"2026-03-03", "rolls": 2`, `"2026-03-03"`, "recent[0].rolls", "recent[0].area_m2"},
		{`"next": {"rolls": 1}`, `"next": {}`, "next.rolls", "next.area_m2"},
		{`"next": {"rolls": 1}`, `"next": {"rolls": 1, "push": 30}`, "next.push", "10"},
		{`"now": "2026-03-04T08:00:00Z"`, `"now": "2026-03-02T07:00:00Z"`, "through[0].at", "now"},
		{`, "now": "2026-03-04T08:00:00Z"`, ``, "now", "is wanted"},
		{`"now": "2026-03-04T08:00:00Z"`, `"now": 4`, "now", "a text is wanted"},
		{`"now": "2026-03-04T08:00:00Z"}`, `"now": "2026-03-04T08:00:00Z"} {}`, "JSON", "one"},
		{good, ``, "JSON", "one"},
		{good, `[]`, "the whole input", "an object"},
		{good, `{"now": "2026`, "JSON", "one"},
		{good, strings.Repeat("[", 20000), "JSON", "depth"},
		{good, `{"through": {}}`, "through", "a list"},
		{good, `{"solution": {}, "now": "2026-03-04T08:00:00Z"}`, "fill.volume_ml", "1 to 10000000"},
	} {
		input := strings.Replace(good, test.old, test.spoilt, 1)
		if input == good {
			t.Fatalf("%s is not in the good input", test.old)
		}
		status, out, fault := bath(input, "--json")
		if status != 2 || out != "" || strings.Count(fault, "\n") != 1 {
			t.Errorf("%.80s: exit %d, printed %q, error %q", test.spoilt, status, out, fault)
		}
		if !strings.Contains(fault, test.field) || !strings.Contains(fault, test.allowed) {
			t.Errorf("%.80s: %s does not name %q and %q", test.spoilt, fault, test.field, test.allowed)
		}
	}
}

// A clock set back to before the fill was made is the one fault left to see when
// no film went through.
func TestBathRefusesAClockSetBack(t *testing.T) {
	t.Parallel()
	status, _, fault := bath(`{"solution": {"family": "fixer", "use": "reused"}, "now": "2026-03-01T08:00:00Z",
		"fill": {"volume_ml": 1000, "filled": "2026-03-02T08:00:00Z"}}`)
	if status != 2 || !strings.Contains(fault, "now 2026-03-01T08:00:00Z") || !strings.Contains(fault, "2026-03-02T08:00:00Z, and later") {
		t.Errorf("exit %d, %s", status, fault)
	}
}

func TestBathRefusesArguments(t *testing.T) {
	t.Parallel()
	for _, test := range []struct {
		args   []string
		in     io.Reader
		status int
		says   string
	}{
		{[]string{"bath"}, nil, 2, "one file"},
		{[]string{"bath", "a", "b"}, nil, 2, "one file"},
		{[]string{"bath", "--loud", "-"}, nil, 2, "loud"},
		{[]string{"bath", "no/such/file"}, nil, 2, "no/such/file"},
		{[]string{"bath", "-"}, iotest.ErrReader(errors.New("the pipe broke")), 1, "the pipe broke"},
	} {
		var out, fault bytes.Buffer
		status := run(context.Background(), test.args, stdio{test.in, &out, &fault})
		if status != test.status || out.Len() > 0 || !strings.Contains(fault.String(), test.says) {
			t.Errorf("%q: exit %d, %q, %q", test.args, status, &out, &fault)
		}
	}
}

// FuzzReadBath: whatever is read either is refused or gives a state that can be
// printed, with a verdict, reasons and the deferral.
func FuzzReadBath(f *testing.F) {
	f.Add([]byte(everyField))
	f.Add([]byte(bathInput(`"family": "colour developer", "use": "replenished", "replenisher": {"ml_per_roll": 45}, "capacity": {"rolls": 9},
		"bromide": {"released_mg_per_roll": 50, "start_g_per_l": 0.2}, "keeps": [{"months": 1}]`, through(`"rolls": {"135-24": 3, "4x5": 2}, "push": -0.5`))))
	f.Add([]byte(`{"solution": {"family": "fixer", "use": "reused", "capacity": {"m2": 3}}, "now": "2026-03-04T08:00:00+09:30", "next": {"area_m2": 0},
		"fill": {"volume_ml": 1, "filled": "1900-03-02T08:00:00Z", "clearing": {"fresh_s": 30, "now_s": 90}, "two_bath": true}, "recent": [{"day": "2026-03-04", "rolls": 2}]}`))
	f.Add([]byte(`{"solution": {"use": 1e400}}`))
	f.Fuzz(func(t *testing.T, text []byte) {
		question, err := readBath(text)
		if err != nil {
			return
		}
		state, err := chemistry.Assess(question.solution, question.fill, question.now)
		if err != nil {
			if !errors.As(err, new(*chemistry.RangeError)) {
				t.Errorf("%v is no typed error", err)
			}
			return
		}
		report := newBathReport(question, state)
		if _, err := json.Marshal(report); err != nil {
			t.Errorf("%+v: %v", report, err)
		}
		if report.text("x") == "" || report.Verdict == "" || len(report.Reasons) == 0 || report.Cautions[len(report.Cautions)-1] != chemistry.Deferral {
			t.Errorf("%+v", report)
		}
	})
}

package main

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"wetside/chemistry"
)

// bath runs the command on an input read from standard input.
func bath(input string, flags ...string) (status int, out, fault string) {
	var stdout, stderr bytes.Buffer
	args := append([]string{"bath"}, flags...)
	status = run(context.Background(), append(args, "-"), stdio{strings.NewReader(input), &stdout, &stderr})
	return status, stdout.String(), stderr.String()
}

// bathState runs the command and decodes the state it prints.
func bathState(t *testing.T, input string) bathReport {
	t.Helper()
	status, out, fault := bath(input, "--json")
	var report bathReport
	if status != 0 || fault != "" || json.Unmarshal([]byte(out), &report) != nil {
		t.Fatalf("exit %d, %s%s", status, fault, out)
	}
	return report
}

// bathInput puts a solution, through and next into an input of 1 L, 2 to 4 March.
func bathInput(solution, rest string) string {
	return `{"solution": {` + solution + `}, "fill": {"volume_ml": 1000, "filled": "2026-03-02T08:00:00Z"},
		"now": "2026-03-04T08:00:00Z", ` + rest + `}`
}

func through(film string) string {
	return `"through": [{"at": "2026-03-03T09:00:00Z", ` + film + `}]`
}

// Capacities: fixer 20 rolls a litre acid and 25 alkaline (Darkroom Cookbook, 3rd
// edition, p. 108), stop bath SB-5 12 rolls (p. 268), X-ray developer 2 m² a litre
// (ABC der Röntgentechnik).
func TestBathCapacities(t *testing.T) {
	t.Parallel()
	for _, test := range []struct {
		solution, film string
		left           int
		used           float64
		verdict        chemistry.Verdict
	}{
		{`"family": "fixer", "use": "reused", "capacity": {"rolls_per_l": 20}`, `"rolls": 5`, 15, 25, chemistry.InUse},
		{`"family": "fixer", "use": "reused", "capacity": {"rolls_per_l": 20}`, `"rolls": {"135": 10, "120": 6}`, 4, 80, chemistry.DueSoon},
		{`"family": "fixer", "use": "reused", "capacity": {"rolls": 20}`, `"rolls": {"220": 10}`, 0, 100, chemistry.Exhausted},
		{`"family": "fixer", "use": "reused", "capacity": {"rolls_per_l": 25}`, `"rolls": {"4x5": 20}`, 20, 20, chemistry.InUse},
		{`"family": "stop bath", "use": "Reused", "capacity": {"rolls_per_l": 12}`, `"rolls": {"135-24": 9}`, 6, 50, chemistry.InUse},
		{`"family": "black and white developer", "use": "reused", "capacity": {"m2_per_l": 2}`, `"area_m2": 1.5`, 9, 75, chemistry.InUse},
		{`"family": "black and white developer", "use": "reused", "capacity": {"m2": 2}`, `"area_m2": 2`, 0, 100, chemistry.Exhausted},
	} {
		got := bathState(t, bathInput(test.solution, through(test.film)))
		if got.Verdict != test.verdict || *got.RollsLeft != test.left || math.Abs(*got.CapacityUsedPercent-test.used) > 1e-6 {
			t.Errorf("%s, %s: %s, %d rolls left, %v %% used", test.solution, test.film, got.Verdict, *got.RollsLeft, *got.CapacityUsedPercent)
		}
	}
}

// A fixer lasts two months at most (Darkroom Cookbook, 3rd edition, p. 108).
func TestBathKeeping(t *testing.T) {
	t.Parallel()
	for now, want := range map[string]chemistry.Verdict{
		"2026-03-30T08:00:00Z": chemistry.Fresh, "2026-05-01T08:00:00Z": chemistry.DueSoon, "2026-05-02T08:00:00Z": chemistry.Exhausted,
	} {
		got := bathState(t, `{"solution": {"family": "fixer", "use": "reused", "keeps": [{"months": 2}, {"storage": "open tank", "days": 3}]},
			"fill": {"volume_ml": 1000, "filled": "2026-03-02T08:00:00Z", "storage": "full bottle"}, "now": "`+now+`"}`)
		if got.Verdict != want || *got.KeepsUntil != "2026-05-02T08:00:00Z" {
			t.Errorf("on %s: %s, keeps until %s", now, got.Verdict, *got.KeepsUntil)
		}
		date := "2026-05-02"
		if *got.RunsOut.Date > date || *got.RunsOut.Earliest != *got.RunsOut.Date || *got.RunsOut.Latest != *got.RunsOut.Date {
			t.Errorf("on %s: runs out %v", now, *got.RunsOut.Date)
		}
	}
}

// 50 mg a roll and 45 mL of replenisher end at 1.11 g/L, by way of 63.2, 86.5,
// 95.0, 98.2 and 99.3 % after 1 to 5 turnovers (mass balance).
func TestBathBromide(t *testing.T) {
	t.Parallel()
	for i, percent := range []float64{63.2, 86.5, 95.0, 98.2, 99.3} {
		got := bathState(t, fmt.Sprintf(`{"solution": {"family": "colour developer", "use": "replenished",
			"replenisher": {"ml_per_roll": 45}, "bromide": {"released_mg_per_roll": 50}},
			"fill": {"volume_ml": 4500, "filled": "2026-03-02T08:00:00Z"}, "now": "2026-03-04T08:00:00Z",
			"through": [{"at": "2026-03-03T09:00:00Z", "rolls": %d}]}`, 100*(i+1)))
		if math.Abs(got.Turnovers-float64(i+1)) > 1e-6 || math.Abs(*got.BromideSteadyPercent-percent) > 0.05 {
			t.Errorf("%d turnovers: %v, %v %%", i+1, got.Turnovers, *got.BromideSteadyPercent)
		}
		if math.Abs(*got.BromideSteadyGPerL-1.11) > 0.005 || math.Abs(*got.BromideGPerL-percent/100*50/45) > 0.001 {
			t.Errorf("%d turnovers: %v g/L of %v", i+1, *got.BromideGPerL, *got.BromideSteadyGPerL)
		}
		if !got.Replenish.Assumed || got.Replenish.DueML != 0 {
			t.Errorf("%d turnovers: %+v", i+1, got.Replenish)
		}
	}
}

// Kodak Z-119, table 2-1: first developer 200 mL/ft² or 2153 mL/m², bleach 20 or
// 215; New Mexico Administrative Code 20.3.6.612: 1 L for 2.00 m².
func TestBathReplenishment(t *testing.T) {
	t.Parallel()
	for rate, want := range map[string]float64{
		`"ml_per_ft2": 200`: 2153, `"ml_per_m2": 2153`: 2153, `"ml_per_ft2": 20`: 215, `"m2_per_l": 2`: 500, `"ml_per_roll": 111.1`: 2153,
		`"ml_per_m2": 1000, "push_factor": 1.1`: 1100,
	} {
		solution := `"family": "first developer", "use": "replenished", "replenisher": {` + rate + `}`
		got := bathState(t, bathInput(solution, through(`"area_m2": 1, "push": 1, "replenisher_ml": 100`)+`, "next": {"area_m2": 2, "push": 1}`))
		if math.Abs(got.Replenish.CalledForML-want) > 0.5 || math.Abs(got.Replenish.DueML-want+100) > 0.5 || got.Replenish.Assumed {
			t.Errorf("%s: %+v, want %v mL called for", rate, got.Replenish, want)
		}
		if math.Abs(got.Next.ReplenishML-2*want) > 1 {
			t.Errorf("%s: the next 2 m² take %v mL", rate, got.Next.ReplenishML)
		}
	}
}

// Two idle days: 3 % of the tank (US Army SS0514).
func TestBathIdleTopUp(t *testing.T) {
	t.Parallel()
	const solution = `"family": "color developer", "use": "replenished", "replenisher": {"ml_per_roll": 45}`
	if got := bathState(t, bathInput(solution, `"through": []`)); math.Abs(got.Replenish.IdleTopUpML-30) > 1e-9 {
		t.Errorf("1 L idle from 2 to 4 March: %+v", got.Replenish)
	}
	// A top-up ends the idling.
	if got := bathState(t, bathInput(solution, through(`"replenisher_ml": 30`))); got.Replenish.IdleTopUpML != 0 || got.Replenish.AddedML != 30 {
		t.Errorf("topped up on 3 March: %+v", got.Replenish)
	}
}

// MQ borax stock, about 10 % a film after the first in 1 L (common practice).
func TestBathTimeCompensation(t *testing.T) {
	t.Parallel()
	for _, rolls := range []int{0, 1, 2, 5} {
		got := bathState(t, bathInput(`"family": "black-and-white developer", "use": "reused", "time_percent_per_roll": 10`,
			through(fmt.Sprintf(`"rolls": %d`, rolls))))
		if math.Abs(got.TimeCompensationPercent-10*float64(rolls)) > 1e-6 {
			t.Errorf("after %d rolls: %v %%", rolls, got.TimeCompensationPercent)
		}
		if got.BromideGPerL != nil || got.CapacityM2 != nil || got.RollsLeft != nil || got.Next != nil || got.RunsOut.Date != nil {
			t.Errorf("what is not known is given: %+v", got)
		}
	}
}

// Fix twice the clearing time; discard when it has doubled; of two baths, bath 2
// then becomes bath 1 (NAVEDTRA 14209).
func TestBathClearing(t *testing.T) {
	t.Parallel()
	got := bathState(t, `{"solution": {"family": "fixer", "use": "reused"}, "now": "2026-03-04T08:00:00Z",
		"fill": {"volume_ml": 1000, "mixed": "2026-03-01T08:00:00Z", "filled": "2026-03-02T08:00:00Z", "clearing": {"fresh_s": 30, "now_s": 60}, "two_bath": true}}`)
	if got.Verdict != chemistry.Exhausted || *got.FixAtLeastS != 120 {
		t.Errorf("%s, fix for %v s", got.Verdict, *got.FixAtLeastS)
	}
	if said := fmt.Sprint(got.Reasons); !strings.Contains(said, chemistry.TwoBathRule) {
		t.Errorf("reasons %s", said)
	}
	if *got.RunsOut.Date != "2026-03-04" {
		t.Errorf("exhausted, yet runs out on %s", *got.RunsOut.Date)
	}
}

func TestBathForecast(t *testing.T) {
	t.Parallel()
	const solution = `"family": "fixer", "use": "reused", "capacity": {"rolls": 20}`
	got := bathState(t, bathInput(solution, `"through": [{"at": "2026-03-02T09:00:00Z", "rolls": 4}, {"at": "2026-03-03T09:00:00Z", "rolls": 4}]`))
	// Twelve are left at four a day, from 4 March on.
	if *got.RunsOut.Date != "2026-03-06" || *got.RunsOut.Earliest > "2026-03-06" || *got.RunsOut.Latest < "2026-03-06" {
		t.Errorf("runs out %s, %s to %s", *got.RunsOut.Date, *got.RunsOut.Earliest, *got.RunsOut.Latest)
	}
	got = bathState(t, bathInput(solution, through(`"rolls": 8`)+`, "recent": [{"day": "2026-03-01", "rolls": 12}, {"day": "2026-03-02", "area_m2": 0.61932}, {"day": "2026-03-03", "rolls": 12}]`))
	if *got.RunsOut.Date != "2026-03-04" {
		t.Errorf("at twelve a day: runs out %s", *got.RunsOut.Date)
	}
}

func TestBathNext(t *testing.T) {
	t.Parallel()
	const solution = `"family": "black-and-white developer", "use": "one-shot", "minimum_ml_per_roll": 250, "capacity": {"rolls": 5}`
	for rolls, want := range map[int]nextReport{
		4: {MinimumML: 1000, EnoughSolution: true, Fits: true},
		5: {MinimumML: 1250, Fits: true},
		6: {MinimumML: 1500},
	} {
		got := bathState(t, bathInput(solution, fmt.Sprintf(`"next": {"rolls": %d}`, rolls)))
		if *got.Next != want {
			t.Errorf("%d rolls: %+v, want %+v", rolls, *got.Next, want)
		}
	}
	if got := bathState(t, bathInput(solution, through(`"rolls": 1`)+`, "next": {"rolls": 1}`)); got.Next.Fits || got.Verdict != chemistry.Exhausted {
		t.Errorf("a one-shot solution is used twice: %+v", got.Next)
	}
}

func TestBathAlwaysDefers(t *testing.T) {
	t.Parallel()
	for _, family := range chemistry.SolutionFamilies {
		got := bathState(t, bathInput(`"use": "reused", "family": "`+string(family)+`"`, `"through": null`))
		if len(got.Cautions) < 2 || got.Cautions[len(got.Cautions)-1] != chemistry.Deferral || len(got.Reasons) == 0 {
			t.Errorf("%s: %v, %v", family, got.Cautions, got.Reasons)
		}
	}
}

func TestBathForPeople(t *testing.T) {
	t.Parallel()
	file := filepath.Join(t.TempDir(), "bath.json")
	input := bathInput(`"name": "Developer A", "family": "colour developer", "use": "replenished", "replenisher": {"ml_per_roll": 45},
		"capacity": {"rolls": 4}, "bromide": {"released_mg_per_roll": 50}, "minimum_ml_per_roll": 300`,
		`"through": [{"at": "2026-03-02T09:00:00Z", "rolls": 2}, {"at": "2026-03-03T09:00:00Z", "rolls": 2, "replenisher_ml": 0}], "next": {"rolls": 4}`)
	if err := os.WriteFile(file, []byte(input), 0o600); err != nil {
		t.Fatal(err)
	}
	var out, fault bytes.Buffer
	if status := run(context.Background(), []string{"bath", file}, stdio{strings.NewReader(""), &out, &fault}); status != 0 {
		t.Fatalf("exit %d, %s", status, &fault)
	}
	for _, want := range []string{
		"Developer A: in use\n", "50 % of what it takes without replenisher used", "takes 2 more rolls of 80 in²",
		"add 90 mL of replenisher", "0.09 tank turnovers", "tends to 1.11 g/L", "runs out on 2026-03-05 (at least eight times in ten from ",
		"replenisher that was not noted is taken as added", "next: 180 mL of replenisher, at least 1200 mL of solution, more than the fill holds; it does not fit",
		"! " + chemistry.Deferral,
	} {
		if !strings.Contains(out.String(), want) {
			t.Errorf("nothing says %q in\n%s", want, &out)
		}
	}
	status, text, _ := bath(`{"solution": {"family": "fixer", "use": "reused"}, "now": "2026-03-04T08:00:00Z",
		"fill": {"volume_ml": 1000, "filled": "2026-03-02T08:00:00Z", "clearing": {"fresh_s": 30, "now_s": 40}}}`)
	if status != 0 || !strings.Contains(text, "fix for 80 s at least") || !strings.HasPrefix(text, "fresh\n") || !strings.Contains(text, "no date") {
		t.Errorf("exit %d\n%s", status, text)
	}
	status, text, _ = bath(bathInput(`"family": "fixer", "use": "reused", "capacity": {"rolls": 600}`, through(`"rolls": 2`)))
	if status != 0 || !strings.Contains(text, "to later than two years") {
		t.Errorf("exit %d\n%s", status, text)
	}
}

func TestBathHelpDocumentsEveryField(t *testing.T) {
	t.Parallel()
	var out, fault bytes.Buffer
	if status := run(context.Background(), []string{"bath", "--help"}, stdio{nil, &out, &fault}); status != 0 {
		t.Fatalf("exit %d, %s", status, &fault)
	}
	// The example is an input as it stands, but for the notes beside it.
	_, example, _ := strings.Cut(out.String(), "\n{")
	example, _, _ = strings.Cut("{"+example, "\n}\n")
	var lines []string
	for line := range strings.Lines(example + "}") {
		if before, _, noted := strings.Cut(line, ",   "); noted {
			line = before + ",\n"
		}
		lines = append(lines, line)
	}
	if got := bathState(t, strings.Join(lines, "")); got.Verdict != chemistry.InUse || math.Abs(got.TimeCompensationPercent-50) > 1e-6 {
		t.Errorf("the example of the help: %s, %v %%", got.Verdict, got.TimeCompensationPercent)
	}
	printed, err := json.Marshal(bathReport{Next: &nextReport{}})
	if err != nil {
		t.Fatal(err)
	}
	for _, names := range []string{fieldNames(string(printed)), fieldNames(everyField)} {
		for _, name := range strings.Fields(names) {
			if !strings.Contains(out.String(), name) {
				t.Errorf("the help does not mention %s", name)
			}
		}
	}
}

// fieldNames lists the names of the fields in a JSON text.
func fieldNames(text string) string {
	var names []string
	for _, part := range strings.Split(text, `":`) {
		if i := strings.LastIndexByte(part, '"'); i >= 0 {
			names = append(names, part[i+1:])
		}
	}
	return strings.Join(names, " ")
}

// everyField is an input that names every field there is.
const everyField = `{"solution": {"name": "x", "family": "fixer", "use": "replenished", "capacity": {"m2_per_l": 1, "rolls_per_l": 1, "m2": 1, "rolls": 1},
	"time_percent_per_roll": 1, "replenisher": {"ml_per_m2": 1, "ml_per_ft2": 1, "ml_per_roll": 1, "m2_per_l": 1, "push_factor": 1},
	"bromide": {"released_mg_per_roll": 1, "replenisher_g_per_l": 1, "start_g_per_l": 1},
	"keeps": [{"storage": "open tank", "months": 1, "days": 1}], "minimum_ml_per_roll": 1},
	"fill": {"volume_ml": 1, "filled": "x", "mixed": "x", "storage": "open tank", "clearing": {"fresh_s": 1, "now_s": 1}, "two_bath": true},
	"through": [{"at": "x", "rolls": 1, "area_m2": 1, "push": 1, "replenisher_ml": 1}],
	"recent": [{"day": "x", "rolls": 1, "area_m2": 1}], "next": {"rolls": 1, "area_m2": 1, "push": 1}, "now": "x"}`

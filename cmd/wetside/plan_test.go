package main

import (
	"bytes"
	"context"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"wetside/jobs/plan"
)

// planDay runs the command as a shell would.
func planDay(input string, args ...string) (status int, out, fault string) {
	var stdout, stderr bytes.Buffer
	status = run(context.Background(), append([]string{"plan"}, args...), stdio{strings.NewReader(input), &stdout, &stderr})
	return status, stdout.String(), stderr.String()
}

const dayToPlan = `{"start":"2026-03-02T08:00:00Z","until":"2026-03-02T18:00:00Z","combine":["BW"],
 "lines":[
  {"id":"hand tanks","processes":["BW"],"capacity":4,"takes":{"135":1,"120":2},"turnaround_s":900},
  {"id":"drum","processes":["C-41","E-6"],"capacity":15,"takes":{"135":3,"120":5,"220":10},"turnaround_s":1500}],
 "rolls":[
  {"id":"R1","process":"C-41","solution":"","push":1,"format":"135","develop_s":[225,225],"due":"2026-03-02T17:00:00Z"},
  {"id":"R2","process":"C-41","solution":"","push":1,"format":"120","develop_s":[225,225],"due":"2026-03-03T09:00:00Z"},
  {"id":"R3","process":"E-6","solution":"","push":0,"format":"120","develop_s":[360,360],"due":"2026-03-03T09:00:00Z"},
  {"id":"R4","process":"BW","solution":"MQ borax","push":0,"format":"135","develop_s":[480,560],"due":"2026-03-02T12:00:00Z"},
  {"id":"R5","process":"BW","solution":"MQ borax","push":-0.5,"format":"120","develop_s":[500,520],"due":"2026-03-02T07:00:00Z"},
  {"id":"R9","process":"E-6","solution":"","push":0,"format":"4x5","develop_s":[360,360],"due":"2026-03-02T17:00:00Z"}]}`

func TestPlanForPeople(t *testing.T) {
	t.Parallel()
	status, out, fault := planDay(dayToPlan, "-")
	const want = `drum
  08:00:00–08:28:45  C-41, push +1, 3:45  R1 R2
hand tanks
  08:00:00–08:23:20  BW MQ borax, several pushes, 8:20  R5 R4
late: R5
due later, no room: R3
not planned: R9, no line takes 4x5 in E-6
batches: 2, late: 1; proven: no plan is better
`
	if diff := cmp.Diff(want, out); status != 0 || fault != "" || diff != "" {
		t.Errorf("status %d, %q\n%s", status, fault, diff)
	}
}

func TestPlanReadsAFileAndPrintsJSON(t *testing.T) {
	t.Parallel()
	file := filepath.Join(t.TempDir(), "day.json")
	if err := os.WriteFile(file, []byte(dayToPlan), 0o600); err != nil {
		t.Fatal(err)
	}
	status, out, fault := planDay("", file, "--json")
	var got plan.Plan
	if err := json.Unmarshal([]byte(out), &got); err != nil || status != 0 || fault != "" {
		t.Fatalf("status %d, %v, %q, %q", status, err, out, fault)
	}
	if len(got.Batches) != 2 || !got.Proven || got.Bound.Batches != 2 || !strings.Contains(out, `"push":null`) {
		t.Errorf("got %s", out)
	}
}

// A day that runs past midnight shows the date.
func TestPlanShowsTheDateOfAnotherDay(t *testing.T) {
	t.Parallel()
	night := strings.NewReplacer(`"start":"2026-03-02T08`, `"start":"2026-03-02T23`, `"until":"2026-03-02T18`, `"until":"2026-03-03T18`,
		"900", "4000").Replace(dayToPlan)
	if _, out, _ := planDay(night, "-"); !strings.Contains(out, "23:00:00–2026-03-03 00:15:00  BW") {
		t.Errorf("got %q", out)
	}
}

func TestPlanRefuses(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name, input, says string
		args              []string
	}{
		{"no file named", "", "one file with the day is wanted", nil},
		{"two files named", "", "one file with the day is wanted", []string{"a", "b"}},
		{"no such file", "", "no such file", []string{"there-is-none.json"}},
		{"unknown flag", "", "not defined", []string{"--xml", "-"}},
		{"nothing", "", "nothing to read", []string{"-"}},
		{"unknown field", `{"rols":[]}`, `unknown field "rols"`, []string{"-", "--json"}},
		{"bad value", strings.Replace(dayToPlan, `"capacity":15`, `"capacity":0`, 1), `line "drum": capacity is 0`, []string{"-", "--json"}},
	} {
		status, out, fault := planDay(c.input, c.args...)
		if status != 2 || out != "" || strings.Count(fault, "\n") != 1 || !strings.Contains(fault, c.says) {
			t.Errorf("%s: status %d, %q, %q", c.name, status, out, fault)
		}
	}
}

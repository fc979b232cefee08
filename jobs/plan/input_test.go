package plan_test

import (
	"bytes"
	"encoding/json"
	"errors"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"wetside/chemistry"
	"wetside/jobs/plan"
)

const wholeDay = `{"start":"2026-03-02T08:00:00Z","until":"2026-03-02T18:00:00Z","combine":["BW"],
 "lines":[{"id":"drum","processes":["C-41","E-6"],"capacity":15,"takes":{"135":3,"120":5,"220":10},"turnaround_s":1500}],
 "rolls":[
  {"id":"R1","process":"C-41","solution":"","push":1,"format":"135","develop_s":[225,225],"due":"2026-03-02T17:00:00Z"},
  {"id":"R9","process":"E-6","solution":"","push":0,"format":"4x5","develop_s":[360,360],"due":"2026-03-02T17:00:00Z"}]}`

func TestReadAndSolve(t *testing.T) {
	t.Parallel()
	in, err := plan.Read(strings.NewReader(wholeDay))
	if err != nil {
		t.Fatal(err)
	}
	out, err := plan.Solve(in)
	if err != nil {
		t.Fatal(err)
	}
	got, err := json.Marshal(out)
	if err != nil {
		t.Fatal(err)
	}
	const want = `{"batches":[{"line":"drum","process":"C-41","solution":"","push":1,"develop_s":225,` +
		`"start":"2026-03-02T08:00:00Z","end":"2026-03-02T08:28:45Z","rolls":["R1"]}],"late":[],"later":[],` +
		`"unplaced":[{"roll":"R9","reason":"no line takes 4x5 in E-6"}],"proven":true,"bound":{"batches":1}}`
	if diff := cmp.Diff(want, string(got)); diff != "" {
		t.Error(diff)
	}
}

func TestReadRefuses(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ name, old, new, says string }{
		{"nothing", wholeDay, ``, "nothing to read"},
		{"no JSON", wholeDay, `rolls`, "invalid character"},
		{"unknown field", `"combine"`, `"colour"`, `unknown field "colour"`},
		{"unknown field of a roll", `"push":1`, `"stops":1`, `unknown field "stops"`},
		{"more after it", wholeDay, wholeDay + `{}`, "more after"},
		{"no start", `"start":"2026-03-02T08:00:00Z",`, ``, "start is missing"},
		{"no until", `"until":"2026-03-02T18:00:00Z",`, ``, "until is missing"},
		{"until before start", `"until":"2026-03-02T18`, `"until":"2026-03-02T07`, "until is before start"},
		{"start no time", `"start":"2026-03-02T08:00:00Z"`, `"start":"eight"`, "eight"},
		{"combine unknown", `["BW"]`, `["K-14"]`, `combine: unknown process "K-14"`},
		{"line without id", `"id":"drum"`, `"id":""`, "lines[0] has no id"},
		{"line of unknown process", `["C-41","E-6"]`, `["C-41","C-22"]`, `line "drum": unknown process "C-22"`},
		{"capacity zero", `"capacity":15`, `"capacity":0`, `line "drum": capacity is 0, allowed are 1 to 100000`},
		{"capacity below zero", `"capacity":15`, `"capacity":-1`, "capacity is -1"},
		{"takes nothing", `"135":3`, `"135":0`, `takes 135 is 0, allowed are 1 to`},
		{"turnaround below zero", `1500`, `-1`, "turnaround_s is -1, allowed are 0 to"},
		{"roll without id", `"id":"R1"`, `"id":""`, "rolls[0] has no id"},
		{"two rolls of one id", `"id":"R9"`, `"id":"R1"`, `two rolls have the id "R1"`},
		{"two lines of one id", `"lines":[`, `"lines":[{"id":"drum","capacity":1},`, `two lines have the id "drum"`},
		{"unknown process", `"process":"C-41"`, `"process":"c41"`, `roll "R1": unknown process "c41", allowed are C-41`},
		{"no format", `"format":"135"`, `"format":""`, `roll "R1" has no format`},
		{"no due", `"develop_s":[225,225],"due":"2026-03-02T17:00:00Z"`, `"develop_s":[225,225]`, `roll "R1" has no due time`},
		{"window upside down", `[225,225]`, `[226,225]`, "develop_s is [226, 225], the shorter time comes first"},
		{"window of nothing", `[225,225]`, `[0,225]`, "develop_s is 0, allowed are 1 to"},
		{"half a window", `[225,225]`, `[225]`, "the shortest and the longest"},
		{"three ends", `[225,225]`, `[1,2,3]`, "the shortest and the longest"},
		{"push beyond all", `"push":1`, `"push":11`, "not an amount of stops"},
		{"push between sixths", `"push":1`, `"push":1.25`, "not an amount of stops"},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			text := strings.Replace(wholeDay, c.old, c.new, 1)
			if text == wholeDay {
				t.Fatal("the case changes nothing")
			}
			_, err := plan.Read(strings.NewReader(text))
			if !errors.Is(err, plan.ErrInput) || !strings.Contains(err.Error(), c.says) {
				t.Errorf("error %v, want one that says %q", err, c.says)
			}
		})
	}
}

// aRoll and aLine are a roll and a line with nothing special.
func aRoll(id string) plan.Roll {
	return plan.Roll{
		ID: id, Process: chemistry.C41, Format: "135", DevelopS: plan.Window{195, 195}, Due: morning.Add(5 * time.Hour),
	}
}

func aLine(id string) plan.Line {
	return plan.Line{
		ID: id, Processes: []chemistry.Process{chemistry.C41}, Capacity: 6,
		Takes: map[chemistry.Format]int{"135": 3, "120": 7}, TurnaroundS: 1200,
	}
}

func aDay(lines []plan.Line, rolls ...plan.Roll) plan.Input {
	return plan.Input{Start: morning, Until: morning.Add(10 * time.Hour), Lines: lines, Rolls: rolls}
}

func TestUnplaced(t *testing.T) {
	t.Parallel()
	format := func(f chemistry.Format) plan.Roll {
		r := aRoll("R1")
		r.Format = f
		return r
	}
	slide := aRoll("R1")
	slide.Process = chemistry.E6
	for _, c := range []struct {
		name, reason string
		in           plan.Input
	}{
		{"no line at all", "no line runs C-41", aDay(nil, aRoll("R1"))},
		{"process", "no line runs E-6", aDay([]plan.Line{aLine("drum")}, slide)},
		{"format", "no line takes 220 in C-41", aDay([]plan.Line{aLine("drum")}, format("220"))},
		{"format nobody knows", "no line takes 8x10 in C-41", aDay([]plan.Line{aLine("drum")}, format("8x10"))},
		{"too large", "120 needs more room than any line has in C-41", aDay([]plan.Line{aLine("drum")}, format("120"))},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			out, err := plan.Solve(c.in)
			if err != nil {
				t.Fatal(err)
			}
			want := plan.Plan{
				Batches: []plan.Batch{}, Late: []string{}, Later: []string{},
				Unplaced: []plan.Unplaced{{Roll: "R1", Reason: c.reason}}, Proven: true,
			}
			if diff := cmp.Diff(want, out); diff != "" {
				t.Error(diff)
			}
		})
	}
}

func TestEmptyDay(t *testing.T) {
	t.Parallel()
	out, err := plan.Solve(aDay([]plan.Line{aLine("drum")}))
	if err != nil || len(out.Batches) > 0 || !out.Proven {
		t.Errorf("plan %+v, error %v", out, err)
	}
}

func FuzzRead(f *testing.F) {
	f.Add([]byte(wholeDay))
	f.Add([]byte(`{"start":"2026-03-02T08:00:00Z","until":"2026-03-02T08:00:00Z"}`))
	f.Fuzz(func(t *testing.T, text []byte) {
		in, err := plan.Read(bytes.NewReader(text))
		if err != nil {
			if !errors.Is(err, plan.ErrInput) {
				t.Fatalf("error %v does not say that the input is at fault", err)
			}
			return
		}
		if len(in.Rolls) > 12 || len(in.Lines) > 4 {
			return
		}
		out, err := plan.Solve(in)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := audit(in, out); err != nil {
			t.Fatal(err)
		}
	})
}

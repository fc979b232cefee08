package plan_test

import (
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"wetside/jobs/plan"
)

// anyDay draws a day of any kind.
func anyDay(t *rapid.T, most int) plan.Input {
	kind := rapid.SampledFrom(dayKinds()).Draw(t, "kind")
	seed := rapid.Uint64().Draw(t, "seed")
	rolls := rapid.IntRange(0, most).Draw(t, "rolls")
	hours := rapid.Float64Range(0.5, 14).Draw(t, "hours")
	draw := rand.New(rand.NewPCG(seed, 0))
	switch rapid.IntRange(0, 9).Draw(t, "which") {
	case 0:
		return variedDay(draw, rolls)
	case 1:
		return anyTradeDay(draw, rolls)
	}
	return kind.draw(draw, rolls, hours)
}

// measure solves a day and audits the plan.
func measure(t *rapid.T, in plan.Input) (plan.Plan, worth) {
	out, err := plan.Solve(in)
	if err != nil {
		t.Fatal(err)
	}
	w, err := audit(in, out)
	if err != nil {
		t.Fatalf("%v\n%+v\n%+v", err, in, out)
	}
	return out, w
}

func TestPlansAreValid(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) { measure(t, anyDay(t, 16)) })
}

func TestOrderOfInputMakesNoDifference(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		in := anyDay(t, 12)
		out, _ := measure(t, in)
		in.Rolls = rapid.Permutation(in.Rolls).Draw(t, "rolls in another order")
		in.Lines = rapid.Permutation(in.Lines).Draw(t, "lines in another order")
		for i := range in.Lines {
			in.Lines[i].Processes = rapid.Permutation(in.Lines[i].Processes).Draw(t, "processes in another order")
		}
		again, _ := measure(t, in)
		if diff := cmp.Diff(out, again); diff != "" {
			t.Fatal(diff)
		}
	})
}

// TestMoreLinesAreNoWorse adds a copy of a line. A better earlier aim may make
// a later one worse, so the whole standing is compared.
func TestMoreLinesAreNoWorse(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		in := anyDay(t, 10)
		out, before := measure(t, in)
		extra := rapid.SampledFrom(in.Lines).Draw(t, "line")
		extra.ID = "another"
		in.Lines = append(slices.Clone(in.Lines), extra)
		more, after := measure(t, in)
		if out.Proven && more.Proven && after.compare(before) > 0 {
			t.Fatalf("%+v with one line more, %+v without", after, before)
		}
	})
}

// TestMoreTimeIsNoLater postpones every promise of the day.
func TestMoreTimeIsNoLater(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		in := anyDay(t, 10)
		out, before := measure(t, in)
		in.Rolls = slices.Clone(in.Rolls)
		for i, r := range in.Rolls {
			if !r.Due.After(in.Until) {
				in.Rolls[i].Due = r.Due.Add(in.Until.Sub(r.Due) / 2)
			}
		}
		later, after := measure(t, in)
		if out.Proven && later.Proven && after.late > before.late {
			t.Fatalf("%d late with more time, %d with less", after.late, before.late)
		}
	})
}

// TestClockMakesNoDifference moves a whole day by the same time.
func TestClockMakesNoDifference(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		in := anyDay(t, 10)
		_, before := measure(t, in)
		by := time.Duration(rapid.Int64Range(-1e6, 1e6).Draw(t, "milliseconds")) * time.Millisecond
		in.Start, in.Until = in.Start.Add(by), in.Until.Add(by)
		in.Rolls = slices.Clone(in.Rolls)
		for i := range in.Rolls {
			in.Rolls[i].Due = in.Rolls[i].Due.Add(by)
		}
		if _, after := measure(t, in); after.compare(before) != 0 {
			t.Fatalf("%+v moved, %+v before", after, before)
		}
	})
}

package plan_test

import (
	"math/rand/v2"
	"testing"

	"wetside/jobs/plan"
)

// TestBestOfAll compares small days of every kind with the best of all plans.
func TestBestOfAll(t *testing.T) {
	t.Parallel()
	for i, kind := range dayKinds() {
		t.Run(kind.name, func(t *testing.T) {
			t.Parallel()
			r := rand.New(rand.NewPCG(uint64(i), 1))
			for range 6 {
				hours := 4.0
				if kind.tight {
					hours = 1 + r.Float64()
				}
				compareWithAll(t, kind.draw(r, 3+r.IntN(6), hours))
			}
		})
	}
}

// TestBestRidersOfAll does so where most rolls are due after the end of the day.
func TestBestRidersOfAll(t *testing.T) {
	t.Parallel()
	for i, kind := range dayKinds() {
		t.Run(kind.name, func(t *testing.T) {
			t.Parallel()
			r := rand.New(rand.NewPCG(uint64(i), 9))
			for range 5 {
				in := kind.draw(r, 7+r.IntN(3), 4)
				postpone(r, in)
				compareWithAll(t, in)
			}
		})
	}
}

// TestBestOfTradeDays does so for days as labs have them.
func TestBestOfTradeDays(t *testing.T) {
	t.Parallel()
	r := rand.New(rand.NewPCG(11, 1))
	for range 400 {
		compareWithAll(t, anyTradeDay(r, 2+r.IntN(7)))
	}
}

// compareWithAll tells when the plan of a day is not valid, not the best of all
// or not proven.
func compareWithAll(t *testing.T, in plan.Input) {
	t.Helper()
	out, err := plan.Solve(in)
	if err != nil {
		t.Fatal(err)
	}
	got, err := audit(in, out)
	if err != nil {
		t.Fatal(err)
	}
	if want := bruteForce(in); got.compare(want) != 0 || !out.Proven {
		t.Errorf("plan is worth %+v, proven %v, the best of all %+v\n%+v", got, out.Proven, want, in)
	}
}

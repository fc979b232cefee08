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
				in := kind.draw(r, 3+r.IntN(6), hours)
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
		})
	}
}

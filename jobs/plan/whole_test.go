package plan

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// TestMinimise compares the search with trying every point of small programs.
func TestMinimise(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		r := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 0))
		p := &program{}
		for range 2 + r.IntN(4) {
			p.column(column{cost: float64(r.IntN(9) - 3), lo: float64(-r.IntN(2)), up: float64(1 + r.IntN(4)), rank: 1 + r.IntN(3)})
		}
		for range 1 + r.IntN(5) {
			var terms []term
			for j := range p.cols {
				if r.IntN(3) > 0 {
					terms = append(terms, term{j, float64(r.IntN(21) - 7)})
				}
			}
			at := float64(r.IntN(30) - 8)
			switch r.IntN(4) {
			case 0:
				p.row(at, at, terms...)
			case 1:
				p.atLeast(at, terms...)
			case 2:
				p.row(at-float64(r.IntN(9)), at, terms...)
			default:
				p.atMost(at, terms...)
			}
		}
		want := cheapest(p, make([]float64, len(p.cols)), 0)
		got := minimise(p, 1000, nil, nil, &effort{10_000_000})
		if !got.proven || got.value != want {
			t.Fatalf("found %v, proven %v, the least is %v of %+v", got.value, got.proven, want, p)
		}
		if got.x != nil && (!p.holds(got.x, len(p.rows)) || p.value(got.x) != want) {
			t.Fatalf("%v does not keep the ends or costs something else", got.x)
		}
	})
}

// cheapest tries every point; 1000 where none keeps the ends.
func cheapest(p *program, x []float64, from int) float64 {
	if from == len(x) {
		if p.holds(x, len(p.rows)) {
			return p.value(x)
		}
		return 1000
	}
	least := 1000.0
	for x[from] = p.cols[from].lo; x[from] <= p.cols[from].up; x[from]++ {
		least = min(least, cheapest(p, x, from+1))
	}
	return least
}

// TestRoundingNeverCutsTooDeep checks what makes a rounding right: the weight
// of a sum is at most the sum of the weights, and that of the whole equation
// is 1.
func TestRoundingNeverCutsTooDeep(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		sum := rapid.Float64Range(0.02, 0.98).Draw(t, "sum")
		step := rapid.SampledFrom([]float64{0, rapid.Float64Range(0.01, 0.98).Draw(t, "step")}).Draw(t, "which")
		r, ok := newRounding(1, sum, step)
		if !ok {
			return
		}
		weight := func(a float64) float64 { return r.weight(&part{a: a, whole: true}) }
		a, b := rapid.Float64Range(-3, 3).Draw(t, "a"), rapid.Float64Range(-3, 3).Draw(t, "b")
		if whole := weight(sum); math.Abs(whole-1) > 1e-6 {
			t.Fatalf("the whole weighs %v", whole)
		}
		if weight(a) < -1e-9 || weight(a+b) > weight(a)+weight(b)+1e-6 {
			t.Fatalf("weights of %v, %v and their sum: %v, %v, %v", a, b, weight(a), weight(b), weight(a+b))
		}
		if small := 1e-7 * a; r.weight(&part{a: small}) < weight(small)-1e-6 {
			t.Fatalf("a little of what need not be whole weighs less than of what must")
		}
	})
}

func TestReach(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		lengths  []int
		at, want int
	}{
		{[]int{1725}, 5175, 5175},
		{[]int{1725}, 5174, 3450},
		{[]int{1725, 1860}, 3600, 3585},
		{[]int{30, 50}, 70, 60},
		{[]int{30, 50}, 29, 0},
		{[]int{30, 50}, -10, 0},
		{[]int{30}, 100_000, 100_000}, // beyond what was worked out
		{nil, 70, 70},
	} {
		if got := newReach(c.lengths, 6000)(c.at); got != c.want {
			t.Errorf("reach of %v at %d is %d, want %d", c.lengths, c.at, got, c.want)
		}
	}
}

func TestPatterns(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name      string
		use, have []int
		capacity  int
		want      [][]int
	}{
		{"135, 120 and 220 in a drum", []int{3, 5, 10}, []int{9, 9, 9}, 15,
			[][]int{{5, 0, 0}, {3, 1, 0}, {1, 2, 0}, {1, 0, 1}, {0, 3, 0}, {0, 1, 1}}},
		{"no more than there are", []int{3, 5, 10}, []int{1, 1, 0}, 15, [][]int{{1, 1, 0}}},
		{"what does not fit", []int{3, 0, 20}, []int{9, 9, 9}, 15, [][]int{{5, 0, 0}}},
		{"nothing", []int{20}, []int{9}, 15, nil},
	} {
		got := patterns(c.use, c.have, c.capacity, 100)
		if !slices.EqualFunc(got, c.want, slices.Equal) {
			t.Errorf("%s: %v, want %v", c.name, got, c.want)
		}
	}
	if got := patterns([]int{1, 2}, []int{99, 99}, 40, 20); got != nil {
		t.Errorf("%d patterns, want none beyond 20", len(got))
	}
}

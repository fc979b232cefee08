package plan_test

import (
	"cmp"
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"wetside/jobs/plan"
)

// fitting plans as one would by hand: roll by roll, the most pressing first and
// of those the largest, each into the first batch with room that may take it,
// or else into a new one on the line that is free soonest. Nothing is moved
// again. It is what the planner is measured against.
type fitting struct {
	in      plan.Input
	free    []time.Time // when each line is free
	batches []fitted
}

// fitted is a batch with what is left of its room.
type fitted struct {
	plan.Batch
	first      plan.Roll
	line, room int
}

func firstFit(in plan.Input) plan.Plan {
	f := &fitting{in: in}
	for range in.Lines {
		f.free = append(f.free, in.Start)
	}
	rolls := slices.Clone(in.Rolls)
	slices.SortStableFunc(rolls, func(a, b plan.Roll) int {
		return cmp.Or(a.Due.Compare(b.Due), cmp.Compare(f.size(b), f.size(a)))
	})
	var out plan.Plan
	for _, r := range rolls {
		later := r.Due.After(in.Until)
		at := f.join(r)
		if at < 0 && !later {
			at = f.open(r)
		}
		switch {
		case at >= 0:
			if !later && f.batches[at].End.After(r.Due) {
				out.Late = append(out.Late, r.ID)
			}
		case later && f.size(r) > 0:
			out.Later = append(out.Later, r.ID)
		default:
			out.Unplaced = append(out.Unplaced, plan.Unplaced{Roll: r.ID, Reason: "no line takes it"})
		}
	}
	for _, batch := range f.batches {
		out.Batches = append(out.Batches, batch.Batch)
	}
	slices.Sort(out.Late)
	return out
}

// size is the most room that a roll needs on any line, 0 where none takes it.
func (f *fitting) size(r plan.Roll) int {
	size := 0
	for _, line := range f.in.Lines {
		if fits(line, r) {
			size = max(size, line.Takes[r.Format])
		}
	}
	return size
}

// join puts a roll into the first batch that may take it; -1 where none may.
func (f *fitting) join(r plan.Roll) int {
	for i := range f.batches {
		batch := &f.batches[i]
		need := f.in.Lines[batch.line].Takes[r.Format]
		if need > batch.room || batch.DevelopS < r.DevelopS[0] || batch.DevelopS > r.DevelopS[1] ||
			!fits(f.in.Lines[batch.line], r) || batch.Process != r.Process || batch.Solution != r.Solution ||
			batch.first.Push != r.Push && !slices.Contains(f.in.Combine, r.Process) {
			continue
		}
		batch.Rolls, batch.room = append(batch.Rolls, r.ID), batch.room-need
		if batch.first.Push != r.Push {
			batch.Push = nil
		}
		return i
	}
	return -1
}

// open starts a batch with a roll; -1 where no line takes it.
func (f *fitting) open(r plan.Roll) int {
	best := -1
	for l, line := range f.in.Lines {
		if fits(line, r) && (best < 0 || f.free[l].Before(f.free[best])) {
			best = l
		}
	}
	if best < 0 {
		return -1
	}
	line := f.in.Lines[best]
	end := f.free[best].Add(time.Duration(line.TurnaroundS+r.DevelopS[0]) * time.Second)
	f.batches = append(f.batches, fitted{plan.Batch{
		Line: line.ID, Process: r.Process, Solution: r.Solution, Push: &r.Push, DevelopS: r.DevelopS[0],
		Start: f.free[best], End: end, Rolls: []string{r.ID},
	}, r, best, line.Capacity - line.Takes[r.Format]})
	f.free[best] = end
	return len(f.batches) - 1
}

// TestNoWorseThanFirstFit compares days too large for any exact reference.
func TestNoWorseThanFirstFit(t *testing.T) {
	t.Parallel()
	for i := range 8 {
		t.Run(fmt.Sprint(i), func(t *testing.T) {
			t.Parallel()
			in := variedDay(rand.New(rand.NewPCG(uint64(i), 6)), 20+30*i)
			out, err := plan.Solve(in)
			if err != nil {
				t.Fatal(err)
			}
			got, err := audit(in, out)
			if err != nil {
				t.Fatal(err)
			}
			than, err := audit(in, firstFit(in))
			if err != nil {
				t.Fatalf("first fit: %v", err)
			}
			if got.late > than.late || got.late == than.late && got.batches > than.batches {
				t.Errorf("%d late in %d batches, by first fit %d in %d", got.late, got.batches, than.late, than.batches)
			}
		})
	}
}

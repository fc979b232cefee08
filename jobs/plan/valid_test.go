package plan_test

import (
	"fmt"
	"slices"
	"time"

	"wetside/chemistry"
	"wetside/jobs/plan"
)

// audit checks a plan against the rules of a batch and of the contract, rule
// by rule, and measures it. It shares nothing with the planner.
func audit(in plan.Input, out plan.Plan) (worth, error) {
	rolls := map[string]plan.Roll{}
	for _, r := range in.Rolls {
		rolls[r.ID] = r
	}
	w := worth{batches: len(out.Batches)}
	seen := map[string]bool{}
	late := []string{}
	busy := map[string]time.Time{}
	for _, batch := range out.Batches {
		if err := auditBatch(in, batch, rolls); err != nil {
			return w, err
		}
		if from := busy[batch.Line]; batch.Start.Before(from) || batch.Start.Before(in.Start) {
			return w, fmt.Errorf("line %s starts at %v while it is busy until %v", batch.Line, batch.Start, from)
		}
		busy[batch.Line] = batch.End
		w.finish = max(w.finish, int(batch.End.Sub(in.Start)/time.Second))
		for _, id := range batch.Rolls {
			if seen[id] {
				return w, fmt.Errorf("roll %s is placed twice", id)
			}
			seen[id] = true
			switch r := rolls[id]; {
			case r.Due.After(in.Until):
				w.riders++
				w.dues = append(w.dues, int(r.Due.Sub(in.Start)/time.Second))
			case batch.End.After(r.Due):
				late = append(late, id)
			}
		}
	}
	w.late = len(late)
	slices.Sort(w.dues)
	slices.Sort(late)
	if !slices.Equal(late, out.Late) {
		return w, fmt.Errorf("late are %v, the plan says %v", late, out.Late)
	}
	return w, auditRest(in, out, rolls, seen)
}

// auditBatch checks one batch by itself.
func auditBatch(in plan.Input, batch plan.Batch, rolls map[string]plan.Roll) error {
	at := slices.IndexFunc(in.Lines, func(l plan.Line) bool { return l.ID == batch.Line })
	if at < 0 || len(batch.Rolls) == 0 {
		return fmt.Errorf("batch %+v has no line or no rolls", batch)
	}
	line := in.Lines[at]
	used := 0
	pushes := map[chemistry.Stops]bool{}
	for _, id := range batch.Rolls {
		r, ok := rolls[id]
		if !ok {
			return fmt.Errorf("no roll %s", id)
		}
		pushes[r.Push] = true
		used += line.Takes[r.Format]
		if !fits(line, r) || r.Process != batch.Process || r.Solution != batch.Solution ||
			batch.DevelopS < r.DevelopS[0] || batch.DevelopS > r.DevelopS[1] {
			return fmt.Errorf("roll %+v does not belong in batch %+v", r, batch)
		}
		if batch.Push != nil && *batch.Push != r.Push {
			return fmt.Errorf("roll %s has push %v, its batch %v", id, r.Push, batch.Push)
		}
	}
	if used > line.Capacity {
		return fmt.Errorf("batch %+v fills %d of %d", batch, used, line.Capacity)
	}
	if len(pushes) > 1 && !slices.Contains(in.Combine, batch.Process) || (len(pushes) > 1) != (batch.Push == nil) {
		return fmt.Errorf("batch %+v has pushes %v", batch, pushes)
	}
	length := time.Duration(line.TurnaroundS+batch.DevelopS) * time.Second
	if batch.End.Sub(batch.Start) != length {
		return fmt.Errorf("batch %+v does not take %v", batch, length)
	}
	return nil
}

// auditRest checks that every roll is in one list and rightly so.
func auditRest(in plan.Input, out plan.Plan, rolls map[string]plan.Roll, seen map[string]bool) error {
	for _, id := range out.Later {
		if seen[id] || !rolls[id].Due.After(in.Until) {
			return fmt.Errorf("roll %s is wrongly said to have found no room", id)
		}
		seen[id] = true
	}
	for _, u := range out.Unplaced {
		if seen[u.Roll] || u.Reason == "" || slices.ContainsFunc(in.Lines, func(l plan.Line) bool { return fits(l, rolls[u.Roll]) }) {
			return fmt.Errorf("roll %s is wrongly unplaced: %q", u.Roll, u.Reason)
		}
		seen[u.Roll] = true
	}
	if len(seen) != len(rolls) {
		return fmt.Errorf("%d rolls accounted for, there are %d", len(seen), len(rolls))
	}
	if out.Bound.Batches > len(out.Batches) || out.Proven && out.Bound.Batches != len(out.Batches) {
		return fmt.Errorf("bound %d with %d batches, proven %v", out.Bound.Batches, len(out.Batches), out.Proven)
	}
	return nil
}

package postgres

import (
	"context"
	"fmt"
	"testing"

	"github.com/google/go-cmp/cmp"

	"wetside/chemistry"
	"wetside/jobs"
)

// badFill is a fill of the drum that three rolls have gone through.
func (l *testLab) badFill() (jobs.Cause, jobs.Batch) {
	l.t.Helper()
	fill := l.poured(c41Developer, drum, 2000)
	return jobs.Cause{Kind: jobs.FromFill, ID: int64(fill.ID)}, l.finished(drum, 3)
}

// marked marks all rolls of a cause, and returns the open inspections by roll.
func (l *testLab) marked(cause jobs.Cause) map[jobs.RollID]jobs.Inspection {
	l.t.Helper()
	store := NewInspectionStore(l.db)
	_, err := store.Mark(context.Background(), ada, jobs.Marking{TraceQuery: jobs.TraceQuery{Cause: cause}, Why: "look for flat shadows"})
	l.must(err)
	open, err := store.Inspections(context.Background(), jobs.InspectionQuery{Open: true, Kind: cause.Kind, Cause: cause.ID, Limit: 500})
	l.must(err)
	by := map[jobs.RollID]jobs.Inspection{}
	for _, inspection := range open {
		by[inspection.Roll.ID] = inspection
	}
	return by
}

// advanced moves a roll one step along the dry side.
func (l *testLab) advanced(id jobs.RollID) (jobs.Roll, error) {
	return l.rolls.Advance(context.Background(), ada, id, 0)
}

// leaves takes a drying roll to its owner.
func (l *testLab) leaves(id jobs.RollID) {
	l.t.Helper()
	for range 2 {
		_, err := l.advanced(id)
		l.must(err)
	}
	_, err := l.rolls.Deliver(context.Background(), ada, jobs.Delivery{Rolls: []jobs.RollID{id}, How: jobs.Collect})
	l.must(err)
}

func TestMarkedRollsStayUntilSomebodyHasLooked(t *testing.T) {
	t.Parallel()
	l := newLab(t)
	ctx, store := t.Context(), NewInspectionStore(l.db)
	cause, b := l.badFill()
	one, two, away := b.Rolls[0].ID, b.Rolls[1].ID, b.Rolls[2].ID
	l.leaves(away)
	marking := jobs.Marking{TraceQuery: jobs.TraceQuery{Cause: cause}, Why: "look for flat shadows"}
	first, err := store.Mark(ctx, ada, marking)
	l.must(err)
	if diff := cmp.Diff(jobs.Marked{Marked: []jobs.RollID{one, two}, Delivered: []jobs.RollID{away}}, first); diff != "" {
		t.Error(diff)
	}
	marking.Delivered = true
	again, err := store.Mark(ctx, ada, marking)
	l.must(err)
	if diff := cmp.Diff(jobs.Marked{Marked: []jobs.RollID{away}, Already: []jobs.RollID{one, two}}, again); diff != "" {
		t.Error(diff)
	}

	_, err = l.advanced(one)
	l.must(err)
	_, err = l.advanced(one)
	wantCode(t, err, jobs.Refused)
	open := l.marked(cause)
	_, err = store.CloseInspections(ctx, jobs.Actor{Name: "Kit"}, jobs.Closing{
		Inspections: []jobs.InspectionID{open[one].ID}, Outcome: jobs.FoundGood, Finding: "shadows as they should be"})
	l.must(err)
	if roll, err := l.advanced(one); err != nil || roll.State != jobs.Ready {
		t.Errorf("looked at and still kept: %+v, %v", roll, err)
	}
	_, err = l.rolls.Deliver(ctx, ada, jobs.Delivery{Rolls: []jobs.RollID{one}, How: jobs.Collect})
	l.must(err)
	if n := l.count("SELECT count(*) FROM events WHERE roll_id = $1 AND kind IN ('mark for inspection', 'inspect')", int64(one)); n != 2 {
		t.Errorf("the record tells %d times of the inspection, want 2", n)
	}
	if n, err := store.CountInspections(ctx); err != nil || n != 2 {
		t.Errorf("%d are open, want 2 (%v)", n, err)
	}
	found, err := store.Inspections(ctx, jobs.InspectionQuery{Search: fmt.Sprint(b.Rolls[0].Order), Limit: 2})
	l.must(err)
	if len(found) != 2 || found[0].Roll.ID != away || found[0].Cause != cause || found[0].By != "Ada" {
		t.Errorf("found by the order: %+v", found)
	}
	_, err = store.Inspections(ctx, jobs.InspectionQuery{})
	wantCode(t, err, jobs.Invalid)
}

// A roll that becomes ready between the look at it and the write is caught by
// the write itself: so is one that is marked in between.
func TestARollMarkedInTheMeantimeIsNotMovedOn(t *testing.T) {
	t.Parallel()
	l := newLab(t)
	ctx := t.Context()
	cause, b := l.badFill()
	_, err := l.advanced(b.Rolls[0].ID)
	l.must(err)
	seen, err := l.rolls.Roll(ctx, b.Rolls[0].ID)
	l.must(err)
	move, err := jobs.Advance(seen.Roll)
	l.must(err)
	l.marked(cause)
	err = l.db.withTx(ctx, func(t tx) error {
		_, err := t.finishMove(ctx, ada, seen.Roll, move)
		return err
	})
	wantCode(t, err, jobs.Refused)
	if state := l.rollState(seen.ID); state != jobs.Finishing {
		t.Errorf("it is %s", state)
	}
}

func TestFindings(t *testing.T) {
	t.Parallel()
	l := newLab(t)
	ctx, store := t.Context(), NewInspectionStore(l.db)
	cause, b := l.badFill()
	l.exec("UPDATE rolls SET state = 'delivered' WHERE id = $1", int64(b.Rolls[2].ID))
	bad := jobs.Cause{Kind: jobs.FromStrip, ID: l.strip(chemistry.PastControl)}
	_, err := store.Mark(ctx, ada, jobs.Marking{TraceQuery: jobs.TraceQuery{Cause: cause}, Why: "flat", Delivered: true})
	l.must(err)
	open, strips := l.marked(cause), l.marked(bad)
	spoiled := func(ids ...jobs.InspectionID) error {
		_, err := store.CloseInspections(ctx, ada, jobs.Closing{Inspections: ids, Outcome: jobs.FoundSpoiled, Finding: "no shadows at all"})
		return err
	}
	// One of them is unknown: none is closed.
	wantCode(t, spoiled(open[b.Rolls[0].ID].ID, 9999), jobs.NotFound)
	l.must(spoiled(open[b.Rolls[0].ID].ID, open[b.Rolls[2].ID].ID))
	roll, err := l.rolls.Roll(ctx, b.Rolls[0].ID)
	l.must(err)
	if roll.State != jobs.Spoiled || roll.Reason != "no shadows at all" || roll.Inspect {
		t.Errorf("found spoiled: %+v", roll)
	}
	// Its other inspection ended with it; a roll that is back with its owner is
	// not moved.
	wantCode(t, spoiled(strips[b.Rolls[0].ID].ID), jobs.WrongState)
	if state := l.rollState(b.Rolls[2].ID); state != jobs.Delivered {
		t.Errorf("the delivered roll is %s", state)
	}

	running := l.overridden(l.colourBatch(1))
	waits := l.marked(cause)[running.Rolls[0].ID]
	wantCode(t, spoiled(waits.ID), jobs.WrongState)
	if n := l.count("SELECT count(*) FROM inspections WHERE id = $1 AND done_at IS NULL", int64(waits.ID)); n != 1 {
		t.Error("closed although its roll could not be spoiled")
	}
}

// However many mark at once, every roll is marked once for its cause; however
// many close, one finding stands.
func TestInspectionsAtOnce(t *testing.T) {
	t.Parallel()
	l := newLab(t)
	store := NewInspectionStore(l.db)
	cause, b := l.badFill()
	l.atOnce(6, func(ctx context.Context, _ int) error {
		_, err := store.Mark(ctx, ada, jobs.Marking{TraceQuery: jobs.TraceQuery{Cause: cause}, Why: "flat"})
		return err
	})
	if n := l.count("SELECT count(*) FROM inspections"); n != len(b.Rolls) {
		t.Fatalf("%d marks for %d rolls", n, len(b.Rolls))
	}
	var ids []jobs.InspectionID
	for _, inspection := range l.marked(cause) {
		ids = append(ids, inspection.ID)
	}
	won := 0
	for _, err := range l.race(6, func(ctx context.Context, i int) error {
		_, err := store.CloseInspections(ctx, ada, jobs.Closing{Inspections: ids, Outcome: jobs.FoundGood, Finding: fmt.Sprint("fine ", i)})
		return err
	}) {
		if err == nil {
			won++
		} else {
			wantCode(t, err, jobs.WrongState)
		}
	}
	if n := l.count("SELECT count(DISTINCT finding) FROM inspections"); won != 1 || n != 1 {
		t.Errorf("%d closed them, %d findings stand", won, n)
	}
}

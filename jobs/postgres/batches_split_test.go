package postgres

import (
	"context"
	"testing"

	"wetside/jobs"
)

func TestSplit(t *testing.T) {
	t.Parallel()
	lab, ctx := newLab(t), context.Background()
	from := lab.colourBatch(4)
	split := jobs.Split{Batch: from.ID, Version: from.Version, Rolls: []jobs.RollID{from.Rolls[1].ID, from.Rolls[3].ID}}
	made, err := lab.batches.Split(ctx, ada, split)
	lab.must(err)
	if made.Line != from.Line || made.State != jobs.BatchAccepted || !made.PlannedStart.After(from.PlannedStart) {
		t.Errorf("made %+v behind %+v", made, from)
	}
	lab.wantRolls(from.ID, 2)
	lab.wantRolls(made.ID, 2)
	_, err = lab.batches.Split(ctx, ada, split)
	wantCode(t, err, jobs.Stale)

	// Onto another line, which takes as many rolls as the rules allow.
	split = jobs.Split{Batch: from.ID, Rolls: []jobs.RollID{from.Rolls[0].ID}, Line: dipAndDunk}
	made, err = lab.batches.Split(ctx, ada, split)
	lab.must(err)
	if made.LineName != "Dip and dunk" {
		t.Errorf("made on %s", made.LineName)
	}
	lab.wantRolls(from.ID, 1)
}

// A part that may not run by itself stays where it is: all of it or none.
func TestSplitIsWhole(t *testing.T) {
	t.Parallel()
	lab, ctx := newLab(t), context.Background()
	from := lab.colourBatch(3)
	before := lab.count("SELECT count(*) FROM events")
	_, err := lab.batches.Split(ctx, ada, jobs.Split{Batch: from.ID, Rolls: []jobs.RollID{from.Rolls[0].ID, from.Rolls[1].ID}, Line: handTanks})
	wantCode(t, err, jobs.Refused)
	lab.wantRolls(from.ID, 3)
	if n := lab.count("SELECT count(*) FROM events"); n != before {
		t.Errorf("%d events tell of it", n-before)
	}
	_, err = lab.batches.Split(ctx, ada, jobs.Split{Batch: 999, Rolls: []jobs.RollID{1}})
	wantCode(t, err, jobs.NotFound)
}

// Of two who split a batch that they both looked at, one is told.
func TestOneOfTwoSplits(t *testing.T) {
	t.Parallel()
	lab := newLab(t)
	from := lab.colourBatch(5)
	errs := lab.race(2, func(ctx context.Context, i int) error {
		_, err := lab.batches.Split(ctx, ada, jobs.Split{Batch: from.ID, Version: from.Version,
			Rolls: []jobs.RollID{from.Rolls[i].ID, from.Rolls[i+1].ID}})
		return err
	})
	if (errs[0] == nil) == (errs[1] == nil) {
		t.Fatalf("got %v", errs)
	}
	for _, err := range errs {
		if err != nil {
			wantCode(t, err, jobs.Stale)
		}
	}
	lab.wantRolls(from.ID, 3)
}

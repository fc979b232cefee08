package postgres

import (
	"context"
	"testing"

	"wetside/chemistry"
	"wetside/jobs"
)

func TestMoveRoll(t *testing.T) {
	t.Parallel()
	lab, ctx := newLab(t), context.Background()
	from, to := lab.colourBatch(2), lab.colourBatch(1)
	roll := from.Rolls[0]

	lab.must(lab.batches.MoveRolls(ctx, ada, []jobs.SeenRoll{{ID: roll.ID, Version: roll.Version}}, to.ID))
	lab.wantRolls(from.ID, 1)
	lab.wantRolls(to.ID, 2)
	lab.must(lab.batches.MoveRolls(ctx, ada, []jobs.SeenRoll{{ID: roll.ID}}, 0))
	lab.wantRolls(to.ID, 1)
	if state := lab.rollState(roll.ID); state != jobs.Queued {
		t.Errorf("taken out, it is %s", state)
	}
	lab.must(lab.batches.MoveRolls(ctx, ada, []jobs.SeenRoll{{ID: roll.ID}}, from.ID))
	lab.wantRolls(from.ID, 2)

	history, err := lab.rolls.History(ctx, roll.ID)
	lab.must(err)
	var told []string
	for _, e := range history[len(history)-5:] {
		told = append(told, e.Kind+" "+e.To)
	}
	want := []string{"accept batched", "take out queued", "put in batched", "take out queued", "put in batched"}
	for i := range want {
		if told[i] != want[i] {
			t.Fatalf("the record tells %v, want %v", told, want)
		}
	}
}

// wantRolls fails the test unless a batch holds so many rolls, all batched, and
// the database's own list agrees.
func (l *testLab) wantRolls(id jobs.BatchID, n int) {
	l.t.Helper()
	b, err := l.batches.Batch(context.Background(), id)
	l.must(err)
	entered := l.count("SELECT count(*) FROM batch_rolls WHERE batch_id = $1 AND open", int64(id))
	if len(b.Rolls) != n || entered != n {
		l.t.Errorf("batch %d holds %d rolls and %d are entered, want %d", id, len(b.Rolls), entered, n)
	}
}

func TestMoveRollIsRefused(t *testing.T) {
	t.Parallel()
	lab, ctx := newLab(t), context.Background()
	from, locked := lab.colourBatch(1), lab.inState(jobs.BatchLocked)
	pushedUp := lab.accepted(drum, lab.queued(pushed(sedge160, 1))...)
	waiting := lab.queued(newRoll(tealSlide))[0]
	finished := lab.inState(jobs.BatchFinished)
	for _, test := range []struct {
		name    string
		roll    jobs.RollID
		version int
		to      jobs.BatchID
		want    jobs.Code
	}{
		{"another push level", from.Rolls[0].ID, 0, pushedUp.ID, jobs.Refused},
		{"another process", waiting.ID, 0, from.ID, jobs.Refused},
		{"into a locked batch", from.Rolls[0].ID, 0, locked.ID, jobs.WrongState},
		{"out of a locked batch", locked.Rolls[0].ID, 0, 0, jobs.WrongState},
		{"into one that ended", waiting.ID, 0, finished.ID, jobs.WrongState},
		{"developed already", finished.Rolls[0].ID, 0, from.ID, jobs.WrongState},
		{"in no batch", waiting.ID, 0, 0, jobs.WrongState},
		{"where it is", from.Rolls[0].ID, 0, from.ID, jobs.WrongState},
		{"an old page", from.Rolls[0].ID, from.Rolls[0].Version - 1, 0, jobs.Stale},
		{"no such roll", 999, 0, from.ID, jobs.NotFound},
		{"no such batch", from.Rolls[0].ID, 0, 999, jobs.NotFound},
	} {
		t.Run(test.name, func(t *testing.T) {
			err := lab.batches.MoveRolls(ctx, ada, []jobs.SeenRoll{{ID: test.roll, Version: test.version}}, test.to)
			wantCode(t, err, test.want)
		})
	}
	lab.wantRolls(from.ID, 1)
	lab.wantRolls(locked.ID, 1)
	lab.wantRolls(pushedUp.ID, 1)
}

// Several rolls move together or not at all: not up to the first that may not.
func TestMoveOfSeveralIsWhole(t *testing.T) {
	t.Parallel()
	lab, ctx := newLab(t), context.Background()
	from, to := lab.colourBatch(3), lab.colourBatch(3)
	waiting := lab.queued(newRoll(sedge160))[0]
	seen := func(rolls ...jobs.RollView) []jobs.SeenRoll {
		var list []jobs.SeenRoll
		for _, roll := range rolls {
			list = append(list, jobs.SeenRoll{ID: roll.ID, Version: roll.Version})
		}
		return list
	}
	stale := seen(from.Rolls[:2]...)
	stale[1].Version--
	before := lab.count("SELECT count(*) FROM events")
	for _, test := range []struct {
		name  string
		rolls []jobs.SeenRoll
		to    jobs.BatchID
		want  jobs.Code
	}{
		{"the third no longer fits", seen(from.Rolls...), to.ID, jobs.Refused}, // the drum takes five
		{"the second has changed", stale, to.ID, jobs.Stale},
		{"the second is not in a batch", append(seen(from.Rolls[0]), jobs.SeenRoll{ID: waiting.ID}), 0, jobs.WrongState},
		{"one twice", append(seen(from.Rolls[0]), seen(from.Rolls[0])...), to.ID, jobs.Invalid},
		{"none", nil, to.ID, jobs.Invalid},
		{"the second does not exist", append(seen(from.Rolls[0]), jobs.SeenRoll{ID: 999}), to.ID, jobs.NotFound},
	} {
		wantCode(t, lab.batches.MoveRolls(ctx, ada, test.rolls, test.to), test.want)
		lab.wantRolls(from.ID, 3)
		lab.wantRolls(to.ID, 3)
		if n := lab.count("SELECT count(*) FROM events"); n != before {
			t.Errorf("%s: %d events tell of it", test.name, n-before)
		}
	}
	lab.must(lab.batches.MoveRolls(ctx, ada, append(seen(from.Rolls[0]), jobs.SeenRoll{ID: waiting.ID}), to.ID))
	lab.wantRolls(from.ID, 2)
	lab.wantRolls(to.ID, 5)
	lab.must(lab.batches.MoveRolls(ctx, ada, seen(from.Rolls[1], to.Rolls[0]), 0))
	lab.wantRolls(from.ID, 1)
	lab.wantRolls(to.ID, 4)
}

// A mixed batch has a time of its own; what leaves it takes that away.
func TestMovingChangesTheTime(t *testing.T) {
	t.Parallel()
	lab, ctx := newLab(t), context.Background()
	lab.exec("UPDATE stock_times SET seconds = 440 WHERE stock_id = $1 AND solution_id = $2 AND kind = 'base'", int64(marl125), int64(mqBorax))
	rolls := lab.queued(newRoll(marl400), newRoll(marl125))
	b := lab.accepted(handTanks, rolls...)
	if b.Develop != 445 { // between 7:20 and 7:30
		t.Errorf("together they develop %d s, want 445 s", b.Develop)
	}
	lab.must(lab.batches.MoveRolls(ctx, ada, []jobs.SeenRoll{{ID: rolls[1].ID}}, 0))
	left, err := lab.batches.Batch(ctx, b.ID)
	lab.must(err)
	if left.Develop != 450 { // HARMAN sheet, July 2004, p. 3
		t.Errorf("alone it develops %d s, want 450 s", left.Develop)
	}
}

// A batch that lost its last roll does not start, and can be filled again.
func TestAnEmptyBatch(t *testing.T) {
	t.Parallel()
	lab, ctx := newLab(t), context.Background()
	b := lab.colourBatch(1)
	lab.must(lab.batches.MoveRolls(ctx, ada, []jobs.SeenRoll{{ID: b.Rolls[0].ID}}, 0))
	_, err := lab.batches.Start(ctx, ada, b.ID, jobs.BatchStart{DeveloperC: warmC41})
	wantCode(t, err, jobs.Refused)
	_, err = lab.batches.RunSheet(ctx, b.ID)
	wantCode(t, err, jobs.WrongState)
	lab.must(lab.batches.MoveRolls(ctx, ada, []jobs.SeenRoll{{ID: b.Rolls[0].ID}}, b.ID))
	_, err = lab.batches.Start(ctx, ada, b.ID, jobs.BatchStart{DeveloperC: warmC41})
	lab.must(err)
}

// A rule that changed afterwards does not keep a roll in its batch.
func TestTakingOutIsAlwaysPossible(t *testing.T) {
	t.Parallel()
	lab, ctx := newLab(t), context.Background()
	b := lab.colourBatch(3)
	lab.exec("DELETE FROM line_takes WHERE line_id = $1 AND format = $2", int64(drum), string(chemistry.Format135))
	lab.must(lab.batches.MoveRolls(ctx, ada, []jobs.SeenRoll{{ID: b.Rolls[0].ID}}, 0))
	lab.wantRolls(b.ID, 2)
	_, err := lab.batches.Start(ctx, ada, b.ID, jobs.BatchStart{DeveloperC: warmC41})
	wantCode(t, err, jobs.Refused)
}

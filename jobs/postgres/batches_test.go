package postgres

import (
	"context"
	"errors"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/jackc/pgx/v5/pgconn"

	"wetside/chemistry"
	"wetside/jobs"
)

func TestAcceptMakesABatch(t *testing.T) {
	t.Parallel()
	lab, ctx := newLab(t), context.Background()
	rolls := lab.queued(pushed(sedge160, 1), pushed(sedge640, 1))
	b := lab.accepted(drum, rolls...)
	// Kodak TI-2420, push table; Z-131, table 2-7.
	if b.Develop != 225 || b.Process != chemistry.C41 || b.Push == nil || *b.Push != chemistry.Stop || b.LineName != "Drum" {
		t.Errorf("got %+v", b)
	}
	if b.State != jobs.BatchAccepted || len(b.Rolls) != 2 || !b.PlannedStart.Equal(fixtureStart) || b.Version != 1 {
		t.Errorf("got %+v", b)
	}
	for _, roll := range b.Rolls {
		if roll.State != jobs.Batched || roll.Batch != b.ID {
			t.Errorf("roll %s is %s in batch %d", roll.Label(), roll.State, roll.Batch)
		}
	}
	second := lab.colourBatch(1)
	if want := fixtureStart.Add((1500 + 225) * time.Second); !second.PlannedStart.Equal(want) {
		t.Errorf("the next batch is planned for %v, want %v, behind the first", second.PlannedStart, want)
	}
	history, err := lab.batches.BatchHistory(ctx, b.ID)
	lab.must(err)
	if last := history[len(history)-1]; last.Kind != "accept" || last.To != "accepted" || last.By.Name != "Ada" || len(history) != 3 {
		t.Errorf("the record holds %+v", history)
	}
}

// Every call on a batch in every state does what the matrix says, or is refused
// and changes nothing.
func TestBatchTransitionMatrix(t *testing.T) {
	t.Parallel()
	calls := map[string]struct {
		next jobs.BatchState
		call func(*testLab, context.Context, jobs.Batch) (jobs.Batch, error)
	}{
		"lock": {jobs.BatchLocked, func(l *testLab, ctx context.Context, b jobs.Batch) (jobs.Batch, error) {
			return l.batches.Lock(ctx, ada, b.ID, b.Version)
		}},
		"unlock": {jobs.BatchAccepted, func(l *testLab, ctx context.Context, b jobs.Batch) (jobs.Batch, error) {
			return l.batches.Unlock(ctx, ada, b.ID, b.Version)
		}},
		"start": {jobs.BatchDeveloping, func(l *testLab, ctx context.Context, b jobs.Batch) (jobs.Batch, error) {
			return l.batches.Start(ctx, ada, b.ID, jobs.BatchStart{Version: b.Version, DeveloperC: warmC41})
		}},
		"finish": {jobs.BatchFinished, func(l *testLab, ctx context.Context, b jobs.Batch) (jobs.Batch, error) {
			return l.batches.Finish(ctx, ada, b.ID, b.Version, nil)
		}},
		"stop": {jobs.BatchStopped, func(l *testLab, ctx context.Context, b jobs.Batch) (jobs.Batch, error) {
			return l.batches.Stop(ctx, ada, b.ID, b.Version, "no water", l.outcomes(b, jobs.Drying))
		}},
		"cancel": {jobs.BatchCancelled, func(l *testLab, ctx context.Context, b jobs.Batch) (jobs.Batch, error) {
			return l.batches.CancelBatch(ctx, ada, b.ID, b.Version, "not today")
		}},
	}
	allowed := map[jobs.BatchState]string{
		jobs.BatchAccepted: "lock start cancel", jobs.BatchLocked: "unlock start cancel", jobs.BatchDeveloping: "finish stop",
	}
	for _, state := range []jobs.BatchState{jobs.BatchAccepted, jobs.BatchLocked, jobs.BatchDeveloping, jobs.BatchFinished, jobs.BatchStopped, jobs.BatchCancelled} {
		t.Run(string(state), func(t *testing.T) {
			t.Parallel()
			for name, c := range calls {
				lab, ctx := newLab(t), context.Background()
				before := lab.inState(state)
				got, err := c.call(lab, ctx, before)
				if strings.Contains(" "+allowed[state]+" ", " "+name+" ") {
					if err != nil || got.State != c.next || got.Version != before.Version+1 {
						t.Errorf("%s: got %s, version %d (%v), want %s, version %d", name, got.State, got.Version, err, c.next, before.Version+1)
					}
					continue
				}
				wantCode(t, err, jobs.WrongState)
				after, err := lab.batches.Batch(ctx, before.ID)
				lab.must(err)
				if diff := cmp.Diff(before, after); diff != "" {
					t.Errorf("%s was refused and yet changed the batch: %s", name, diff)
				}
			}
		})
	}
}

func TestRemjetIsKeptOutFromEveryDoor(t *testing.T) {
	t.Parallel()
	for _, remjet := range []chemistry.Remjet{chemistry.RemjetPresent, chemistry.RemjetUnknown} {
		lab, ctx := newLab(t), context.Background()
		rolls := lab.queued(newRoll(sedge160), newRoll(sedge160))
		b := lab.accepted(drum, rolls[0])
		lab.withRemjet(rolls[1], remjet)

		_, err := lab.batches.Accept(ctx, ada, draft(drum, rolls[1]))
		wantCode(t, err, jobs.Refused)
		err = lab.batches.MoveRolls(ctx, ada, []jobs.SeenRoll{{ID: rolls[1].ID}}, b.ID)
		wantCode(t, err, jobs.Refused)
		if !strings.Contains(err.Error(), "remjet") {
			t.Errorf("the reason is not said: %v", err)
		}
		proposal, err := lab.batches.Propose(ctx)
		lab.must(err)
		if len(proposal.Batches) != 0 || len(proposal.Left) != 1 || !strings.Contains(proposal.Left[0].Reason, "remjet") {
			t.Errorf("proposed %+v", proposal)
		}

		// By hand, past the program: with the truth, and with a lie about it.
		insert := "INSERT INTO batch_rolls (batch_id, roll_id, process, remjet) VALUES ($1, $2, 'C-41', $3)"
		_, err = lab.db.pool.Exec(ctx, insert, int64(b.ID), int64(rolls[1].ID), string(remjet))
		wantConstraint(t, err, "remjet_fouls_the_tank")
		_, err = lab.db.pool.Exec(ctx, insert, int64(b.ID), int64(rolls[1].ID), "none")
		wantConstraint(t, err, "batch_rolls_roll_id_process_remjet_fkey")
		// A roll that is in already cannot be found to carry it and stay.
		_, err = lab.db.pool.Exec(ctx, "UPDATE rolls SET remjet = $2 WHERE id = $1", int64(rolls[0].ID), string(remjet))
		wantConstraint(t, err, "remjet_fouls_the_tank")
		if n := lab.count("SELECT count(*) FROM batch_rolls"); n != 1 {
			t.Errorf("%d rolls are in batches, want the one", n)
		}
	}
}

func wantConstraint(t *testing.T, err error, name string) {
	t.Helper()
	var pgErr *pgconn.PgError
	if !errors.As(err, &pgErr) || pgErr.ConstraintName != name {
		t.Errorf("got %v, want it stopped by %s", err, name)
	}
}

func TestARollIsInOneOpenBatch(t *testing.T) {
	t.Parallel()
	lab, ctx := newLab(t), context.Background()
	rolls := lab.queued(newRoll(sedge160), newRoll(sedge160))
	first, second := lab.accepted(drum, rolls[0]), lab.accepted(drum, rolls[1])
	_, err := lab.batches.Accept(ctx, ada, draft(drum, rolls[0]))
	wantCode(t, err, jobs.Stale)
	_, err = lab.db.pool.Exec(ctx, "INSERT INTO batch_rolls (batch_id, roll_id, process, remjet) VALUES ($1, $2, 'C-41', 'none')",
		int64(second.ID), int64(first.Rolls[0].ID))
	wantConstraint(t, err, "batch_rolls_open")
	wantCode(t, translate(err), jobs.Stale)
}

// Nothing is stored by halves: one roll of three is wrong, and none is taken.
func TestARefusedBatchLeavesNothingBehind(t *testing.T) {
	t.Parallel()
	lab, ctx := newLab(t), context.Background()
	rolls := lab.queued(newRoll(sedge160), newRoll(sedge160), newRoll(tealSlide))
	events := lab.count("SELECT count(*) FROM events")
	_, err := lab.batches.Accept(ctx, ada, draft(drum, rolls...))
	wantCode(t, err, jobs.Refused)
	_, err = lab.batches.Accept(ctx, ada, jobs.BatchDraft{Line: drum, Rolls: []jobs.RollID{rolls[0].ID, 999}})
	wantCode(t, err, jobs.NotFound)
	for _, roll := range rolls {
		if state := lab.rollState(roll.ID); state != jobs.Queued {
			t.Errorf("roll %s is %s", roll.Label(), state)
		}
	}
	if n := lab.count("SELECT count(*) FROM batches") + lab.count("SELECT count(*) FROM events") - events; n != 0 {
		t.Errorf("%d rows were left behind", n)
	}
}

func TestCancelGivesRollsBack(t *testing.T) {
	t.Parallel()
	lab, ctx := newLab(t), context.Background()
	b := lab.colourBatch(2)
	_, err := lab.batches.CancelBatch(ctx, ada, b.ID, b.Version, " ")
	wantCode(t, err, jobs.Invalid)
	cancelled, err := lab.batches.CancelBatch(ctx, ada, b.ID, b.Version, "the drum leaks")
	lab.must(err)
	if cancelled.State != jobs.BatchCancelled || cancelled.Reason != "the drum leaks" || !cancelled.EndedAt.Equal(fixtureStart) {
		t.Errorf("got %+v", cancelled)
	}
	for _, roll := range b.Rolls {
		view, err := lab.rolls.Roll(ctx, roll.ID)
		lab.must(err)
		if view.State != jobs.Queued || view.Batch != 0 {
			t.Errorf("roll %s is %s, in batch %d", roll.Label(), view.State, view.Batch)
		}
	}
	lab.accepted(drum, b.Rolls[0].Roll, b.Rolls[1].Roll) // and they can go again
}

func TestListsOfBatches(t *testing.T) {
	t.Parallel()
	lab, ctx := newLab(t), context.Background()
	first, cancelled, last := lab.colourBatch(2), lab.inState(jobs.BatchCancelled), lab.colourBatch(1)
	ids := func(query jobs.BatchQuery) []jobs.BatchID {
		found, err := lab.batches.Batches(ctx, query)
		lab.must(err)
		var ids []jobs.BatchID
		for _, b := range found {
			ids = append(ids, b.ID)
		}
		return ids
	}
	for _, test := range []struct {
		query jobs.BatchQuery
		want  []jobs.BatchID
	}{
		{jobs.BatchQuery{Limit: 100}, []jobs.BatchID{last.ID, cancelled.ID, first.ID}},
		{jobs.BatchQuery{Limit: 1}, []jobs.BatchID{last.ID}},
		{jobs.BatchQuery{Open: true, Limit: 100}, []jobs.BatchID{last.ID, first.ID}},
		{jobs.BatchQuery{Before: cancelled.ID, Limit: 100}, []jobs.BatchID{first.ID}},
	} {
		if diff := cmp.Diff(test.want, ids(test.query)); diff != "" {
			t.Errorf("%+v: %s", test.query, diff)
		}
	}
	for _, limit := range []int{0, 101} {
		_, err := lab.batches.Batches(ctx, jobs.BatchQuery{Limit: limit})
		wantCode(t, err, jobs.Invalid)
	}
	_, err := lab.batches.Batch(ctx, 99)
	wantCode(t, err, jobs.NotFound)
	_, err = lab.batches.BatchHistory(ctx, 99)
	wantCode(t, err, jobs.NotFound)
}

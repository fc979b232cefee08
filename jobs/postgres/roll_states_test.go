package postgres

import (
	"context"
	"fmt"
	"testing"

	"pgregory.net/rapid"

	"wetside/jobs"
)

// action is one thing that staff can do with a single roll.
type action struct {
	name    string
	do      func(context.Context, jobs.Roll) error
	becomes map[jobs.RollState]jobs.RollState // in each state that allows it
}

func (l *testLab) actions() []action {
	rolls := l.rolls
	return []action{
		{"check in", func(ctx context.Context, r jobs.Roll) error { _, err := rolls.CheckIn(ctx, ada, found(r)); return err },
			map[jobs.RollState]jobs.RollState{jobs.Expected: jobs.Queued}},
		{"hold", func(ctx context.Context, r jobs.Roll) error {
			_, err := rolls.Hold(ctx, ada, r.ID, r.Version, "?!")
			return err
		}, map[jobs.RollState]jobs.RollState{jobs.Received: jobs.Held, jobs.Queued: jobs.Held}},
		{"answer", func(ctx context.Context, r jobs.Roll) error {
			_, err := rolls.AnswerHold(ctx, ada, jobs.Answer{Roll: r.ID, Version: r.Version, Answer: "yes"})
			return err
		}, map[jobs.RollState]jobs.RollState{jobs.Held: jobs.Queued}},
		{"queue", func(ctx context.Context, r jobs.Roll) error {
			_, err := rolls.Queue(ctx, ada, r.ID, r.Version)
			return err
		},
			map[jobs.RollState]jobs.RollState{jobs.Received: jobs.Queued}},
		{"advance", func(ctx context.Context, r jobs.Roll) error {
			_, err := rolls.Advance(ctx, ada, r.ID, r.Version)
			return err
		}, map[jobs.RollState]jobs.RollState{jobs.Drying: jobs.Finishing, jobs.Finishing: jobs.Ready}},
		{"deliver", func(ctx context.Context, r jobs.Roll) error {
			_, err := rolls.Deliver(ctx, ada, jobs.Delivery{Rolls: []jobs.RollID{r.ID}, How: jobs.Collect})
			return err
		}, map[jobs.RollState]jobs.RollState{jobs.Ready: jobs.Delivered}},
		{"cancel", func(ctx context.Context, r jobs.Roll) error {
			_, err := rolls.Cancel(ctx, ada, r.ID, r.Version, "off")
			return err
		}, map[jobs.RollState]jobs.RollState{jobs.Expected: jobs.Cancelled, jobs.Received: jobs.Cancelled,
			jobs.Held: jobs.Cancelled, jobs.Queued: jobs.Cancelled}},
		{"spoil", func(ctx context.Context, r jobs.Roll) error {
			_, err := rolls.Spoil(ctx, ada, r.ID, r.Version, "torn")
			return err
		}, map[jobs.RollState]jobs.RollState{jobs.Received: jobs.Spoiled, jobs.Held: jobs.Spoiled, jobs.Queued: jobs.Spoiled,
			jobs.Drying: jobs.Spoiled, jobs.Finishing: jobs.Spoiled, jobs.Ready: jobs.Spoiled}},
	}
}

// putInState writes a state by hand, with what the schema asks of it.
func (l *testLab) putInState(roll jobs.Roll, state jobs.RollState) jobs.Roll {
	l.t.Helper()
	l.exec(`UPDATE rolls SET state = $2, question = 'open?', reason = 'ended',
		twin_check = CASE WHEN $2 = 'expected' THEN NULL ELSE 'T-' || id END WHERE id = $1`, int64(roll.ID), string(state))
	return l.roll(roll.ID)
}

func TestEveryActionInEveryState(t *testing.T) {
	t.Parallel()
	lab, ctx := newLab(t), context.Background()
	for _, action := range lab.actions() {
		for _, state := range jobs.RollStates {
			name := fmt.Sprintf("%s a %s roll", action.name, state)
			roll := lab.putInState(lab.order(newRoll(sedge160)).Rolls[0], state)
			err := action.do(ctx, roll)
			now := lab.roll(roll.ID)
			events := lab.count("SELECT count(*) FROM events WHERE roll_id = $1", int64(roll.ID)) - 1
			want, allowed := action.becomes[state]
			switch {
			case allowed && (err != nil || now.State != want || now.Version != roll.Version+1 || events == 0):
				t.Errorf("%s: it is %s at version %d with %d events, %v; want %s", name, now.State, now.Version, events, err, want)
			case !allowed:
				wantCode(t, err, jobs.WrongState)
				if now.State != state || now.Version != roll.Version || events != 0 {
					t.Errorf("%s: refused, yet it is %s at version %d with %d events", name, now.State, now.Version, events)
				}
			}
		}
	}
}

// Whatever is done to a roll, in whatever order, its record tells of every step
// and ends where the roll is.
func TestTheRecordFollowsTheRoll(t *testing.T) {
	t.Parallel()
	lab, ctx := newLab(t), context.Background()
	actions := lab.actions()
	rapid.Check(t, func(t *rapid.T) {
		stock := rapid.SampledFrom([]jobs.StockID{sedge160, marl400, marl400Untimed, reedmaceUnknown}).Draw(t, "stock")
		roll := lab.order(newRoll(stock)).Rolls[0]
		if rapid.Bool().Draw(t, "developed") {
			// What a batch does to a roll is tested with batches; here it comes out of one.
			roll = lab.roll(roll.ID)
			lab.exec("UPDATE rolls SET state = 'drying', twin_check = 'T-' || id WHERE id = $1", int64(roll.ID))
			lab.exec("INSERT INTO events (at, by_name, kind, roll_id, from_state, to_state) VALUES (now(), 'test', 'test', $1, 'expected', 'drying')", int64(roll.ID))
		}
		for range rapid.IntRange(1, 6).Draw(t, "steps") {
			action := rapid.SampledFrom(actions).Draw(t, "action")
			if err := action.do(ctx, lab.roll(roll.ID)); err != nil && jobs.CodeOf(err) == "" {
				t.Fatalf("%s: %v", action.name, err)
			}
		}
		history, err := lab.rolls.History(ctx, roll.ID)
		if err != nil {
			t.Fatal(err)
		}
		at := ""
		for _, event := range history {
			if event.From != at {
				t.Fatalf("%s tells of %q to %q, the roll was %q", event.Kind, event.From, event.To, at)
			}
			at = event.To
		}
		if now := lab.roll(roll.ID); string(now.State) != at {
			t.Fatalf("the record ends at %s, the roll is %s", at, now.State)
		}
	})
}

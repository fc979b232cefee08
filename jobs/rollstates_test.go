package jobs

import (
	"fmt"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// wayThroughTheLab is the whole matrix of a roll's states, in the order of
// RollStates: a row for the state it is in, a column for the next.
const wayThroughTheLab = `
expected   . r . . . . . . . . c .
received   . . h q . . . . . . c s
held       . r . . . . . . . . c s
queued     . . h . b . . . . . c s
batched    . . . q . d . . . . . .
developing . . . q . . d . . . . s
drying     . . . . . . . f . . . s
finishing  . . . . . . . . r . . s
ready      . . . . . . . . . d . s
delivered  . . . . . . . . . . . .
cancelled  . . . . . . . . . . . .
spoiled    . . . . . . . . . . . .
`

func TestEveryRollTransition(t *testing.T) {
	t.Parallel()
	rows := strings.Split(strings.TrimSpace(wayThroughTheLab), "\n")
	if len(rows) != len(RollStates) {
		t.Fatalf("%d rows for %d states", len(rows), len(RollStates))
	}
	for i, row := range rows {
		cells := strings.Fields(row)
		from := RollStates[i]
		if cells[0] != string(from) {
			t.Fatalf("row %d is %s, the state is %s", i, cells[0], from)
		}
		ends := true
		for j, next := range RollStates {
			want := cells[j+1] != "."
			ends = ends && !want
			if got := from.CanBecome(next); got != want {
				t.Errorf("%s to %s: %v, want %v", from, next, got, want)
			}
			roll := Roll{State: from}
			move := roll.Move()
			err := move.To(next, "test", "")
			if want != (err == nil) || want != (move.Roll.State == next && len(move.Events) == 1) {
				t.Errorf("moving %s to %s: %v, now %s with %d events", from, next, err, move.Roll.State, len(move.Events))
			}
			if !want {
				wantCode(t, err, WrongState)
			}
		}
		if from.Ended() != ends {
			t.Errorf("%s ended: %v, want %v", from, from.Ended(), ends)
		}
	}
}

// rollAction is one thing that staff can do with a single roll.
type rollAction struct {
	name string
	do   func(Roll) (*RollMove, error)
	// becomes says what the action makes of a roll in each state that allows it.
	becomes map[RollState]RollState
}

func rollActions(c Catalogue) []rollAction {
	return []rollAction{
		{"check in", func(r Roll) (*RollMove, error) {
			return TakeIn(r, CheckIn{Stock: r.Stock, Format: r.Format, Exposures: r.Exposures}, c)
		}, map[RollState]RollState{Expected: Queued}},
		{"hold", func(r Roll) (*RollMove, error) { return Hold(r, "which film is this?") },
			map[RollState]RollState{Received: Held, Queued: Held}},
		{"answer", func(r Roll) (*RollMove, error) { return EndHold(r, Answer{Answer: "as ordered"}, c) },
			map[RollState]RollState{Held: Queued}},
		{"queue", func(r Roll) (*RollMove, error) { return Enqueue(r, c) }, map[RollState]RollState{Received: Queued}},
		{"advance", Advance, map[RollState]RollState{Drying: Finishing, Finishing: Ready}},
		{"deliver", Delivery{How: Collect}.Of, map[RollState]RollState{Ready: Delivered}},
		{"cancel", func(r Roll) (*RollMove, error) { return Cancel(r, "called off") },
			map[RollState]RollState{Expected: Cancelled, Received: Cancelled, Held: Cancelled, Queued: Cancelled}},
		{"spoil", func(r Roll) (*RollMove, error) { return Spoil(r, "torn") }, map[RollState]RollState{
			Received: Spoiled, Held: Spoiled, Queued: Spoiled, Drying: Spoiled, Finishing: Spoiled, Ready: Spoiled}},
	}
}

func TestEveryActionInEveryState(t *testing.T) {
	t.Parallel()
	c := counter()
	for _, action := range rollActions(c) {
		for _, state := range RollStates {
			t.Run(fmt.Sprintf("%s %s", action.name, state), func(t *testing.T) {
				roll := ordered(t, c, described(sedge160))
				roll.State = state
				move, err := action.do(roll)
				want, allowed := action.becomes[state]
				switch {
				case allowed && err != nil:
					t.Fatal(err)
				case allowed && move.Roll.State != want:
					t.Errorf("it is %s now, want %s", move.Roll.State, want)
				case !allowed:
					wantCode(t, err, WrongState)
				}
			})
		}
	}
}

// Whatever is done to a roll, its events tell of every step: each begins where
// the one before ended, and the last ends where the roll is.
func TestEventsFollowTheRoll(t *testing.T) {
	t.Parallel()
	c := counter()
	actions := rollActions(c)
	rapid.Check(t, func(t *rapid.T) {
		stock := rapid.SampledFrom([]StockID{sedge160, marl400, marlUntimed, reedmaceUnsorted}).Draw(t, "stock")
		order, err := Admit(sent(described(stock)), c, Workload{}, monday)
		if err != nil {
			t.Fatal(err)
		}
		roll := order.Rolls[0]
		told := roll.State
		for range 12 {
			action := rapid.SampledFrom(actions).Draw(t, "action")
			before := roll.State
			move, err := action.do(roll)
			if err != nil {
				if CodeOf(err) == "" {
					t.Fatalf("%s of a %s roll: %v", action.name, before, err)
				}
				continue
			}
			for _, event := range move.Events {
				if event.From != string(told) || !told.CanBecome(RollState(event.To)) {
					t.Fatalf("%s tells of %s to %s, the roll was %s", action.name, event.From, event.To, told)
				}
				told = RollState(event.To)
			}
			roll = move.Roll
			if told != roll.State {
				t.Fatalf("%s: the events end at %s, the roll is %s", action.name, told, roll.State)
			}
			if roll.State == Queued && c.openMatters(roll) != "" {
				t.Fatalf("%s queued a roll with something open: %s", action.name, c.openMatters(roll))
			}
			if roll.State == Held && roll.Question == "" {
				t.Fatalf("%s holds a roll without a question", action.name)
			}
		}
	})
}

package jobs

import (
	"errors"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"wetside/chemistry"
)

var batchStates = []BatchState{BatchAccepted, BatchLocked, BatchDeveloping, BatchFinished, BatchStopped, BatchCancelled}

// The whole matrix of transitions, said once more and apart from the code.
func TestBatchTransitions(t *testing.T) {
	t.Parallel()
	allowed := map[[2]BatchState]bool{
		{BatchAccepted, BatchLocked}: true, {BatchAccepted, BatchDeveloping}: true, {BatchAccepted, BatchCancelled}: true,
		{BatchLocked, BatchAccepted}: true, {BatchLocked, BatchDeveloping}: true, {BatchLocked, BatchCancelled}: true,
		{BatchDeveloping, BatchFinished}: true, {BatchDeveloping, BatchStopped}: true,
	}
	for _, from := range batchStates {
		for _, to := range batchStates {
			err := Batch{ID: 5, State: from}.CheckBecome(to)
			if allowed[[2]BatchState{from, to}] {
				if err != nil {
					t.Errorf("%s to %s: %v", from, to, err)
				}
				continue
			}
			if CodeOf(err) != WrongState || !strings.Contains(err.Error(), "batch 5 is "+string(from)) {
				t.Errorf("%s to %s: got %v, want WrongState that names the state", from, to, err)
			}
		}
	}
}

// running is a batch of three C-41 rolls in the chemistry.
func running(w WetSide) Batch {
	b := Batch{ID: 5, Line: drum, Process: chemistry.C41, State: BatchDeveloping, Version: 3}
	for id := range RollID(3) {
		b.Rolls = append(b.Rolls, w.roll(3-id, sedge160, func(r *RollView) { r.State, r.Batch = Developing, 5 }))
	}
	return b
}

func states(moves []*RollMove) map[RollID]string {
	ended := map[RollID]string{}
	for _, move := range moves {
		ended[move.Roll.ID] = string(move.Roll.State) + " " + move.Roll.Reason
	}
	return ended
}

func TestFinish(t *testing.T) {
	t.Parallel()
	b := running(testLab())
	moves, err := b.Finish([]RollOutcome{{Roll: 2, State: Spoiled, Reason: " torn on the reel "}, {Roll: 3, State: Drying, Reason: "x"}})
	if err != nil {
		t.Fatal(err)
	}
	want := map[RollID]string{1: "drying ", 2: "spoiled torn on the reel", 3: "drying "}
	if diff := cmp.Diff(want, states(moves)); diff != "" {
		t.Error(diff)
	}
	if moves[0].Roll.ID != 1 || moves[2].Roll.ID != 3 {
		t.Error("the rolls are not in the order of their keys")
	}
	if e := moves[1].Events[0]; e.Batch != 5 || e.From != "developing" || e.To != "spoiled" || e.Why != "torn on the reel" {
		t.Errorf("the event tells %+v", e)
	}
}

func TestFinishNamesWhatIsWrong(t *testing.T) {
	t.Parallel()
	for _, test := range []struct {
		name     string
		outcomes []RollOutcome
		field    string
	}{
		{"another batch's roll", []RollOutcome{{Roll: 9, State: Drying}}, "outcomes[0].roll"},
		{"one roll twice", []RollOutcome{{Roll: 1, State: Drying}, {Roll: 1, State: Drying}}, "outcomes[1].roll"},
		{"back to the queue", []RollOutcome{{Roll: 1, State: Queued}}, "outcomes[0].state"},
		{"no such outcome", []RollOutcome{{Roll: 1, State: Ready}}, "outcomes[0].state"},
		{"spoiled without a reason", []RollOutcome{{Roll: 1, State: Spoiled, Reason: "  "}}, "outcomes[0].reason"},
	} {
		_, err := running(testLab()).Finish(test.outcomes)
		var e *Error
		if !errors.As(err, &e) || e.Code != Invalid || len(e.Fields) != 1 || e.Fields[0].Field != test.field {
			t.Errorf("%s: got %v, want Invalid in %s", test.name, err, test.field)
		}
	}
}

func TestStop(t *testing.T) {
	t.Parallel()
	b := running(testLab())
	outcomes := []RollOutcome{{Roll: 1, State: Queued}, {Roll: 2, State: Spoiled, Reason: "left in the developer"}, {Roll: 3, State: Drying}}
	reason, moves, err := b.Stop(" the motor failed ", outcomes)
	if err != nil || reason != "the motor failed" {
		t.Fatalf("got %q, %v", reason, err)
	}
	want := map[RollID]string{1: "queued ", 2: "spoiled left in the developer", 3: "drying "}
	if diff := cmp.Diff(want, states(moves)); diff != "" {
		t.Error(diff)
	}
	if _, _, err := b.Stop("", outcomes); CodeOf(err) != Invalid {
		t.Errorf("no reason: got %v, want Invalid", err)
	}
	if _, _, err := b.Stop("the motor failed", outcomes[:2]); CodeOf(err) != Invalid || !strings.Contains(err.Error(), "roll 100003") {
		t.Errorf("a roll without an outcome: got %v, want Invalid that names it", err)
	}
}

func TestCancelGivesTheRollsBack(t *testing.T) {
	t.Parallel()
	b := running(testLab())
	b.State = BatchLocked
	for i := range b.Rolls {
		b.Rolls[i].State = Batched
	}
	after, moves, err := b.Cancel("the bleach is late", monday)
	if err != nil || after.State != BatchCancelled || !after.EndedAt.Equal(monday) || after.Reason != "the bleach is late" {
		t.Fatalf("got %+v, %v", after, err)
	}
	for _, move := range moves {
		if move.Roll.State != Queued {
			t.Errorf("roll %d is %s", move.Roll.ID, move.Roll.State)
		}
	}
	if _, _, err := b.Cancel(" ", monday); CodeOf(err) != Invalid {
		t.Errorf("no reason: got %v, want Invalid", err)
	}
}

func TestCheckMove(t *testing.T) {
	t.Parallel()
	w := testLab()
	at := func(state BatchState, id BatchID) *Batch { return &Batch{ID: id, State: state} }
	roll := func(state RollState) RollView { return w.roll(1, sedge160, func(r *RollView) { r.State = state }) }
	for _, test := range []struct {
		name     string
		roll     RollView
		from, to *Batch
		want     Code
		says     string
	}{
		{"out", roll(Batched), at(BatchAccepted, 1), nil, "", ""},
		{"over", roll(Batched), at(BatchAccepted, 1), at(BatchAccepted, 2), "", ""},
		{"in from the queue", roll(Queued), nil, at(BatchAccepted, 2), "", ""},
		{"nowhere to nowhere", roll(Queued), nil, nil, WrongState, "in no batch"},
		{"in from the rack", roll(Drying), nil, at(BatchAccepted, 2), WrongState, "is drying"},
		{"out of a locked one", roll(Batched), at(BatchLocked, 1), nil, WrongState, "unlock it first"},
		{"out of the chemistry", roll(Developing), at(BatchDeveloping, 1), nil, WrongState, "its rolls are fixed"},
		{"into a locked one", roll(Batched), at(BatchAccepted, 1), at(BatchLocked, 2), WrongState, "batch 2 is locked"},
		{"into one that ended", roll(Queued), nil, at(BatchFinished, 2), WrongState, "batch 2 is finished"},
		{"to where it is", roll(Batched), at(BatchAccepted, 1), at(BatchAccepted, 1), WrongState, "in batch 1 already"},
	} {
		err := CheckMove(test.roll, test.from, test.to)
		if CodeOf(err) != test.want || err != nil && !strings.Contains(err.Error(), test.says) {
			t.Errorf("%s: got %v, want %q %q", test.name, err, test.want, test.says)
		}
	}
}

// Taking the last roll out, or one of two that no longer agree, always works.
func TestWithout(t *testing.T) {
	t.Parallel()
	w := testLab()
	b, err := assemble(w, handTanks, w.roll(1, marl400), w.roll(2, marl400), w.roll(3, marl400))
	if err != nil {
		t.Fatal(err)
	}
	if left := w.Without(b, 2); len(left.Rolls) != 2 || left.Develop != 450 {
		t.Errorf("got %d rolls at %d s", len(left.Rolls), left.Develop)
	}
	b.Rolls[0].Stock = marl125 // its time is 8:30, as if the catalogue had changed
	if left := w.Without(b, 3); len(left.Rolls) != 2 || left.Develop != 450 {
		t.Errorf("two that disagree: got %d rolls at %d s", len(left.Rolls), left.Develop)
	}
	b.Rolls = b.Rolls[:1]
	if left := w.Without(b, 1); len(left.Rolls) != 0 || left.Develop != 450 {
		t.Errorf("the last one: got %d rolls at %d s", len(left.Rolls), left.Develop)
	}
}

func TestABatchWaitsForItsLine(t *testing.T) {
	t.Parallel()
	w := testLab()
	at := func(minutes int) time.Time { return monday.Add(time.Duration(minutes) * time.Minute) }
	// The drum takes 25 minutes beside the 195 s that these develop.
	open := []Batch{
		{Line: drum, State: BatchLocked, PlannedStart: at(5), Develop: 195},
		{Line: drum, State: BatchDeveloping, StartedAt: at(-10), PlannedStart: at(-30), Develop: 195},
		{Line: handTanks, State: BatchDeveloping, StartedAt: at(-10), Develop: 500},
		{Line: drum, State: BatchFinished, StartedAt: at(200), Develop: 195},
	}
	roll := w.roll(1, sedge160)
	b, err := w.Assemble(BatchDraft{Line: drum, Rolls: []RollID{1}}, []RollView{roll}, open, monday)
	want := monday.Add(-10 * time.Minute).Add(2 * (1500 + 195) * time.Second)
	if err != nil || !b.PlannedStart.Equal(want) {
		t.Errorf("got %v (%v), want %v", b.PlannedStart, err, want)
	}
	b, err = w.Assemble(BatchDraft{Line: drum, Rolls: []RollID{1}, PlannedStart: at(120)}, []RollView{roll}, open, monday)
	if err != nil || !b.PlannedStart.Equal(at(120)) {
		t.Errorf("asked for later: got %v (%v)", b.PlannedStart, err)
	}
	for days, want := range map[int]Code{31: "", 32: Invalid} {
		draft := BatchDraft{Line: drum, Rolls: []RollID{1}, PlannedStart: monday.AddDate(0, 0, days)}
		if _, err = w.Assemble(draft, []RollView{roll}, open, monday); CodeOf(err) != want {
			t.Errorf("asked for in %d days: %v", days, err)
		}
	}
}

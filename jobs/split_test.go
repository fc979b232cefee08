package jobs

import "testing"

func TestSplit(t *testing.T) {
	t.Parallel()
	w := testLab()
	batch := Batch{ID: 3, Line: drum, State: BatchAccepted, Version: 2,
		Rolls: []RollView{w.roll(1, sedge160), w.roll(2, sedge160), w.roll(3, sedge160)}}
	draft, err := Split{Batch: 3, Version: 2, Rolls: []RollID{3, 1}}.Draft(batch)
	if err != nil || draft.Line != drum || len(draft.Rolls) != 2 {
		t.Fatalf("got %+v, %v", draft, err)
	}
	if draft, err = (Split{Rolls: []RollID{3}, Line: dipAndDunk}).Draft(batch); err != nil || draft.Line != dipAndDunk {
		t.Errorf("another line: %+v, %v", draft, err)
	}
	for _, test := range []struct {
		name  string
		split Split
		field string
	}{
		{"no roll", Split{}, "rolls"},
		{"a roll twice", Split{Rolls: []RollID{1, 1}}, "rolls[1]"},
		{"a roll of another batch", Split{Rolls: []RollID{1, 9}}, "rolls[1]"},
		{"all of them", Split{Rolls: []RollID{1, 2, 3}}, "rolls"},
	} {
		_, err := test.split.Draft(batch)
		t.Run(test.name, func(t *testing.T) { wantFields(t, err, test.field) })
	}
	if _, err := (Split{Version: 1, Rolls: []RollID{1}}).Draft(batch); CodeOf(err) != Stale {
		t.Errorf("an old version: %v", err)
	}
	for _, state := range []BatchState{BatchLocked, BatchDeveloping, BatchFinished} {
		batch.State = state
		if _, err := (Split{Rolls: []RollID{1}}).Draft(batch); CodeOf(err) != WrongState {
			t.Errorf("%s: %v", state, err)
		}
	}
}

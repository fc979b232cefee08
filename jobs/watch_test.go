package jobs

import (
	"errors"
	"testing"
	"time"

	"wetside/chemistry"
)

// A C-41 load holds the drum for 28:15, the dry side takes two hours: film that
// goes in at nine is ready at 11:28:15.
func TestWatch(t *testing.T) {
	t.Parallel()
	at := func(hour, minute int) time.Time { return time.Date(2026, 3, 2, hour, minute, 0, 0, time.UTC) }
	state := func(s RollState, b BatchID, since time.Time) func(*RollView) {
		return func(r *RollView) { r.State, r.Batch, r.Since = s, b, since }
	}
	accepted := Batch{ID: 7, Line: drum, LineName: "Drum", Process: chemistry.C41, Develop: 195, State: BatchAccepted, PlannedStart: at(11, 0)}
	running := Batch{ID: 6, Line: drum, LineName: "Drum", Process: chemistry.C41, Develop: 195, State: BatchDeveloping,
		PlannedStart: at(8, 50), StartedAt: at(8, 50)} // out at 9:18:15
	overtime := running
	overtime.StartedAt = at(8, 20)
	const nothing = "nothing can; tell the customer"
	for _, test := range []struct {
		name  string
		roll  func(*RollView)
		due   time.Time
		open  []Batch
		ready time.Time // zero for no risk
		save  string
	}{
		{"batched in time", state(Batched, 7, monday), at(14, 0), []Batch{accepted}, time.Time{}, ""},
		{"batched on the dot", state(Batched, 7, monday), at(13, 28).Add(15 * time.Second), []Batch{accepted}, time.Time{}, ""},
		{"batched a second late", state(Batched, 7, monday), at(13, 28).Add(14 * time.Second), []Batch{accepted},
			at(13, 28).Add(15 * time.Second), "run batch 7 now"},
		{"batched behind a running one", state(Batched, 7, monday), at(12, 0), []Batch{accepted, running},
			at(13, 28).Add(15 * time.Second), "run batch 7 next on Drum, as soon as batch 6 is out"},
		{"batched, too late for anything", state(Batched, 7, monday), at(11, 0), []Batch{accepted},
			at(13, 28).Add(15 * time.Second), nothing},
		{"held in time", state(Held, 0, monday), at(11, 29), nil, time.Time{}, ""},
		{"held, and much to do", state(Held, 0, monday), at(11, 40), []Batch{accepted}, at(11, 56).Add(30 * time.Second),
			"answer the question now, then develop it next on Drum"},
		{"held too long", state(Held, 0, monday), at(11, 0), nil, at(11, 28).Add(15 * time.Second), nothing},
		{"received, and much to do", state(Received, 0, monday), at(11, 40), []Batch{accepted}, at(11, 56).Add(30 * time.Second),
			"queue it now, then develop it next on Drum"},
		{"developing in time", state(Developing, 6, monday), at(11, 19), []Batch{running}, time.Time{}, ""},
		{"developing too late", state(Developing, 6, monday), at(11, 18), []Batch{running}, at(11, 18).Add(15 * time.Second), nothing},
		{"over its time", state(Developing, 6, monday), at(10, 30), []Batch{overtime}, at(11, 0),
			"finish batch 6 now and take it through the dry side ahead of the others"},
		{"drying in time", state(Drying, 6, at(8, 30)), at(10, 30), nil, time.Time{}, ""},
		{"drying too late", state(Drying, 6, at(8, 30)), at(10, 29), nil, at(10, 30), "take it through the dry side ahead of the others"},
		{"finishing in time", state(Finishing, 6, at(8, 30)), at(9, 0), nil, time.Time{}, ""},
		{"broken already", state(Finishing, 6, at(8, 30)), at(8, 59), nil, at(9, 0), nothing},
		{"not here", state(Expected, 0, monday), at(8, 0), nil, time.Time{}, ""},
		{"ready", state(Ready, 6, monday), at(8, 0), nil, time.Time{}, ""},
	} {
		w := testLab()
		w.Lab.OpensAt, w.Lab.ClosesAt = 8, 18
		roll := w.roll(1, sedge160, test.roll, due(test.due))
		work := Workload{Pace: known(time.Hour, 2*time.Hour), Running: w.Holding(test.open, monday)}
		risks, err := w.Watch([]RollView{roll}, test.open, work, func() (Proposal, error) {
			return Proposal{}, errors.New("no plan is wanted")
		}, monday)
		if err != nil {
			t.Errorf("%s: %v", test.name, err)
			continue
		}
		if test.ready.IsZero() {
			if len(risks) != 0 {
				t.Errorf("%s: ready at %v, %s", test.name, risks[0].Ready, risks[0].Save)
			}
			continue
		}
		if len(risks) != 1 || !risks[0].Ready.Equal(test.ready) || risks[0].Save != test.save || risks[0].Saved == (test.save == nothing) {
			t.Errorf("%s: got %+v, want ready %v: %s", test.name, risks, test.ready, test.save)
		}
	}
}

// Film that comes out of the chemistry on Saturday afternoon dries until Monday
// where the lab is closed on Sunday; nobody saves a promise on a closed day.
func TestWatchOverClosedDays(t *testing.T) {
	t.Parallel()
	saturday := time.Date(2026, 3, 7, 17, 30, 0, 0, time.UTC)
	opens := time.Date(2026, 3, 9, 8, 0, 0, 0, time.UTC)
	w := testLab()
	w.Lab.ClosedOn = WeekdaysOf(time.Sunday)
	for _, test := range []struct {
		name     string
		state    RollState
		now, due time.Time
		ready    time.Time // zero for no risk
		save     string
	}{
		{"drying until Monday", Drying, saturday, opens, time.Time{}, ""},
		{"promised for Sunday before that was closed", Drying, saturday, opens.AddDate(0, 0, -1), opens, "take it through the dry side ahead of the others"},
		{"on the Sunday itself", Drying, saturday.AddDate(0, 0, 1), opens.Add(-8 * time.Hour), opens, "nothing can; tell the customer"},
		{"held too late on Saturday", Held, saturday.Add(15 * time.Minute), opens.Add(2 * time.Hour), opens.Add(2*time.Hour + 1695*time.Second), "nothing can; tell the customer"},
	} {
		roll := w.roll(1, sedge160, due(test.due), func(r *RollView) { r.State, r.Since = test.state, saturday })
		risks, err := w.Watch([]RollView{roll}, nil, Workload{Pace: known(time.Hour, 2*time.Hour)}, nil, test.now)
		if err != nil {
			t.Fatal(err)
		}
		if test.ready.IsZero() != (len(risks) == 0) || len(risks) == 1 && (!risks[0].Ready.Equal(test.ready) || risks[0].Save != test.save) {
			t.Errorf("%s: %+v, want ready %v: %s", test.name, risks, test.ready, test.save)
		}
	}
}

// The plan is only made when it is needed, and then it decides.
func TestWatchAsksThePlanOnlyInDoubt(t *testing.T) {
	t.Parallel()
	w := testLab()
	asked := 0
	watch := func(dueAt time.Time, waiting int, ends time.Time) []Risk {
		roll := w.roll(1, sedge160, due(dueAt))
		work := Workload{Pace: known(time.Hour, 2*time.Hour), Waiting: []Waiting{{WorkKind: roll.Kind(), Here: waiting}}}
		risks, err := w.Watch([]RollView{roll}, nil, work, func() (Proposal, error) {
			asked++
			return Proposal{Batches: []ProposedBatch{{Batch: Batch{Rolls: []RollView{roll}}, End: ends}}}, nil
		}, monday)
		if err != nil {
			t.Fatal(err)
		}
		return risks
	}
	if risks := watch(monday.Add(3*time.Hour), 1, time.Time{}); len(risks) != 0 || asked != 0 {
		t.Errorf("one roll, three hours: %+v, asked %d times", risks, asked)
	}
	if risks := watch(monday.Add(3*time.Hour), 20, monday.Add(time.Hour)); len(risks) != 0 || asked != 1 {
		t.Errorf("the plan keeps it: %+v, asked %d times", risks, asked)
	}
	risks := watch(monday.Add(3*time.Hour), 20, monday.Add(2*time.Hour))
	if len(risks) != 1 || asked != 2 || risks[0].Save != "develop it next on Drum, ahead of the others" || !risks[0].Ready.Equal(monday.Add(4*time.Hour)) {
		t.Errorf("the plan breaks it: %+v, asked %d times", risks, asked)
	}
}

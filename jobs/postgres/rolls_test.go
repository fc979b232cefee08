package postgres

import (
	"context"
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"wetside/chemistry"
	"wetside/jobs"
)

func TestCheckInIsKept(t *testing.T) {
	t.Parallel()
	lab, ctx := newLab(t), context.Background()
	roll := lab.order(newRoll(sedge160)).Rolls[0]
	lab.clock.advance(time.Hour)
	in := found(roll)
	in.TwinCheck, in.Format, in.Exposures, in.Question = " sq-77 ", chemistry.Format120, 12, "really 120?"
	held, err := lab.rolls.CheckIn(ctx, ada, in)
	lab.must(err)
	if held.State != jobs.Held || held.TwinCheck != "SQ-77" || held.Version != 2 || !held.Since.Equal(fixtureStart.Add(time.Hour)) {
		t.Errorf("checked in as %+v", held)
	}
	view, err := lab.rolls.RollByTwinCheck(ctx, "sq-77")
	lab.must(err)
	if diff := cmp.Diff(held, view.Roll); diff != "" {
		t.Errorf("what is kept differs from what was returned:\n%s", diff)
	}
	if view.StockName != "Sedge 160" || view.CustomerName != "Wren Alder" || view.Return != jobs.Collect || view.Batch != 0 {
		t.Errorf("shown beside it: %+v", view)
	}
	history, err := lab.rolls.History(ctx, roll.ID)
	lab.must(err)
	var told []string
	for _, e := range history {
		told = append(told, fmt.Sprintf("%s %s %s→%s %s", e.By.Name, e.Kind, e.From, e.To, e.Why))
		if e.Order != roll.Order {
			t.Errorf("an event tells of order %d", e.Order)
		}
	}
	if diff := cmp.Diff([]string{
		"customer order →expected Box speed, ISO 160, normal development.",
		"Ada check-in expected→received format: ordered 135, found 120; exposures: ordered 36, found 12",
		"Ada hold received→held really 120?",
	}, told); diff != "" {
		t.Error(diff)
	}
}

func TestNoSuchRoll(t *testing.T) {
	t.Parallel()
	lab, ctx := newLab(t), context.Background()
	_, err := lab.rolls.Roll(ctx, 12)
	wantCode(t, err, jobs.NotFound)
	_, err = lab.rolls.History(ctx, 12)
	wantCode(t, err, jobs.NotFound)
	_, err = lab.rolls.Spoil(ctx, ada, 12, 0, "torn")
	wantCode(t, err, jobs.NotFound)
	_, err = lab.rolls.Deliver(ctx, ada, jobs.Delivery{Rolls: []jobs.RollID{12}, How: jobs.Collect})
	wantCode(t, err, jobs.NotFound)
	for _, number := range []string{"", "NONE", "A\x00B", "%", strings.Repeat("9", 99)} {
		_, err = lab.rolls.RollByTwinCheck(ctx, number)
		wantCode(t, err, jobs.NotFound)
	}
}

func TestTwinChecksAreUnique(t *testing.T) {
	t.Parallel()
	lab, ctx := newLab(t), context.Background()
	rolls := lab.order(newRoll(sedge160), newRoll(sedge160), newRoll(sedge160)).Rolls
	first := found(rolls[0])
	first.TwinCheck = "100001" // what the program would issue first
	_, err := lab.rolls.CheckIn(ctx, ada, first)
	lab.must(err)
	second := found(rolls[1])
	second.TwinCheck = "100001"
	_, err = lab.rolls.CheckIn(ctx, ada, second)
	wantCode(t, err, jobs.Duplicate)
	if err == nil || !strings.Contains(err.Error(), "(twin_check: ") {
		t.Errorf("the field is not named: %v", err)
	}
	if now := lab.roll(rolls[1].ID); now.State != jobs.Expected || now.Version != 1 {
		t.Errorf("the refused roll is %s at version %d", now.State, now.Version)
	}
	second.TwinCheck = ""
	issued, err := lab.rolls.CheckIn(ctx, ada, second)
	lab.must(err)
	if issued.TwinCheck != "100002" {
		t.Errorf("issued %s, want 100002: 100001 is taken", issued.TwinCheck)
	}
}

// A number that somebody is just scanning is not issued to somebody else.
func TestIssueBesideAScan(t *testing.T) {
	t.Parallel()
	lab := newLab(t)
	rolls := lab.order(newRoll(sedge160), newRoll(sedge160), newRoll(sedge160), newRoll(sedge160)).Rolls
	lab.atOnce(len(rolls), func(ctx context.Context, i int) error {
		in := found(rolls[i])
		if i < 2 {
			in.TwinCheck = fmt.Sprint(100001 + i)
		}
		_, err := lab.rolls.CheckIn(ctx, ada, in)
		if i < 2 && jobs.CodeOf(err) == jobs.Duplicate {
			return nil // issued before it was scanned, which the scanner is told
		}
		return err
	})
	if n := lab.count("SELECT count(*) FROM rolls WHERE id = ANY($1) AND state = 'queued'", []int64{int64(rolls[2].ID), int64(rolls[3].ID)}); n != 2 {
		t.Errorf("%d of the 2 rolls that asked for a number are queued", n)
	}
}

func TestTwinCheckRace(t *testing.T) {
	t.Parallel()
	lab := newLab(t)
	rolls := lab.order(newRoll(sedge160), newRoll(sedge160), newRoll(sedge160), newRoll(sedge160)).Rolls
	errs := lab.race(len(rolls), func(ctx context.Context, i int) error {
		in := found(rolls[i])
		in.TwinCheck = "SAME"
		_, err := lab.rolls.CheckIn(ctx, ada, in)
		return err
	})
	won := 0
	for _, err := range errs {
		if err == nil {
			won++
		} else {
			wantCode(t, err, jobs.Duplicate)
		}
	}
	if won != 1 || lab.count("SELECT count(*) FROM rolls WHERE twin_check = 'SAME'") != 1 {
		t.Errorf("%d of %d rolls got the number", won, len(rolls))
	}
	// Issued numbers never collide.
	lab.atOnce(len(rolls), func(ctx context.Context, i int) error {
		roll := lab.roll(rolls[i].ID)
		if roll.State != jobs.Expected {
			return nil
		}
		_, err := lab.rolls.CheckIn(ctx, ada, found(roll))
		return err
	})
}

func TestTwoStaffOneRoll(t *testing.T) {
	t.Parallel()
	lab := newLab(t)
	roll := lab.order(newRoll(sedge160)).Rolls[0]
	lab.oneWins(func(ctx context.Context, _ int) error {
		_, err := lab.rolls.CheckIn(ctx, ada, found(roll))
		return err
	})
	queued := lab.roll(roll.ID)
	lab.oneWins(func(ctx context.Context, i int) error {
		var err error
		switch i {
		case 0:
			_, err = lab.rolls.Hold(ctx, ada, roll.ID, queued.Version, "what is this?")
		case 1:
			_, err = lab.rolls.Cancel(ctx, ada, roll.ID, queued.Version, "called off")
		default:
			_, err = lab.rolls.Spoil(ctx, ada, roll.ID, queued.Version, "torn")
		}
		return err
	})
	if n := lab.count("SELECT count(*) FROM events WHERE roll_id = $1", int64(roll.ID)); n != 4 {
		t.Errorf("%d events are told, want 4: order, check-in, queue and one of three", n)
	}
}

// oneWins runs three changes of one roll at once: one is done, the others are
// told that they came too late.
func (l *testLab) oneWins(change func(ctx context.Context, i int) error) {
	l.t.Helper()
	won := 0
	for _, err := range l.race(3, change) {
		if err == nil {
			won++
			continue
		}
		wantCode(l.t, err, jobs.Stale)
		if !strings.HasPrefix(err.Error(), "Somebody moved this roll at 10:42: it is now ") {
			l.t.Errorf("told %q", err)
		}
	}
	if won != 1 {
		l.t.Errorf("%d of 3 at once were done, want 1", won)
	}
}

func TestASaveIsGuarded(t *testing.T) {
	t.Parallel()
	lab, ctx := newLab(t), context.Background()
	roll := lab.queued(newRoll(sedge160))[0]
	for name, change := range map[string]func(*jobs.Roll){
		"version": func(r *jobs.Roll) { r.Version-- },
		"state":   func(r *jobs.Roll) { r.State = jobs.Received },
	} {
		before := roll
		change(&before)
		after := before
		after.State, after.Question = jobs.Held, "?"
		err := lab.db.withTx(ctx, func(t tx) error {
			_, err := t.saveRoll(ctx, before, after)
			return err
		})
		wantCode(t, err, jobs.Stale)
		if now := lab.roll(roll.ID); now.State != jobs.Queued || now.Version != roll.Version {
			t.Errorf("a save on another %s went through: %+v", name, now)
		}
	}
}

func TestDeliverAllOrNone(t *testing.T) {
	t.Parallel()
	lab, ctx := newLab(t), context.Background()
	rolls := lab.queued(newRoll(sedge160), newRoll(sedge160))
	lab.exec("UPDATE rolls SET state = 'ready' WHERE id = $1", int64(rolls[1].ID))
	both := jobs.Delivery{Rolls: []jobs.RollID{rolls[1].ID, rolls[0].ID}, How: jobs.Post, Tracking: "SQ 1"}
	_, err := lab.rolls.Deliver(ctx, ada, both)
	wantCode(t, err, jobs.WrongState)
	if now := lab.roll(rolls[1].ID); now.State != jobs.Ready || now.Tracking != "" {
		t.Errorf("one of two went: %+v", now)
	}
	lab.exec("UPDATE rolls SET state = 'ready' WHERE id = $1", int64(rolls[0].ID))
	delivered, err := lab.rolls.Deliver(ctx, ada, both)
	lab.must(err)
	if len(delivered) != 2 || delivered[0].ID != rolls[1].ID || delivered[0].State != jobs.Delivered || delivered[1].Tracking != "SQ 1" {
		t.Errorf("delivered %+v", delivered)
	}
	_, err = lab.rolls.Deliver(ctx, ada, jobs.Delivery{How: jobs.Post})
	wantCode(t, err, jobs.Invalid)
}

func TestListRolls(t *testing.T) {
	t.Parallel()
	lab, ctx := newLab(t), context.Background()
	late := lab.queued(newRoll(sedge160), newRoll(marl400))
	lab.clock.advance(-24 * time.Hour)
	soon := lab.order(newRoll(tealSlide)).Rolls[0]
	lab.exec("UPDATE orders SET name = '50% Off_Label' WHERE id = $1", int64(soon.Order))
	_, err := lab.rolls.Spoil(ctx, ada, late[1].ID, 0, "torn")
	lab.must(err)
	a, b := late[0].ID, late[1].ID
	label := fmt.Sprintf("%d/2", late[0].Order)
	for _, test := range []struct {
		name  string
		query jobs.RollQuery
		want  []jobs.RollID
	}{
		{"all, the earliest due first", jobs.RollQuery{Limit: 500}, []jobs.RollID{soon.ID, a, b}},
		{"one state", jobs.RollQuery{Limit: 9, States: []jobs.RollState{jobs.Queued}}, []jobs.RollID{a}},
		{"an ended state", jobs.RollQuery{Limit: 9, States: []jobs.RollState{jobs.Spoiled, jobs.Queued}}, []jobs.RollID{a, b}},
		{"a state nobody has", jobs.RollQuery{Limit: 9, States: []jobs.RollState{"lost"}}, nil},
		{"first page", jobs.RollQuery{Limit: 1}, []jobs.RollID{soon.ID}},
		{"next page", jobs.RollQuery{Limit: 1, After: soon.ID}, []jobs.RollID{a}},
		{"last page", jobs.RollQuery{Limit: 9, After: a}, []jobs.RollID{b}},
		{"order", jobs.RollQuery{Limit: 9, Search: fmt.Sprint(late[0].Order)}, []jobs.RollID{a, b}},
		{"order and place", jobs.RollQuery{Limit: 9, Search: label}, []jobs.RollID{b}},
		{"twin-check", jobs.RollQuery{Limit: 9, Search: late[0].TwinCheck}, []jobs.RollID{a}},
		{"part of a name", jobs.RollQuery{Limit: 9, Search: "alD"}, []jobs.RollID{a, b}},
		{"wildcards are letters", jobs.RollQuery{Limit: 9, Search: "% off_l"}, []jobs.RollID{soon.ID}},
		{"no wildcards", jobs.RollQuery{Limit: 9, Search: "5_%"}, nil},
		{"a question mark is a letter", jobs.RollQuery{Limit: 9, Search: "?"}, nil},
		{"SQL is text", jobs.RollQuery{Limit: 9, Search: "' OR true --"}, nil},
		{"search and state", jobs.RollQuery{Limit: 9, Search: "alder", States: []jobs.RollState{jobs.Spoiled}}, []jobs.RollID{b}},
	} {
		found, err := lab.rolls.Rolls(ctx, test.query)
		lab.must(err)
		var ids []jobs.RollID
		for _, roll := range found {
			ids = append(ids, roll.ID)
		}
		if diff := cmp.Diff(test.want, ids); diff != "" {
			t.Errorf("%s:\n%s", test.name, diff)
		}
	}
	for _, query := range []jobs.RollQuery{{Limit: 0}, {Limit: 501}, {Limit: 9, Search: "\x00"}, {Limit: 9, Search: "\xff"}} {
		_, err := lab.rolls.Rolls(ctx, query)
		wantCode(t, err, jobs.Invalid)
	}
	counts, err := lab.rolls.CountRolls(ctx)
	lab.must(err)
	if diff := cmp.Diff(map[jobs.RollState]int{jobs.Expected: 1, jobs.Queued: 1}, counts); diff != "" {
		t.Error(diff)
	}
}

// roll reads a roll as it is now.
func (l *testLab) roll(id jobs.RollID) jobs.Roll {
	l.t.Helper()
	view, err := l.rolls.Roll(context.Background(), id)
	l.must(err)
	return view.Roll
}

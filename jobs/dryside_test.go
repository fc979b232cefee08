package jobs

import (
	"strings"
	"testing"
	"time"
)

func TestDelivery(t *testing.T) {
	t.Parallel()
	ready := Roll{ID: 7, Order: 1001, Position: 1, State: Ready}
	posted := Delivery{Rolls: []RollID{7}, How: Post, Tracking: " SQ 123 "}
	move, err := posted.Of(ready)
	if err != nil || move.Roll.Tracking != "SQ 123" || move.Events[0].Why != "posted, SQ 123" {
		t.Errorf("posted: %+v, %v", move, err)
	}
	// A reference that was left in the form says nothing of film handed over.
	move, err = Delivery{Rolls: []RollID{7}, How: Collect, Tracking: "SQ 123"}.Of(ready)
	if err != nil || move.Roll.Tracking != "" || move.Events[0].Why != "collected" {
		t.Errorf("collected: %+v, %v", move, err)
	}
	for _, test := range []struct {
		name     string
		delivery Delivery
		fields   []string
	}{
		{"no rolls", Delivery{How: Collect}, []string{"rolls"}},
		{"a roll twice", Delivery{Rolls: []RollID{7, 8, 7}, How: Collect}, []string{"rolls[2]"}},
		{"no way", Delivery{Rolls: []RollID{7}}, []string{"how"}},
		{"posted without a reference", Delivery{Rolls: []RollID{7}, How: Post, Tracking: " "}, []string{"tracking"}},
		{"endless reference", Delivery{Rolls: []RollID{7}, How: Post, Tracking: strings.Repeat("9", 101)}, []string{"tracking"}},
		{"zero byte", Delivery{Rolls: []RollID{7}, How: Post, Tracking: "9\x00"}, []string{"tracking"}},
	} {
		t.Run(test.name, func(t *testing.T) { wantFields(t, test.delivery.Check(), test.fields...) })
	}
	if err := posted.Check(); err != nil {
		t.Error(err)
	}
}

func TestAnEndNeedsAReason(t *testing.T) {
	t.Parallel()
	for _, reason := range []string{"", "  ", strings.Repeat("x", MaxReason+1), "torn\x00"} {
		_, err := Cancel(Roll{State: Queued}, reason)
		wantFields(t, err, "reason")
		_, err = Spoil(Roll{State: Ready}, reason)
		wantFields(t, err, "reason")
	}
	move, err := Spoil(Roll{State: Ready}, " torn in the scanner ")
	if err != nil || move.Roll.Reason != "torn in the scanner" || move.Events[0].Why != move.Roll.Reason {
		t.Errorf("%+v, %v", move, err)
	}
}

func TestARollInABatchIsNotTakenBehindItsBack(t *testing.T) {
	t.Parallel()
	_, err := Cancel(Roll{State: Batched, TwinCheck: "A1"}, "called off")
	if CodeOf(err) != WrongState || !strings.Contains(err.Error(), "take it out of the batch first") {
		t.Error(err)
	}
	_, err = Spoil(Roll{State: Developing, TwinCheck: "A1"}, "jammed")
	if CodeOf(err) != WrongState || !strings.Contains(err.Error(), "when the batch is finished or stopped") {
		t.Error(err)
	}
}

func TestOrderState(t *testing.T) {
	t.Parallel()
	for _, test := range []struct {
		want  OrderState
		rolls []RollState
	}{
		{OrderExpected, []RollState{Expected}},
		{OrderExpected, []RollState{Expected, Cancelled}},
		{OrderHeld, []RollState{Held}},
		{OrderHeld, []RollState{Developing, Held, Ready}},
		{OrderInWork, []RollState{Received}},
		{OrderInWork, []RollState{Queued, Expected}},
		{OrderInWork, []RollState{Batched, Ready}},
		{OrderInWork, []RollState{Developing, Spoiled}},
		{OrderInWork, []RollState{Drying, Delivered}},
		{OrderInWork, []RollState{Finishing}},
		{OrderPartReady, []RollState{Ready, Expected}},
		{OrderPartReady, []RollState{Delivered, Expected, Spoiled}},
		{OrderReady, []RollState{Ready}},
		{OrderReady, []RollState{Ready, Delivered, Spoiled}},
		{OrderDelivered, []RollState{Delivered}},
		{OrderDelivered, []RollState{Delivered, Spoiled, Cancelled}},
		{OrderEnded, []RollState{Spoiled, Cancelled}},
		{OrderEnded, []RollState{Cancelled}},
	} {
		var order Order
		for _, state := range test.rolls {
			order.Rolls = append(order.Rolls, Roll{State: state})
		}
		if got := order.State(); got != test.want {
			t.Errorf("an order with rolls %v is %q, want %q", test.rolls, got, test.want)
		}
	}
	marked := Order{Rolls: []Roll{{State: Ready}, {State: Ready, Inspect: true}}}
	if got := marked.State(); got != OrderInWork {
		t.Errorf("an order with a roll that does not leave before somebody has looked at it is %q", got)
	}
}

func TestDue(t *testing.T) {
	t.Parallel()
	lab := Lab{ReadyHours: 48, OpensAt: 8, ClosesAt: 18, TimeZone: "Europe/Lisbon"}
	zone := lab.Zone()
	at := func(month time.Month, day, hour, minute int) time.Time {
		return time.Date(2026, month, day, hour, minute, 0, 0, zone)
	}
	for _, test := range []struct {
		name            string
		submitted, want time.Time
	}{
		{"while open", at(3, 2, 10, 42), at(3, 4, 10, 42)},
		{"at opening", at(3, 2, 8, 0), at(3, 4, 8, 0)},
		{"before opening", at(3, 2, 7, 59), at(3, 4, 8, 0)},
		{"at closing", at(3, 2, 18, 0), at(3, 4, 18, 0)},
		{"after closing", at(3, 2, 18, 1), at(3, 5, 8, 0)},
		{"before midnight at the month's end", at(3, 29, 23, 59), at(4, 1, 8, 0)},
		// On 29 March 2026 the clocks go forward: 48 hours later is 19:30, after closing.
		{"over the change of the clocks", at(3, 28, 18, 30), at(3, 31, 8, 0)},
	} {
		if got := lab.DueFrom(test.submitted); !got.Equal(test.want) {
			t.Errorf("%s: due %s, want %s", test.name, got.In(zone), test.want)
		}
	}
	lab.OpensAt, lab.ClosesAt = 0, 24
	if got, want := lab.DueFrom(at(3, 2, 23, 59)), at(3, 4, 23, 59); !got.Equal(want) {
		t.Errorf("never closed: due %s, want %s", got, want)
	}
	if got, want := lab.DayEnd(at(3, 2, 23, 30)), at(3, 3, 0, 0); !got.Equal(want) {
		t.Errorf("the day ends at %s, want %s", got, want)
	}
}

func TestStaleTellsWhereTheRollIs(t *testing.T) {
	t.Parallel()
	// 10:42 in Lisbon in winter is 10:42 UTC, in summer 9:42.
	roll := Roll{State: Queued, Version: 3, Since: time.Date(2026, 7, 1, 9, 42, 0, 0, time.UTC)}
	lab := Lab{TimeZone: "Europe/Lisbon"}
	for now, want := range map[time.Time]string{
		roll.Since.Add(time.Minute):    "Somebody moved this roll at 10:42: it is now queued.",
		roll.Since.Add(24 * time.Hour): "Somebody moved this roll at 10:42 on 1 July: it is now queued.",
	} {
		err := roll.CheckVersion(2, lab, now)
		if CodeOf(err) != Stale || err.Error() != want {
			t.Errorf("%v, want %q", err, want)
		}
	}
	for _, version := range []int{0, 3} {
		if err := roll.CheckVersion(version, lab, roll.Since); err != nil {
			t.Error(err)
		}
	}
}

func TestParseLabel(t *testing.T) {
	t.Parallel()
	for text, want := range map[string]struct {
		order    OrderID
		position int
		ok       bool
	}{
		"1001": {1001, 0, true}, " 1001/2 ": {1001, 2, true}, "1001/50": {1001, 50, true},
		"": {}, "0": {}, "-5": {}, "1001/": {}, "1001/0": {}, "1001/51": {}, "A1": {}, "1001/2/3": {}, "99999999999999999999": {},
	} {
		order, position, ok := ParseLabel(text)
		if order != want.order || position != want.position || ok != want.ok {
			t.Errorf("%q: %d, %d, %v; want %+v", text, order, position, ok, want)
		}
	}
}

package jobs

import (
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
)

// aTrace has a roll in every state that developed film can be in, and one that
// was marked before.
func aTrace() Trace {
	trace := Trace{Cause: Cause{FromStrip, 4}}
	for i, state := range []RollState{Developing, Drying, Finishing, Ready, Delivered, Spoiled, Drying} {
		roll := TracedRoll{RollView: RollView{Roll: Roll{ID: RollID(i + 1), Order: 1001, Position: i + 1, State: state}}}
		trace.Rolls = append(trace.Rolls, roll)
	}
	trace.Rolls[6].Marked = 12
	return trace
}

// wantRefusal fails the test unless an error names these fields, or is none
// where none are named.
func wantRefusal(t *testing.T, err error, fields ...string) {
	t.Helper()
	if len(fields) > 0 {
		wantFields(t, err, fields...)
	} else if err != nil {
		t.Error(err)
	}
}

func TestMarking(t *testing.T) {
	t.Parallel()
	for _, test := range []struct {
		name    string
		marking Marking
		want    Marked
		fields  []string
	}{
		{"all", Marking{Why: " LD is low "},
			Marked{Marked: []RollID{1, 2, 3, 4}, Already: []RollID{7}, Delivered: []RollID{5}, Spoiled: []RollID{6}}, nil},
		{"all, with those delivered", Marking{Why: "LD is low", Delivered: true},
			Marked{Marked: []RollID{1, 2, 3, 4, 5}, Already: []RollID{7}, Spoiled: []RollID{6}}, nil},
		{"chosen", Marking{Why: "LD is low", Rolls: []RollID{3, 7}}, Marked{Marked: []RollID{3}, Already: []RollID{7}}, nil},
		{"no reason", Marking{Why: " "}, Marked{}, []string{"why"}},
		{"endless reason", Marking{Why: strings.Repeat("x", MaxReason+1)}, Marked{}, []string{"why"}},
		{"another roll", Marking{Why: "LD is low", Rolls: []RollID{3, 99}}, Marked{}, []string{"rolls[1]"}},
	} {
		t.Run(test.name, func(t *testing.T) {
			got, why, err := aTrace().Mark(test.marking)
			wantRefusal(t, err, test.fields...)
			if err != nil {
				return
			}
			if diff := cmp.Diff(test.want, got); diff != "" || why != "LD is low" {
				t.Errorf("why %q, marked:\n%s", why, diff)
			}
		})
	}
	_, _, err := Trace{}.Mark(Marking{Why: "LD is low"})
	wantFields(t, err, "rolls")
}

func TestAMarkedRollDoesNotLeave(t *testing.T) {
	t.Parallel()
	roll := Roll{ID: 3, Order: 1001, Position: 1, TwinCheck: "A-1", State: Finishing, Inspect: true}
	_, err := Advance(roll)
	if CodeOf(err) != Refused || !strings.Contains(err.Error(), "A-1 is marked for inspection") {
		t.Errorf("became ready: %v", err)
	}
	roll.State = Ready
	if _, err := (Delivery{Rolls: []RollID{3}, How: Collect}).Of(roll); CodeOf(err) != Refused {
		t.Errorf("was delivered: %v", err)
	}
	// Everything else goes on: it dries, it can be spoiled.
	roll.State = Drying
	if move, err := Advance(roll); err != nil || move.Roll.State != Finishing {
		t.Errorf("does not dry: %v", err)
	}
	if _, err := Spoil(roll, "flat"); err != nil {
		t.Errorf("cannot be spoiled: %v", err)
	}
	roll.State, roll.Inspect = Finishing, false
	if move, err := Advance(roll); err != nil || move.Roll.State != Ready {
		t.Errorf("looked at, and still kept: %v", err)
	}
}

func TestClosing(t *testing.T) {
	t.Parallel()
	for _, test := range []struct {
		name    string
		closing Closing
		fields  []string
	}{
		{"good", Closing{Inspections: []InspectionID{1}, Outcome: FoundGood, Finding: " looks fine "}, nil},
		{"none", Closing{Outcome: FoundGood, Finding: "fine"}, []string{"inspections"}},
		{"too many", Closing{Inspections: make([]InspectionID, MostClosed+1), Outcome: FoundGood, Finding: "fine"}, []string{"inspections"}},
		{"no outcome", Closing{Inspections: []InspectionID{1}, Finding: "fine"}, []string{"outcome"}},
		{"no finding", Closing{Inspections: []InspectionID{1}, Outcome: LetGo, Finding: "\n"}, []string{"finding"}},
		{"zero byte", Closing{Inspections: []InspectionID{1}, Outcome: FoundGood, Finding: "a\x00"}, []string{"finding"}},
	} {
		t.Run(test.name, func(t *testing.T) {
			got, err := test.closing.Check()
			wantRefusal(t, err, test.fields...)
			if err == nil && got.Finding != "looks fine" {
				t.Errorf("kept as %q", got.Finding)
			}
		})
	}
	closed := Inspection{Outcome: FoundGood, DoneBy: "Kit", Finding: "fine"}
	if err := closed.CheckOpen(); CodeOf(err) != WrongState || !strings.Contains(err.Error(), "by Kit: fine") {
		t.Errorf("closed twice: %v", err)
	}
	if LetGo.Needs() != Owner || FoundGood.Needs() != Staff || FoundSpoiled.Needs() != Staff {
		t.Error("who may close how")
	}
	for state, want := range map[RollState]bool{Drying: true, Ready: true, Developing: true, Delivered: false, Spoiled: false} {
		if got := (Closing{Outcome: FoundSpoiled}).Spoils(Roll{State: state}); got != want {
			t.Errorf("a roll that is %s is spoiled: %v", state, got)
		}
	}
}

func TestATraceIsAskedForInWords(t *testing.T) {
	t.Parallel()
	at := time.Date(2026, 3, 2, 9, 0, 0, 0, time.UTC)
	wantRefusal(t, TraceQuery{Cause: Cause{FromFill, 1}, Since: at}.Check())
	wantRefusal(t, TraceQuery{Cause: Cause{FromFill, 1}, Since: at, Until: at.Add(time.Second)}.Check())
	wantFields(t, TraceQuery{Cause: Cause{FromFill, 1}, Since: at, Until: at}.Check(), "until")
	wantFields(t, TraceQuery{Cause: Cause{"bath", 1}}.Check(), "cause")
}

func TestOwnersAndTheirLetters(t *testing.T) {
	t.Parallel()
	roll := func(order OrderID, position int, name, email, phone string) TracedRoll {
		return TracedRoll{Email: email, Phone: phone,
			RollView: RollView{Roll: Roll{Order: order, Position: position}, StockName: "Sedge 640", CustomerName: name}}
	}
	trace := Trace{Rolls: []TracedRoll{
		roll(1001, 1, "Wren Alder", "wren@example.org", ""), roll(1001, 2, "Wren Alder", "wren@example.org", ""),
		roll(1002, 1, "Fern Hollow", "", "12"), roll(1003, 1, "Fern Hollow", "", "34"),
		roll(1004, 1, "W. Alder", " Wren@Example.org", "56"),
	}}
	owners := trace.Owners()
	if len(owners) != 3 || owners[0].Name != "Fern Hollow" || owners[1].Phone != "34" || len(owners[2].Rolls) != 3 || owners[2].Phone != "56" {
		t.Fatalf("owners: %+v", owners)
	}
	got := owners[2].Letter("Dear {name}, about {rolls}. {lab}", "Sallow Quay")
	want := "Dear Wren Alder, about roll 1001/1 (Sedge 640), roll 1001/2 (Sedge 640), roll 1004/1 (Sedge 640). Sallow Quay"
	if got != want {
		t.Errorf("got %q\nwant %q", got, want)
	}
	// What an owner is called is not filled in again.
	odd := TracedOwner{Name: "{lab}"}
	if got := odd.Letter("{name}", "Sallow Quay"); got != "{lab}" {
		t.Errorf("got %q", got)
	}
	wantRefusal(t, CheckLetter("Dear {name}, { } is fine."))
	wantFields(t, CheckLetter("Dear {nmae}"), "text")
	wantFields(t, CheckLetter("  "), "text")
	wantFields(t, CheckLetter(strings.Repeat("x", MaxLetter+1)), "text")
}

package jobs

import (
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"wetside/chemistry"
)

func propose(t *testing.T, w WetSide, now time.Time, open []Batch, queued ...RollView) Proposal {
	t.Helper()
	p, err := w.Propose(queued, open, now)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func TestWorkingDay(t *testing.T) {
	t.Parallel()
	lisbon := Lab{OpensAt: 8, ClosesAt: 18, TimeZone: "Europe/Lisbon"}
	kolkata := Lab{OpensAt: 9, ClosesAt: 24, TimeZone: "Asia/Kolkata"}
	at := func(text string) time.Time {
		when, err := time.Parse(time.RFC3339, text)
		if err != nil {
			t.Fatal(err)
		}
		return when
	}
	for _, test := range []struct {
		lab                Lab
		now, opens, closes string
	}{
		{lisbon, "2026-03-02T05:00:00Z", "2026-03-02T08:00:00Z", "2026-03-02T18:00:00Z"},
		{lisbon, "2026-03-02T11:30:00Z", "2026-03-02T11:30:00Z", "2026-03-02T18:00:00Z"},
		{lisbon, "2026-03-02T18:00:00Z", "2026-03-03T08:00:00Z", "2026-03-03T18:00:00Z"},
		{lisbon, "2026-06-30T17:30:00Z", "2026-07-01T07:00:00Z", "2026-07-01T17:00:00Z"}, // an hour ahead in summer
		{lisbon, "2026-03-28T20:00:00Z", "2026-03-29T07:00:00Z", "2026-03-29T17:00:00Z"}, // the clocks change overnight
		// St John's leaves out the hour from two to three on 8 March 2026.
		{Lab{OpensAt: 2, ClosesAt: 8, TimeZone: "America/St_Johns"}, "2026-03-08T04:00:00Z", "2026-03-08T05:30:00Z", "2026-03-08T10:30:00Z"},
		{kolkata, "2026-03-02T18:29:00Z", "2026-03-02T18:29:00Z", "2026-03-02T18:30:00Z"},
		{kolkata, "2026-03-02T18:30:00Z", "2026-03-03T03:30:00Z", "2026-03-03T18:30:00Z"},
	} {
		opens, closes := test.lab.workingDay(at(test.now))
		if !opens.Equal(at(test.opens)) || !closes.Equal(at(test.closes)) {
			t.Errorf("%s at %s: got %v to %v, want %s to %s", test.lab.TimeZone, test.now, opens.UTC(), closes.UTC(), test.opens, test.closes)
		}
	}
}

func TestProposalPutsTogetherWhatBelongsTogether(t *testing.T) {
	t.Parallel()
	w := testLab()
	p := propose(t, w, monday, nil, w.roll(1, sedge160, pushed(1)), w.roll(2, sedge160, pushed(1)), w.roll(3, reedmaceRemoved, pushed(1)),
		w.roll(4, sedge160), w.roll(5, marl400), w.roll(6, reedmaceWithRemjet))
	if len(p.Batches) != 4 || len(p.Left) != 0 || len(p.Late) != 0 {
		t.Fatalf("got %d batches, left %v, late %v", len(p.Batches), p.Left, p.Late)
	}
	for _, b := range p.Batches {
		if len(b.Rolls) == 3 {
			if b.Develop != 225 || b.Line != drum {
				t.Errorf("the push is developed for %d s on line %d", b.Develop, b.Line)
			}
			if want := "3 rolls, C-41 push +1, all due 17:00; 9 of 15 units of Drum taken"; b.Why != want {
				t.Errorf("why is %q, want %q", b.Why, want)
			}
		}
		if want := b.PlannedStart.Add(w.Lines[b.Line].takes(b.Develop)); !b.End.Equal(want) {
			t.Errorf("it ends at %v, want %v", b.End, want)
		}
	}
}

func TestProposalNeverFoulsATank(t *testing.T) {
	t.Parallel()
	w := testLab()
	w.Lines = map[LineID]Line{drum: w.Lines[drum]}
	p := propose(t, w, monday, nil,
		w.roll(1, reedmaceRemoved, func(r *RollView) { r.Remjet = chemistry.RemjetUnknown }),
		w.roll(2, sedge160, func(r *RollView) { r.Remjet = chemistry.RemjetPresent }),
		w.roll(3, reedmaceWithRemjet))
	if len(p.Batches) != 0 {
		t.Fatalf("proposed %+v", p.Batches)
	}
	var reasons []string
	for _, left := range p.Left {
		reasons = append(reasons, left.Reason)
	}
	for i, want := range []string{"not known whether", "remjet is present", "no line runs ECN-2"} {
		if len(reasons) != 3 || !strings.Contains(reasons[i], want) {
			t.Fatalf("left out for %q, want %q in place %d", reasons, want, i)
		}
	}
}

func TestLinesDifferInTime(t *testing.T) {
	t.Parallel()
	w := testLab()
	delete(w.Lines, handTanks)
	p := propose(t, w, monday, nil, w.roll(1, marl400))
	// 7:30 less 15 % for rotary agitation (HARMAN processing chart, Aug 2004).
	if len(p.Batches) != 1 || p.Batches[0].Develop != 385 {
		t.Errorf("got %+v", p.Batches)
	}
}

// 5:00 and 5:15 differ by 5 %, but 15 % less and rounded they are 4:15 and 4:30,
// which differ by more.
func TestTimesThatMissEachOtherOnTheirLineRunApart(t *testing.T) {
	t.Parallel()
	w := testLab()
	for stock, seconds := range map[StockID]int{marl400: 300, marl125: 315} {
		s := w.Stocks[stock]
		s.Times = []StockTimes{{Solution: mqBorax, Rows: []chemistry.BWRow{{TempC: 20, Seconds: seconds}}}}
		w.Stocks[stock] = s
	}
	line := w.Lines[handTanks]
	line.Takes = map[chemistry.Format]int{chemistry.Format120: 1}
	w.Lines[handTanks] = line
	p := propose(t, w, monday, nil, w.roll(1, marl400), w.roll(2, marl125), w.roll(3, marl400))
	if len(p.Batches) != 2 || len(p.Left) != 0 || p.Proven {
		t.Fatalf("got %d batches, left %v, proven %v", len(p.Batches), p.Left, p.Proven)
	}
	if first, second := p.Batches[0], p.Batches[1]; len(first.Rolls) != 2 || first.Develop != 255 || second.Develop != 270 {
		t.Errorf("got %d rolls for %d s, then %d s", len(first.Rolls), first.Develop, second.Develop)
	}
}

func TestProposalWaitsForOpenBatches(t *testing.T) {
	t.Parallel()
	w := testLab()
	open := []Batch{{ID: 9, Line: drum, State: BatchDeveloping, StartedAt: monday.Add(-5 * time.Minute), Develop: 300}}
	p := propose(t, w, monday, open, w.roll(1, sedge160), w.roll(2, tealSlide, due(monday.Add(45*time.Minute))))
	if len(p.Batches) != 2 || p.Proven {
		t.Fatalf("got %d batches, proven %v", len(p.Batches), p.Proven)
	}
	free := monday.Add(25 * time.Minute)
	if !p.Batches[0].PlannedStart.Equal(free) || !p.Batches[1].PlannedStart.Equal(p.Batches[0].End) {
		t.Errorf("planned at %v and %v, want %v and then one after the other", p.Batches[0].PlannedStart, p.Batches[1].PlannedStart, free)
	}
	if diff := cmp.Diff([]RollID{2}, p.Late); diff != "" {
		t.Errorf("the wait makes roll 2 late: %s", diff)
	}
}

// A batch that should have begun waits for the one in its line: the line is free
// when both are through, not when the later end is over.
func TestAnOverdueBatchWaitsForTheRunningOne(t *testing.T) {
	t.Parallel()
	w := testLab()
	minutes := func(n int) time.Time { return monday.Add(time.Duration(n) * time.Minute) }
	overdue := Batch{ID: 8, Line: drum, State: BatchAccepted, PlannedStart: minutes(-30), Develop: 300}
	running := Batch{ID: 9, Line: drum, State: BatchDeveloping, PlannedStart: minutes(-60), StartedAt: minutes(-10), Develop: 300}
	p := propose(t, w, monday, []Batch{overdue, running}, w.roll(1, sedge160))
	if want := minutes(20 + 30); len(p.Batches) != 1 || !p.Batches[0].PlannedStart.Equal(want) {
		t.Fatalf("got %+v, want a start at %v", p.Batches, want)
	}
	slots := w.Slots([]Batch{overdue, running}, monday)
	want := []Slot{{minutes(20), minutes(50)}, {minutes(-10), minutes(20)}}
	if diff := cmp.Diff(want, slots); diff != "" {
		t.Error(diff)
	}
}

// However late batches begin, and however their times have changed since they
// were planned, one line never holds two of them at once.
func TestSlotsNeverOverlap(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		w := testLab()
		minute := rapid.IntRange(-300, 300)
		var open []Batch
		inLine := map[LineID]bool{}
		for i := range rapid.IntRange(0, 8).Draw(t, "batches") {
			b := Batch{ID: BatchID(i + 1), Line: rapid.SampledFrom([]LineID{drum, handTanks}).Draw(t, "line"), State: BatchAccepted,
				PlannedStart: monday.Add(time.Duration(minute.Draw(t, "planned")) * time.Minute), Develop: rapid.IntRange(60, 3600).Draw(t, "develop")}
			if !inLine[b.Line] && rapid.Bool().Draw(t, "runs") {
				inLine[b.Line], b.State = true, BatchDeveloping
				b.StartedAt = monday.Add(-time.Duration(rapid.IntRange(0, 300).Draw(t, "started")) * time.Minute)
			}
			open = append(open, b)
		}
		slots := w.Slots(open, monday)
		for i, a := range open {
			if a.State != BatchDeveloping && (slots[i].From.Before(monday) || slots[i].From.Before(a.PlannedStart)) {
				t.Fatalf("batch %d begins at %v, planned for %v", a.ID, slots[i].From, a.PlannedStart)
			}
			if free := w.freeFrom(a.Line, open, monday); free.Before(slots[i].Until) {
				t.Fatalf("the line is free at %v, and batch %d holds it until %v", free, a.ID, slots[i].Until)
			}
			for j := range open[:i] {
				if open[j].Line == a.Line && slots[i].From.Before(slots[j].Until) && slots[j].From.Before(slots[i].Until) {
					t.Fatalf("batches %d and %d share a line: %v, %v", open[j].ID, a.ID, slots[j], slots[i])
				}
			}
		}
	})
}

// Nobody is there after closing time: what would not be through by then waits
// for the morning, in the plan, on the lines and for those who watch promises.
func TestWhatDoesNotFitBeforeClosingWaitsForTheMorning(t *testing.T) {
	t.Parallel()
	w := testLab()
	w.Lab.ClosesAt = 10
	now := monday.Add(30 * time.Minute) // one load of 28:15 ends before ten
	morning := time.Date(2026, 3, 3, 8, 0, 0, 0, time.UTC)
	rolls := []RollView{w.roll(1, sedge160, due(monday.Add(time.Hour))), w.roll(2, sedge160, pushed(1), due(monday.Add(time.Hour)))}
	p := propose(t, w, now, nil, rolls...)
	if len(p.Batches) != 2 || !p.Batches[0].PlannedStart.Equal(now) || !p.Batches[1].PlannedStart.Equal(morning) {
		t.Fatalf("got %+v, want the second load at %v", p.Batches, morning)
	}
	late := p.Batches[1]
	if diff := cmp.Diff([]RollID{late.Rolls[0].ID}, p.Late); diff != "" {
		t.Error(diff)
	}
	risks, err := w.Watch(rolls, nil, Workload{Pace: known(time.Hour, 0)}, func() (Proposal, error) { return p, nil }, now)
	if err != nil || len(risks) != 1 || !risks[0].Ready.Equal(late.End) {
		t.Errorf("the plan ends at %v, those who watch say %+v, %v", late.End, risks, err)
	}
	accepted := late.Batch
	accepted.ID, accepted.State, accepted.PlannedStart = 7, BatchAccepted, now.Add(15*time.Minute)
	accepted.Rolls[0].State, accepted.Rolls[0].Batch = Batched, 7
	if slot := w.Slots([]Batch{accepted}, accepted.PlannedStart)[0]; !slot.From.Equal(morning) {
		t.Errorf("once accepted it holds its line from %v", slot.From)
	}
}

func TestLaterRollsRideAlongOrComeBehind(t *testing.T) {
	t.Parallel()
	w := testLab()
	thursday := due(monday.AddDate(0, 0, 3).Add(8 * time.Hour))
	p := propose(t, w, monday, nil, w.roll(1, sedge160), w.roll(2, sedge160, thursday), w.roll(3, tealSlide, thursday))
	if len(p.Batches) != 2 {
		t.Fatalf("got %+v", p)
	}
	first, second := p.Batches[0], p.Batches[1]
	if len(first.Rolls) != 2 || !strings.Contains(first.Why, "due from 17:00 to Thursday 17:00") {
		t.Errorf("first %d rolls: %s", len(first.Rolls), first.Why)
	}
	if second.Process != chemistry.E6 || !strings.HasSuffix(second.Why, "due Thursday 17:00; 3 of 15 units of Drum taken; may wait for more") {
		t.Errorf("second %s: %s", second.Process, second.Why)
	}
	evening := time.Date(2026, 3, 2, 17, 25, 0, 0, time.UTC)
	p = propose(t, w, evening, nil, w.roll(2, sedge160, thursday), w.roll(3, tealSlide, thursday))
	if len(p.Batches) != 1 || len(p.Left) != 1 || !strings.Contains(p.Left[0].Reason, "closes at 18:00") {
		t.Errorf("when one more load fits before closing: %+v", p)
	}
}

// On a closed day the next open one is planned, behind what its lines hold.
func TestAClosedDayPlansTheNextOpenOne(t *testing.T) {
	t.Parallel()
	w := testLab()
	w.Lab.ClosedOn = WeekdaysOf(time.Sunday)
	w.Lab.Closures = []Closure{closing("2026-03-09", "2026-03-09")}
	tuesday := time.Date(2026, 3, 10, 8, 0, 0, 0, time.UTC)
	accepted := Batch{ID: 7, Line: drum, Develop: 195, State: BatchAccepted, PlannedStart: time.Date(2026, 3, 7, 17, 0, 0, 0, time.UTC)}
	for _, now := range []time.Time{
		time.Date(2026, 3, 7, 18, 0, 0, 0, time.UTC), time.Date(2026, 3, 8, 12, 0, 0, 0, time.UTC), time.Date(2026, 3, 9, 23, 59, 0, 0, time.UTC),
	} {
		due := due(tuesday.Add(9 * time.Hour))
		p := propose(t, w, now, []Batch{accepted}, w.roll(1, sedge160, due), w.roll(2, tealSlide, due))
		if len(p.Batches) != 2 || len(p.Late) != 0 || !p.Batches[0].PlannedStart.Equal(tuesday.Add(1695*time.Second)) {
			t.Errorf("at %v: %+v", now, p)
		}
	}
}

func TestNothingToPropose(t *testing.T) {
	t.Parallel()
	p := propose(t, testLab(), monday, nil)
	if len(p.Batches)+len(p.Left)+len(p.Late) != 0 || !p.Proven || !p.At.Equal(monday) {
		t.Errorf("got %+v", p)
	}
}

// Whatever is queued: every roll is in one proposed batch or left out with a
// reason, every batch would be accepted, and no line does two things at once.
func TestEveryProposalCanBeAccepted(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		w := testLab()
		stocks := []StockID{marl400, marl125, sedge160, reedmaceWithRemjet, reedmaceRemoved, tealSlide}
		remjets := []chemistry.Remjet{"", chemistry.RemjetUnknown, chemistry.RemjetPresent}
		var queued []RollView
		for id := range RollID(rapid.IntRange(0, 25).Draw(t, "rolls")) {
			queued = append(queued, w.roll(id+1, rapid.SampledFrom(stocks).Draw(t, "stock"),
				pushed(chemistry.Stops(rapid.IntRange(-1, 3).Draw(t, "push"))), in(rapid.SampledFrom(chemistry.Formats).Draw(t, "format")),
				due(monday.Add(time.Duration(rapid.IntRange(-5, 72).Draw(t, "due"))*time.Hour)),
				func(r *RollView) {
					if remjet := rapid.SampledFrom(remjets).Draw(t, "remjet"); remjet != "" {
						r.Remjet = remjet
					}
				}))
		}
		p, err := w.Propose(queued, nil, monday)
		if err != nil {
			t.Fatal(err)
		}
		seen := map[RollID]int{}
		for _, left := range p.Left {
			seen[left.Roll.ID]++
			if left.Reason == "" {
				t.Fatalf("roll %d is left out without a reason", left.Roll.ID)
			}
		}
		free := map[LineID]time.Time{}
		for _, b := range p.Batches {
			for _, roll := range b.Rolls {
				seen[roll.ID]++
			}
			accepted, err := assemble(w, b.Line, b.Rolls...)
			if err != nil || accepted.Develop != b.Develop {
				t.Fatalf("%s would become %d s: %v", b.Why, accepted.Develop, err)
			}
			if b.PlannedStart.Before(free[b.Line]) {
				t.Fatalf("line %d is taken until %v, yet a batch starts at %v", b.Line, free[b.Line], b.PlannedStart)
			}
			free[b.Line] = b.End
		}
		for _, roll := range queued {
			if seen[roll.ID] != 1 {
				t.Fatalf("roll %d stands in %d places", roll.ID, seen[roll.ID])
			}
		}
	})
}

func BenchmarkPropose(b *testing.B) {
	w := testLab()
	stocks := []StockID{marl400, marl125, sedge160, reedmaceRemoved, tealSlide}
	var queued []RollView
	for id := range RollID(10_000) {
		queued = append(queued, w.roll(id+1, stocks[int(id)%len(stocks)], pushed(chemistry.Stops(id/5%2)), due(monday.Add(time.Duration(id%96)*time.Hour))))
	}
	for b.Loop() {
		if _, err := w.Propose(queued, nil, monday); err != nil {
			b.Fatal(err)
		}
	}
}

// Shortly before closing nothing fits any more: what can wait is planned for the
// next day the lab is open, as soon as that is all there is.
func TestTheNextDayIsPlannedWhenThisOneIsOver(t *testing.T) {
	t.Parallel()
	w := testLab()
	later := due(monday.AddDate(0, 0, 3))
	evening := w.Lab.hourOf(monday, 0, w.Lab.ClosesAt).Add(-20 * time.Minute)
	p := propose(t, w, evening, nil, w.roll(1, sedge160, later), w.roll(2, sedge160, later))
	opens := w.Lab.hourOf(monday, 1, w.Lab.OpensAt)
	if len(p.Batches) != 1 || len(p.Left) != 0 || !p.From.Equal(opens) || !p.Batches[0].PlannedStart.Equal(opens) {
		t.Errorf("got %+v, want one batch at %v", p, opens)
	}
	p = propose(t, w, evening.Add(-time.Hour), nil, w.roll(1, sedge160, later), w.roll(2, sedge160, later))
	if len(p.Batches) != 1 || !p.From.Equal(evening.Add(-time.Hour)) || !p.Batches[0].PlannedStart.Equal(p.From) {
		t.Errorf("got %+v, want one batch an hour earlier", p)
	}
}

package jobs

import (
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"wetside/chemistry"
)

// assemble makes a batch of rolls on a line, now.
func assemble(w WetSide, line LineID, rolls ...RollView) (Batch, error) {
	draft := BatchDraft{Line: line}
	for _, roll := range rolls {
		draft.Rolls = append(draft.Rolls, roll.ID)
	}
	return w.Assemble(draft, rolls, nil, monday)
}

func TestEveryRuleRefuses(t *testing.T) {
	t.Parallel()
	w := testLab()
	remjet := func(r chemistry.Remjet) func(*RollView) { return func(v *RollView) { v.Remjet = r } }
	forFine := func(r *RollView) { r.Solution = pqFineGrain }
	tests := []struct {
		name  string
		line  LineID
		rolls []RollView
		want  string
	}{
		{"remjet among C-41", drum, []RollView{w.roll(1, sedge160), w.roll(2, reedmaceWithRemjet)}, "roll 100002: remjet is present"},
		{"remjet alone on a C-41 line", drum, []RollView{w.roll(1, reedmaceWithRemjet)}, "remjet is present"},
		{"C-41 film found to have remjet", drum, []RollView{w.roll(1, sedge160, remjet(chemistry.RemjetPresent))}, "remjet is present"},
		{"C-41 film not looked at", drum, []RollView{w.roll(1, reedmaceRemoved, remjet(chemistry.RemjetUnknown))}, "not known whether this film carries remjet"},
		{"E-6 film not looked at", drum, []RollView{w.roll(1, tealSlide, remjet(chemistry.RemjetUnknown))}, "not known whether this film carries remjet"},
		{"two processes", drum, []RollView{w.roll(1, sedge160), w.roll(2, tealSlide)}, "roll 100002: this film is made for E-6, not for C-41"},
		{"the line runs something else", handTanks, []RollView{w.roll(1, sedge160)}, "Hand tanks does not run C-41, it runs BW"},
		{"two developers", handTanks, []RollView{w.roll(1, marl125), w.roll(2, marl125, forFine)}, "roll 100002 is for another developer than MQ borax"},
		{"no time in the developer", handTanks, []RollView{w.roll(1, marl400, forFine)}, "no developing time for Marl 400 in PQ fine grain"},
		{"a format that does not fit", blackDrum, []RollView{w.roll(1, marl400, in(chemistry.Format120))}, "Black drum takes no 120 film"},
		{"capacity", drum, []RollView{w.roll(1, sedge160, in(chemistry.Format220)), w.roll(2, sedge160), w.roll(3, sedge160)}, "need 16 units, Drum takes 15"},
		{"two pushes in colour", drum, []RollView{w.roll(1, sedge160), w.roll(2, sedge160, pushed(1))}, "roll 100001 is normal and roll 100002 is push +1"},
		{"times that do not meet", handTanks, []RollView{w.roll(1, marl400), w.roll(2, marl125)}, "roll 100001 takes 7:30 and roll 100002 takes 8:30; in one batch they may differ by 5 %"},
		{"push out of the table", drum, []RollView{w.roll(1, tealSlide, pushed(3))}, "+3"},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			t.Parallel()
			_, err := assemble(w, test.line, test.rolls...)
			if CodeOf(err) != Refused || !strings.Contains(err.Error(), test.want) {
				t.Errorf("got %v (%s), want Refused with %q", err, CodeOf(err), test.want)
			}
		})
	}
}

func TestALineOutOfUseTakesNothing(t *testing.T) {
	t.Parallel()
	w := testLab()
	line := w.Lines[drum]
	line.Active = false
	w.Lines[drum] = line
	if _, err := assemble(w, drum, w.roll(1, sedge160)); CodeOf(err) != Refused {
		t.Errorf("got %v, want Refused", err)
	}
}

func TestADraftIsCheckedFirst(t *testing.T) {
	t.Parallel()
	w := testLab()
	if _, err := assemble(w, drum); CodeOf(err) != Invalid {
		t.Errorf("no rolls: got %v, want Invalid", err)
	}
	if _, err := assemble(w, drum, w.roll(1, sedge160), w.roll(1, sedge160)); CodeOf(err) != Invalid {
		t.Errorf("one roll twice: got %v, want Invalid", err)
	}
	if _, err := assemble(w, 99, w.roll(1, sedge160)); CodeOf(err) != NotFound {
		t.Errorf("unknown line: got %v, want NotFound", err)
	}
	gone := w.roll(1, sedge160, func(r *RollView) { r.State, r.Batch = Batched, 7 })
	if _, err := assemble(w, drum, gone); CodeOf(err) != Stale || !strings.Contains(err.Error(), "batched, in batch 7") {
		t.Errorf("batched roll: got %v, want Stale that tells where it is", err)
	}
}

func TestWhatMayGoTogether(t *testing.T) {
	t.Parallel()
	w := testLab()
	push1 := chemistry.Stop
	for _, test := range []struct {
		name    string
		line    LineID
		rolls   []RollView
		seconds int
		push    *chemistry.Stops
	}{
		{"C-41 push 1 (Kodak Z-131 table 2-7), remjet removed beside others", drum,
			[]RollView{w.roll(1, sedge160, pushed(1)), w.roll(2, reedmaceRemoved, pushed(1))}, 225, &push1},
		{"a full drum", drum, []RollView{w.roll(1, sedge160, pushed(1), in(chemistry.Format220)), w.roll(2, sedge160, pushed(1), in(chemistry.Format120))}, 225, &push1},
		{"ECN-2 with remjet (Kodak H-24 module 7)", dipAndDunk, []RollView{w.roll(1, reedmaceWithRemjet)}, 180, new(chemistry.Stops)},
		{"two stocks of one time at push 1 (HARMAN sheets)", handTanks, []RollView{w.roll(1, marl400, pushed(1)), w.roll(2, marl125, pushed(1))}, 630, &push1},
	} {
		b, err := assemble(w, test.line, test.rolls...)
		if err != nil || b.Develop != test.seconds {
			t.Errorf("%s: got %d s (%v), want %d s", test.name, b.Develop, err, test.seconds)
			continue
		}
		if b.Push == nil || *b.Push != *test.push {
			t.Errorf("%s: got push %v, want %v", test.name, b.Push, *test.push)
		}
	}
}

// Normal film of 8:30 and pushed film of 8:45 are within 5 % of one another.
func TestPushesCombineWhereTheTimesMeet(t *testing.T) {
	t.Parallel()
	w := testLab()
	stock := w.Stocks[marl400]
	stock.Times = []StockTimes{{Solution: mqBorax, Rows: []chemistry.BWRow{{TempC: 20, Seconds: 390}},
		PushRows: []chemistry.PushTime{{Push: chemistry.Stop, Seconds: 525}}}}
	w.Stocks[marl400] = stock
	rolls := []RollView{w.roll(1, marl125), w.roll(2, marl400, pushed(1))}
	b, err := assemble(w, handTanks, rolls...)
	if err != nil || b.Push != nil || b.Develop != 515 {
		t.Errorf("got %d s, push %v (%v), want 515 s for several pushes", b.Develop, b.Push, err)
	}
	w.Lab.CombineBW = false
	if _, err := assemble(w, handTanks, rolls...); CodeOf(err) != Refused {
		t.Errorf("a lab that does not combine: got %v, want Refused", err)
	}
}

// Whatever the times, the time of a batch lies within the window of every roll,
// and its factors multiply to it.
func TestTheSharedTimeSuitsEveryRoll(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		w := testLab()
		w.Lab.TolerancePercent = rapid.Float64Range(0, 15).Draw(t, "tolerance")
		stock := w.Stocks[marl400]
		base := rapid.IntRange(60, 1800).Draw(t, "base")
		more := rapid.IntRange(1, 300).Draw(t, "more")
		stock.Times = []StockTimes{{Solution: mqBorax, Rows: []chemistry.BWRow{{TempC: 20, Seconds: base}},
			PushRows: []chemistry.PushTime{{Push: chemistry.Stop, Seconds: base + more}}}}
		w.Stocks[marl400] = stock
		rolls := []RollView{w.roll(1, marl400), w.roll(2, marl400, pushed(1))}
		tank, _ := w.Tank(w.Lines[handTanks], chemistry.BW, mqBorax)
		load, err := w.Load(tank, rolls)
		for _, roll := range rolls {
			own, ownErr := w.DevelopmentFor(roll.Roll, tank)
			if ownErr != nil {
				t.Fatal(ownErr)
			}
			if may := w.Lab.windowOf(chemistry.BW, own.Seconds); err == nil && (load.Development.Seconds < may.least || load.Development.Seconds > may.most) {
				t.Fatalf("%d s is outside %v of %s", load.Development.Seconds, may, roll.TwinCheck)
			}
		}
		if err != nil {
			if CodeOf(err) != Refused {
				t.Fatal(err)
			}
			return
		}
		product := 1.0
		for _, factor := range load.Development.Factors {
			product *= factor.Value
		}
		if diff := product - float64(load.Development.Seconds); diff > 1e-6 || diff < -1e-6 {
			t.Fatalf("the factors multiply to %g s, the time is %d s", product, load.Development.Seconds)
		}
	})
}

func TestRollsAreLoadedByFormatAndNumber(t *testing.T) {
	t.Parallel()
	w := testLab()
	rolls := []RollView{w.roll(3, sedge160, in(chemistry.Format120)), w.roll(2, sedge160), w.roll(1, sedge160)}
	b, err := assemble(w, drum, rolls...)
	if err != nil {
		t.Fatal(err)
	}
	var order []RollID
	for _, roll := range b.Rolls {
		order = append(order, roll.ID)
	}
	if !slices.Equal(order, []RollID{1, 2, 3}) {
		t.Errorf("loaded in the order %v", order)
	}
}

package jobs

import (
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"wetside/chemistry"
)

// withFill pours a litre of MQ borax into the hand tanks, which takes so many
// rolls of 135 in all, of which some went through already.
func (w WetSide) withFill(takes, through int) WetSide {
	developer := w.Solutions[mqBorax]
	area := w.roll(1, marl400).Area()
	developer.CapacityM2PerL = float64(takes) * area
	w.Solutions[mqBorax] = developer
	w.Fills = append(w.Fills, Fill{ID: 5, Solution: mqBorax, SolutionName: "MQ borax", Line: handTanks, VolumeML: 1000,
		FilledAt: monday.Add(-time.Hour), Rolls: through, AreaM2: float64(through) * area})
	delete(w.Lines, blackDrum)
	return w
}

func TestTheFirstBatchPastTheCapacityNeedsAFreshFill(t *testing.T) {
	t.Parallel()
	const fresh = "needs a fresh fill of MQ borax on Hand tanks first"
	for _, test := range []struct {
		name           string
		takes, through int
		loads          []int // rolls of each proposed batch, in order
		want           []string
	}{
		{"the last roll just fits", 8, 0, []int{5, 3}, []string{"", ""}},
		{"one roll too many", 7, 0, []int{5, 3}, []string{"", fresh}},
		{"film before counts", 8, 1, []int{5, 3}, []string{"", fresh}},
		{"used up", 8, 8, []int{5, 3}, []string{fresh, ""}},
		{"two fresh fills", 5, 1, []int{5, 5, 1}, []string{fresh, fresh, fresh}},
		{"the fresh one is counted on", 6, 2, []int{5, 1, 5}, []string{fresh, "", fresh}},
		{"more than any fill takes", 4, 0, []int{5}, []string{"is more film than a whole fill of MQ borax on Hand tanks takes; make it smaller"}},
	} {
		w := testLab().withFill(test.takes, test.through)
		p := &proposer{WetSide: w, now: monday}
		id := RollID(1)
		for i, n := range test.loads {
			batch := ProposedBatch{Batch: Batch{Line: handTanks, LineName: "Hand tanks", Process: chemistry.BW, Solution: mqBorax,
				PlannedStart: monday.Add(time.Duration(i) * time.Hour)}}
			for range n {
				batch.Rolls = append(batch.Rolls, w.roll(id, marl400))
				id++
			}
			p.out.Batches = append(p.out.Batches, batch)
		}
		if err := p.freshFills(nil); err != nil {
			t.Fatal(err)
		}
		for i, want := range test.want {
			if got := p.out.Batches[i].First; got != want {
				t.Errorf("%s, batch %d: %q, want %q", test.name, i+1, got, want)
			}
		}
	}
}

func TestOpenBatchesTakeFromTheFillToo(t *testing.T) {
	t.Parallel()
	w := testLab().withFill(4, 0)
	open := func(id BatchID, state BatchState, at time.Duration) Batch {
		return Batch{ID: id, Line: handTanks, LineName: "Hand tanks", Process: chemistry.BW, Solution: mqBorax, State: state,
			Develop: 450, PlannedStart: monday.Add(at), Rolls: []RollView{w.roll(RollID(100+id), marl400), w.roll(RollID(200+id), marl400)}}
	}
	running := open(1, BatchDeveloping, 0)
	running.StartedAt = monday
	p := propose(t, w, monday, []Batch{open(3, BatchLocked, 2*time.Hour), running, open(2, BatchAccepted, time.Hour)}, w.roll(1, marl400))
	if p.First[1] != "" || p.First[2] != "" || p.First[3] != "needs a fresh fill of MQ borax on Hand tanks first" {
		t.Errorf("open batches: %v", p.First)
	}
	if len(p.Batches) != 1 || p.Batches[0].First != "" {
		t.Fatalf("after the fresh fill: %+v", p.Batches)
	}
	// Nobody has poured it yet, so the time is that of the fill that is in.
	present, err := w.Load(mustTank(t, w), p.Batches[0].Rolls)
	if err != nil || p.Batches[0].Develop != present.Development.Seconds {
		t.Errorf("developed for %d s, the present fill says %d, %v", p.Batches[0].Develop, present.Development.Seconds, err)
	}
}

// What is in the chemistry went into the fill that is in, whatever that still
// took: the fresh one comes after it.
func TestARunningBatchGetsNoFreshFill(t *testing.T) {
	t.Parallel()
	w := testLab().withFill(4, 3)
	running := Batch{ID: 1, Line: handTanks, LineName: "Hand tanks", Process: chemistry.BW, Solution: mqBorax, State: BatchDeveloping,
		Develop: 450, PlannedStart: monday, StartedAt: monday, Rolls: []RollView{w.roll(101, marl400), w.roll(102, marl400)}}
	p := propose(t, w, monday, []Batch{running}, w.roll(1, marl400))
	if len(p.Batches) != 1 || p.Batches[0].First != "needs a fresh fill of MQ borax on Hand tanks first" {
		t.Errorf("after a batch past the capacity: %+v", p.Batches)
	}
}

// The fill is used in the order in which film goes through it, not in the order
// that was planned before something began late.
func TestTheRunningBatchUsesTheFillFirst(t *testing.T) {
	t.Parallel()
	w := testLab().withFill(3, 0)
	load := func(id BatchID, state BatchState, planned time.Duration) Batch {
		return Batch{ID: id, Line: handTanks, LineName: "Hand tanks", Process: chemistry.BW, Solution: mqBorax, State: state, Develop: 450,
			PlannedStart: monday.Add(planned), Rolls: []RollView{w.roll(RollID(100+id), marl400), w.roll(RollID(200+id), marl400)}}
	}
	overdue, running := load(1, BatchAccepted, -time.Hour), load(2, BatchDeveloping, -2*time.Hour)
	running.StartedAt = monday.Add(-10 * time.Minute)
	p := propose(t, w, monday, []Batch{overdue, running})
	if want := "needs a fresh fill of MQ borax on Hand tanks first"; p.First[1] != want || p.First[2] != "" {
		t.Errorf("got %v, want batch 1 to need it", p.First)
	}
}

func mustTank(t *testing.T, w WetSide) Tank {
	t.Helper()
	tank, err := w.Tank(w.Lines[handTanks], chemistry.BW, mqBorax)
	if err != nil {
		t.Fatal(err)
	}
	return tank
}

func TestWhereNothingIsPouredTheFirstBatchNeedsAFill(t *testing.T) {
	t.Parallel()
	w := testLab()
	delete(w.Lines, blackDrum)
	first := func(p Proposal) (said []string) {
		for _, b := range p.Batches {
			said = append(said, b.First)
		}
		return said
	}
	got := first(propose(t, w, monday, nil, w.roll(1, marl400), w.roll(2, marl400, pushed(2))))
	if len(got) != 2 || got[0] != "needs a fill of MQ borax on Hand tanks first" || got[1] != "" {
		t.Errorf("said %q", got)
	}
	oneShot := func(r *RollView) { r.Solution = pqFineGrain }
	if got := first(propose(t, w, monday, nil, w.roll(1, marl125, oneShot))); len(got) != 1 || got[0] != "" {
		t.Errorf("a one-shot developer is mixed for each load, said %q", got)
	}
}

// A colour tank of the line that stands empty is named once: what is poured for
// the first batch is there for the second.
func TestAnEmptyColourTankIsNamed(t *testing.T) {
	t.Parallel()
	w := testLab()
	w.hold(drum, colourDeveloper)
	p := propose(t, w, monday, nil, w.roll(1, sedge160), w.roll(2, sedge160, pushed(1)), w.roll(3, tealSlide))
	firsts := map[string]int{}
	for _, b := range p.Batches {
		firsts[string(b.Process)+" "+b.First]++
	}
	want := map[string]int{"C-41 needs a fill of C-41 developer on Drum first": 1, "C-41 ": 1, "E-6 ": 1}
	if diff := cmp.Diff(want, firsts); diff != "" {
		t.Error(diff)
	}
}

// What goes through a replenished developer is made up for after each batch, so
// a day's film uses nothing up; only a single load can be too much for it. What
// is due by now the start of a batch asks for.
func TestAReplenishedDeveloperLastsThePlan(t *testing.T) {
	t.Parallel()
	w := testLab()
	developer := w.Solutions[colourDeveloper]
	developer.CapacityM2PerL, developer.Replenisher.MLPerM2 = 5*w.roll(1, sedge160).Area(), 900
	w.Solutions[colourDeveloper] = developer
	w.Fills = []Fill{{ID: 5, Solution: colourDeveloper, Line: drum, VolumeML: 1000, FilledAt: monday.Add(-time.Hour), AreaM2: 1, AddedML: 500}}
	var queued []RollView
	for id := range RollID(12) {
		queued = append(queued, w.roll(id+1, sedge160))
	}
	p := propose(t, w, monday, nil, queued...)
	for _, b := range p.Batches {
		if b.First != "" {
			t.Errorf("a load of %d: %s", len(b.Rolls), b.First)
		}
	}
	developer.CapacityM2PerL = 3 * queued[0].Area()
	w.Solutions[colourDeveloper] = developer
	if p = propose(t, w, monday, nil, queued[:5]...); p.Batches[0].First != "is more film than a whole fill of C-41 developer on Drum takes; make it smaller" {
		t.Errorf("five rolls in a tank that takes three at once: %q", p.Batches[0].First)
	}
}

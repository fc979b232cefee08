package postgres

import (
	"context"
	"maps"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"wetside/jobs"
)

// touching is an independent account of what film met, kept while a lab works
// at random.
type touching struct {
	stockRoom
	random *rand.Rand
	traces *TraceStore

	lots   []jobs.LotID
	madeOf map[jobs.MixID]jobs.LotID
	mixes  []jobs.MixID
	fills  map[jobs.LineID]jobs.FillID
	holds  map[jobs.FillID]map[jobs.MixID]bool
	runs   map[jobs.LineID]jobs.Batch

	rolls map[jobs.RollID]map[jobs.Cause]bool // what each roll touched
}

func newTouching(t *testing.T, seed uint64) *touching {
	lab := newLab(t)
	return &touching{
		stockRoom: newStockRoom(lab), random: rand.New(rand.NewPCG(seed, seed)), traces: NewTraceStore(lab.db),
		madeOf: map[jobs.MixID]jobs.LotID{}, fills: map[jobs.LineID]jobs.FillID{}, holds: map[jobs.FillID]map[jobs.MixID]bool{},
		runs: map[jobs.LineID]jobs.Batch{}, rolls: map[jobs.RollID]map[jobs.Cause]bool{},
	}
}

// anyLine is one of the lines for C-41.
func (l *touching) anyLine() jobs.LineID { return []jobs.LineID{drum, dipAndDunk}[l.random.IntN(2)] }

// mix makes a mix of a new lot, or of the last one again.
func (l *touching) mix() {
	if len(l.lots) == 0 || l.random.IntN(2) == 0 {
		lot := l.received("Part A", "L"+string(rune('a'+len(l.lots))), jobs.Millilitres, 100_000, time.Time{})
		l.lots = append(l.lots, lot.ID)
	}
	lot := l.lots[len(l.lots)-1]
	mix := l.stockRoom.mixed(20_000, jobs.LotUse{Lot: lot, Amount: 1200})
	l.mixes, l.madeOf[mix.ID] = append(l.mixes, mix.ID), lot
}

// pour fills an empty tank or tops a full one up, from a mix.
func (l *touching) pour() {
	line := l.anyLine()
	if len(l.mixes) == 0 {
		return
	}
	mix := l.mixes[l.random.IntN(len(l.mixes))]
	fill, full := l.fills[line]
	if full {
		_, err := l.testLab.fills.TopUpFill(context.Background(), ada, fill, jobs.TopUp{ML: 10, Mix: mix, Reason: "at random"})
		l.must(err)
	} else if _, running := l.runs[line]; !running {
		poured, err := l.testLab.fills.PourFill(context.Background(), ada, jobs.Pour{Solution: c41Developer, Line: line, VolumeML: 2000, Mix: mix})
		l.must(err)
		fill = poured.ID
		l.fills[line], l.holds[fill] = fill, map[jobs.MixID]bool{}
	} else {
		return
	}
	l.holds[fill][mix] = true
	if run, running := l.runs[line]; running {
		l.touch(run, fill)
	}
}

// touch notes that the film of a batch meets what a fill holds now.
func (l *touching) touch(b jobs.Batch, fill jobs.FillID) {
	for _, roll := range b.Rolls {
		met := l.rolls[roll.ID]
		met[jobs.Cause{Kind: jobs.FromFill, ID: int64(fill)}] = true
		for mix := range l.holds[fill] {
			met[jobs.Cause{Kind: jobs.FromMix, ID: int64(mix)}] = true
			met[jobs.Cause{Kind: jobs.FromLot, ID: int64(l.madeOf[mix])}] = true
		}
	}
}

// run starts a batch in a line, or ends the one that runs there.
func (l *touching) run() {
	ctx, line := context.Background(), l.anyLine()
	if b, running := l.runs[line]; running {
		_, err := l.batches.Finish(ctx, ada, b.ID, b.Version, nil)
		l.must(err)
		delete(l.runs, line)
		return
	}
	b := l.started(l.accepted(line, l.queued(newRoll(sedge160), newRoll(sedge160))...))
	l.runs[line] = b
	for _, roll := range b.Rolls {
		l.rolls[roll.ID] = map[jobs.Cause]bool{}
	}
	if fill, full := l.fills[line]; full {
		l.touch(b, fill)
	}
}

func (l *touching) dump() {
	line := l.anyLine()
	_, running := l.runs[line]
	if fill, full := l.fills[line]; full && !running {
		_, err := l.testLab.fills.DumpFill(context.Background(), ada, fill, jobs.Dump{Reason: "at random"})
		l.must(err)
		delete(l.fills, line)
	}
}

// Whatever was mixed, poured, topped up, run and dumped in whatever order: a
// cause leads to the rolls that met it and to no others, and each of them leads
// back to it.
func TestTracesLeadThereAndBack(t *testing.T) {
	t.Parallel()
	for seed := range uint64(3) {
		l := newTouching(t, seed)
		l.mix()
		for range 90 {
			l.clock.advance(10 * time.Minute)
			[]func(){l.mix, l.pour, l.pour, l.run, l.run, l.run, l.dump}[l.random.IntN(7)]()
		}
		causes := map[jobs.Cause][]jobs.RollID{}
		for roll, met := range l.rolls {
			for cause := range met {
				causes[cause] = append(causes[cause], roll)
			}
		}
		if len(causes) < 8 || len(l.rolls) < 15 {
			t.Fatalf("seed %d: %d causes and %d rolls prove little", seed, len(causes), len(l.rolls))
		}
		for cause, want := range causes {
			trace, err := l.traces.Trace(t.Context(), jobs.TraceQuery{Cause: cause})
			l.must(err)
			slices.Sort(want)
			if diff := cmp.Diff(want, rollsOf(trace)); diff != "" {
				t.Errorf("seed %d: rolls of %v:\n%s", seed, cause, diff)
			}
		}
		for roll, want := range l.rolls {
			back, err := l.traces.TraceRoll(t.Context(), roll)
			l.must(err)
			if diff := cmp.Diff(want, metBy(back)); diff != "" {
				t.Errorf("seed %d: what roll %d met:\n%s", seed, roll, diff)
			}
		}
	}
}

// rollsOf lists the keys of the rolls of a trace, sorted.
func rollsOf(trace jobs.Trace) []jobs.RollID {
	keys := map[jobs.RollID]bool{}
	for _, roll := range trace.Rolls {
		keys[roll.ID] = true
	}
	return slices.Sorted(maps.Keys(keys))
}

// metBy lists the causes that a roll leads back to.
func metBy(back jobs.RollTrace) map[jobs.Cause]bool {
	met := map[jobs.Cause]bool{}
	for _, run := range back.Runs {
		for _, fill := range run.Fills {
			met[jobs.Cause{Kind: jobs.FromFill, ID: int64(fill.Fill)}] = true
			for _, mix := range fill.Mixes {
				met[jobs.Cause{Kind: jobs.FromMix, ID: int64(mix.Mix.ID)}] = true
				for _, lot := range mix.Lots {
					met[jobs.Cause{Kind: jobs.FromLot, ID: int64(lot.Lot)}] = true
				}
			}
		}
	}
	return met
}

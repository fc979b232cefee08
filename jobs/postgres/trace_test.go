package postgres

import (
	"context"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"wetside/chemistry"
	"wetside/jobs"
)

// strip records a strip that was read on the drum in C-41 now.
func (l *testLab) strip(verdict chemistry.StripVerdict) (id int64) {
	l.t.Helper()
	ctx := context.Background()
	l.exec(`INSERT INTO strip_boxes (process, number, aim, basis, limits, strips, opened_at)
		VALUES ('C-41', 'of the test', '{}', '{}', '{}', 0, $1) ON CONFLICT DO NOTHING`, l.clock.now())
	l.must(l.db.pool.QueryRow(ctx, `INSERT INTO strips (line_id, process, box_id, at, by_name, reading, aim, result, verdict)
		SELECT $1, 'C-41', id, $2, 'Ada', '{}', '{}', '{}', $3 FROM strip_boxes RETURNING id`,
		int64(drum), l.clock.now(), string(verdict)).Scan(&id))
	l.clock.advance(time.Minute)
	return id
}

// overridden starts a colour batch whatever the strips say.
func (l *testLab) overridden(b jobs.Batch) jobs.Batch {
	l.t.Helper()
	b, err := l.batches.Start(context.Background(), ada, b.ID, jobs.BatchStart{Version: b.Version, DeveloperC: warmC41, Override: "for the test"})
	l.must(err)
	return b
}

// ran runs a colour batch of two rolls on the drum, from now for ten minutes.
func (l *testLab) ran() jobs.Batch {
	l.t.Helper()
	b := l.overridden(l.colourBatch(2))
	l.clock.advance(10 * time.Minute)
	b, err := l.batches.Finish(context.Background(), ada, b.ID, b.Version, nil)
	l.must(err)
	return b
}

// rollsIn lists the keys of the rolls of batches, sorted.
func rollsIn(batches ...jobs.Batch) []jobs.RollID {
	var keys []jobs.RollID
	for _, b := range batches {
		for _, roll := range b.Rolls {
			keys = append(keys, roll.ID)
		}
	}
	slices.Sort(keys)
	return keys
}

func (l *testLab) traced(query jobs.TraceQuery) []jobs.RollID {
	l.t.Helper()
	trace, err := NewTraceStore(l.db).Trace(context.Background(), query)
	l.must(err)
	return rollsOf(trace)
}

func (l *testLab) wantTraced(query jobs.TraceQuery, want ...jobs.Batch) {
	l.t.Helper()
	if diff := cmp.Diff(rollsIn(want...), l.traced(query)); diff != "" {
		l.t.Errorf("rolls of %s %d:\n%s", query.Kind, query.ID, diff)
	}
}

// A failed strip leads to the film since the last one in control, and up to the
// next. A strip past the action limit is not good enough for that, although film
// may run.
func TestTraceOfAStrip(t *testing.T) {
	t.Parallel()
	l := newLab(t)
	before := l.ran()
	first := l.strip(chemistry.PastControl)
	good := l.strip(chemistry.InControl)
	zero := l.ran()
	l.strip(chemistry.PastAction)
	one := l.ran()
	bad := l.strip(chemistry.PastControl)
	two := l.ran()
	again := l.strip(chemistry.PastControl)
	running := l.overridden(l.colourBatch(1))
	l.overridden(l.accepted(dipAndDunk, l.queued(newRoll(sedge160))...))
	query := func(id int64) jobs.TraceQuery {
		return jobs.TraceQuery{Cause: jobs.Cause{Kind: jobs.FromStrip, ID: id}}
	}
	l.wantTraced(query(first), before)
	l.wantTraced(query(bad), zero, one, two, running)
	l.wantTraced(query(again), zero, one, two, running)

	// A batch that starts in the moment of a strip comes after it.
	l.clock.advance(time.Minute)
	l.strip(chemistry.InControl)
	l.clock.advance(-time.Minute)
	running, err := l.batches.Finish(t.Context(), ada, running.ID, running.Version, nil)
	l.must(err)
	after := l.ran()
	l.wantTraced(query(bad), zero, one, two, running)
	l.wantTraced(query(l.strip(chemistry.PastControl)), after)

	since := query(bad)
	since.Since = two.StartedAt
	l.wantTraced(since, two, running)
	since.Until = running.StartedAt
	l.wantTraced(since, two)

	store := NewTraceStore(l.db)
	_, err = store.Trace(t.Context(), query(good))
	wantCode(t, err, jobs.Refused)
	if !strings.Contains(err.Error(), "in control") {
		t.Error(err)
	}
	for _, kind := range jobs.CauseKinds {
		_, err := store.Trace(t.Context(), jobs.TraceQuery{Cause: jobs.Cause{Kind: kind, ID: 99}})
		wantCode(t, err, jobs.NotFound)
	}
	_, err = store.Trace(t.Context(), jobs.TraceQuery{Cause: jobs.Cause{Kind: "bath", ID: 1}})
	wantCode(t, err, jobs.Invalid)
}

// Every roll stands with where it is, whose it is, and where it was touched.
func TestTraceTellsWhereRollsAre(t *testing.T) {
	t.Parallel()
	l := newLab(t)
	ctx := t.Context()
	fill := l.poured(c41Developer, drum, 2000)
	b := l.started(l.colourBatch(2))
	l.must(l.batches.TakeReading(ctx, ada, b.ID, jobs.Reading{Step: "bleach", TempC: 38.4}))
	strip := l.strip(chemistry.PastControl)
	started := b.StartedAt
	kit := jobs.Actor{Name: "Kit"}
	b, err := l.batches.Finish(ctx, kit, b.ID, b.Version, []jobs.RollOutcome{{Roll: b.Rolls[1].ID, State: jobs.Spoiled, Reason: "torn"}})
	l.must(err)
	trace, err := NewTraceStore(l.db).Trace(ctx, jobs.TraceQuery{Cause: jobs.Cause{Kind: jobs.FromFill, ID: int64(fill.ID)}})
	l.must(err)
	if trace.Name != "C-41 developer in Drum" || !trace.From.Equal(fixtureStart) || !trace.Until.IsZero() {
		t.Errorf("the cause: %+v", trace)
	}
	one := trace.Rolls[0]
	if one.State != jobs.Drying || one.CustomerName != "Wren Alder" || one.Email != "wren@example.org" || one.Run != b.ID ||
		one.LineName != "Drum" || !one.StartedAt.Equal(started) || !one.EndedAt.Equal(b.EndedAt) {
		t.Errorf("the first roll: %+v", one)
	}
	if diff := cmp.Diff(map[jobs.RollState]int{jobs.Drying: 1, jobs.Spoiled: 1}, trace.Counts()); diff != "" {
		t.Error(diff)
	}
	back, err := NewTraceStore(l.db).TraceRoll(ctx, one.ID)
	l.must(err)
	run := back.Runs[0]
	if run.StartedBy != "Ada" || run.EndedBy != "Kit" || len(run.Readings) != 2 || run.Readings[1].TempC != 38.4 ||
		run.Before != nil && run.Before.ID != jobs.StripID(strip) || len(run.Fills) != 1 || run.Fills[0].FilmRecipe != 1 || run.Fills[0].PouredRecipe != 1 {
		t.Errorf("back from the roll: %+v", run)
	}
	_, err = NewTraceStore(l.db).TraceRoll(ctx, 99)
	wantCode(t, err, jobs.NotFound)
	undeveloped := l.queued(newRoll(sedge160))[0]
	back, err = NewTraceStore(l.db).TraceRoll(ctx, undeveloped.ID)
	l.must(err)
	if len(back.Runs) != 0 {
		t.Errorf("a roll that was never developed went through %+v", back.Runs)
	}
	causes, err := NewTraceStore(l.db).RecentCauses(ctx)
	l.must(err)
	if len(causes) != 2 || causes[0].Name != "C-41 strip on Drum" || causes[1].Name != "C-41 developer in Drum" {
		t.Errorf("recent causes: %+v", causes)
	}
}

// A one-shot solution leads to the one batch that it was mixed for.
func TestTraceOfASolutionUsedOnce(t *testing.T) {
	t.Parallel()
	l := newLab(t)
	ctx := t.Context()
	l.replenishing()
	mix := l.mixed(pqFine, jobs.Working, 2000)
	roll := newRoll(marl400)
	roll.Solution = pqFine
	b := l.accepted(drum, l.queued(roll)...)
	b, err := l.batches.Start(ctx, ada, b.ID, jobs.BatchStart{Version: b.Version, DeveloperC: warmBW})
	l.must(err)
	b, err = l.batches.Finish(ctx, ada, b.ID, b.Version, nil)
	l.must(err)
	doses := l.open()
	if len(doses) != 1 {
		t.Fatalf("doses: %+v", doses)
	}
	_, err = NewDoseStore(l.db).ConfirmDose(ctx, ada, doses[0].ID, jobs.Confirmation{ML: doses[0].RoundedML(), Mix: mix.ID})
	l.must(err)
	l.wantTraced(jobs.TraceQuery{Cause: jobs.Cause{Kind: jobs.FromMix, ID: int64(mix.ID)}}, b)
	back, err := NewTraceStore(l.db).TraceRoll(ctx, b.Rolls[0].ID)
	l.must(err)
	if used := back.Runs[0].UsedOnce; len(used) != 1 || used[0].Mix.ID != mix.ID || used[0].How != jobs.EntryUsedOnce {
		t.Errorf("used once: %+v", used)
	}
}

package postgres

import (
	"context"
	"math"
	"strings"
	"testing"
	"time"

	"wetside/chemistry"
	"wetside/jobs"
)

func TestARunFromStartToFinish(t *testing.T) {
	t.Parallel()
	lab, ctx := newLab(t), context.Background()
	developer := lab.poured(c41Developer, drum, 2000)
	b := lab.colourBatch(3)
	_, err := lab.batches.Start(ctx, ada, b.ID, jobs.BatchStart{Version: b.Version, DeveloperC: 38.0}) // 37.8 ± 0.15 °C, Kodak Z-131 table 2-1
	wantCode(t, err, jobs.Refused)
	if !strings.Contains(err.Error(), "cool it") {
		t.Errorf("nobody is told what to do: %v", err)
	}
	b = lab.started(b)
	if b.State != jobs.BatchDeveloping || !b.StartedAt.Equal(fixtureStart) || b.Rolls[0].State != jobs.Developing {
		t.Errorf("got %+v", b)
	}
	lab.must(lab.batches.TakeReading(ctx, ada, b.ID, jobs.Reading{Step: "bleach", TempC: 38.4, Note: "steady"}))
	wantCode(t, lab.batches.TakeReading(ctx, ada, b.ID, jobs.Reading{Step: "toner", TempC: 38}), jobs.Invalid)

	lab.clock.advance(20 * time.Minute)
	b, err = lab.batches.Finish(ctx, ada, b.ID, b.Version, []jobs.RollOutcome{{Roll: b.Rolls[1].ID, State: jobs.Spoiled, Reason: "kinked on the reel"}})
	lab.must(err)
	if b.State != jobs.BatchFinished || !b.EndedAt.Equal(fixtureStart.Add(20*time.Minute)) {
		t.Errorf("got %+v", b)
	}
	if b.Rolls[0].State != jobs.Drying || b.Rolls[1].State != jobs.Spoiled || b.Rolls[1].Reason != "kinked on the reel" {
		t.Errorf("got %+v", b.Rolls)
	}
	wantCode(t, lab.batches.TakeReading(ctx, ada, b.ID, jobs.Reading{Step: "bleach", TempC: 38}), jobs.WrongState)

	fill, ledger, err := lab.fills.Fill(ctx, developer.ID)
	lab.must(err)
	area := 3 * chemistry.FilmUnitArea // three 135-36
	if film := jobs.FilmThrough(ledger); len(film) != 1 || film[0].Batch != b.ID || film[0].By != "Ada" || fill.Rolls != 3 || math.Abs(fill.AreaM2-area) > 1e-9 {
		t.Errorf("the ledger holds %+v, in all %d rolls and %g m²", ledger, fill.Rolls, fill.AreaM2)
	}
	if n := lab.count("SELECT count(*) FROM batch_rolls WHERE batch_id = $1 AND NOT open", int64(b.ID)); n != 3 {
		t.Errorf("%d rolls can be traced to the batch, want 3", n)
	}
}

func TestStopAsksWhatBecameOfEveryRoll(t *testing.T) {
	t.Parallel()
	lab, ctx := newLab(t), context.Background()
	developer := lab.poured(c41Developer, drum, 2000)
	b := lab.started(lab.colourBatch(3))
	ids := []jobs.RollID{b.Rolls[0].ID, b.Rolls[1].ID, b.Rolls[2].ID}
	outcomes := []jobs.RollOutcome{
		{Roll: ids[0], State: jobs.Drying}, {Roll: ids[1], State: jobs.Spoiled, Reason: "fogged"}, {Roll: ids[2], State: jobs.Queued},
	}
	_, err := lab.batches.Stop(ctx, ada, b.ID, b.Version, "power cut", outcomes[:2])
	wantCode(t, err, jobs.Invalid)
	_, err = lab.batches.Stop(ctx, ada, b.ID, b.Version, "", outcomes)
	wantCode(t, err, jobs.Invalid)
	stopped, err := lab.batches.Stop(ctx, ada, b.ID, b.Version, "power cut", outcomes)
	lab.must(err)
	if stopped.State != jobs.BatchStopped || stopped.Reason != "power cut" || len(stopped.Rolls) != 2 {
		t.Errorf("got %+v", stopped)
	}
	for i, want := range []jobs.RollState{jobs.Drying, jobs.Spoiled, jobs.Queued} {
		if state := lab.rollState(ids[i]); state != want {
			t.Errorf("roll %d is %s, want %s", i, state, want)
		}
	}
	fill, _, err := lab.fills.Fill(ctx, developer.ID)
	lab.must(err)
	if fill.Rolls != 2 {
		t.Errorf("%d rolls went through the developer, want the 2 that got wet", fill.Rolls)
	}
	again, err := lab.rolls.Roll(ctx, ids[2])
	lab.must(err)
	lab.accepted(drum, again.Roll)
}

func TestALineRunsOneBatch(t *testing.T) {
	t.Parallel()
	lab, ctx := newLab(t), context.Background()
	first, second := lab.colourBatch(1), lab.colourBatch(1)
	lab.started(first)
	_, err := lab.batches.Start(ctx, ada, second.ID, jobs.BatchStart{Version: second.Version, DeveloperC: warmC41})
	wantCode(t, err, jobs.WrongState)
	if state := lab.rollState(second.Rolls[0].ID); state != jobs.Batched {
		t.Errorf("its roll is %s", state)
	}
}

// The developing time grows with what went through the fill: 10 % a roll in one
// litre (common practice, no source), on 7:30 (HARMAN sheet, July 2004, p. 3).
func TestAReusedDeveloperTakesLonger(t *testing.T) {
	t.Parallel()
	lab, ctx := newLab(t), context.Background()
	rolls := lab.queued(newRoll(marl400), newRoll(marl400), newRoll(marl400))
	first, second := lab.accepted(handTanks, rolls[:2]...), lab.accepted(handTanks, rolls[2])
	_, err := lab.batches.Start(ctx, ada, first.ID, jobs.BatchStart{DeveloperC: warmBW})
	wantCode(t, err, jobs.Refused) // nothing is poured
	lab.poured(mqBorax, handTanks, 1000)
	first, err = lab.batches.Start(ctx, ada, first.ID, jobs.BatchStart{DeveloperC: warmBW})
	lab.must(err)
	_, err = lab.batches.Finish(ctx, ada, first.ID, 0, nil)
	lab.must(err)
	sheet, err := lab.batches.RunSheet(ctx, second.ID)
	lab.must(err)
	started, err := lab.batches.Start(ctx, ada, second.ID, jobs.BatchStart{DeveloperC: warmBW})
	lab.must(err)
	if first.Develop != 450 || second.Develop != 450 || sheet.Development.Seconds != 540 || started.Develop != 540 {
		t.Errorf("the first took %d s; the second was to take %d s, then %d s, and took %d s; want 450, 450, 540 and 540",
			first.Develop, second.Develop, sheet.Development.Seconds, started.Develop)
	}
}

func TestAnOldPageIsTold(t *testing.T) {
	t.Parallel()
	lab, ctx := newLab(t), context.Background()
	b := lab.colourBatch(1)
	lab.started(b)
	for name, call := range map[string]func() error{
		"lock": func() error { _, err := lab.batches.Lock(ctx, ada, b.ID, b.Version); return err },
		"start": func() error {
			_, err := lab.batches.Start(ctx, ada, b.ID, jobs.BatchStart{Version: b.Version, DeveloperC: warmC41})
			return err
		},
		"cancel": func() error { _, err := lab.batches.CancelBatch(ctx, ada, b.ID, b.Version, "late"); return err },
		"finish": func() error { _, err := lab.batches.Finish(ctx, ada, b.ID, b.Version, nil); return err },
		"stop": func() error {
			_, err := lab.batches.Stop(ctx, ada, b.ID, b.Version, "late", lab.outcomes(b, jobs.Drying))
			return err
		},
	} {
		err := call()
		wantCode(t, err, jobs.Stale)
		if err == nil || !strings.Contains(err.Error(), "it is developing now") {
			t.Errorf("%s: nobody is told where it is: %v", name, err)
		}
	}
}

package postgres

import (
	"context"
	"strings"
	"testing"
	"time"

	"wetside/chemistry"
	"wetside/jobs"
)

func TestTopUpSpillAndFoul(t *testing.T) {
	t.Parallel()
	lab, ctx := newLab(t), context.Background()
	lab.replenishing()
	fill := lab.poured(c41Developer, drum, 1000)
	own, wrong := lab.mixed(c41Developer, jobs.ReplenisherMixture, 500), lab.mixed(mqBorax, jobs.Working, 500)
	_, ledger, err := lab.fills.Fill(ctx, fill.ID)
	lab.must(err)
	seen := ledger[len(ledger)-1].ID

	after, err := lab.fills.SpillFill(ctx, ada, fill.ID, jobs.Spill{ML: 100, Reason: "the lid was off", Seen: seen})
	lab.must(err)
	if after.NowML != 900 {
		t.Errorf("%g mL are in it after a spill of 100", after.NowML)
	}
	up := jobs.TopUp{ML: 130, Mix: own.ID, Reason: "two idle days", Seen: seen}
	_, err = lab.fills.TopUpFill(ctx, ada, fill.ID, up)
	wantCode(t, err, jobs.Stale)
	up.Seen = 0
	after, err = lab.fills.TopUpFill(ctx, ada, fill.ID, up)
	lab.must(err)
	if after.NowML != 1000 || after.AddedML != 0 || lab.leftOf(own.ID) != 370 || lab.wasted() != 30 {
		t.Errorf("%g mL in it, %g for film, %g left, %g wasted", after.NowML, after.AddedML, lab.leftOf(own.ID), lab.wasted())
	}
	_, err = lab.fills.FoulFill(ctx, ada, fill.ID, jobs.Fouling{What: "the black-and-white developer", ML: 50, Mix: wrong.ID})
	lab.must(err)
	after, ledger, err = lab.fills.Fill(ctx, fill.ID)
	lab.must(err)
	state, err := after.State(lab.readCatalogue().Solutions[c41Developer], ledger, fixtureStart)
	if err != nil || state.Verdict != chemistry.Exhausted || lab.leftOf(wrong.ID) != 450 || after.NowML != 1000 || lab.wasted() != 80 {
		t.Errorf("%s, %v, %g left of the wrong mix, %g mL in it, %g wasted", state.Verdict, err, lab.leftOf(wrong.ID), after.NowML, lab.wasted())
	}
	b := lab.colourBatch(1)
	_, err = lab.batches.Start(ctx, ada, b.ID, jobs.BatchStart{DeveloperC: warmC41})
	wantCode(t, err, jobs.Refused)
	if !strings.Contains(err.Error(), "fouled: the black-and-white developer") {
		t.Error(err)
	}
	for kind, want := range map[string]int{"top up": 1, "spill": 1, "foul": 1} {
		if n := lab.count("SELECT count(*) FROM events WHERE fill_id = $1 AND kind = $2", int64(fill.ID), kind); n != want {
			t.Errorf("the record tells %d times of “%s”", n, kind)
		}
	}
	_, err = lab.fills.DumpFill(ctx, ada, fill.ID, jobs.Dump{Reason: "fouled"})
	lab.must(err)
	_, err = lab.fills.SpillFill(ctx, ada, fill.ID, jobs.Spill{ML: 1, Reason: "late"})
	wantCode(t, err, jobs.WrongState)
	_, err = lab.fills.TopUpFill(ctx, ada, 99, jobs.TopUp{ML: 1, Reason: "nowhere"})
	wantCode(t, err, jobs.NotFound)
	lab.poured(c41Developer, drum, 1000)
	lab.started(b)
}

func TestKeepingClearingTests(t *testing.T) {
	t.Parallel()
	lab, ctx := newLab(t), context.Background()
	fixer, err := lab.catalogue.SaveSolution(ctx, ada, jobs.Solution{
		Name: "Fixer", Process: chemistry.BW, Family: chemistry.Fixer, Use: chemistry.Reused, TempC: 20, Active: true})
	lab.must(err)
	fill := lab.poured(fixer.ID, handTanks, 1000)
	lab.poured(mqBorax, handTanks, 1000)
	_, err = lab.fills.TestClearing(ctx, ada, fill.ID, chemistry.ClearingTest{NowS: 30})
	wantCode(t, err, jobs.Invalid)
	_, err = lab.fills.TestClearing(ctx, ada, fill.ID, chemistry.ClearingTest{FreshS: 30, NowS: 31})
	lab.must(err)
	lab.clock.advance(time.Hour)
	tested, err := lab.fills.TestClearing(ctx, ada, fill.ID, chemistry.ClearingTest{NowS: 60})
	lab.must(err)
	if tested.Clearing == nil || *tested.Clearing != (chemistry.ClearingTest{FreshS: 30, NowS: 60}) {
		t.Errorf("got %+v", tested.Clearing)
	}
	all, err := lab.fills.ClearingTests(ctx, fill.ID)
	lab.must(err)
	if len(all) != 2 || all[1].By != "Ada" || all[1].NowS != 60 || !all[1].At.Equal(fixtureStart.Add(time.Hour)) {
		t.Errorf("got %+v", all)
	}
	// Discard when the clearing time has doubled (NAVEDTRA 14209).
	b := lab.accepted(handTanks, lab.queued(newRoll(marl400))...)
	_, err = lab.batches.Start(ctx, ada, b.ID, jobs.BatchStart{DeveloperC: warmBW})
	wantCode(t, err, jobs.Refused)
	if !strings.Contains(err.Error(), "clears in 60 s") {
		t.Error(err)
	}
}

func TestAnOwnerOverridesAtAStart(t *testing.T) {
	t.Parallel()
	lab, ctx := newLab(t), context.Background()
	lab.poured(c41Developer, drum, 1000)
	b := lab.colourBatch(1)
	start := jobs.BatchStart{Version: b.Version, DeveloperC: 38.5}
	_, err := lab.batches.Start(ctx, ada, b.ID, start)
	wantCode(t, err, jobs.Refused)
	start.Override = "the heater is being mended"
	bea := lab.person("Bea", jobs.Owner).Actor()
	b, err = lab.batches.Start(ctx, bea, b.ID, start)
	lab.must(err)
	if b.Override != start.Override || b.State != jobs.BatchDeveloping {
		t.Errorf("got %+v", b)
	}
	sheet, err := lab.batches.RunSheet(ctx, b.ID)
	lab.must(err)
	if sheet.Batch.Override != start.Override || len(sheet.Against) != 1 || !strings.Contains(sheet.Against[0], "cool it") {
		t.Errorf("the sheet says %q against %q", sheet.Batch.Override, sheet.Against)
	}
	history, err := lab.batches.BatchHistory(ctx, b.ID)
	lab.must(err)
	told := 0
	for _, event := range history {
		if event.Kind == "override" && event.By == bea && strings.Contains(event.Why, start.Override) && strings.Contains(event.Why, "cool it") {
			told++
		}
	}
	if told != 1 {
		t.Errorf("the record tells %d times of it: %+v", told, history)
	}
	b, err = lab.batches.Finish(ctx, ada, b.ID, 0, nil)
	lab.must(err)
	if b.Override != start.Override {
		t.Errorf("after the run it is %q", b.Override)
	}
}

// A clock that was set back: film is not lost, everything else waits until the
// clock is right.
func TestAFillUnderAClockThatWasSetBack(t *testing.T) {
	t.Parallel()
	lab, ctx := newLab(t), context.Background()
	lab.replenishing()
	fill := lab.poured(c41Developer, drum, 1000)
	b := lab.started(lab.colourBatch(2))
	lab.clock.advance(-2 * time.Hour)
	b, err := lab.batches.Finish(ctx, ada, b.ID, 0, nil)
	lab.must(err)
	_, ledger, err := lab.fills.Fill(ctx, fill.ID)
	lab.must(err)
	if film := jobs.FilmThrough(ledger); len(film) != 1 || !film[0].At.Equal(fixtureStart) {
		t.Errorf("the film was posted as %+v", film)
	}
	for name, act := range map[string]func() error{
		"top up": func() error {
			_, err := lab.fills.TopUpFill(ctx, ada, fill.ID, jobs.TopUp{ML: 1, Reason: "x"})
			return err
		},
		"spill": func() error {
			_, err := lab.fills.SpillFill(ctx, ada, fill.ID, jobs.Spill{ML: 1, Reason: "x"})
			return err
		},
		"dump": func() error { _, err := lab.fills.DumpFill(ctx, ada, fill.ID, jobs.Dump{Reason: "x"}); return err },
		"confirm": func() error {
			_, err := NewDoseStore(lab.db).ConfirmDose(ctx, ada, lab.open()[0].ID, jobs.Confirmation{ML: 90})
			return err
		},
	} {
		err := act()
		wantCode(t, err, jobs.WrongState)
		if err != nil && !strings.Contains(err.Error(), "set the clock right") {
			t.Errorf("%s: %v", name, err)
		}
	}
	next := lab.colourBatch(1)
	_, err = lab.batches.Start(ctx, ada, next.ID, jobs.BatchStart{DeveloperC: warmC41})
	wantCode(t, err, jobs.Refused)
	lab.clock.advance(2 * time.Hour)
	if n := lab.count("SELECT count(*) FROM ledger"); n != 2 {
		t.Errorf("%d entries, want the fill and its film", n)
	}
	_, err = lab.fills.DumpFill(ctx, ada, fill.ID, jobs.Dump{Reason: "x"})
	lab.must(err)
}

// SQL by hand, past every rule, puts nothing into a dumped fill.
func TestTheLedgerRefusesADumpedFill(t *testing.T) {
	t.Parallel()
	lab, ctx := newLab(t), context.Background()
	fill := lab.poured(c41Developer, drum, 1000)
	b := lab.finished(drum, 1)
	_, err := lab.fills.DumpFill(ctx, ada, fill.ID, jobs.Dump{Reason: "tired"})
	lab.must(err)
	for _, entry := range []jobs.Entry{
		{Kind: jobs.EntryToppedUp, Fill: fill.ID, Amount: 1},
		{Kind: jobs.EntryFilm, Fill: fill.ID, Batch: b.ID, Rolls: 1, AreaM2: 0.05, Push: chemistry.Stop},
	} {
		err := lab.db.withTx(ctx, func(t tx) error { _, err := t.post(ctx, ada, entry); return err })
		wantCode(t, err, jobs.WrongState)
	}
}

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

// rollML is what a roll of 80 in² calls for in the tests; a starting point from
// memory, of which nothing depends on the figure.
const rollML = 45

// replenishing sets what film calls for in the C-41 developer, and the least of
// the one-shot developer that a roll needs.
func (l *testLab) replenishing() {
	l.t.Helper()
	c := l.readCatalogue()
	developer := c.Solutions[c41Developer]
	developer.Replenisher = chemistry.ReplenishRate{MLPerM2: rollML / chemistry.FilmUnitArea}
	fine := c.Solutions[pqFine]
	fine.MinimumMLPerRoll = 250
	for _, solution := range []jobs.Solution{developer, fine} {
		_, err := l.catalogue.SaveSolution(context.Background(), ada, solution)
		l.must(err)
	}
}

// mixed records a mix of something that is bought ready.
func (l *testLab) mixed(solution jobs.SolutionID, preparation jobs.Preparation, ml int) jobs.Mix {
	l.t.Helper()
	mix, err := NewMixStore(l.db).RecordMix(context.Background(), ada, jobs.NewMix{
		MixRequest: jobs.MixRequest{Solution: solution, Preparation: preparation, VolumeML: ml},
	})
	l.must(err)
	return mix
}

// leftOf is what is left of a mix, in mL.
func (l *testLab) leftOf(id jobs.MixID) float64 {
	l.t.Helper()
	found, err := mixes(context.Background(), l.db.pool, "WHERE m.id = $1", int64(id))
	l.must(err)
	return found[0].LeftML
}

// wasted is what all containers hold, in mL.
func (l *testLab) wasted() float64 {
	l.t.Helper()
	all, err := containers(context.Background(), l.db.pool)
	l.must(err)
	held := 0.0
	for _, c := range all {
		held += c.HoldsML
	}
	return held
}

// finished runs a colour batch of n rolls on a line to its end.
func (l *testLab) finished(line jobs.LineID, n int) jobs.Batch {
	l.t.Helper()
	rolls := make([]jobs.NewRoll, n)
	for i := range rolls {
		rolls[i] = newRoll(sedge160)
	}
	b := l.started(l.accepted(line, l.queued(rolls...)...))
	b, err := l.batches.Finish(context.Background(), ada, b.ID, b.Version, nil)
	l.must(err)
	return b
}

// open lists the doses that nobody has confirmed.
func (l *testLab) open() []jobs.Dose {
	l.t.Helper()
	open, err := NewDoseStore(l.db).Doses(context.Background(), jobs.DoseQuery{Open: true, Limit: 500})
	l.must(err)
	return open
}

func near(a, b float64) bool { return math.Abs(a-b) < 1e-6 }

func TestADoseIsConfirmedOnce(t *testing.T) {
	t.Parallel()
	lab, ctx := newLab(t), context.Background()
	lab.replenishing()
	doses := NewDoseStore(lab.db)
	fill, mix := lab.poured(c41Developer, drum, 1000), lab.mixed(c41Developer, jobs.ReplenisherMixture, 500)
	b := lab.finished(drum, 3)
	open := lab.open()
	if len(open) != 1 || open[0].Batch != b.ID || open[0].Fill != fill.ID || !near(open[0].CalledML, 3*rollML) || open[0].Given != nil {
		t.Fatalf("open: %+v", open)
	}
	id := open[0].ID
	_, err := doses.ConfirmDose(ctx, ada, id, jobs.Confirmation{ML: 135, Mix: 99})
	wantCode(t, err, jobs.NotFound)
	_, err = doses.ConfirmDose(ctx, ada, id, jobs.Confirmation{ML: 50})
	wantCode(t, err, jobs.Invalid)
	_, err = doses.ConfirmDose(ctx, ada, 1, jobs.Confirmation{ML: 50, Why: "the fill itself"})
	wantCode(t, err, jobs.NotFound)
	lab.clock.advance(time.Minute)
	given, err := doses.ConfirmDose(ctx, ada, id, jobs.Confirmation{ML: 120, Mix: mix.ID})
	lab.must(err)
	if g := given.Given; g == nil || g.ML != 120 || g.By != "Ada" || g.Mix != mix.ID || !g.At.Equal(fixtureStart.Add(time.Minute)) || !near(given.MissingML(), 15) {
		t.Errorf("given: %+v", given.Given)
	}
	_, err = doses.ConfirmDose(ctx, ada, id, jobs.Confirmation{ML: 120})
	wantCode(t, err, jobs.WrongState)
	if !strings.Contains(err.Error(), "confirmed already by Ada") {
		t.Error(err)
	}
	fill, ledger, err := lab.fills.Fill(ctx, fill.ID)
	lab.must(err)
	state, err := fill.State(lab.readCatalogue().Solutions[c41Developer], ledger, fixtureStart.Add(time.Minute))
	lab.must(err)
	if !near(state.ReplenisherDueML, 15) || !near(fill.NowML, 1000) || !near(fill.AddedML, 120) || !near(lab.leftOf(mix.ID), 380) || !near(lab.wasted(), 120) {
		t.Errorf("due %g, in it %g, added %g, left of the mix %g, wasted %g", state.ReplenisherDueML, fill.NowML, fill.AddedML, lab.leftOf(mix.ID), lab.wasted())
	}
	if len(lab.open()) != 0 || lab.count("SELECT count(*) FROM events WHERE kind = 'replenish' AND batch_id = $1", int64(b.ID)) != 1 {
		t.Error("the dose is open still, or the record does not tell of it once")
	}
	of, err := doses.Doses(ctx, jobs.DoseQuery{Batch: b.ID, Fill: fill.ID, Limit: 1})
	lab.must(err)
	if len(of) != 1 || of[0].Given == nil {
		t.Errorf("of the batch: %+v", of)
	}
	_, err = doses.Doses(ctx, jobs.DoseQuery{Limit: 501})
	wantCode(t, err, jobs.Invalid)
}

// A one-shot developer is mixed for its load and goes to waste with it.
func TestAOneShotDeveloperIsConfirmed(t *testing.T) {
	t.Parallel()
	lab, ctx := newLab(t), context.Background()
	lab.replenishing()
	mix := lab.mixed(pqFine, jobs.Working, 1000)
	roll := newRoll(marl400)
	roll.Solution = pqFine
	b := lab.accepted(handTanks, lab.queued(roll, roll)...)
	sheet, err := lab.batches.RunSheet(ctx, b.ID)
	lab.must(err)
	if len(sheet.Doses) != 1 || !near(sheet.Doses[0].CalledML, 500) || sheet.Doses[0].Preparation() != jobs.Working {
		t.Errorf("the sheet says to mix %+v", sheet.Doses)
	}
	b, err = lab.batches.Start(ctx, ada, b.ID, jobs.BatchStart{DeveloperC: warmBW})
	lab.must(err)
	_, err = lab.batches.Finish(ctx, ada, b.ID, 0, nil)
	lab.must(err)
	open := lab.open()
	if len(open) != 1 || open[0].Solution != pqFine || open[0].Fill != 0 {
		t.Fatalf("open: %+v", open)
	}
	_, err = NewDoseStore(lab.db).ConfirmDose(ctx, ada, open[0].ID, jobs.Confirmation{ML: 600, Mix: mix.ID})
	lab.must(err)
	if !near(lab.leftOf(mix.ID), 400) || !near(lab.wasted(), 600) || len(lab.open()) != 0 {
		t.Errorf("%g mL are left, %g mL are waste", lab.leftOf(mix.ID), lab.wasted())
	}
}

// What film called for in a fill that is gone by then is settled by a note.
func TestADoseOfADumpedFill(t *testing.T) {
	t.Parallel()
	lab, ctx := newLab(t), context.Background()
	lab.replenishing()
	fill := lab.poured(c41Developer, drum, 1000)
	lab.finished(drum, 2)
	_, err := lab.fills.DumpFill(ctx, ada, fill.ID, jobs.Dump{Reason: "tired"})
	lab.must(err)
	lab.poured(c41Developer, drum, 1000)
	dose := lab.open()[0]
	if dose.DumpedAt.IsZero() {
		t.Error("nobody is told that the fill is gone")
	}
	_, err = NewDoseStore(lab.db).ConfirmDose(ctx, ada, dose.ID, jobs.Confirmation{ML: 90})
	wantCode(t, err, jobs.WrongState)
	_, err = NewDoseStore(lab.db).ConfirmDose(ctx, ada, dose.ID, jobs.Confirmation{Why: "dumped before"})
	lab.must(err)
	if left, _, err := lab.fills.Fill(ctx, fill.ID); err != nil || left.NowML != 0 || len(lab.open()) != 0 {
		t.Errorf("%g mL are in a dumped fill, %v", left.NowML, err)
	}
}

// Rolls that got wet before a batch was stopped call for their replenisher; dry
// ones do not.
func TestAStoppedBatchCallsForWhatGotWet(t *testing.T) {
	t.Parallel()
	lab, ctx := newLab(t), context.Background()
	lab.replenishing()
	lab.poured(c41Developer, drum, 1000)
	b := lab.started(lab.colourBatch(3))
	outcomes := lab.outcomes(b, jobs.Drying)
	outcomes[0].State, outcomes[1].State = jobs.Queued, jobs.Spoiled
	_, err := lab.batches.Stop(ctx, ada, b.ID, 0, "the lid jammed", outcomes)
	lab.must(err)
	if open := lab.open(); len(open) != 1 || open[0].Rolls != 2 || !near(open[0].CalledML, 2*rollML) {
		t.Errorf("open: %+v", open)
	}
}

func TestTwoConfirmOneDose(t *testing.T) {
	t.Parallel()
	lab := newLab(t)
	lab.replenishing()
	fill, mix := lab.poured(c41Developer, drum, 1000), lab.mixed(c41Developer, jobs.ReplenisherMixture, 500)
	lab.finished(drum, 2)
	dose := lab.open()[0]
	errs := lab.race(6, func(ctx context.Context, i int) error {
		_, err := NewDoseStore(lab.db).ConfirmDose(ctx, ada, dose.ID, jobs.Confirmation{ML: 90, Mix: mix.ID})
		return err
	})
	oneWins(t, errs, jobs.WrongState)
	after, _, err := lab.fills.Fill(context.Background(), fill.ID)
	lab.must(err)
	if after.AddedML != 90 || lab.leftOf(mix.ID) != 410 || lab.wasted() != 90 {
		t.Errorf("added %g, left %g, wasted %g", after.AddedML, lab.leftOf(mix.ID), lab.wasted())
	}
}

// Confirming and dumping exclude each other: what was poured is in the ledger
// before the dump, or nothing was poured.
func TestConfirmAgainstDump(t *testing.T) {
	t.Parallel()
	for range 8 {
		lab := newLab(t)
		lab.replenishing()
		fill := lab.poured(c41Developer, drum, 1000)
		lab.finished(drum, 2)
		dose := lab.open()[0]
		errs := lab.race(2, func(ctx context.Context, i int) error {
			if i == 0 {
				_, err := NewDoseStore(lab.db).ConfirmDose(ctx, ada, dose.ID, jobs.Confirmation{ML: 90})
				return err
			}
			_, err := lab.fills.DumpFill(ctx, ada, fill.ID, jobs.Dump{Reason: "tired"})
			return err
		})
		lab.must(errs[1])
		after, ledger, err := lab.fills.Fill(context.Background(), fill.ID)
		lab.must(err)
		poured := 0.0
		if errs[0] == nil {
			poured = 90
		} else {
			wantCode(t, errs[0], jobs.WrongState)
		}
		if after.NowML != 0 || after.AddedML != poured || ledger[len(ledger)-1].Kind != jobs.EntryDumped || lab.wasted() != 1000+poured {
			t.Errorf("%v: %g mL in it, %g added, %g wasted, last %s", errs[0], after.NowML, after.AddedML, lab.wasted(), ledger[len(ledger)-1].Kind)
		}
	}
}

package postgres

import (
	"context"
	"fmt"
	"testing"

	"github.com/google/go-cmp/cmp"

	"wetside/chemistry"
	"wetside/jobs"
)

func (l *testLab) readCatalogue() jobs.Catalogue {
	l.t.Helper()
	c, err := l.catalogue.Catalogue(context.Background())
	l.must(err)
	return c
}

func TestCatalogueIsReadAsItWasSaved(t *testing.T) {
	t.Parallel()
	lab, ctx := newLab(t), context.Background()
	c := lab.readCatalogue()
	if len(c.Stocks) != len(fixtureStocks()) || len(c.Solutions) != len(fixtureSolutions()) || len(c.Lines) != len(fixtureLines()) {
		t.Fatalf("%d stocks, %d solutions, %d lines", len(c.Stocks), len(c.Solutions), len(c.Lines))
	}
	for i, want := range fixtureSolutions() {
		got := c.Solutions[jobs.SolutionID(i+1)]
		want.ID, want.Version = got.ID, 1
		if diff := cmp.Diff(want, got); diff != "" {
			t.Errorf("%s:\n%s", want.Name, diff)
		}
	}
	for i, want := range fixtureStocks() {
		got := c.Stocks[jobs.StockID(i+1)]
		want.ID, want.Version = got.ID, 1
		for j := range want.Times {
			for k := range want.Times[j].PushRows {
				want.Times[j].PushRows[k].Source = chemistry.Source{Standing: chemistry.LabsOwn, Text: want.Times[j].Source}
			}
		}
		if diff := cmp.Diff(want, got); diff != "" {
			t.Errorf("%s:\n%s", want.Name, diff)
		}
	}
	for i, want := range fixtureLines() {
		got := c.Lines[jobs.LineID(i+1)]
		want.ID, want.Version = got.ID, 1
		if diff := cmp.Diff(want, got); diff != "" {
			t.Errorf("%s:\n%s", want.Name, diff)
		}
	}
	labs := c.Lab
	labs.Name, labs.TimeZone, labs.ReturnAddress, labs.ReadyHours = " Sallow Quay Film Lab", "Europe/Lisbon", "1 Quay", 48
	saved, err := lab.catalogue.SaveLab(ctx, ada, labs)
	lab.must(err)
	if got := lab.readCatalogue().Lab; cmp.Diff(saved, got) != "" || got.Name != "Sallow Quay Film Lab" || got.Version != 2 {
		t.Errorf("the lab is kept as %+v", got)
	}
}

func TestSavesAreGuardedByVersions(t *testing.T) {
	t.Parallel()
	lab, ctx := newLab(t), context.Background()
	c := lab.readCatalogue()
	stock, solution, line, labs := c.Stocks[marl400], c.Solutions[mqBorax], c.Lines[drum], c.Lab
	stock.Times, line.Takes = stock.Times[:1], map[chemistry.Format]int{chemistry.Format4x5: 2}
	for round, want := range []jobs.Code{"", jobs.Stale} {
		_, err1 := lab.catalogue.SaveStock(ctx, ada, stock)
		_, err2 := lab.catalogue.SaveSolution(ctx, ada, solution)
		_, err3 := lab.catalogue.SaveLine(ctx, ada, line)
		_, err4 := lab.catalogue.SaveLab(ctx, ada, labs)
		for i, err := range []error{err1, err2, err3, err4} {
			if jobs.CodeOf(err) != want || (err == nil) != (want == "") {
				t.Errorf("round %d, save %d: %v, want %q", round, i, err, want)
			}
		}
	}
	c = lab.readCatalogue()
	if got := c.Stocks[marl400]; len(got.Times) != 1 || got.Version != 2 {
		t.Errorf("the stock has %d sets of times at version %d", len(got.Times), got.Version)
	}
	if diff := cmp.Diff(line.Takes, c.Lines[drum].Takes); diff != "" {
		t.Error(diff)
	}
}

func TestCatalogueNamesAreUnique(t *testing.T) {
	t.Parallel()
	lab, ctx := newLab(t), context.Background()
	c := lab.readCatalogue()
	stock, solution, line := c.Stocks[sedge160], c.Solutions[pqFine], c.Lines[drum]
	stock.ID, solution.ID, line.ID = 0, 0, 0
	stock.Name, solution.Name, line.Name = "SEDGE 160", "pq FINE grain 1+4", "DRUM"
	_, err := lab.catalogue.SaveStock(ctx, ada, stock)
	wantCode(t, err, jobs.Duplicate)
	_, err = lab.catalogue.SaveSolution(ctx, ada, solution)
	wantCode(t, err, jobs.Duplicate)
	_, err = lab.catalogue.SaveLine(ctx, ada, line)
	wantCode(t, err, jobs.Duplicate)
	stock.Name, stock.Film.Remjet = "Sedge 160 cine", chemistry.RemjetPresent
	_, err = lab.catalogue.SaveStock(ctx, ada, stock)
	wantCode(t, err, jobs.Invalid)
	if got := lab.readCatalogue(); cmp.Diff(c, got) != "" {
		t.Errorf("something was kept:\n%s", cmp.Diff(c, got))
	}
}

func TestTestedTimesAreReplaced(t *testing.T) {
	t.Parallel()
	lab, ctx := newLab(t), context.Background()
	save := func(process chemistry.Process, times ...chemistry.PushTime) error {
		return lab.catalogue.SaveTested(ctx, ada, process, times)
	}
	own := func(push chemistry.Stops, seconds int) chemistry.PushTime {
		return chemistry.PushTime{Push: push * chemistry.Stop, Seconds: seconds, Source: chemistry.Source{Standing: chemistry.LabsOwn, Text: "strips of May"}}
	}
	lab.must(save(chemistry.E6, own(3, 900)))
	lab.must(save(chemistry.C41, own(1, 220), own(2, 250)))
	lab.must(save(chemistry.C41, own(1, 230)))
	wantCode(t, save(chemistry.C41, own(1, 100)), jobs.Invalid)
	want := []jobs.TestedTime{{Process: chemistry.C41, PushTime: own(1, 230)}, {Process: chemistry.E6, PushTime: own(3, 900)}}
	if diff := cmp.Diff(want, lab.readCatalogue().Tested); diff != "" {
		t.Error(diff)
	}
	lab.must(save(chemistry.E6))
	if got := lab.readCatalogue().Tested; len(got) != 1 {
		t.Errorf("%d tested times are left, want 1", len(got))
	}
}

// Whoever decides on the catalogue keeps it as it is until the decision is
// kept; a save waits for that.
func TestADecisionSeesOneCatalogue(t *testing.T) {
	t.Parallel()
	lab, ctx := newLab(t), context.Background()
	stock := lab.readCatalogue().Stocks[sedge160]
	stock.Active = false
	saved := make(chan error, 1)
	lab.must(lab.db.withTx(ctx, func(t tx) error {
		before, err := t.catalogue(ctx)
		if err != nil {
			return err
		}
		go func() {
			_, err := lab.catalogue.SaveStock(ctx, ada, stock)
			saved <- err
		}()
		// The save has to be waiting before the catalogue is read again.
		for waiting := 0; waiting == 0; {
			select {
			case err := <-saved:
				return fmt.Errorf("the save did not wait for the decision: %w", err)
			default:
			}
			waiting = lab.count(`SELECT count(*) FROM pg_locks WHERE locktype = 'advisory' AND NOT granted
				AND database = (SELECT oid FROM pg_database WHERE datname = current_database())`)
		}
		after, err := t.catalogue(ctx)
		if diff := cmp.Diff(before, after); diff != "" {
			lab.t.Errorf("the catalogue changed under a decision:\n%s", diff)
		}
		return err
	}))
	lab.must(<-saved)
	if lab.readCatalogue().Stocks[sedge160].Active {
		t.Error("the save that waited is lost")
	}
}

// When the lab learns that a stock carries remjet after all, its rolls leave
// the queue, and none of them is in a batch.
func TestRollsFollowTheirStock(t *testing.T) {
	t.Parallel()
	lab, ctx := newLab(t), context.Background()
	rolls := lab.queued(newRoll(sedge160), newRoll(sedge160), newRoll(sedge640))
	stock := lab.readCatalogue().Stocks[sedge160]
	stock.Film.Remjet = chemistry.RemjetUnknown
	batch, err := lab.batches.Accept(ctx, ada, jobs.BatchDraft{Line: dipAndDunk, Rolls: []jobs.RollID{rolls[0].ID}})
	lab.must(err)
	_, err = lab.catalogue.SaveStock(ctx, ada, stock)
	wantCode(t, err, jobs.Refused)
	if now := lab.readCatalogue().Stocks[sedge160]; now.Film.Remjet != chemistry.RemjetNone || lab.roll(rolls[1].ID).State != jobs.Queued {
		t.Errorf("a refused save left traces: %+v", now)
	}
	_, err = lab.batches.CancelBatch(ctx, ada, batch.ID, batch.Version, "the stock is in doubt")
	lab.must(err)
	_, err = lab.catalogue.SaveStock(ctx, ada, stock)
	lab.must(err)
	for i, want := range []jobs.RollState{jobs.Held, jobs.Held, jobs.Queued} {
		if now := lab.roll(rolls[i].ID); now.State != want {
			t.Errorf("roll %d of the order is %s (%s), want %s", i+1, now.State, now.Question, want)
		}
	}
}

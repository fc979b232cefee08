package postgres

import (
	"context"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"wetside/jobs"
)

func TestPourAndDump(t *testing.T) {
	t.Parallel()
	lab, ctx := newLab(t), context.Background()
	fill := lab.poured(mqBorax, handTanks, 1000)
	if fill.SolutionName != "MQ borax" || fill.LineName != "Hand tanks" || !fill.FilledAt.Equal(fixtureStart) || fill.Rolls != 0 {
		t.Errorf("got %+v", fill)
	}
	for _, test := range []struct {
		solution jobs.SolutionID
		line     jobs.LineID
		volume   int
		want     jobs.Code
	}{
		{mqBorax, handTanks, 1000, jobs.WrongState}, // still full
		{mqBorax, drum, 0, jobs.Invalid},
		{99, drum, 1000, jobs.Invalid},
		{mqBorax, dipAndDunk, 1000, jobs.Refused},
	} {
		_, err := lab.fills.PourFill(ctx, ada, jobs.Pour{Solution: test.solution, Line: test.line, VolumeML: test.volume})
		wantCode(t, err, test.want)
	}
	_, err := lab.fills.DumpFill(ctx, ada, fill.ID, jobs.Dump{Reason: ""})
	wantCode(t, err, jobs.Invalid)
	lab.clock.advance(time.Hour)
	dumped, err := lab.fills.DumpFill(ctx, ada, fill.ID, jobs.Dump{Reason: " exhausted "})
	lab.must(err)
	if !dumped.DumpedAt.Equal(fixtureStart.Add(time.Hour)) || dumped.DumpReason != "exhausted" {
		t.Errorf("got %+v", dumped)
	}
	_, err = lab.fills.DumpFill(ctx, ada, fill.ID, jobs.Dump{Reason: "again"})
	wantCode(t, err, jobs.WrongState)
	_, err = lab.fills.DumpFill(ctx, ada, 99, jobs.Dump{Reason: "again"})
	wantCode(t, err, jobs.NotFound)
	lab.poured(mqBorax, handTanks, 1000)
	if n := lab.count("SELECT count(*) FROM events WHERE fill_id = $1", int64(fill.ID)); n != 2 {
		t.Errorf("the record tells %d times of the fill, want pour and dump", n)
	}
}

func TestAFillInUseIsNotDumped(t *testing.T) {
	t.Parallel()
	lab, ctx := newLab(t), context.Background()
	fill, other := lab.poured(c41Developer, drum, 1000), lab.poured(mqBorax, drum, 1000)
	b := lab.started(lab.colourBatch(1))
	_, err := lab.fills.DumpFill(ctx, ada, fill.ID, jobs.Dump{Reason: "tired"})
	wantCode(t, err, jobs.WrongState)
	_, err = lab.fills.DumpFill(ctx, ada, other.ID, jobs.Dump{Reason: "tired"}) // no colour film is in it
	lab.must(err)
	_, err = lab.batches.Finish(ctx, ada, b.ID, 0, nil)
	lab.must(err)
	_, err = lab.fills.DumpFill(ctx, ada, fill.ID, jobs.Dump{Reason: "tired"})
	lab.must(err)
}

func TestTheListOfFills(t *testing.T) {
	t.Parallel()
	lab, ctx := newLab(t), context.Background()
	dump := func(solution jobs.SolutionID, line jobs.LineID) jobs.FillID {
		fill := lab.poured(solution, line, 500)
		_, err := lab.fills.DumpFill(ctx, ada, fill.ID, jobs.Dump{Reason: "tired"})
		lab.must(err)
		return fill.ID
	}
	dump(mqBorax, drum)
	lab.clock.advance(40 * 24 * time.Hour)
	lately := dump(mqBorax, handTanks)
	lab.clock.advance(time.Hour)
	last := dump(mqBorax, drum)
	inUse := lab.poured(c41Developer, dipAndDunk, 9000).ID
	found, err := lab.fills.Fills(ctx)
	lab.must(err)
	want := []jobs.FillID{inUse, last, lately}
	if len(found) != len(want) {
		t.Fatalf("got %+v", found)
	}
	for i, fill := range found {
		if fill.ID != want[i] {
			t.Errorf("fill %d stands in place %d, want %d", fill.ID, i, want[i])
		}
	}
	_, _, err = lab.fills.Fill(ctx, 99)
	wantCode(t, err, jobs.NotFound)
}

func TestLedgersTellWhatWentThroughWhichFill(t *testing.T) {
	t.Parallel()
	lab, ctx := newLab(t), context.Background()
	first, second := lab.poured(c41Developer, drum, 1000), lab.poured(mqBorax, drum, 1000)
	for range 2 {
		b := lab.started(lab.colourBatch(1))
		_, err := lab.batches.Finish(ctx, ada, b.ID, 0, nil)
		lab.must(err)
	}
	ledgers, err := lab.fills.Ledgers(ctx, []jobs.FillID{first.ID, second.ID, 99})
	lab.must(err)
	_, alone, err := lab.fills.Fill(ctx, first.ID)
	lab.must(err)
	_, other, err := lab.fills.Fill(ctx, second.ID)
	lab.must(err)
	want := map[jobs.FillID][]jobs.Entry{first.ID: alone, second.ID: other}
	if diff := cmp.Diff(want, ledgers); diff != "" || len(jobs.FilmThrough(alone)) != 2 || len(jobs.FilmThrough(other)) != 0 {
		t.Errorf("%d entries on its own page\n%s", len(alone), diff)
	}
	if none, err := lab.fills.Ledgers(ctx, nil); err != nil || len(none) != 0 {
		t.Errorf("of no fills: %v, %v", none, err)
	}
}

package postgres

import (
	"context"
	"testing"

	"github.com/google/go-cmp/cmp"

	"wetside/chemistry"
	"wetside/jobs"
)

func TestTheRunSheetOfEachPush(t *testing.T) {
	t.Parallel()
	lab, ctx := newLab(t), context.Background()
	for _, test := range []struct {
		source string
		line   jobs.LineID
		roll   jobs.NewRoll
		want   string
	}{
		{"Kodak Z-131, table 2-1", drum, newRoll(sedge160), "3:15"},
		{"Kodak TI-2420, push table; Z-131, table 2-7", drum, pushed(sedge160, 1), "3:45"},
		{"Kodak Z-131, table 2-7", dipAndDunk, pushed(sedge160, 2), "4:15"},
		{"Kodak H-24, module 7", cineMachine, newRoll(reedmace), "3:00"},
		{"HARMAN sheet, July 2004, p. 3", handTanks, newRoll(marl400), "7:30"},
		{"HARMAN sheet, July 2004, p. 3", handTanks, pushed(marl400, 1), "10:30"},
	} {
		b := lab.accepted(test.line, lab.queued(test.roll)...)
		sheet, err := lab.batches.RunSheet(ctx, b.ID)
		lab.must(err)
		for _, step := range sheet.Cycle.Steps {
			if got := chemistry.FormatClock(step.Seconds); step.Develop && got != test.want {
				t.Errorf("%s: the sheet says %s, want %s", test.source, got, test.want)
			}
		}
		if sheet.Batch.Rolls[0].TwinCheck == "" || sheet.Cautions[len(sheet.Cautions)-1] != chemistry.Deferral {
			t.Errorf("the sheet holds %+v", sheet)
		}
	}
	_, err := lab.batches.RunSheet(ctx, 999)
	wantCode(t, err, jobs.NotFound)
}

// Once started, the sheet stays as it was, whatever becomes of the catalogue;
// only how the batch stands and what was measured is added.
func TestTheRunSheetIsFrozenAtTheStart(t *testing.T) {
	t.Parallel()
	lab, ctx := newLab(t), context.Background()
	lab.poured(mqBorax, handTanks, 1000)
	b := lab.accepted(handTanks, lab.queued(pushed(marl400, 1), newRoll120(pushed(marl400, 1)))...)
	planned, err := lab.batches.RunSheet(ctx, b.ID)
	lab.must(err)
	started, err := lab.batches.Start(ctx, ada, b.ID, jobs.BatchStart{Version: b.Version, DeveloperC: warmBW})
	lab.must(err)
	running, err := lab.batches.RunSheet(ctx, b.ID)
	lab.must(err)
	if diff := cmp.Diff(planned.Development, running.Development); diff != "" {
		t.Errorf("the start changed the development: %s", diff)
	}
	if diff := cmp.Diff(planned.Cycle, running.Cycle); diff != "" {
		t.Errorf("the start changed the cycle: %s", diff)
	}
	if running.Batch.Version != started.Version || len(running.Readings) != 1 || running.Readings[0].TempC != warmBW {
		t.Errorf("got version %d and readings %+v", running.Batch.Version, running.Readings)
	}

	lab.exec("UPDATE stock_times SET seconds = seconds * 2")
	lab.exec("UPDATE solutions SET name = 'changed ' || id, temp_c = 24")
	lab.exec("UPDATE lines SET name = 'changed ' || id, turnaround_seconds = 1, rotary = true")
	lab.must(lab.batches.TakeReading(ctx, ada, b.ID, jobs.Reading{Step: "stop", TempC: 20.5}))
	finished, err := lab.batches.Finish(ctx, ada, b.ID, 0, nil)
	lab.must(err)

	want := running
	want.Batch.State, want.Batch.Version, want.Batch.EndedAt = jobs.BatchFinished, finished.Version, finished.EndedAt
	want.Readings = append(want.Readings, jobs.Reading{At: fixtureStart, By: "Ada", Step: "stop", TempC: 20.5})
	got, err := lab.batches.RunSheet(ctx, b.ID)
	lab.must(err)
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("the sheet changed: %s", diff)
	}
}

// newRoll120 makes a roll one of 120.
func newRoll120(roll jobs.NewRoll) jobs.NewRoll {
	roll.Format, roll.Exposures = chemistry.Format120, 12
	return roll
}

package postgres

import (
	"context"
	"testing"

	"wetside/jobs"
)

// oneWins fails the test unless exactly one call went through and every other
// was told so with one of the codes.
func oneWins(t *testing.T, errs []error, codes ...jobs.Code) {
	t.Helper()
	won := 0
	for _, err := range errs {
		if err == nil {
			won++
			continue
		}
		told := false
		for _, code := range codes {
			told = told || jobs.CodeOf(err) == code
		}
		if !told {
			t.Errorf("the loser was told %v", err)
		}
	}
	if won != 1 {
		t.Errorf("%d of %d went through, want one", won, len(errs))
	}
}

func TestTwoAcceptTheSameRolls(t *testing.T) {
	t.Parallel()
	lab := newLab(t)
	rolls := lab.queued(newRoll(sedge160), newRoll(sedge160), newRoll(sedge160))
	lines := []jobs.LineID{drum, dipAndDunk}
	backwards := []jobs.Roll{rolls[2], rolls[1], rolls[0]}
	errs := lab.race(6, func(ctx context.Context, i int) error {
		d := draft(lines[i%2], rolls...)
		if i%3 == 0 {
			d = draft(lines[i%2], backwards...)
		}
		_, err := lab.batches.Accept(ctx, ada, d)
		return err
	})
	oneWins(t, errs, jobs.Stale)
	if n := lab.count("SELECT count(*) FROM batches"); n != 1 {
		t.Errorf("%d batches were made", n)
	}
}

// Batches that are made for a line at once are planned one behind the other.
func TestTwoAcceptForOneLine(t *testing.T) {
	t.Parallel()
	lab := newLab(t)
	rolls := lab.queued(newRoll(sedge160), newRoll(sedge160), newRoll(sedge160), newRoll(sedge160))
	lab.atOnce(len(rolls), func(ctx context.Context, i int) error {
		_, err := lab.batches.Accept(ctx, ada, draft(drum, rolls[i]))
		return err
	})
	if n := lab.count("SELECT count(DISTINCT planned_start) FROM batches"); n != len(rolls) {
		t.Errorf("%d batches have %d planned starts between them", len(rolls), n)
	}
}

func TestTwoStartOnOneLine(t *testing.T) {
	t.Parallel()
	lab := newLab(t)
	waiting := []jobs.Batch{lab.colourBatch(2), lab.colourBatch(2)}
	errs := lab.race(2, func(ctx context.Context, i int) error {
		_, err := lab.batches.Start(ctx, ada, waiting[i].ID, jobs.BatchStart{Version: waiting[i].Version, DeveloperC: warmC41})
		return err
	})
	oneWins(t, errs, jobs.WrongState)
	if n := lab.count("SELECT count(*) FROM rolls WHERE state = 'developing'"); n != 2 {
		t.Errorf("%d rolls are developing, want the 2 of one batch", n)
	}
}

func TestTwoFinishOneBatch(t *testing.T) {
	t.Parallel()
	for _, knows := range []bool{true, false} { // whether they say which version they saw
		lab := newLab(t)
		fill := lab.poured(c41Developer, drum, 1000)
		b := lab.started(lab.colourBatch(2))
		version := 0
		if knows {
			version = b.Version
		}
		errs := lab.race(4, func(ctx context.Context, i int) error {
			_, err := lab.batches.Finish(ctx, ada, b.ID, version, nil)
			return err
		})
		oneWins(t, errs, jobs.Stale, jobs.WrongState)
		_, ledger, err := lab.fills.Fill(context.Background(), fill.ID)
		lab.must(err)
		if film := jobs.FilmThrough(ledger); len(film) != 1 || film[0].Rolls != 2 {
			t.Errorf("the ledger holds %+v, want one entry of 2 rolls", film)
		}
	}
}

// Rolls that cross between two batches, while both are started and dumped into,
// neither lock up nor get lost.
func TestCrossingMovesDoNotLockUp(t *testing.T) {
	t.Parallel()
	lab := newLab(t)
	a, b := lab.colourBatch(2), lab.colourBatch(2)
	errs := lab.race(8, func(ctx context.Context, i int) error {
		switch i {
		case 0, 1:
			return lab.batches.MoveRolls(ctx, ada, []jobs.SeenRoll{{ID: a.Rolls[i].ID}}, b.ID)
		case 2, 3:
			return lab.batches.MoveRolls(ctx, ada, []jobs.SeenRoll{{ID: b.Rolls[i-2].ID}}, a.ID)
		case 4, 5:
			return lab.batches.MoveRolls(ctx, ada, []jobs.SeenRoll{{ID: b.Rolls[i-4].ID}, {ID: a.Rolls[i-4].ID}}, 0)
		case 6:
			_, err := lab.batches.Lock(ctx, ada, a.ID, 0)
			return err
		}
		_, err := lab.batches.CancelBatch(ctx, ada, b.ID, 0, "crossed")
		return err
	})
	for i, err := range errs {
		if code := jobs.CodeOf(err); err != nil && code != jobs.Stale && code != jobs.WrongState && code != jobs.Refused {
			t.Errorf("call %d: %v", i, err)
		}
	}
	lab.checkInvariants(t)
}

// Dumping a fill and starting in it exclude each other.
func TestDumpAgainstStart(t *testing.T) {
	t.Parallel()
	lab := newLab(t)
	fill := lab.poured(mqBorax, handTanks, 1000)
	b := lab.accepted(handTanks, lab.queued(newRoll(marl400))...)
	errs := lab.race(2, func(ctx context.Context, i int) error {
		if i == 0 {
			_, err := lab.batches.Start(ctx, ada, b.ID, jobs.BatchStart{DeveloperC: warmBW})
			return err
		}
		_, err := lab.fills.DumpFill(ctx, ada, fill.ID, jobs.Dump{Reason: "tired"})
		return err
	})
	oneWins(t, errs, jobs.Refused, jobs.WrongState)
}

package postgres

import (
	"context"
	"testing"

	"pgregory.net/rapid"

	"wetside/jobs"
)

// fatal is what both a test and a drawn example of one can do.
type fatal interface {
	Helper()
	Fatalf(format string, args ...any)
}

const ledgerLaw = "every roll that went through the colour developer is in its ledger once"

// laws are queries that count what must never be.
var laws = map[string]string{
	"a batched roll is in exactly one open batch that has not started": `SELECT count(*) FROM rolls r WHERE r.state = 'batched' AND
		(SELECT count(*) FROM batch_rolls br JOIN batches b ON b.id = br.batch_id
			WHERE br.roll_id = r.id AND br.open AND b.state IN ('accepted', 'locked') AND b.id = r.batch_id) <> 1`,
	"a developing roll is in exactly one running batch": `SELECT count(*) FROM rolls r WHERE r.state = 'developing' AND
		(SELECT count(*) FROM batch_rolls br JOIN batches b ON b.id = br.batch_id
			WHERE br.roll_id = r.id AND br.open AND b.state = 'developing' AND b.id = r.batch_id) <> 1`,
	"no other roll is in an open batch": `SELECT count(*) FROM batch_rolls br JOIN rolls r ON r.id = br.roll_id
		WHERE br.open AND r.state NOT IN ('batched', 'developing')`,
	"a queued roll is in no batch at all": `SELECT count(*) FROM rolls WHERE state = 'queued' AND batch_id IS NOT NULL`,
	"an ended batch holds no roll open": `SELECT count(*) FROM batch_rolls br JOIN batches b ON b.id = br.batch_id
		WHERE br.open AND b.state IN ('finished', 'stopped', 'cancelled')`,
	"a roll knows the batch it went through": `SELECT count(*) FROM batch_rolls br JOIN rolls r ON r.id = br.roll_id
		WHERE r.batch_id IS DISTINCT FROM br.batch_id`,
	ledgerLaw: `SELECT count(*) FROM batches b WHERE b.process = 'C-41' AND
		(SELECT coalesce(sum(rolls), 0) FROM ledger WHERE batch_id = b.id) <>
		CASE WHEN b.state IN ('finished', 'stopped') THEN (SELECT count(*) FROM batch_rolls WHERE batch_id = b.id) ELSE 0 END`,
	"the area of the ledger is that of its rolls, of a unit each": `SELECT count(*) FROM ledger
		WHERE abs(area_m2 - rolls * 0.05161) > 1e-9`,
	"every state of a batch and roll is the last that was told of": `SELECT count(*) FROM batches b WHERE b.state <>
		(SELECT to_state FROM events WHERE batch_id = b.id AND roll_id IS NULL AND to_state <> '' ORDER BY id DESC LIMIT 1)`,
	"every roll's state is the last that was told of": `SELECT count(*) FROM rolls r WHERE r.state <>
		(SELECT to_state FROM events WHERE roll_id = r.id ORDER BY id DESC LIMIT 1)`,
}

// checkInvariants counts what breaks a law. What went through a line without a
// fill is in no ledger.
func (l *testLab) checkInvariants(t fatal) {
	t.Helper()
	poured := l.count("SELECT count(*) FROM fills") > 0
	for law, broken := range laws {
		if law == ledgerLaw && !poured {
			continue
		}
		if n := l.count(broken); n != 0 {
			t.Fatalf("%s, but %d are not so", law, n)
		}
	}
}

// Whatever people do, in whatever order, the laws hold; and nobody ever gets an
// answer that is not meant for people.
func TestLawsOfBatches(t *testing.T) {
	t.Parallel()
	lab := newLab(t)
	lab.poured(c41Developer, drum, 5000)
	rapid.Check(t, func(rt *rapid.T) {
		lab.endEverything()
		w := &shift{lab: lab}
		for _, roll := range lab.queued(newRoll(sedge160), newRoll(sedge160), pushed(sedge640, 1), newRoll(sedge640), newRoll(tealSlide)) {
			w.rolls = append(w.rolls, roll.ID)
		}
		for range rapid.IntRange(1, 25).Draw(rt, "steps") {
			err := w.step(rt)
			if err != nil && jobs.CodeOf(err) == "" {
				rt.Fatalf("not an answer for people: %v", err)
			}
			lab.checkInvariants(rt)
		}
	})
}

// endEverything ends what an example before has left open.
func (l *testLab) endEverything() {
	l.t.Helper()
	ctx := context.Background()
	open, err := openBatches(ctx, l.db.pool)
	l.must(err)
	for _, b := range open {
		if b.State == jobs.BatchDeveloping {
			_, err = l.batches.Finish(ctx, ada, b.ID, 0, nil)
		} else {
			_, err = l.batches.CancelBatch(ctx, ada, b.ID, 0, "the end of the example")
		}
		l.must(err)
	}
}

// shift is somebody at work, who tries whatever comes to mind.
type shift struct {
	lab     *testLab
	rolls   []jobs.RollID
	batches []jobs.BatchID
}

func (s *shift) step(rt *rapid.T) error {
	ctx, store := context.Background(), s.lab.batches
	roll := func() jobs.RollID { return rapid.SampledFrom(s.rolls).Draw(rt, "roll") }
	batch := func() jobs.BatchID {
		return rapid.SampledFrom(append([]jobs.BatchID{0}, s.batches...)).Draw(rt, "batch")
	}
	act := rapid.SampledFrom([]string{"accept", "accept", "move", "move", "start", "start", "finish", "stop", "lock", "unlock", "cancel", "spoil"}).Draw(rt, "act")
	var err error
	switch act {
	case "accept":
		rolls := rapid.SliceOfNDistinct(rapid.SampledFrom(s.rolls), 1, 3, rapid.ID[jobs.RollID]).Draw(rt, "rolls")
		var b jobs.Batch
		if b, err = store.Accept(ctx, ada, jobs.BatchDraft{Line: drum, Rolls: rolls}); err == nil {
			s.batches = append(s.batches, b.ID)
		}
	case "move":
		var seen []jobs.SeenRoll
		for _, id := range rapid.SliceOfNDistinct(rapid.SampledFrom(s.rolls), 1, 3, rapid.ID[jobs.RollID]).Draw(rt, "rolls") {
			seen = append(seen, jobs.SeenRoll{ID: id})
		}
		err = store.MoveRolls(ctx, ada, seen, batch())
	case "start":
		_, err = store.Start(ctx, ada, batch(), jobs.BatchStart{DeveloperC: rapid.SampledFrom([]float64{37.8, 37.8, 38.0}).Draw(rt, "°C")})
	case "finish":
		_, err = store.Finish(ctx, ada, batch(), 0, s.outcomes(rt, jobs.Drying, jobs.Spoiled))
	case "stop":
		_, err = store.Stop(ctx, ada, batch(), 0, "by the test", s.outcomes(rt, jobs.Drying, jobs.Spoiled, jobs.Queued))
	case "lock":
		_, err = store.Lock(ctx, ada, batch(), 0)
	case "unlock":
		_, err = store.Unlock(ctx, ada, batch(), 0)
	case "cancel":
		_, err = store.CancelBatch(ctx, ada, batch(), 0, "by the test")
	case "spoil":
		_, err = s.lab.rolls.Spoil(ctx, ada, roll(), 0, "by the test")
	}
	return err
}

// outcomes says what became of the rolls of the running batch, if there is one.
func (s *shift) outcomes(rt *rapid.T, states ...jobs.RollState) []jobs.RollOutcome {
	running, err := rollViews(context.Background(), s.lab.db.pool, "WHERE r.state = 'developing' ORDER BY r.id")
	s.lab.must(err)
	var outcomes []jobs.RollOutcome
	for _, roll := range running {
		outcomes = append(outcomes, jobs.RollOutcome{Roll: roll.ID, State: rapid.SampledFrom(states).Draw(rt, "outcome"), Reason: "by the test"})
	}
	return outcomes
}

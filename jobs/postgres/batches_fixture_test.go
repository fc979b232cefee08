package postgres

import (
	"context"

	"wetside/chemistry"
	"wetside/jobs"
)

// Developer temperatures, in °C, at which film may go in.
const (
	warmC41 = 37.8 // Kodak Z-131, table 2-1
	warmBW  = 20.0
)

// draft is a batch of rolls on a line.
func draft(line jobs.LineID, rolls ...jobs.Roll) jobs.BatchDraft {
	d := jobs.BatchDraft{Line: line}
	for _, roll := range rolls {
		d.Rolls = append(d.Rolls, roll.ID)
	}
	return d
}

// accepted makes a batch of queued rolls.
func (l *testLab) accepted(line jobs.LineID, rolls ...jobs.Roll) jobs.Batch {
	l.t.Helper()
	b, err := l.batches.Accept(context.Background(), ada, draft(line, rolls...))
	l.must(err)
	return b
}

// colourBatch is an accepted batch of n new C-41 rolls on the drum.
func (l *testLab) colourBatch(n int) jobs.Batch {
	l.t.Helper()
	rolls := make([]jobs.NewRoll, n)
	for i := range rolls {
		rolls[i] = newRoll(sedge160)
	}
	return l.accepted(drum, l.queued(rolls...)...)
}

// started puts a colour batch into the chemistry.
func (l *testLab) started(b jobs.Batch) jobs.Batch {
	l.t.Helper()
	b, err := l.batches.Start(context.Background(), ada, b.ID, jobs.BatchStart{Version: b.Version, DeveloperC: warmC41})
	l.must(err)
	return b
}

// inState is a colour batch that was brought into a state.
func (l *testLab) inState(state jobs.BatchState) jobs.Batch {
	l.t.Helper()
	ctx, b := context.Background(), l.colourBatch(1)
	var err error
	switch state {
	case jobs.BatchAccepted:
	case jobs.BatchLocked:
		b, err = l.batches.Lock(ctx, ada, b.ID, b.Version)
	case jobs.BatchCancelled:
		b, err = l.batches.CancelBatch(ctx, ada, b.ID, b.Version, "not today")
	case jobs.BatchDeveloping:
		b = l.started(b)
	case jobs.BatchFinished:
		b = l.started(b)
		b, err = l.batches.Finish(ctx, ada, b.ID, b.Version, nil)
	case jobs.BatchStopped:
		b = l.started(b)
		b, err = l.batches.Stop(ctx, ada, b.ID, b.Version, "no water", l.outcomes(b, jobs.Drying))
	}
	l.must(err)
	return b
}

// outcomes says the same of every roll of a batch.
func (l *testLab) outcomes(b jobs.Batch, state jobs.RollState) []jobs.RollOutcome {
	outcomes := make([]jobs.RollOutcome, len(b.Rolls))
	for i, roll := range b.Rolls {
		outcomes[i] = jobs.RollOutcome{Roll: roll.ID, State: state, Reason: "by the test"}
	}
	return outcomes
}

// poured fills a line with a solution.
func (l *testLab) poured(solution jobs.SolutionID, line jobs.LineID, volumeML int) jobs.Fill {
	l.t.Helper()
	fill, err := l.fills.PourFill(context.Background(), ada, jobs.Pour{Solution: solution, Line: line, VolumeML: volumeML})
	l.must(err)
	return fill
}

// rollState is where a roll is now.
func (l *testLab) rollState(id jobs.RollID) jobs.RollState {
	l.t.Helper()
	roll, err := l.rolls.Roll(context.Background(), id)
	l.must(err)
	return roll.State
}

// withRemjet makes a queued C-41 roll one that was found to carry remjet, as if
// somebody had looked at it again.
func (l *testLab) withRemjet(roll jobs.Roll, remjet chemistry.Remjet) {
	l.t.Helper()
	l.exec("UPDATE rolls SET remjet = $2 WHERE id = $1", int64(roll.ID), string(remjet))
}

package demolab

import (
	"context"
	"time"

	"wetside/chemistry"
	"wetside/jobs"
)

// A demo day is the nine hours before the present hour of the clock, so that
// the last one is in full swing when somebody looks.
const dayHours = 9

// live works through the days up to now, an hour at a time.
func (l *lab) live(ctx context.Context) error {
	taken := 0
	for day := days; day >= 0; day-- {
		for hour := dayHours; hour >= 0; hour-- {
			at := l.now.AddDate(0, 0, -day).Add(-time.Duration(hour) * time.Hour)
			l.clock.Set(at)
			for ; taken < l.takenBy(day, hour); taken++ {
				if _, _, err := l.Orders.Submit(ctx, jobs.Customer, l.order(taken), ""); err != nil {
					return err
				}
			}
			if err := l.hour(ctx, at, hour); err != nil {
				return err
			}
		}
	}
	if err := l.lastMinutes(ctx); err != nil {
		return err
	}
	if err := l.inspect(ctx); err != nil {
		return err
	}
	if err := l.takeFile(ctx); err != nil {
		return err
	}
	return l.foretell(ctx, l.now)
}

// takenBy is how many orders have come in by an hour of a day; they come in
// evenly.
func (l *lab) takenBy(day, hour int) int {
	const hours = (days + 1) * (dayHours + 1)
	passed := (days-day)*(dayHours+1) + dayHours - hour + 1
	return orders * passed / hours
}

// hour is what staff do in an hour of a working day.
func (l *lab) hour(ctx context.Context, at time.Time, hour int) error {
	steps := []func(context.Context, time.Time) error{l.finishBatches, l.pourDoses, l.freshen, l.dryAndFinish, l.handOver, l.answerQuestions, l.unpack}
	if hour%2 == 0 {
		steps = append(steps, l.plan)
	}
	steps = append(steps, l.runStrips, l.startBatches, l.haul)
	if hour == dayHours {
		steps = append(steps, l.foretell)
	}
	for _, step := range steps {
		if err := step(ctx, at); err != nil {
			return err
		}
	}
	return nil
}

// rolls lists the rolls in a state that have been in it for a while.
func (l *lab) rolls(ctx context.Context, state jobs.RollState, at time.Time, wait time.Duration) ([]jobs.RollView, error) {
	all, err := l.Rolls.Rolls(ctx, jobs.RollQuery{States: []jobs.RollState{state}, Limit: 500})
	if err != nil {
		return nil, err
	}
	var waited []jobs.RollView
	for _, roll := range all {
		if !roll.Since.Add(wait).After(at) {
			waited = append(waited, roll)
		}
	}
	return waited, nil
}

// unpackedAtATime is how many rolls staff get through in an hour, so that the
// work of a day comes little by little.
const unpackedAtATime = 2

// inThePost is how long film is on its way to the lab.
const inThePost = 14 * time.Hour

// unpack checks in what the post brought.
func (l *lab) unpack(ctx context.Context, at time.Time) error {
	return l.unpackAfter(ctx, at, inThePost)
}

// unpackAfter checks in film that was ordered a while ago, the earliest due
// first. One roll in forty never comes.
func (l *lab) unpackAfter(ctx context.Context, at time.Time, wait time.Duration) error {
	expected, err := l.rolls(ctx, jobs.Expected, at, wait)
	if err != nil {
		return err
	}
	for _, roll := range expected[:min(unpackedAtATime, len(expected))] {
		if roll.ID%40 == 7 {
			if _, err := l.Rolls.Cancel(ctx, jobs.Customer, roll.ID, roll.Version, "The film is still in the camera."); err != nil {
				return err
			}
			continue
		}
		if err := l.checkIn(ctx, roll); err != nil {
			return err
		}
	}
	return nil
}

// checkIn finds in the parcel what was ordered.
func (l *lab) checkIn(ctx context.Context, roll jobs.RollView) error {
	_, err := l.Rolls.CheckIn(ctx, l.staff, jobs.CheckIn{
		Roll: roll.ID, Version: roll.Version, Stock: roll.Stock, Format: roll.Format, Exposures: roll.Exposures,
		Push: roll.Push, EI: roll.EI, Solution: roll.Solution,
	})
	return err
}

// answerQuestions settles what has been held for a day and a half.
func (l *lab) answerQuestions(ctx context.Context, at time.Time) error {
	held, err := l.rolls(ctx, jobs.Held, at, 36*time.Hour)
	if err != nil {
		return err
	}
	for _, roll := range held {
		push := min(max(roll.Push, 0), chemistry.Stop)
		_, err := l.Rolls.AnswerHold(ctx, l.staff, jobs.Answer{
			Roll: roll.ID, Version: roll.Version, Push: &push,
			Answer: "By telephone: develop it at " + push.String() + ", please.",
		})
		if err != nil {
			return err
		}
	}
	return nil
}

// plan accepts everything that the plan proposes.
func (l *lab) plan(ctx context.Context, _ time.Time) error {
	proposal, err := l.Batches.Propose(ctx)
	if err != nil {
		return err
	}
	for _, proposed := range proposal.Batches {
		draft := jobs.BatchDraft{Line: proposed.Line, PlannedStart: proposed.PlannedStart}
		for _, roll := range proposed.Rolls {
			draft.Rolls = append(draft.Rolls, roll.ID)
		}
		if _, err := l.Batches.Accept(ctx, l.staff, draft); err != nil {
			return err
		}
	}
	return nil
}

// startBatches starts the next batch of every line that stands idle.
func (l *lab) startBatches(ctx context.Context, _ time.Time) error {
	open, err := l.Batches.Batches(ctx, jobs.BatchQuery{Open: true, Limit: 100})
	if err != nil {
		return err
	}
	busy := map[jobs.LineID]bool{}
	for _, batch := range open {
		busy[batch.Line] = busy[batch.Line] || batch.State == jobs.BatchDeveloping
	}
	for i := len(open) - 1; i >= 0; i-- { // the oldest first
		batch := open[i]
		if busy[batch.Line] {
			continue
		}
		busy[batch.Line] = true
		if _, err := l.Batches.Start(ctx, l.staff, batch.ID, jobs.BatchStart{Version: batch.Version, DeveloperC: batch.TempC}); err != nil {
			return err
		}
		if err := l.readDeveloper(ctx, batch); err != nil {
			return err
		}
	}
	return nil
}

// readDeveloper takes the temperature of the developer.
func (l *lab) readDeveloper(ctx context.Context, batch jobs.Batch) error {
	sheet, err := l.Batches.RunSheet(ctx, batch.ID)
	if err != nil {
		return err
	}
	for _, step := range sheet.Cycle.Steps {
		if step.Develop {
			reading := jobs.Reading{Step: step.Name, TempC: batch.TempC, Note: "before the film went in"}
			return l.Batches.TakeReading(ctx, l.staff, batch.ID, reading)
		}
	}
	return nil
}

// finishBatches takes the film out of what has run for the better part of an
// hour. One roll in fifty comes out spoiled.
func (l *lab) finishBatches(ctx context.Context, at time.Time) error {
	open, err := l.Batches.Batches(ctx, jobs.BatchQuery{Open: true, Limit: 100})
	if err != nil {
		return err
	}
	for _, batch := range open {
		if batch.State != jobs.BatchDeveloping || batch.StartedAt.Add(45*time.Minute).After(at) {
			continue
		}
		var outcomes []jobs.RollOutcome
		for _, roll := range batch.Rolls {
			if roll.ID%50 == 11 {
				outcomes = append(outcomes, jobs.RollOutcome{
					Roll: roll.ID, State: jobs.Spoiled, Reason: "Two turns of the reel touched; four frames did not develop.",
				})
			}
		}
		if _, err := l.Batches.Finish(ctx, l.staff, batch.ID, batch.Version, outcomes); err != nil {
			return err
		}
	}
	return nil
}

// freshen pours a fresh fill where a reused solution has taken most of what it
// can.
func (l *lab) freshen(ctx context.Context, at time.Time) error {
	catalogue, err := l.Catalogue.Catalogue(ctx)
	if err != nil {
		return err
	}
	fills, err := l.Fills.Fills(ctx)
	if err != nil {
		return err
	}
	for _, fill := range fills {
		if !fill.DumpedAt.IsZero() {
			continue
		}
		_, ledger, err := l.Fills.Fill(ctx, fill.ID)
		if err != nil {
			return err
		}
		state, err := fill.State(catalogue.Solutions[fill.Solution], ledger, at)
		if err != nil {
			return err
		}
		if state.Verdict != chemistry.DueSoon && state.Verdict != chemistry.Exhausted {
			continue
		}
		if _, err := l.Fills.DumpFill(ctx, l.staff, fill.ID, jobs.Dump{Reason: "It has taken most of what it can."}); err != nil {
			return err
		}
		mix, err := l.mixFor(ctx, fill.Solution, jobs.Working, fill.VolumeML)
		if err != nil {
			return err
		}
		if _, err := l.Fills.PourFill(ctx, l.staff, jobs.Pour{
			Solution: fill.Solution, Line: fill.Line, VolumeML: fill.VolumeML, Mix: mix,
		}); err != nil {
			return err
		}
	}
	return nil
}

// dryAndFinish moves film along the dry side.
func (l *lab) dryAndFinish(ctx context.Context, at time.Time) error {
	for _, stage := range []struct {
		state jobs.RollState
		wait  time.Duration
	}{{jobs.Finishing, 2 * time.Hour}, {jobs.Drying, 2 * time.Hour}} {
		rolls, err := l.rolls(ctx, stage.state, at, stage.wait)
		if err != nil {
			return err
		}
		for _, roll := range rolls {
			if _, err := l.Rolls.Advance(ctx, l.staff, roll.ID, roll.Version); err != nil {
				return err
			}
		}
	}
	return nil
}

// handOver lets ready film leave after most of a day.
func (l *lab) handOver(ctx context.Context, at time.Time) error {
	ready, err := l.rolls(ctx, jobs.Ready, at, 16*time.Hour)
	if err != nil {
		return err
	}
	for _, roll := range ready {
		delivery := jobs.Delivery{Rolls: []jobs.RollID{roll.ID}, How: roll.Return}
		if delivery.How == jobs.Post {
			delivery.Tracking = "SQ" + roll.TwinCheck
		}
		if _, err := l.Rolls.Deliver(ctx, l.staff, delivery); err != nil {
			return err
		}
	}
	return nil
}

// lastMinutes leaves the lab in the middle of things: film over the counter
// accepted into batches that have not begun, some not yet planned, and one
// answer that settles nothing.
func (l *lab) lastMinutes(ctx context.Context) error {
	counter := func(ctx context.Context, at time.Time) error { return l.unpackAfter(ctx, at, 0) }
	for _, step := range []func(context.Context, time.Time) error{counter, counter, l.runStrips, l.plan, counter} {
		if err := step(ctx, l.now); err != nil {
			return err
		}
	}
	held, err := l.rolls(ctx, jobs.Held, l.now, 0)
	if err != nil || len(held) < 2 {
		return err
	}
	_, err = l.Rolls.AnswerHold(ctx, l.staff, jobs.Answer{
		Roll: held[0].ID, Version: held[0].Version, Answer: "She will look at her notebook and call back.",
	})
	return err
}

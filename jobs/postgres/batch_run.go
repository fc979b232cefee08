package postgres

import (
	"context"
	"encoding/json"
	"fmt"

	"wetside/jobs"
)

// Start puts a batch into the chemistry and keeps its run sheet as it is now.
func (s *BatchStore) Start(ctx context.Context, by jobs.Actor, id jobs.BatchID, start jobs.BatchStart) (jobs.Batch, error) {
	return s.changeBatch(ctx, id, start.Version, func(t tx, w jobs.WetSide, b jobs.Batch) (err error) {
		if w.Fills, err = t.lockFills(ctx, b.Line); err != nil {
			return err
		}
		if err := t.lookAt(ctx, &w, b); err != nil {
			return err
		}
		after, sheet, err := w.Start(b, start, t.now)
		if err != nil {
			return err
		}
		kept, err := json.Marshal(sheet)
		if err != nil {
			return fmt.Errorf("keep run sheet: %w", err)
		}
		moves, err := b.MoveRolls(jobs.Developing, "start", "")
		if err != nil {
			return err
		}
		if err := t.moveRolls(ctx, by, b.Rolls, moves); err != nil {
			return err
		}
		if err := t.saveBatch(ctx, b, after, kept); err != nil {
			return err
		}
		if err := t.addReading(ctx, by, id, sheet.Measured(start.DeveloperC)); err != nil {
			return err
		}
		if overridden := sheet.Overridden(); overridden != "" {
			if err := t.addEvents(ctx, jobs.Event{By: by, Kind: "override", Batch: id, Why: overridden}); err != nil {
				return err
			}
		}
		return t.tellOfBatch(ctx, by, b, after, "start")
	})
}

// lookAt reads what may speak against starting a batch: the ledgers of the
// fills in its line.
func (t tx) lookAt(ctx context.Context, w *jobs.WetSide, b jobs.Batch) (err error) {
	var inLine []jobs.FillID
	for _, fill := range w.Fills {
		if fill.Line == b.Line {
			inLine = append(inLine, fill.ID)
		}
	}
	w.Ledgers, err = ledgers(ctx, t, inLine)
	return err
}

// TakeReading records a temperature while the batch runs.
func (s *BatchStore) TakeReading(ctx context.Context, by jobs.Actor, id jobs.BatchID, reading jobs.Reading) error {
	return s.db.withTx(ctx, func(t tx) error {
		b, err := t.lockBatch(ctx, id)
		if err != nil {
			return err
		}
		sheet, err := t.keptSheet(ctx, id)
		if err != nil {
			return err
		}
		reading, err := sheet.CheckReading(b, reading)
		if err != nil {
			return err
		}
		return t.addReading(ctx, by, id, reading)
	})
}

func (t tx) addReading(ctx context.Context, by jobs.Actor, batch jobs.BatchID, r jobs.Reading) error {
	if _, err := t.Exec(ctx, "INSERT INTO readings (batch_id, at, by_name, step, temp_c, note) VALUES ($1, $2, $3, $4, $5, $6)",
		int64(batch), t.now, by.Name, r.Step, r.TempC, r.Note); err != nil {
		return fmt.Errorf("keep reading: %w", err)
	}
	return t.addEvents(ctx, jobs.Event{By: by, Kind: "reading", Batch: batch, Why: fmt.Sprintf("%s at %g °C", r.Step, r.TempC)})
}

// Finish ends a run that went to its end.
func (s *BatchStore) Finish(ctx context.Context, by jobs.Actor, id jobs.BatchID, version int, outcomes []jobs.RollOutcome) (jobs.Batch, error) {
	return s.changeBatch(ctx, id, version, func(t tx, w jobs.WetSide, b jobs.Batch) error {
		moves, err := b.Finish(outcomes)
		if err != nil {
			return err
		}
		after := b
		after.State, after.EndedAt = jobs.BatchFinished, t.now
		return t.end(ctx, by, w, b, after, moves, "finish batch")
	})
}

// Stop breaks a run off.
func (s *BatchStore) Stop(ctx context.Context, by jobs.Actor, id jobs.BatchID, version int, reason string, outcomes []jobs.RollOutcome) (jobs.Batch, error) {
	return s.changeBatch(ctx, id, version, func(t tx, w jobs.WetSide, b jobs.Batch) error {
		reason, moves, err := b.Stop(reason, outcomes)
		if err != nil {
			return err
		}
		after := b
		after.State, after.EndedAt, after.Reason = jobs.BatchStopped, t.now, reason
		return t.end(ctx, by, w, b, after, moves, "stop batch")
	})
}

// end keeps how a run ended: what became of the rolls, what went through the
// line's fills, the batch itself.
func (t tx) end(ctx context.Context, by jobs.Actor, w jobs.WetSide, before, after jobs.Batch, moves []*jobs.RollMove, kind string) error {
	if err := t.moveRolls(ctx, by, before.Rolls, moves); err != nil {
		return err
	}
	var dry, wet []int64
	for _, move := range moves {
		if move.Roll.State == jobs.Queued {
			dry = append(dry, int64(move.Roll.ID))
		} else {
			wet = append(wet, int64(move.Roll.ID))
		}
	}
	if err := t.takeOut(ctx, before.ID, dry); err != nil {
		return err
	}
	if _, err := t.Exec(ctx, `UPDATE batch_rolls SET open = false, process = NULL, remjet = NULL
		WHERE batch_id = $1 AND roll_id = ANY($2)`, int64(before.ID), wet); err != nil {
		return fmt.Errorf("close batch: %w", err)
	}
	var err error
	if w.Fills, err = t.lockFills(ctx, before.Line); err != nil {
		return err
	}
	film := w.Post(before, moves)
	if _, err := t.post(ctx, by, film...); err != nil {
		return err
	}
	for _, entry := range film {
		if err := t.addEvents(ctx, jobs.Event{
			By: by, Kind: "post", Batch: before.ID, Fill: entry.Fill,
			Why: fmt.Sprintf("%d rolls, %.4f m², %s", entry.Rolls, entry.AreaM2, entry.Push),
		}); err != nil {
			return err
		}
	}
	return t.become(ctx, by, before, after, kind)
}

package postgres

import (
	"context"
	"fmt"
	"time"

	"wetside/chemistry"
	"wetside/jobs"
)

// wetSide reads what decisions about batches stand on.
func (t tx) wetSide(ctx context.Context) (jobs.WetSide, error) {
	c, err := t.catalogue(ctx)
	if err != nil {
		return jobs.WetSide{}, err
	}
	fills, err := fills(ctx, t, "WHERE f.dumped_at IS NULL ORDER BY f.id")
	if err != nil {
		return jobs.WetSide{}, err
	}
	controls, err := t.controls(ctx, c)
	return jobs.WetSide{Catalogue: c, Fills: fills, Controls: controls}, err
}

// addBatch keeps a new batch, without its rolls, and returns its key.
func (t tx) addBatch(ctx context.Context, b jobs.Batch) (id jobs.BatchID, err error) {
	err = t.QueryRow(ctx, `INSERT INTO batches (line_id, process, solution_id, push_sixths, develop_seconds, temp_c, state, planned_start)
		VALUES ($1, $2, nullif($3::bigint, 0), $4, $5, $6, $7, $8) RETURNING id`,
		int64(b.Line), string(b.Process), int64(b.Solution), sixths(b.Push), b.Develop, b.TempC, string(b.State),
		b.PlannedStart).Scan(&id)
	if err != nil {
		return 0, fmt.Errorf("add batch: %w", err)
	}
	return id, nil
}

// saveBatch keeps what became of a batch, guarded by the state and the version
// on which it was decided. A run sheet is given once, when it starts.
func (t tx) saveBatch(ctx context.Context, before, after jobs.Batch, runSheet []byte) error {
	tag, err := t.Exec(ctx, `UPDATE batches SET push_sixths = $4, develop_seconds = $5, temp_c = $6, state = $7, started_at = $8,
		ended_at = $9, reason = $10, run_sheet = coalesce($11, run_sheet), override = $12, version = version + 1
		WHERE id = $1 AND state = $2 AND version = $3`,
		int64(before.ID), string(before.State), before.Version, sixths(after.Push), after.Develop, after.TempC,
		string(after.State), nullTime(after.StartedAt), nullTime(after.EndedAt), after.Reason, runSheet, after.Override)
	if err != nil {
		return fmt.Errorf("save batch: %w", err)
	}
	if tag.RowsAffected() == 0 {
		return jobs.Errorf(jobs.Stale, "somebody else changed batch %d in the meantime; look at it again", before.ID)
	}
	return nil
}

func sixths(push *chemistry.Stops) *int {
	if push == nil {
		return nil
	}
	value := int(*push)
	return &value
}

func nullTime(at time.Time) *time.Time {
	if at.IsZero() {
		return nil
	}
	return &at
}

// moveRolls keeps moves of rolls, which are locked and were so before, with
// their events.
func (t tx) moveRolls(ctx context.Context, by jobs.Actor, before []jobs.RollView, moves []*jobs.RollMove) error {
	was := map[jobs.RollID]jobs.Roll{}
	for _, roll := range before {
		was[roll.ID] = roll.Roll
	}
	for _, move := range moves {
		if _, err := t.finishMove(ctx, by, was[move.Roll.ID], move); err != nil {
			return err
		}
	}
	return nil
}

// putIn enters rolls into a batch. Their process and remjet go with them, so
// that the database can refuse what would foul the tank.
func (t tx) putIn(ctx context.Context, batch jobs.BatchID, rolls []int64) error {
	if _, err := t.Exec(ctx, `INSERT INTO batch_rolls (batch_id, roll_id, process, remjet)
		SELECT $1, id, process, remjet FROM rolls WHERE id = ANY($2)`, int64(batch), rolls); err != nil {
		return fmt.Errorf("put into batch: %w", err)
	}
	if _, err := t.Exec(ctx, "UPDATE rolls SET batch_id = $1 WHERE id = ANY($2)", int64(batch), rolls); err != nil {
		return fmt.Errorf("put into batch: %w", err)
	}
	return nil
}

// takeOut forgets that dry rolls were in a batch: what went through it is what
// stays in it, and the events tell the rest.
func (t tx) takeOut(ctx context.Context, batch jobs.BatchID, rolls []int64) error {
	if _, err := t.Exec(ctx, "DELETE FROM batch_rolls WHERE batch_id = $1 AND roll_id = ANY($2)", int64(batch), rolls); err != nil {
		return fmt.Errorf("take out of batch: %w", err)
	}
	if _, err := t.Exec(ctx, "UPDATE rolls SET batch_id = NULL WHERE id = ANY($1)", rolls); err != nil {
		return fmt.Errorf("take out of batch: %w", err)
	}
	return nil
}

// changeBatch locks a batch, checks the version that somebody looked at, lets
// decide work and keeps the outcome, all in one transaction.
func (s *BatchStore) changeBatch(ctx context.Context, id jobs.BatchID, version int,
	decide func(t tx, w jobs.WetSide, b jobs.Batch) error,
) (changed jobs.Batch, err error) {
	err = s.db.withTx(ctx, func(t tx) error {
		w, err := t.wetSide(ctx)
		if err != nil {
			return err
		}
		b, err := t.lockBatch(ctx, id)
		if err != nil {
			return err
		}
		if err := b.CheckVersion(version); err != nil {
			return err
		}
		if err := decide(t, w, b); err != nil {
			return err
		}
		changed, err = oneBatch(ctx, t, id)
		return err
	})
	return changed, err
}

// become moves a batch on and adds the event that tells of it.
func (t tx) become(ctx context.Context, by jobs.Actor, before, after jobs.Batch, kind string) error {
	if err := t.saveBatch(ctx, before, after, nil); err != nil {
		return err
	}
	return t.tellOfBatch(ctx, by, before, after, kind)
}

func (t tx) tellOfBatch(ctx context.Context, by jobs.Actor, before, after jobs.Batch, kind string) error {
	return t.addEvents(ctx, jobs.Event{
		By: by, Kind: kind, Batch: before.ID, From: string(before.State), To: string(after.State), Why: after.Reason,
	})
}

package postgres

import (
	"context"
	"errors"

	"github.com/jackc/pgx/v5"

	"wetside/jobs"
)

// saveRoll keeps what became of a roll, guarded by the state and the version on
// which it was decided, and returns the roll as it is now.
func (t tx) saveRoll(ctx context.Context, before, after jobs.Roll) (jobs.Roll, error) {
	if after.State != before.State {
		after.Since = t.now
	}
	err := t.QueryRow(ctx, `UPDATE rolls SET twin_check = nullif($4, ''), stock_id = $5, process = $6, remjet = $7,
		solution_id = nullif($8::bigint, 0), format = $9, exposures = $10, ei = $11, push_sixths = $12, reading = $13,
		confirm = $14, state = $15, since = $16, question = $17, answer = $18, reason = $19, tracking = $20,
		version = version + 1
		WHERE id = $1 AND state = $2 AND version = $3 AND ($15 NOT IN ('ready', 'delivered')
			OR NOT EXISTS (SELECT FROM inspections i WHERE i.roll_id = $1 AND i.done_at IS NULL)) RETURNING version`,
		before.ID, string(before.State), before.Version, after.TwinCheck, after.Stock, string(after.Process),
		string(after.Remjet), int64(after.Solution), string(after.Format), after.Exposures, after.EI, int(after.Push),
		after.Reading, after.Confirm, string(after.State), after.Since, after.Question, after.Answer, after.Reason,
		after.Tracking).Scan(&after.Version)
	if errors.Is(err, pgx.ErrNoRows) {
		return jobs.Roll{}, t.staleRoll(ctx, before)
	}
	return after, err
}

// staleRoll tells where a roll is that somebody else has moved, or marked for
// inspection.
func (t tx) staleRoll(ctx context.Context, before jobs.Roll) error {
	view, err := oneRollView(ctx, t, "WHERE r.id = $1", before.ID)
	if err != nil {
		return err
	}
	if view.Version == before.Version && view.State == before.State {
		return view.InspectFirst()
	}
	catalogue, err := t.catalogue(ctx)
	if err != nil {
		return err
	}
	return view.StaleError(catalogue.Lab, t.now)
}

// finishMove keeps a move of a roll with its events.
func (t tx) finishMove(ctx context.Context, by jobs.Actor, before jobs.Roll, move *jobs.RollMove) (jobs.Roll, error) {
	roll, err := t.saveRoll(ctx, before, move.Roll)
	if err != nil {
		return jobs.Roll{}, err
	}
	for i := range move.Events {
		move.Events[i].By, move.Events[i].Order = by, roll.Order
	}
	return roll, t.addEvents(ctx, move.Events...)
}

// decision works out what becomes of a roll.
type decision func(roll jobs.Roll, c jobs.Catalogue) (*jobs.RollMove, error)

// moveRoll loads a roll, checks the version that somebody looked at, decides
// and keeps the outcome, all in one transaction.
func (db *DB) moveRoll(ctx context.Context, by jobs.Actor, id jobs.RollID, version int, decide decision) (moved jobs.Roll, err error) {
	err = db.withTx(ctx, func(t tx) error {
		c, err := t.catalogue(ctx)
		if err != nil {
			return err
		}
		roll, err := t.lockRoll(ctx, id)
		if err != nil {
			return err
		}
		if err := roll.CheckVersion(version, c.Lab, t.now); err != nil {
			return err
		}
		move, err := decide(roll, c)
		if err != nil {
			return err
		}
		moved, err = t.finishMove(ctx, by, roll, move)
		return err
	})
	return moved, err
}

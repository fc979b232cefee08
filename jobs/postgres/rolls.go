package postgres

import (
	"context"

	"wetside/jobs"
)

// RollStore keeps single rolls and moves them through the lab.
type RollStore struct{ db *DB }

var _ jobs.RollService = (*RollStore)(nil)

// NewRollStore returns the rolls kept in db.
func NewRollStore(db *DB) *RollStore { return &RollStore{db} }

// CheckIn takes a roll in.
func (s *RollStore) CheckIn(ctx context.Context, by jobs.Actor, in jobs.CheckIn) (moved jobs.Roll, err error) {
	for range attempts {
		moved, err = s.checkIn(ctx, by, in)
		if in.TwinCheck != "" || jobs.CodeOf(err) != jobs.Duplicate {
			break
		}
		// The number that was issued has just been scanned from a preprinted
		// pair: the next one will do.
	}
	return moved, err
}

func (s *RollStore) checkIn(ctx context.Context, by jobs.Actor, in jobs.CheckIn) (jobs.Roll, error) {
	var moved jobs.Roll
	err := s.db.withTx(ctx, func(t tx) error {
		c, err := t.catalogue(ctx)
		if err != nil {
			return err
		}
		roll, err := t.lockRoll(ctx, in.Roll)
		if err != nil {
			return err
		}
		if err := roll.CheckVersion(in.Version, c.Lab, t.now); err != nil {
			return err
		}
		move, err := jobs.TakeIn(roll, in, c)
		if err != nil {
			return err
		}
		if move.Roll.TwinCheck == "" {
			if move.Roll.TwinCheck, err = t.issueTwinCheck(ctx); err != nil {
				return err
			}
		}
		moved, err = t.finishMove(ctx, by, roll, move)
		return err
	})
	return moved, err
}

// issueTwinCheck gives out the next number that is on no roll: one that was
// scanned from a preprinted pair may lie ahead of the sequence.
func (t tx) issueTwinCheck(ctx context.Context) (string, error) {
	for {
		var number string
		var taken bool
		err := t.QueryRow(ctx, `WITH next AS MATERIALIZED (SELECT nextval('twin_checks')::text AS number)
			SELECT number, EXISTS (SELECT FROM rolls WHERE twin_check = number) FROM next`).Scan(&number, &taken)
		if err != nil || !taken {
			return number, err
		}
	}
}

// Hold stops a roll with a question.
func (s *RollStore) Hold(ctx context.Context, by jobs.Actor, id jobs.RollID, version int, question string) (jobs.Roll, error) {
	return s.db.moveRoll(ctx, by, id, version, func(roll jobs.Roll, _ jobs.Catalogue) (*jobs.RollMove, error) {
		return jobs.Hold(roll, question)
	})
}

// AnswerHold ends a hold.
func (s *RollStore) AnswerHold(ctx context.Context, by jobs.Actor, answer jobs.Answer) (jobs.Roll, error) {
	return s.db.moveRoll(ctx, by, answer.Roll, answer.Version, func(roll jobs.Roll, c jobs.Catalogue) (*jobs.RollMove, error) {
		return jobs.EndHold(roll, answer, c)
	})
}

// Queue puts a received roll into the queue.
func (s *RollStore) Queue(ctx context.Context, by jobs.Actor, id jobs.RollID, version int) (jobs.Roll, error) {
	return s.db.moveRoll(ctx, by, id, version, jobs.Enqueue)
}

// Advance moves a roll along the dry side.
func (s *RollStore) Advance(ctx context.Context, by jobs.Actor, id jobs.RollID, version int) (jobs.Roll, error) {
	return s.db.moveRoll(ctx, by, id, version, func(roll jobs.Roll, _ jobs.Catalogue) (*jobs.RollMove, error) {
		return jobs.Advance(roll)
	})
}

// Cancel calls a roll off before development.
func (s *RollStore) Cancel(ctx context.Context, by jobs.Actor, id jobs.RollID, version int, reason string) (jobs.Roll, error) {
	return s.db.moveRoll(ctx, by, id, version, func(roll jobs.Roll, _ jobs.Catalogue) (*jobs.RollMove, error) {
		return jobs.Cancel(roll, reason)
	})
}

// Spoil records that a roll is ruined.
func (s *RollStore) Spoil(ctx context.Context, by jobs.Actor, id jobs.RollID, version int, reason string) (jobs.Roll, error) {
	return s.db.moveRoll(ctx, by, id, version, func(roll jobs.Roll, _ jobs.Catalogue) (*jobs.RollMove, error) {
		return jobs.Spoil(roll, reason)
	})
}

// Deliver hands over ready rolls, all or none of them.
func (s *RollStore) Deliver(ctx context.Context, by jobs.Actor, delivery jobs.Delivery) ([]jobs.Roll, error) {
	if err := delivery.Check(); err != nil {
		return nil, err
	}
	delivered := make([]jobs.Roll, len(delivery.Rolls))
	err := s.db.withTx(ctx, func(t tx) error {
		rolls, err := t.lockRolls(ctx, delivery.Rolls)
		if err != nil {
			return err
		}
		for i, roll := range rolls {
			move, err := delivery.Of(roll)
			if err != nil {
				return err
			}
			if delivered[i], err = t.finishMove(ctx, by, roll, move); err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		return nil, err
	}
	return delivered, nil
}

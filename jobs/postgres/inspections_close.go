package postgres

import (
	"context"
	"fmt"
	"slices"

	"wetside/jobs"
)

// CloseInspections writes what was found.
func (s *InspectionStore) CloseInspections(ctx context.Context, by jobs.Actor, closing jobs.Closing) (closed []jobs.Inspection, err error) {
	if closing, err = closing.Check(); err != nil {
		return nil, err
	}
	err = s.db.withTx(ctx, func(t tx) error {
		found, err := t.lockInspections(ctx, closing.Inspections)
		if err != nil {
			return err
		}
		for _, inspection := range found {
			if err := inspection.CheckOpen(); err != nil {
				return err
			}
		}
		rolls, err := t.findingOn(ctx, by, found, closing)
		if err != nil {
			return err
		}
		// A roll that is ruined need not be looked at for another cause.
		if _, err := t.Exec(ctx, `UPDATE inspections SET done_at = $3, done_by = $4, outcome = $5, finding = $6
			WHERE done_at IS NULL AND (id = ANY($1) OR $5 = 'spoiled' AND roll_id = ANY($2))`,
			closing.Inspections, rolls, t.now, by.Name, string(closing.Outcome), closing.Finding); err != nil {
			return fmt.Errorf("close inspections: %w", err)
		}
		closed, err = inspections(ctx, t, "WHERE i.id = ANY($1) ORDER BY i.id", closing.Inspections)
		return err
	})
	return closed, err
}

// lockInspections returns inspections that nobody else closes until the
// transaction ends, nor moves their rolls: these are locked first, by everybody.
func (t tx) lockInspections(ctx context.Context, ids []jobs.InspectionID) ([]jobs.Inspection, error) {
	if _, err := t.Exec(ctx, `SELECT FROM rolls WHERE id IN (SELECT roll_id FROM inspections WHERE id = ANY($1)) ORDER BY id FOR UPDATE`,
		ids); err != nil {
		return nil, fmt.Errorf("keep rolls: %w", err)
	}
	found, err := inspections(ctx, t, "WHERE i.id = ANY($1) ORDER BY i.id", ids)
	if err != nil {
		return nil, err
	}
	for _, id := range ids {
		if !slices.ContainsFunc(found, func(i jobs.Inspection) bool { return i.ID == id }) {
			return nil, errNoInspection
		}
	}
	return found, nil
}

// findingOn records on each roll what was found, once, and returns the rolls.
func (t tx) findingOn(ctx context.Context, by jobs.Actor, found []jobs.Inspection, closing jobs.Closing) ([]int64, error) {
	var rolls []int64
	for _, inspection := range found {
		roll := inspection.Roll.Roll
		if slices.Contains(rolls, int64(roll.ID)) {
			continue
		}
		rolls = append(rolls, int64(roll.ID))
		if closing.Spoils(roll) {
			move, err := jobs.Spoil(roll, closing.Finding)
			if err != nil {
				return nil, err
			}
			if _, err := t.finishMove(ctx, by, roll, move); err != nil {
				return nil, err
			}
			continue
		}
		if err := t.addEvents(ctx, jobs.Event{By: by, Kind: "inspect", Order: roll.Order, Roll: roll.ID,
			From: string(roll.State), To: string(roll.State), Why: string(closing.Outcome) + ": " + closing.Finding}); err != nil {
			return nil, err
		}
	}
	return rolls, nil
}

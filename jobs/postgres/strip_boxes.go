package postgres

import (
	"context"
	"encoding/json"
	"fmt"
	"time"

	"github.com/jackc/pgx/v5"

	"wetside/chemistry"
	"wetside/jobs"
)

// StripStore keeps the control strips and their boxes.
type StripStore struct{ db *DB }

var _ jobs.StripService = (*StripStore)(nil)

// NewStripStore returns the control strips kept in db.
func NewStripStore(db *DB) *StripStore { return &StripStore{db} }

// stripLock is the advisory lock that keeps the strips still while a decision is
// made on them: whoever decides shares it until the end of the transaction,
// whoever adds to them holds it alone.
const stripLock = 0x77657453

var errNoBox = jobs.Errorf(jobs.NotFound, "there is no such box of strips")

// recent is how far back strips tell how many are read in a day.
const recent = 7 * 24 * time.Hour

// stripBoxes returns the boxes that what follows the FROM clause picks.
func stripBoxes(ctx context.Context, q querier, now time.Time, where string, args ...any) ([]jobs.StripBox, error) {
	rows, err := q.Query(ctx, `SELECT b.id, b.process, b.number, b.aim, b.basis, b.limits, b.strips, b.expires_on, b.opened_at, b.active,
		b.version, (SELECT count(*) FROM strips WHERE box_id = b.id),
		(SELECT count(*) FROM strips WHERE box_id = b.id AND at > $1)
		FROM strip_boxes b `+where, append([]any{now.Add(-recent)}, args...)...)
	if err != nil {
		return nil, err
	}
	return pgx.CollectRows(rows, func(row pgx.CollectableRow) (b jobs.StripBox, err error) {
		var expires *time.Time
		err = row.Scan(&b.ID, &b.Process, &b.Number, &b.Aim, &b.Basis, &b.Limits, &b.Strips, &expires, &b.OpenedAt, &b.Active,
			&b.Version, &b.Read, &b.Recent)
		if expires != nil {
			b.ExpiresOn = *expires
		}
		return b, err
	})
}

// Boxes lists the boxes in use, then the others.
func (s *StripStore) Boxes(ctx context.Context) ([]jobs.StripBox, error) {
	return stripBoxes(ctx, s.db.pool, s.db.now(), "ORDER BY b.active DESC, b.opened_at DESC, b.id DESC")
}

// Box returns one box.
func (s *StripStore) Box(ctx context.Context, id jobs.StripBoxID) (jobs.StripBox, error) {
	return oneBox(ctx, s.db.pool, s.db.now(), id)
}

func oneBox(ctx context.Context, q querier, now time.Time, id jobs.StripBoxID) (jobs.StripBox, error) {
	found, err := stripBoxes(ctx, q, now, "WHERE b.id = $2", int64(id))
	if err != nil {
		return jobs.StripBox{}, err
	}
	if len(found) == 0 {
		return jobs.StripBox{}, errNoBox
	}
	return found[0], nil
}

// boxesInUse returns the box of each process that has one.
func (t tx) boxesInUse(ctx context.Context) (map[chemistry.Process]jobs.StripBox, error) {
	found, err := stripBoxes(ctx, t, t.now, "WHERE b.active")
	boxes := map[chemistry.Process]jobs.StripBox{}
	for _, box := range found {
		boxes[box.Process] = box
	}
	return boxes, err
}

// OpenBox puts a box into use in place of the one that is.
func (s *StripStore) OpenBox(ctx context.Context, by jobs.Actor, draft jobs.BoxDraft) (opened jobs.StripBox, err error) {
	err = s.changeStrips(ctx, func(t tx, c jobs.Catalogue) error {
		boxes, err := t.boxesInUse(ctx)
		if err != nil {
			return err
		}
		old := boxes[draft.Process]
		var ids []int64
		for _, pair := range draft.Pairs {
			ids = append(ids, int64(pair.Old))
		}
		pairs, err := strips(ctx, t, "WHERE s.id = ANY($1)", ids)
		if err != nil {
			return err
		}
		box, err := draft.NewBox(old, pairs, t.now.In(c.Lab.Zone()))
		if err != nil {
			return err
		}
		if _, err := t.Exec(ctx, "UPDATE strip_boxes SET active = false, version = version + 1 WHERE process = $1 AND active",
			string(box.Process)); err != nil {
			return fmt.Errorf("put a box away: %w", err)
		}
		values, err := boxValues(box)
		if err != nil {
			return err
		}
		var id jobs.StripBoxID
		if err := t.QueryRow(ctx, `INSERT INTO strip_boxes (number, aim, basis, limits, strips, expires_on, process, opened_at)
			VALUES ($1, $2, $3, $4, $5, $6, $7, $8) RETURNING id`, append(values, string(box.Process), t.now)...).Scan(&id); err != nil {
			return fmt.Errorf("open a box: %w", err)
		}
		if opened, err = oneBox(ctx, t, t.now, id); err != nil {
			return err
		}
		why := fmt.Sprintf("box %s of %s strips", opened.Number, opened.Process)
		if old.ID != 0 {
			why += ", in place of box " + old.Number
		}
		return t.addEvents(ctx, jobs.Event{By: by, Kind: "open strip box", Why: why})
	})
	return opened, err
}

// boxValues are what is kept of a box, in the order of its columns.
func boxValues(box jobs.StripBox) ([]any, error) {
	aim, err := json.Marshal(box.Aim)
	if err != nil {
		return nil, fmt.Errorf("keep an aim: %w", err)
	}
	basis, err := json.Marshal(box.Basis)
	if err != nil {
		return nil, fmt.Errorf("keep what an aim is from: %w", err)
	}
	limits, err := json.Marshal(box.Limits)
	if err != nil {
		return nil, fmt.Errorf("keep limits: %w", err)
	}
	return []any{box.Number, aim, basis, limits, box.Strips, nullTime(box.ExpiresOn)}, nil
}

// ChangeBox corrects a box.
func (s *StripStore) ChangeBox(ctx context.Context, by jobs.Actor, id jobs.StripBoxID, version int, draft jobs.BoxDraft) (jobs.StripBox, error) {
	return s.changeBox(ctx, by, id, version, "change strip box", func(t tx, box jobs.StripBox) error {
		after, err := box.Changed(draft)
		if err != nil {
			return err
		}
		values, err := boxValues(after)
		if err != nil {
			return err
		}
		_, err = t.Exec(ctx, `UPDATE strip_boxes SET number = $1, aim = $2, basis = $3, limits = $4, strips = $5, expires_on = $6,
			version = version + 1 WHERE id = $7`, append(values, int64(id))...)
		return err
	})
}

// UseBox puts a box away, or back into use.
func (s *StripStore) UseBox(ctx context.Context, by jobs.Actor, id jobs.StripBoxID, version int, use bool) (jobs.StripBox, error) {
	kind := "put strip box away"
	if use {
		kind = "use strip box"
	}
	return s.changeBox(ctx, by, id, version, kind, func(t tx, _ jobs.StripBox) error {
		_, err := t.Exec(ctx, "UPDATE strip_boxes SET active = $2, version = version + 1 WHERE id = $1", int64(id), use)
		return err
	})
}

// changeBox runs a change to a box at its version; nobody else changes boxes or
// strips meanwhile.
func (s *StripStore) changeBox(ctx context.Context, by jobs.Actor, id jobs.StripBoxID, version int, kind string,
	change func(t tx, box jobs.StripBox) error,
) (changed jobs.StripBox, err error) {
	err = s.changeStrips(ctx, func(t tx, _ jobs.Catalogue) error {
		box, err := oneBox(ctx, t, t.now, id)
		if err != nil {
			return err
		}
		if box.Version != version {
			return jobs.Errorf(jobs.Stale, "somebody else changed box %s in the meantime; look at it again", box.Number)
		}
		if err := change(t, box); err != nil {
			return err
		}
		if changed, err = oneBox(ctx, t, t.now, id); err != nil {
			return err
		}
		return t.addEvents(ctx, jobs.Event{By: by, Kind: kind, Why: fmt.Sprintf("box %s of %s strips", changed.Number, changed.Process)})
	})
	return changed, err
}

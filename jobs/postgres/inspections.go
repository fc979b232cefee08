package postgres

import (
	"context"
	"fmt"
	"slices"
	"time"

	"github.com/jackc/pgx/v5"

	"wetside/jobs"
)

// InspectionStore keeps which rolls somebody has to look at.
type InspectionStore struct{ db *DB }

var _ jobs.InspectionService = (*InspectionStore)(nil)

// NewInspectionStore returns the inspections kept in db.
func NewInspectionStore(db *DB) *InspectionStore { return &InspectionStore{db} }

var errNoInspection = jobs.Errorf(jobs.NotFound, "there is no such inspection")

// inspections returns the inspections that what follows the FROM clause picks.
func inspections(ctx context.Context, q querier, where string, args ...any) ([]jobs.Inspection, error) {
	rows, err := q.Query(ctx, "SELECT "+rollColumns+`, s.name, o.name, o.return_by, coalesce(r.batch_id, 0),
		i.id, i.at, i.by_name, i.cause, i.cause_id, i.why, i.done_at, i.done_by, i.outcome, i.finding
		FROM inspections i JOIN rolls r ON r.id = i.roll_id JOIN stocks s ON s.id = r.stock_id
		JOIN orders o ON o.id = r.order_id `+where, args...)
	if err != nil {
		return nil, err
	}
	return pgx.CollectRows(rows, func(row pgx.CollectableRow) (jobs.Inspection, error) {
		var i jobs.Inspection
		var done *time.Time
		roll := &i.Roll
		err := row.Scan(append(rollPlaces(&roll.Roll), &roll.StockName, &roll.CustomerName, &roll.Return, &roll.Batch,
			&i.ID, &i.At, &i.By, &i.Cause.Kind, &i.Cause.ID, &i.Why, &done, &i.DoneBy, &i.Outcome, &i.Finding)...)
		i.DoneAt = orZero(done)
		return i, err
	})
}

// Inspections lists inspections, the newest first.
func (s *InspectionStore) Inspections(ctx context.Context, query jobs.InspectionQuery) ([]jobs.Inspection, error) {
	if query.Limit < 1 || query.Limit > 500 {
		return nil, jobs.InvalidField("limit", "%d is outside what is allowed, 1 to 500", query.Limit)
	}
	text, err := jobs.CheckSearch(query.Search)
	if err != nil {
		return nil, err
	}
	var w conditions
	if query.Open {
		w.add("i.done_at IS NULL")
	}
	if query.Kind != "" {
		w.add("i.cause = ?", string(query.Kind))
	}
	if query.Cause != 0 {
		w.add("i.cause_id = ?", query.Cause)
	}
	if query.Before != 0 {
		w.add("i.id < ?", int64(query.Before))
	}
	if text != "" {
		w.addSearch(text)
	}
	return inspections(ctx, s.db.pool, w.where()+" ORDER BY i.id DESC LIMIT "+w.arg(query.Limit), w.args...)
}

// CountInspections counts the open ones.
func (s *InspectionStore) CountInspections(ctx context.Context) (n int, err error) {
	err = s.db.pool.QueryRow(ctx, "SELECT count(*) FROM inspections WHERE done_at IS NULL").Scan(&n)
	return n, err
}

// Mark marks rolls of a trace. They are locked before it is decided, so that
// none leaves in the meantime.
func (s *InspectionStore) Mark(ctx context.Context, by jobs.Actor, marking jobs.Marking) (marked jobs.Marked, err error) {
	err = s.db.withTx(ctx, func(t tx) error {
		trace, err := t.trace(ctx, marking.TraceQuery)
		if err != nil {
			return err
		}
		if err := t.keepRolls(ctx, trace); err != nil {
			return err
		}
		if trace, err = t.trace(ctx, marking.TraceQuery); err != nil {
			return err
		}
		var why string
		if marked, why, err = trace.Mark(marking); err != nil {
			return err
		}
		return t.addInspections(ctx, by, trace, marked.Marked, why)
	})
	return marked, err
}

// keepRolls keeps the rolls of a trace where they are until the transaction
// ends.
func (t tx) keepRolls(ctx context.Context, trace jobs.Trace) error {
	ids := make([]int64, len(trace.Rolls))
	for i, roll := range trace.Rolls {
		ids[i] = int64(roll.ID)
	}
	if _, err := t.Exec(ctx, "SELECT FROM rolls WHERE id = ANY($1) ORDER BY id FOR UPDATE", ids); err != nil {
		return fmt.Errorf("keep rolls: %w", err)
	}
	return nil
}

func (t tx) addInspections(ctx context.Context, by jobs.Actor, trace jobs.Trace, rolls []jobs.RollID, why string) error {
	if _, err := t.Exec(ctx, `INSERT INTO inspections (roll_id, at, by_name, cause, cause_id, why)
		SELECT unnest($1::bigint[]), $2, $3, $4, $5, $6`, rolls, t.now, by.Name, string(trace.Kind), trace.ID, why); err != nil {
		return fmt.Errorf("mark for inspection: %w", err)
	}
	events := make([]jobs.Event, 0, len(rolls))
	for _, roll := range trace.Rolls {
		if slices.Contains(rolls, roll.ID) {
			events = append(events, jobs.Event{By: by, Kind: "mark for inspection", Order: roll.Order, Roll: roll.ID,
				From: string(roll.State), To: string(roll.State), Why: why})
		}
	}
	return t.addEvents(ctx, events...)
}

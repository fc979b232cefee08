package postgres

import (
	"context"
	"errors"
	"fmt"
	"time"

	"github.com/jackc/pgx/v5"

	"wetside/jobs"
)

// BatchStore plans batches and runs them.
type BatchStore struct{ db *DB }

var _ jobs.BatchService = (*BatchStore)(nil)

// NewBatchStore returns the batches kept in db.
func NewBatchStore(db *DB) *BatchStore { return &BatchStore{db} }

// Batch returns a batch with its rolls.
func (s *BatchStore) Batch(ctx context.Context, id jobs.BatchID) (jobs.Batch, error) {
	return oneBatch(ctx, s.db.pool, id)
}

// Batches lists batches, the newest first.
func (s *BatchStore) Batches(ctx context.Context, query jobs.BatchQuery) ([]jobs.Batch, error) {
	if query.Limit < 1 || query.Limit > 100 {
		return nil, jobs.InvalidField("limit", "%d is outside what is allowed, 1 to 100", query.Limit)
	}
	var w conditions
	if query.Open {
		w.add(isOpenBatch)
	}
	if query.Before != 0 {
		w.add("b.id < ?", int64(query.Before))
	}
	return batches(ctx, s.db.pool, w.where()+" ORDER BY b.id DESC LIMIT "+w.arg(query.Limit), w.args...)
}

// BatchHistory returns the events of a batch and of the rolls in it.
func (s *BatchStore) BatchHistory(ctx context.Context, id jobs.BatchID) ([]jobs.Event, error) {
	if _, err := s.Batch(ctx, id); err != nil {
		return nil, err
	}
	return events(ctx, s.db.pool, "WHERE batch_id = $1 ORDER BY id", int64(id))
}

// isOpenBatch picks the batches that hold their rolls, written as the partial
// index batches_open is.
const isOpenBatch = "b.state IN ('accepted', 'locked', 'developing')"

var errNoBatch = jobs.Errorf(jobs.NotFound, "there is no such batch")

func scanBatch(row pgx.CollectableRow) (jobs.Batch, error) {
	var b jobs.Batch
	var started, ended *time.Time
	err := row.Scan(&b.ID, &b.Line, &b.LineName, &b.Process, &b.Solution, &b.Push, &b.Develop, &b.TempC, &b.State,
		&b.PlannedStart, &started, &ended, &b.Reason, &b.Override, &b.Version)
	if started != nil {
		b.StartedAt = *started
	}
	if ended != nil {
		b.EndedAt = *ended
	}
	return b, err
}

// batches returns the batches that what follows the FROM clause picks, with
// their rolls. A roll's batch_id says which batch it is in, or went through.
func batches(ctx context.Context, q querier, where string, args ...any) ([]jobs.Batch, error) {
	rows, err := q.Query(ctx, `SELECT b.id, b.line_id, l.name, b.process, coalesce(b.solution_id, 0), b.push_sixths,
		b.develop_seconds, b.temp_c, b.state, b.planned_start, b.started_at, b.ended_at, b.reason, b.override, b.version
		FROM batches b JOIN lines l ON l.id = b.line_id `+where, args...)
	if err != nil {
		return nil, err
	}
	found, err := pgx.CollectRows(rows, scanBatch)
	if err != nil || len(found) == 0 {
		return nil, err
	}
	ids := make([]int64, len(found))
	place := map[jobs.BatchID]int{}
	for i, b := range found {
		ids[i], place[b.ID] = int64(b.ID), i
	}
	rolls, err := rollViews(ctx, q, "WHERE r.batch_id = ANY($1)", ids)
	if err != nil {
		return nil, err
	}
	jobs.SortForLoading(rolls)
	for _, roll := range rolls {
		b := &found[place[roll.Batch]]
		b.Rolls = append(b.Rolls, roll)
	}
	return found, nil
}

func oneBatch(ctx context.Context, q querier, id jobs.BatchID) (jobs.Batch, error) {
	found, err := batches(ctx, q, "WHERE b.id = $1", int64(id))
	if err != nil {
		return jobs.Batch{}, err
	}
	if len(found) == 0 {
		return jobs.Batch{}, errNoBatch
	}
	return found[0], nil
}

// openBatches returns the batches that hold their rolls, in the order of their
// planned start.
func openBatches(ctx context.Context, q querier) ([]jobs.Batch, error) {
	return batches(ctx, q, "WHERE "+isOpenBatch+" ORDER BY b.planned_start, b.id")
}

// lockBatch returns a batch that nobody else can change until the transaction
// ends, and with it its rolls. Batches are locked before rolls, and rolls in the
// order of their keys, by everybody.
func (t tx) lockBatch(ctx context.Context, id jobs.BatchID) (jobs.Batch, error) {
	if err := t.QueryRow(ctx, "SELECT id FROM batches WHERE id = $1 FOR UPDATE", int64(id)).Scan(&id); err != nil {
		if errors.Is(err, pgx.ErrNoRows) {
			return jobs.Batch{}, errNoBatch
		}
		return jobs.Batch{}, fmt.Errorf("lock batch: %w", err)
	}
	if _, err := t.Exec(ctx, "SELECT FROM rolls WHERE batch_id = $1 ORDER BY id FOR UPDATE", int64(id)); err != nil {
		return jobs.Batch{}, fmt.Errorf("lock rolls: %w", err)
	}
	return oneBatch(ctx, t, id)
}

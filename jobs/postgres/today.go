package postgres

import (
	"context"

	"github.com/jackc/pgx/v5"

	"wetside/jobs"
)

// TodayStore sums up the day.
type TodayStore struct{ db *DB }

var _ jobs.TodayService = (*TodayStore)(nil)

// NewTodayStore returns the day as it is kept in db.
func NewTodayStore(db *DB) *TodayStore { return &TodayStore{db} }

// todayRolls is the most rolls that one list of the day shows; the counts say
// how many there are.
const todayRolls = 200

// Today sums up the day, as of one moment.
func (s *TodayStore) Today(ctx context.Context) (jobs.Today, error) {
	work, err := s.db.workload(ctx)
	if err != nil {
		return jobs.Today{}, err
	}
	var today jobs.Today
	var watched []jobs.RollView
	var w jobs.WetSide
	err = s.db.withTx(ctx, func(t tx) (err error) {
		if _, err := t.Exec(ctx, "SET TRANSACTION ISOLATION LEVEL REPEATABLE READ READ ONLY"); err != nil {
			return err
		}
		if w, err = t.wetSide(ctx); err != nil {
			return err
		}
		today = jobs.Today{At: t.now}
		batch := &pgx.Batch{}
		queueCounts(batch, &today.Counts)
		queueRollViews(batch, &today.Held, heldRolls, todayRolls)
		queueRollViews(batch, &watched, dueRolls, todayRolls, w.Lab.WatchUntil(t.now))
		queueRollViews(batch, &today.Ready, readyRolls, todayRolls)
		queueMorning(batch, &today.Morning, w.Lab.Today(t.now))
		if err := t.SendBatch(ctx, batch).Close(); err != nil {
			return err
		}
		today.Batches, err = openBatches(ctx, t)
		return err
	})
	if err != nil {
		return jobs.Today{}, err
	}
	today.Morning = today.Morning.Seen(w, today.At)
	dayEnd := w.Lab.DayEnd(today.At)
	for _, roll := range watched {
		if roll.Due.Before(dayEnd) {
			today.DueToday = append(today.DueToday, roll)
		}
	}
	propose := func() (jobs.Proposal, error) { return NewBatchStore(s.db).Propose(ctx) }
	today.AtRisk, err = w.Watch(watched, today.Batches, work, propose, today.At)
	return today, err
}

// The lists of the day, all found through the index of open rolls. A roll that
// has not arrived is not the lab's to finish, so it is never due.
const (
	heldRolls  = "WHERE r.state = 'held' AND " + isOpen + " ORDER BY r.since, r.id LIMIT $1"
	readyRolls = "WHERE r.state = 'ready' AND " + isOpen + " ORDER BY r.due_at, r.id LIMIT $1"
	dueRolls   = `WHERE r.state IN ('received', 'held', 'queued', 'batched', 'developing', 'drying', 'finishing') AND ` + isOpen +
		" AND r.due_at < $2::timestamptz ORDER BY r.due_at, r.id LIMIT $1"
)

func queueCounts(batch *pgx.Batch, counts *map[jobs.RollState]int) {
	*counts = map[jobs.RollState]int{}
	queueEach(batch, openCounts, func(row pgx.CollectableRow) error {
		var state jobs.RollState
		var n int
		err := row.Scan(&state, &n)
		(*counts)[state] = n
		return err
	})
}

func queueRollViews(batch *pgx.Batch, into *[]jobs.RollView, where string, args ...any) {
	batch.Queue(selectRollViews+where, args...).Query(func(rows pgx.Rows) (err error) {
		*into, err = pgx.CollectRows(rows, scanRollView)
		return err
	})
}

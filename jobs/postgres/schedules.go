package postgres

import (
	"context"
	"fmt"
	"slices"
	"time"

	"github.com/jackc/pgx/v5"

	"wetside/jobs"
)

// ScheduleStore keeps when scheduled work is done.
type ScheduleStore struct{ db *DB }

var _ jobs.ScheduleService = (*ScheduleStore)(nil)

// NewScheduleStore returns the schedules kept in db.
func NewScheduleStore(db *DB) *ScheduleStore { return &ScheduleStore{db} }

// keptWorkTime is scheduled work with when its schedule was changed.
type keptWorkTime struct {
	jobs.ScheduledWork
	changed time.Time
}

// scheduled reads all scheduled work, in the order in which it is shown.
func scheduled(ctx context.Context, q querier) ([]keptWorkTime, error) {
	rows, err := q.Query(ctx, "SELECT name, cron, active, version, last_done, failed_at, failure, changed_at FROM scheduled")
	if err != nil {
		return nil, err
	}
	kept, err := pgx.CollectRows(rows, func(row pgx.CollectableRow) (keptWorkTime, error) {
		var w keptWorkTime
		var done, failed *time.Time
		err := row.Scan(&w.Name, &w.Cron, &w.Active, &w.Version, &done, &failed, &w.Failure, &w.changed)
		if done != nil {
			w.LastDone = *done
		}
		if failed != nil {
			w.FailedAt = *failed
		}
		return w, err
	})
	slices.SortFunc(kept, func(a, b keptWorkTime) int {
		return slices.Index(jobs.WorkNames, a.Name) - slices.Index(jobs.WorkNames, b.Name)
	})
	return kept, err
}

// labZone is the time zone of the lab.
func labZone(ctx context.Context, q querier) (*time.Location, error) {
	var lab jobs.Lab
	rows, err := q.Query(ctx, "SELECT time_zone FROM lab")
	if err != nil {
		return nil, err
	}
	if lab.TimeZone, err = pgx.CollectExactlyOneRow(rows, pgx.RowTo[string]); err != nil {
		return nil, fmt.Errorf("read the lab's time zone: %w", err)
	}
	return lab.Zone(), nil
}

// Schedules lists all scheduled work.
func (s *ScheduleStore) Schedules(ctx context.Context) ([]jobs.ScheduledWork, error) {
	kept, err := scheduled(ctx, s.db.pool)
	works := make([]jobs.ScheduledWork, len(kept))
	for i, work := range kept {
		works[i] = work.ScheduledWork
	}
	return works, err
}

// SaveSchedule changes when work is done.
func (s *ScheduleStore) SaveSchedule(ctx context.Context, by jobs.Actor, work jobs.ScheduledWork) (saved jobs.ScheduledWork, err error) {
	err = s.db.withTx(ctx, func(t tx) error {
		c, err := t.catalogue(ctx)
		if err != nil {
			return err
		}
		if work, err = c.Lab.CheckSchedule(work); err != nil {
			return err
		}
		changed, err := t.Exec(ctx, `UPDATE scheduled SET cron = $3, active = $4, version = version + 1, changed_at = $5
			WHERE name = $1 AND version = $2`, work.Name, work.Version, work.Cron, work.Active, t.now)
		if err != nil {
			return fmt.Errorf("save the schedule: %w", err)
		}
		if changed.RowsAffected() == 0 {
			return jobs.Errorf(jobs.Stale, "somebody else changed when the %s work is done; look at it again", work.Name)
		}
		kept, err := scheduled(ctx, t)
		if err != nil {
			return err
		}
		saved = kept[slices.IndexFunc(kept, func(w keptWorkTime) bool { return w.Name == work.Name })].ScheduledWork
		when := saved.Cron
		if !saved.Active {
			when += ", out of use"
		}
		return t.addEvents(ctx, jobs.Event{By: by, Kind: "schedule", Why: string(saved.Name) + ": " + when})
	})
	return saved, err
}

package postgres

import (
	"context"
	"fmt"
	"log/slog"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/riverqueue/river"
	"github.com/riverqueue/river/riverdriver/riverpgxv5"
	"github.com/robfig/cron/v3"
)

// upkeepSchedule is when the records are tidied: at night in most places, and
// in UTC, where no hour is skipped or comes twice.
const upkeepSchedule = "CRON_TZ=UTC 30 3 * * *"

// keepKeys is for how long an order may be sent again under its key.
const keepKeys = 30 * 24 * time.Hour

// upkeepArgs asks for the upkeep that was due at a moment. Programs that ask
// for the same moment get one job between them.
type upkeepArgs struct {
	DueAt time.Time `json:"due_at" river:"unique"`
}

func (upkeepArgs) Kind() string { return "upkeep" }

func (upkeepArgs) InsertOpts() river.InsertOpts {
	return river.InsertOpts{UniqueOpts: river.UniqueOpts{ByArgs: true}}
}

// upkeepWorker does the upkeep.
type upkeepWorker struct {
	river.WorkerDefaults[upkeepArgs]
	db *DB
}

// Work forgets sessions that have expired and keys of orders sent long ago.
func (w *upkeepWorker) Work(ctx context.Context, job *river.Job[upkeepArgs]) error {
	return w.db.withTx(ctx, func(tx tx) error {
		if _, err := tx.Exec(ctx, `DELETE FROM sessions WHERE expiry < $1`, tx.now); err != nil {
			return fmt.Errorf("forget sessions: %w", err)
		}
		if _, err := tx.Exec(ctx, `UPDATE orders SET idempotency_key = NULL, content_hash = NULL
			WHERE idempotency_key IS NOT NULL AND submitted_at < $1`, tx.now.Add(-keepKeys)); err != nil {
			return fmt.Errorf("forget keys: %w", err)
		}
		_, err := tx.Exec(ctx, `INSERT INTO scheduled (name, last_done) VALUES ($1, $2)
			ON CONFLICT (name) DO UPDATE SET last_done = greatest(scheduled.last_done, excluded.last_done)`,
			upkeepArgs{}.Kind(), job.Args.DueAt)
		return err
	})
}

// Upkeep runs work on schedule, once for all programs on the same records.
type Upkeep struct {
	client *river.Client[pgx.Tx]
}

// StartUpkeep begins to work. What fell due while no program ran is caught up
// at once.
func StartUpkeep(ctx context.Context, db *DB, log *slog.Logger) (*Upkeep, error) {
	schedule, err := cron.ParseStandard(upkeepSchedule)
	if err != nil {
		return nil, fmt.Errorf("upkeep: %w", err)
	}
	workers := river.NewWorkers()
	river.AddWorker(workers, &upkeepWorker{db: db})
	client, err := river.NewClient(riverpgxv5.New(db.pool), &river.Config{
		Logger:  log,
		Queues:  map[string]river.QueueConfig{river.QueueDefault: {MaxWorkers: 2}},
		Workers: workers,
		PeriodicJobs: []*river.PeriodicJob{river.NewPeriodicJob(schedule, func() (river.JobArgs, *river.InsertOpts) {
			return upkeepArgs{lastTick(schedule, db.now())}, nil
		}, nil)},
	})
	if err != nil {
		return nil, fmt.Errorf("upkeep: %w", err)
	}
	if err := client.Start(ctx); err != nil {
		return nil, fmt.Errorf("upkeep: %w", err)
	}
	upkeep := &Upkeep{client}
	if err := upkeep.catchUp(ctx, db, schedule); err != nil {
		return nil, err
	}
	return upkeep, nil
}

// Stop lets running work end and stops.
func (u *Upkeep) Stop(ctx context.Context) error { return u.client.Stop(ctx) }

// catchUp asks for the last upkeep that fell due, unless it was done.
func (u *Upkeep) catchUp(ctx context.Context, db *DB, schedule cron.Schedule) error {
	due := lastTick(schedule, db.now())
	var done bool
	err := db.pool.QueryRow(ctx, `SELECT EXISTS (SELECT FROM scheduled WHERE name = $1 AND last_done >= $2)`,
		upkeepArgs{}.Kind(), due).Scan(&done)
	if err != nil {
		return fmt.Errorf("upkeep: %w", err)
	}
	if done {
		return nil
	}
	if _, err := u.client.Insert(ctx, upkeepArgs{due}, nil); err != nil {
		return fmt.Errorf("upkeep: %w", err)
	}
	return nil
}

// lastTick returns the last moment at or before now at which a schedule was
// due, looking back two days.
func lastTick(schedule cron.Schedule, now time.Time) time.Time {
	tick := schedule.Next(now.Add(-48 * time.Hour))
	for {
		next := schedule.Next(tick)
		if next.After(now) {
			return tick.UTC()
		}
		tick = next
	}
}

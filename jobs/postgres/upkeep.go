package postgres

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/riverqueue/river"
	"github.com/riverqueue/river/riverdriver/riverpgxv5"

	"wetside/jobs"
)

// keepKeys is for how long an order, or a file of them, may be sent again under
// its key.
const keepKeys = 30 * 24 * time.Hour

// tickEvery is how often it is looked what is due.
const tickEvery = time.Minute

// Scheduled work may take so long. A server that ends in the midst of it leaves
// it marked as running: another one takes it over after a while.
const (
	workTimeout = 5 * time.Minute
	takeOver    = 10 * time.Minute
)

// duty is one kind of scheduled work, done in one transaction.
type duty func(ctx context.Context, t tx) error

// duties are what there is to do.
var duties = map[jobs.WorkName]duty{
	jobs.UpkeepWork:      tidy,
	jobs.RecalculateWork: recalculate,
	jobs.MorningWork:     morningList,
}

// workArgs ask for the work that was due at a moment. Programs that ask for the
// same moment get one job between them.
type workArgs struct {
	Name  jobs.WorkName `json:"name" river:"unique"`
	DueAt time.Time     `json:"due_at" river:"unique"`
}

func (workArgs) Kind() string { return "scheduled" }

func (workArgs) InsertOpts() river.InsertOpts {
	return river.InsertOpts{UniqueOpts: river.UniqueOpts{ByArgs: true}}
}

// tickArgs ask for a look at what is due. The next minute brings another one,
// so that a look that fails is not tried again.
type tickArgs struct{}

func (tickArgs) Kind() string { return "tick" }

func (tickArgs) InsertOpts() river.InsertOpts { return river.InsertOpts{MaxAttempts: 1} }

// Upkeep runs work on schedule, once for all programs on the same records.
type Upkeep struct {
	db     *DB
	duties map[jobs.WorkName]duty
	client *river.Client[pgx.Tx]
}

// StartUpkeep begins to work. What fell due while no program ran is caught up
// once, at once.
func StartUpkeep(ctx context.Context, db *DB, log *slog.Logger) (*Upkeep, error) {
	return startUpkeep(ctx, db, log, duties)
}

func startUpkeep(ctx context.Context, db *DB, log *slog.Logger, duties map[jobs.WorkName]duty) (*Upkeep, error) {
	u := &Upkeep{db: db, duties: duties}
	workers := river.NewWorkers()
	river.AddWorker(workers, &dutyWorker{upkeep: u})
	river.AddWorker(workers, &tickWorker{upkeep: u})
	client, err := river.NewClient(riverpgxv5.New(db.pool), &river.Config{
		Logger:               log,
		Queues:               map[string]river.QueueConfig{river.QueueDefault: {MaxWorkers: 2}},
		Workers:              workers,
		JobTimeout:           workTimeout,
		RescueStuckJobsAfter: takeOver,
		PeriodicJobs: []*river.PeriodicJob{river.NewPeriodicJob(river.PeriodicInterval(tickEvery), func() (river.JobArgs, *river.InsertOpts) {
			return tickArgs{}, nil
		}, nil)},
	})
	if err != nil {
		return nil, fmt.Errorf("upkeep: %w", err)
	}
	u.client = client
	if err := client.Start(ctx); err != nil {
		return nil, fmt.Errorf("upkeep: %w", err)
	}
	if err := u.tick(ctx); err != nil {
		return nil, errors.Join(fmt.Errorf("upkeep: %w", err), client.Stop(context.WithoutCancel(ctx)))
	}
	return u, nil
}

// Stop lets running work end and stops.
func (u *Upkeep) Stop(ctx context.Context) error { return u.client.Stop(ctx) }

// tick asks for everything that is due and was not done. A schedule that the
// owner has changed is read anew each time.
func (u *Upkeep) tick(ctx context.Context) error {
	now := u.db.now()
	zone, err := labZone(ctx, u.db.pool)
	if err != nil {
		return err
	}
	kept, err := scheduled(ctx, u.db.pool)
	if err != nil {
		return err
	}
	for _, work := range kept {
		schedule, err := jobs.ParseSchedule(work.Cron, zone)
		if err != nil {
			err = u.failed(ctx, work.Name, err)
		} else if due := work.Due(schedule, work.changed, now); !due.IsZero() && u.duties[work.Name] != nil {
			_, err = u.client.Insert(ctx, workArgs{work.Name, due.UTC()}, nil)
		}
		if err != nil {
			return fmt.Errorf("%s: %w", work.Name, err)
		}
	}
	return nil
}

// do does work that was due at a moment, unless it was done for that moment or
// a later one. Two programs never do it at once.
func (u *Upkeep) do(ctx context.Context, args workArgs) error {
	work, known := u.duties[args.Name]
	if !known {
		return river.JobCancel(fmt.Errorf("there is no work called %q", args.Name))
	}
	return u.db.withTx(ctx, func(t tx) error {
		var done *time.Time
		err := t.QueryRow(ctx, "SELECT last_done FROM scheduled WHERE name = $1 FOR UPDATE", args.Name).Scan(&done)
		if err != nil {
			return fmt.Errorf("lock %s: %w", args.Name, err)
		}
		if done != nil && !done.Before(args.DueAt) {
			return nil
		}
		if err := work(ctx, t); err != nil {
			return err
		}
		_, err = t.Exec(ctx, "UPDATE scheduled SET last_done = $2, failed_at = NULL, failure = '' WHERE name = $1", args.Name, args.DueAt)
		return err
	})
}

// mostFailure is how much of an error is kept, in characters.
const mostFailure = 300

// failed keeps why work failed, for the owner to see.
func (u *Upkeep) failed(ctx context.Context, name jobs.WorkName, why error) error {
	_, err := u.db.pool.Exec(ctx, "UPDATE scheduled SET failed_at = $2, failure = left($3, $4) WHERE name = $1",
		name, u.db.now(), why.Error(), mostFailure)
	return err
}

// dutyWorker does scheduled work; what fails is tried again, later and later.
type dutyWorker struct {
	river.WorkerDefaults[workArgs]
	upkeep *Upkeep
}

func (w *dutyWorker) Work(ctx context.Context, job *river.Job[workArgs]) error {
	err := w.upkeep.do(ctx, job.Args)
	if err == nil {
		return nil
	}
	// It must be kept even where the work ran out of time.
	return errors.Join(err, w.upkeep.failed(context.WithoutCancel(ctx), job.Args.Name, err))
}

// tickWorker looks what is due.
type tickWorker struct {
	river.WorkerDefaults[tickArgs]
	upkeep *Upkeep
}

func (w *tickWorker) Work(ctx context.Context, _ *river.Job[tickArgs]) error {
	return w.upkeep.tick(ctx)
}

// tidy forgets sessions that have expired and keys of orders sent long ago.
func tidy(ctx context.Context, t tx) error {
	if _, err := t.Exec(ctx, `DELETE FROM sessions WHERE expiry < $1`, t.now); err != nil {
		return fmt.Errorf("forget sessions: %w", err)
	}
	if _, err := t.Exec(ctx, `UPDATE orders SET idempotency_key = NULL, content_hash = NULL
		WHERE idempotency_key IS NOT NULL AND submitted_at < $1`, t.now.Add(-keepKeys)); err != nil {
		return fmt.Errorf("forget keys: %w", err)
	}
	if _, err := t.Exec(ctx, `UPDATE imports SET key = NULL WHERE key IS NOT NULL AND at < $1`, t.now.Add(-keepKeys)); err != nil {
		return fmt.Errorf("forget keys of files: %w", err)
	}
	return nil
}

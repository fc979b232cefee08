// Package postgres keeps the records of package jobs in PostgreSQL: one small
// store for each aggregate, all over one [DB].
package postgres

import (
	"context"
	"errors"
	"fmt"
	"sync"
	"sync/atomic"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"
	"github.com/jackc/pgx/v5/pgxpool"

	"wetside/jobs"
)

// DB is what every store stands on: the connections and the clock.
type DB struct {
	pool *pgxpool.Pool
	now  func() time.Time
	last atomic.Pointer[readCatalogue] // the catalogue as it was read last
	work atomic.Pointer[counted]       // the workload as it was read last
	// reading is held by whoever reads the workload again.
	reading sync.Mutex
}

// NewDB returns the records reached through a pool. The clock is asked once a
// transaction.
func NewDB(pool *pgxpool.Pool, now func() time.Time) *DB { return &DB{pool: pool, now: now} }

// tx is a transaction with the one moment at which everything in it happens.
type tx struct {
	pgx.Tx
	now  time.Time
	last *atomic.Pointer[readCatalogue]
}

// attempts is how often a transaction is tried that lost a race against
// another one.
const attempts = 5

// withTx runs fn in a transaction and commits when it returns nil. A
// transaction that the database gave up for another one is run again.
func (db *DB) withTx(ctx context.Context, fn func(tx tx) error) error {
	for attempt := 1; ; attempt++ {
		err := db.once(ctx, fn)
		var pgErr *pgconn.PgError
		raced := errors.As(err, &pgErr) && (pgErr.Code == "40001" || pgErr.Code == "40P01")
		if !raced || attempt == attempts {
			return translate(err)
		}
	}
}

func (db *DB) once(ctx context.Context, fn func(tx tx) error) error {
	inner, err := db.pool.Begin(ctx)
	if err != nil {
		return fmt.Errorf("begin: %w", err)
	}
	// The rollback must reach the database even when the caller has given up;
	// after a commit it does nothing.
	defer inner.Rollback(context.WithoutCancel(ctx))
	// PostgreSQL keeps microseconds; a finer clock would come back changed.
	if err := fn(tx{inner, db.now().UTC().Truncate(time.Microsecond), &db.last}); err != nil {
		return err
	}
	if err := inner.Commit(ctx); err != nil {
		return fmt.Errorf("commit: %w", err)
	}
	return nil
}

// constraintMessages says in words what a broken constraint means to the
// person who broke it.
var constraintMessages = map[string]*jobs.Error{
	"people_name":           jobs.InvalidField("name", "somebody has this name already"),
	"stocks_name":           jobs.InvalidField("name", "there is a stock of this name already"),
	"solutions_name":        jobs.InvalidField("name", "there is a solution of this name already"),
	"lines_name":            jobs.InvalidField("name", "there is a line of this name already"),
	"rolls_twin_check":      jobs.InvalidField("twin_check", "this twin-check number is on another roll already"),
	"containers_name":       jobs.InvalidField("name", "there is a container of this name already"),
	"batch_rolls_open":      jobs.Errorf(jobs.Stale, "the roll is in another batch already"),
	"batches_running":       jobs.Errorf(jobs.WrongState, "the line is running another batch"),
	"fills_in_use":          jobs.Errorf(jobs.WrongState, "the line still holds a fill of this solution; dump it first"),
	"ledger_answers":        jobs.Errorf(jobs.WrongState, "this was replenished for already"),
	"ledger_dumped":         jobs.Errorf(jobs.WrongState, "the fill was dumped; nothing goes into it any more"),
	"ledger_overdrawn":      jobs.Errorf(jobs.Refused, "more is taken out than there is"),
	"strip_boxes_number":    jobs.InvalidField("number", "there is a box of this number already"),
	"strip_boxes_active":    jobs.Errorf(jobs.WrongState, "another box is in use for this process; put it away first"),
	"strips_confirms":       jobs.Errorf(jobs.WrongState, "a second strip was read for this one already"),
	"strip_releases_pkey":   jobs.Errorf(jobs.WrongState, "the line was released on this strip already"),
	"remjet_fouls_the_tank": jobs.Errorf(jobs.Refused, "film with remjet present or unknown would foul this tank"),
}

// translate turns what the database reports into what people are told. It is
// the one place that knows both.
func translate(err error) error {
	var pgErr *pgconn.PgError
	if !errors.As(err, &pgErr) {
		return err
	}
	known, ok := constraintMessages[pgErr.ConstraintName]
	if !ok {
		return err
	}
	translated := *known
	if pgErr.Code == "23505" && translated.Code == jobs.Invalid {
		translated.Code = jobs.Duplicate
	}
	return &translated
}

// addEvents appends to the record, at the moment of the transaction.
func (t tx) addEvents(ctx context.Context, events ...jobs.Event) error {
	batch := &pgx.Batch{}
	for _, e := range events {
		batch.Queue(`INSERT INTO events
			(at, person_id, by_name, kind, order_id, roll_id, batch_id, fill_id, from_state, to_state, why)
			VALUES ($1, nullif($2::bigint, 0), $3, $4, nullif($5::bigint, 0), nullif($6::bigint, 0), nullif($7::bigint, 0),
				nullif($8::bigint, 0), $9, $10, $11)`,
			t.now, int64(e.By.Person), e.By.Name, e.Kind, int64(e.Order), int64(e.Roll), int64(e.Batch), int64(e.Fill),
			e.From, e.To, e.Why)
	}
	if err := t.SendBatch(ctx, batch).Close(); err != nil {
		return fmt.Errorf("add events: %w", err)
	}
	return nil
}

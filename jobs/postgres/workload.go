package postgres

import (
	"context"
	"slices"
	"time"

	"github.com/jackc/pgx/v5"

	"wetside/jobs"
)

// countedFor is how long a count of the work stands. Orders that come in
// meanwhile are added to it; what the lab gets done meanwhile is not taken off.
const countedFor = time.Minute

// learntFor is how long the usual durations stand.
const learntFor = 24 * time.Hour

// foldAt is how many rolls may have come in since the last count before they
// are put into it, so that reading it stays cheap.
const foldAt = 150

// counted is the workload as it is kept, with what came in since.
type counted struct {
	jobs.Workload
	at, learntAt time.Time
	lastRoll     int64 // the last one in the count
	added        int   // rolls that came in since
	newest       int64 // the last one of them
	issued       int64 // the last key given to a roll when this was read
	missing      int   // rolls up to lastRoll that were not committed when they were counted
	others       bool  // somebody else was writing when this was read
}

// readAfter is how many rolls may have come in before what came in is read
// again. A promise counts them as if they were all before it.
const readAfter = 40

// workNow is the workload for an order: as it was read last while hardly
// anything has changed, or read again. One reads it for all: until that is done
// the others still go by the last one.
func (t tx) workNow(ctx context.Context, db *DB, c jobs.Catalogue, seen counted) (counted, error) {
	last := db.work.Load()
	known := last != nil && last.at.Equal(seen.at)
	if !known || seen.issued-last.issued >= readAfter && db.reading.TryLock() {
		if known {
			defer db.reading.Unlock()
		}
		batch, read := &pgx.Batch{}, counted{}
		queueWorkload(batch, &read)
		if err := t.SendBatch(ctx, batch).Close(); err != nil {
			return counted{}, err
		}
		read.issued = seen.issued
		read.Waiting = c.Timed(read.Waiting)
		db.work.Store(&read)
		last = &read
	}
	work := *last
	work.Unread = max(0, int(seen.issued-last.accounted()))
	return work, nil
}

// accounted is the key that would have been given last if no roll but those that
// were read had got one. Keys without a roll belong to orders that are not
// committed yet, as long as others are writing, and otherwise to none; those
// after the most that is read at once are left for the next count.
func (c counted) accounted() int64 {
	read := c.lastRoll + int64(c.added)
	if !c.others && c.added < readAtOnce {
		read = max(read, c.issued)
	}
	return read - int64(c.missing)
}

// skipped is how many rolls are missing when the count goes on from the newest.
func (c counted) skipped() int {
	if !c.others {
		return c.missing
	}
	return c.missing + int(c.newest-c.lastRoll) - c.added
}

// stands reports whether the count may still be used at a moment. Programs on
// several machines count, and their clocks differ a little.
func (c counted) stands(now time.Time) bool { return now.Sub(c.at).Abs() <= countedFor }

// readAtOnce is the most rolls that are read of those that came in since the last
// count; what a sudden rush leaves beyond it is known by its number only.
const readAtOnce = 300

// othersWrite tells whether somebody else is putting rolls in, or changing some,
// and has not committed it. Asked before rolls are read: what is committed in
// between is read, then.
const othersWrite = `SELECT EXISTS (SELECT FROM pg_locks WHERE locktype = 'relation' AND relation = 'rolls'::regclass
	AND database = (SELECT oid FROM pg_database WHERE datname = current_database())
	AND mode = 'RowExclusiveLock' AND pid <> pg_backend_pid())`

// newSince counts the rolls that came in since the last count.
const newSince = `SELECT stock_id, process, coalesce(solution_id, 0), push_sixths, format, count(*), max(id)
	FROM (SELECT * FROM rolls WHERE id > (SELECT last_roll FROM workload WHERE one) ORDER BY id LIMIT $1) r GROUP BY 1, 2, 3, 4, 5`

// queueWorkload reads the workload along with whatever else a batch reads.
func queueWorkload(batch *pgx.Batch, into *counted) {
	queueEach(batch, othersWrite, func(row pgx.CollectableRow) error { return row.Scan(&into.others) })
	queueEach(batch, "SELECT counted_at, last_roll, work, learnt_at, pace FROM workload", func(row pgx.CollectableRow) error {
		var kept keptWork
		err := row.Scan(&into.at, &into.lastRoll, &kept, &into.learntAt, &into.Pace)
		into.Waiting, into.Running, into.missing = kept.Waiting, kept.Running, kept.Missing
		return err
	})
	// The database cannot know how few they are, and once it has planned to read
	// all rolls, because there were hardly any, it keeps to that.
	batch.Queue("SELECT set_config('enable_seqscan', 'off', true)")
	queueEach(batch, newSince, func(row pgx.CollectableRow) error {
		var w jobs.Waiting
		var newest int64
		err := row.Scan(&w.Stock, &w.Process, &w.Solution, &w.Push, &w.Format, &w.Expected, &newest)
		into.add(w)
		into.newest = max(into.newest, newest)
		return err
	}, readAtOnce)
	batch.Queue("SELECT set_config('enable_seqscan', 'on', true)")
}

// add puts rolls that came in since into the count.
func (c *counted) add(w jobs.Waiting) {
	c.added += w.Expected
	for i := range c.Waiting {
		if c.Waiting[i].WorkKind == w.WorkKind {
			c.Waiting[i].Expected += w.Expected
			return
		}
	}
	c.Waiting = append(c.Waiting, w)
}

// Workload returns what lies before the next order.
func (s *OrderStore) Workload(ctx context.Context) (jobs.Workload, error) { return s.db.workload(ctx) }

// workload returns the work as it is kept, or counts it when that was too long
// ago.
func (db *DB) workload(ctx context.Context) (jobs.Workload, error) {
	var kept counted
	batch := &pgx.Batch{}
	queueWorkload(batch, &kept)
	if err := db.pool.SendBatch(ctx, batch).Close(); err != nil {
		return jobs.Workload{}, err
	}
	if !kept.stands(db.now()) {
		return db.countWork(ctx)
	}
	return kept.Workload, nil
}

// countWork counts the work anew and keeps the count for everybody.
func (db *DB) countWork(ctx context.Context) (work jobs.Workload, err error) {
	err = db.withTx(ctx, func(t tx) error {
		c, err := t.catalogue(ctx)
		if err != nil {
			return err
		}
		// Whoever comes second finds it counted.
		kept, err := t.lockWorkload(ctx)
		if err != nil {
			return err
		}
		if work = kept.Workload; kept.stands(t.now) {
			return nil
		}
		if t.now.Sub(kept.learntAt).Abs() > learntFor {
			if kept.Pace, err = t.learnPace(ctx, c.Lab); err != nil {
				return err
			}
			kept.learntAt = t.now
		}
		if work, err = t.countOpen(ctx, c, &kept); err != nil {
			return err
		}
		_, err = t.Exec(ctx, "UPDATE workload SET counted_at = $1, last_roll = $2, work = $3, learnt_at = $4, pace = $5",
			t.now, kept.lastRoll, keptWork{work.Waiting, work.Running, kept.missing}, kept.learntAt, kept.Pace)
		return err
	})
	return work, err
}

// keptWork is the part of a workload that is counted.
type keptWork struct {
	Waiting []jobs.Waiting
	Running []jobs.Running
	Missing int // see counted
}

func (t tx) lockWorkload(ctx context.Context) (counted, error) {
	if _, err := t.Exec(ctx, "SELECT FROM workload FOR UPDATE"); err != nil {
		return counted{}, err
	}
	var kept counted
	batch := &pgx.Batch{}
	queueWorkload(batch, &kept)
	return kept, t.SendBatch(ctx, batch).Close()
}

// countWaiting counts the rolls without a batch; those that are expected when
// they were ordered after $1.
const countWaiting = `SELECT r.stock_id, r.process, coalesce(r.solution_id, 0), r.push_sixths, r.format,
	count(*) FILTER (WHERE r.state <> 'expected'), count(*) FILTER (WHERE r.state = 'expected') FROM rolls r
	WHERE ` + isOpen + ` AND r.state IN ('expected', 'received', 'held', 'queued') AND (r.state <> 'expected' OR r.since > $1)
	GROUP BY 1, 2, 3, 4, 5`

// lastRolls finds the last roll, and how many keys among the last thousand belong
// to none.
const lastRolls = `SELECT last, least(last, 1000) - (SELECT count(*) FROM rolls WHERE id > last - 1000)
	FROM (SELECT coalesce(max(id), 0) AS last FROM rolls) AS newest`

// countOpen counts the work of the lab. Rolls that are committed meanwhile may be
// counted twice until the next count, and those that are not yet are missing.
func (t tx) countOpen(ctx context.Context, c jobs.Catalogue, kept *counted) (jobs.Workload, error) {
	work := jobs.Workload{Pace: kept.Pace}
	if err := t.QueryRow(ctx, lastRolls).Scan(&kept.lastRoll, &kept.missing); err != nil {
		return work, err
	}
	if !kept.others {
		kept.missing = 0
	}
	rows, err := t.Query(ctx, countWaiting, kept.Pace.ExpectedSince(c.Lab, t.now))
	if err != nil {
		return work, err
	}
	work.Waiting, err = pgx.CollectRows(rows, func(row pgx.CollectableRow) (w jobs.Waiting, err error) {
		err = row.Scan(&w.Stock, &w.Process, &w.Solution, &w.Push, &w.Format, &w.Here, &w.Expected)
		return w, err
	})
	if err != nil {
		return work, err
	}
	work.Waiting = c.Timed(work.Waiting)
	open, err := openBatches(ctx, t)
	work.Running = c.Holding(open, t.now)
	return work, err
}

// fold puts what came in since the count into it. It never waits: where somebody
// else is about it, or has counted anew, nothing is changed.
func (t tx) fold(ctx context.Context, c jobs.Catalogue, kept counted) error {
	_, err := t.Exec(ctx, `UPDATE workload SET last_roll = $1, work = $2
		WHERE one = (SELECT one FROM workload WHERE last_roll = $3 AND counted_at = $4 FOR UPDATE SKIP LOCKED)`,
		kept.newest, keptWork{c.Timed(slices.Clone(kept.Waiting)), kept.Running, kept.skipped()}, kept.lastRoll, kept.at)
	return err
}

// How many seconds film took, since $1: from its order to its check-in, which
// comes once, and from the developed film to the ready one, where the closed days
// of $2 between are taken off.
const (
	tookToArrive = `SELECT extract(epoch FROM e.at - o.submitted_at) FROM events e JOIN orders o ON o.id = e.order_id
		WHERE e.to_state = 'received' AND e.from_state = 'expected' AND e.at >= $1`
	tookToDry = `SELECT extract(epoch FROM ready - dried)
			- 86400 * (SELECT count(*) FROM unnest($2::date[]) AS closed
				WHERE closed > (dried AT TIME ZONE $3)::date AND closed < (ready AT TIME ZONE $3)::date)
		FROM (SELECT max(at) FILTER (WHERE to_state = 'ready') AS ready, max(at) FILTER (WHERE to_state = 'drying') AS dried
			FROM events WHERE to_state IN ('drying', 'ready') AND at >= $1 GROUP BY roll_id) AS rolls`
)

// learnPace learns from the last weeks how long film is on its way to the lab,
// and how long on the dry side.
func (t tx) learnPace(ctx context.Context, lab jobs.Lab) (pace jobs.Pace, err error) {
	since := t.now.AddDate(0, 0, -7*jobs.PaceWeeks)
	if pace.Arrival, err = t.usual(ctx, tookToArrive, since); err != nil {
		return pace, err
	}
	pace.DrySide, err = t.usual(ctx, tookToDry, since, lab.ClosedDays(since, t.now), lab.Zone().String())
	return pace, err
}

func (t tx) usual(ctx context.Context, took string, args ...any) (jobs.Usual, error) {
	var usual jobs.Usual
	var median, high float64
	err := t.QueryRow(ctx, `SELECT count(*), coalesce(percentile_cont(0.5) WITHIN GROUP (ORDER BY took), 0),
		coalesce(percentile_cont(0.9) WITHIN GROUP (ORDER BY took), 0)
		FROM (`+took+`) AS taken(took) WHERE took >= 0`, args...).Scan(&usual.Seen, &median, &high)
	usual.Median, usual.High = time.Duration(median)*time.Second, time.Duration(high)*time.Second
	return usual, err
}

package postgres

import (
	"context"
	"errors"
	"fmt"
	"time"

	"github.com/jackc/pgx/v5"

	"wetside/chemistry"
	"wetside/jobs"
)

// TraceStore finds which rolls met which chemistry.
type TraceStore struct{ db *DB }

var _ jobs.TraceService = (*TraceStore)(nil)

// NewTraceStore returns the traces of what is kept in db.
func NewTraceStore(db *DB) *TraceStore { return &TraceStore{db} }

var (
	errNoLot   = jobs.Errorf(jobs.NotFound, "there is no such lot")
	errNoStrip = jobs.Errorf(jobs.NotFound, "there is no such strip")
)

// Trace returns the rolls that a cause touched.
func (s *TraceStore) Trace(ctx context.Context, query jobs.TraceQuery) (trace jobs.Trace, err error) {
	err = s.db.withTx(ctx, func(t tx) error {
		trace, err = t.trace(ctx, query)
		return err
	})
	return trace, err
}

func (t tx) trace(ctx context.Context, query jobs.TraceQuery) (jobs.Trace, error) {
	if err := query.Check(); err != nil {
		return jobs.Trace{}, err
	}
	trace, batches, err := t.touched(ctx, query.Cause)
	if err != nil {
		return jobs.Trace{}, err
	}
	trace.Rolls, err = t.tracedRolls(ctx, query, batches)
	return trace, err
}

// touched names a cause and lists the batches whose film it touched.
func (t tx) touched(ctx context.Context, cause jobs.Cause) (trace jobs.Trace, batches []int64, err error) {
	switch trace.Cause = cause; cause.Kind {
	case jobs.FromFill:
		err = t.aboutFill(ctx, &trace)
		if err == nil {
			batches, err = t.metFills(ctx, []pouring{{jobs.FillID(cause.ID), 0}}, nil)
		}
	case jobs.FromMix:
		err = t.aboutMix(ctx, &trace)
		if err == nil {
			batches, err = t.metMixes(ctx, []int64{cause.ID})
		}
	case jobs.FromLot:
		var mixes []int64
		mixes, err = t.aboutLot(ctx, &trace)
		if err == nil {
			batches, err = t.metMixes(ctx, mixes)
		}
	case jobs.FromStrip:
		batches, err = t.sinceGoodStrip(ctx, &trace)
	}
	return trace, batches, err
}

func (t tx) aboutFill(ctx context.Context, trace *jobs.Trace) error {
	fill, err := t.fill(ctx, jobs.FillID(trace.ID))
	trace.Name, trace.At = fill.SolutionName+" in "+fill.LineName, fill.FilledAt
	trace.From, trace.Until = fill.FilledAt, fill.DumpedAt
	return err
}

func (t tx) aboutMix(ctx context.Context, trace *jobs.Trace) error {
	found, err := mixes(ctx, t, "WHERE m.id = $1", trace.ID)
	if err != nil {
		return err
	}
	if len(found) == 0 {
		return errNoMix
	}
	trace.Name, trace.At, trace.From = mixName(found[0]), found[0].MixedAt, found[0].MixedAt
	return nil
}

// mixName is what a mix is called beside its time.
func mixName(m jobs.Mix) string {
	if m.Preparation == jobs.ReplenisherMixture {
		return m.SolutionName + " replenisher"
	}
	return m.SolutionName
}

// aboutLot names a lot and lists the mixes that it went into.
func (t tx) aboutLot(ctx context.Context, trace *jobs.Trace) ([]int64, error) {
	err := t.QueryRow(ctx, "SELECT part || ', lot ' || number, received_at FROM lots WHERE id = $1", trace.ID).Scan(&trace.Name, &trace.At)
	if errors.Is(err, pgx.ErrNoRows) {
		return nil, errNoLot
	}
	if err != nil {
		return nil, err
	}
	trace.From = trace.At
	rows, err := t.Query(ctx, `SELECT DISTINCT m.mix_id FROM ledger l JOIN ledger m ON m.move = l.move AND m.mix_id IS NOT NULL
		WHERE l.lot_id = $1 AND l.kind = 'mixed'`, trace.ID)
	if err != nil {
		return nil, err
	}
	return pgx.CollectRows(rows, pgx.RowTo[int64])
}

// sinceGoodStrip names a strip past the control limit and lists the batches of
// its line and process that started after the last strip in control before it,
// up to the next one. A strip past the action limit lets film run, but does not
// say that the film before it was well, nor lets a stopped line go. A batch that
// started in the moment of a strip came after it.
func (t tx) sinceGoodStrip(ctx context.Context, trace *jobs.Trace) ([]int64, error) {
	var line int64
	var process chemistry.Process
	var verdict chemistry.StripVerdict
	var from, until *time.Time
	err := t.QueryRow(ctx, `SELECT s.line_id, s.process, s.verdict, s.at, s.process || ' strip on ' || l.name,
		(SELECT g.at FROM strips g WHERE g.line_id = s.line_id AND g.process = s.process AND g.verdict = $2
			AND (g.at, g.id) < (s.at, s.id) ORDER BY g.at DESC, g.id DESC LIMIT 1),
		(SELECT g.at FROM strips g WHERE g.line_id = s.line_id AND g.process = s.process AND g.verdict = $2
			AND (g.at, g.id) > (s.at, s.id) ORDER BY g.at, g.id LIMIT 1)
		FROM strips s JOIN lines l ON l.id = s.line_id WHERE s.id = $1`, trace.ID, string(chemistry.InControl)).
		Scan(&line, &process, &verdict, &trace.At, &trace.Name, &from, &until)
	if errors.Is(err, pgx.ErrNoRows) {
		return nil, errNoStrip
	}
	if err != nil {
		return nil, err
	}
	if verdict.MayRun() {
		return nil, jobs.Errorf(jobs.Refused, "this strip is %s: only one past the control limit has film to trace", verdict)
	}
	trace.From, trace.Until = orZero(from), orZero(until)
	rows, err := t.Query(ctx, `SELECT id FROM batches WHERE line_id = $1 AND process = $2 AND started_at IS NOT NULL
		AND ($3::timestamptz IS NULL OR started_at >= $3) AND ($4::timestamptz IS NULL OR started_at < $4)`,
		line, string(process), from, until)
	if err != nil {
		return nil, err
	}
	return pgx.CollectRows(rows, pgx.RowTo[int64])
}

func orZero(at *time.Time) time.Time {
	if at == nil {
		return time.Time{}
	}
	return *at
}

// tracedRolls returns the rolls of batches that started within what a query
// asks for, with their owners and what is marked already.
func (t tx) tracedRolls(ctx context.Context, query jobs.TraceQuery, batches []int64) ([]jobs.TracedRoll, error) {
	rows, err := t.Query(ctx, "SELECT "+rollColumns+`, s.name, o.name, o.return_by, coalesce(r.batch_id, 0), o.email, o.phone,
		b.id, l.name, b.started_at, b.ended_at, coalesce(i.id, 0), i.id IS NOT NULL AND i.done_at IS NULL
		FROM batches b JOIN lines l ON l.id = b.line_id JOIN batch_rolls br ON br.batch_id = b.id JOIN rolls r ON r.id = br.roll_id
		JOIN stocks s ON s.id = r.stock_id JOIN orders o ON o.id = r.order_id
		LEFT JOIN inspections i ON i.roll_id = r.id AND i.cause = $4 AND i.cause_id = $5
		WHERE b.id = ANY($1) AND ($2::timestamptz IS NULL OR b.started_at >= $2) AND ($3::timestamptz IS NULL OR b.started_at < $3)
		ORDER BY r.order_id, r.position`, batches, unlessZero(query.Since), unlessZero(query.Until), string(query.Kind), query.ID)
	if err != nil {
		return nil, fmt.Errorf("trace rolls: %w", err)
	}
	return pgx.CollectRows(rows, func(row pgx.CollectableRow) (jobs.TracedRoll, error) {
		var r jobs.TracedRoll
		var ended *time.Time
		err := row.Scan(append(rollPlaces(&r.Roll), &r.StockName, &r.CustomerName, &r.Return, &r.Batch, &r.Email, &r.Phone,
			&r.Run, &r.LineName, &r.StartedAt, &ended, &r.Marked, &r.Open)...)
		r.EndedAt = orZero(ended)
		return r, err
	})
}

func unlessZero(at time.Time) *time.Time {
	if at.IsZero() {
		return nil
	}
	return &at
}

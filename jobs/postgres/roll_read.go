package postgres

import (
	"context"
	"errors"
	"slices"

	"github.com/jackc/pgx/v5"

	"wetside/jobs"
)

// rollColumns are the columns of a roll r in the order in which scanRoll reads
// them.
const rollColumns = `r.id, r.order_id, r.position, coalesce(r.twin_check, ''), r.stock_id, r.process, r.remjet,
	coalesce(r.solution_id, 0), r.format, r.exposures, r.light, r.filter, r.ei, r.push_sixths, r.note, r.reading, r.confirm,
	r.cut_and_sleeve, r.scan, r.return_negatives, r.state, r.since, r.due_at, r.question, r.answer, r.reason, r.tracking,
	EXISTS (SELECT FROM inspections i WHERE i.roll_id = r.id AND i.done_at IS NULL), r.version`

// rollPlaces is where the columns of a roll go.
func rollPlaces(r *jobs.Roll) []any {
	return []any{&r.ID, &r.Order, &r.Position, &r.TwinCheck, &r.Stock, &r.Process, &r.Remjet, &r.Solution, &r.Format,
		&r.Exposures, &r.Light, &r.Filter, &r.EI, &r.Push, &r.Note, &r.Reading, &r.Confirm, &r.Service.CutAndSleeve,
		&r.Service.Scan, &r.Service.ReturnNegatives, &r.State, &r.Since, &r.Due, &r.Question, &r.Answer, &r.Reason,
		&r.Tracking, &r.Inspect, &r.Version}
}

func scanRoll(row pgx.CollectableRow) (jobs.Roll, error) {
	var roll jobs.Roll
	err := row.Scan(rollPlaces(&roll)...)
	return roll, err
}

// selectRollViews begins every query of rolls with what is shown beside them;
// a WHERE follows.
const selectRollViews = "SELECT " + rollColumns + `, s.name, o.name, o.return_by, coalesce(r.batch_id, 0)
	FROM rolls r JOIN stocks s ON s.id = r.stock_id JOIN orders o ON o.id = r.order_id `

func scanRollView(row pgx.CollectableRow) (jobs.RollView, error) {
	var view jobs.RollView
	err := row.Scan(append(rollPlaces(&view.Roll), &view.StockName, &view.CustomerName, &view.Return, &view.Batch)...)
	return view, err
}

// querier is what reads: a transaction or the connections themselves.
type querier interface {
	Query(ctx context.Context, sql string, args ...any) (pgx.Rows, error)
}

// rollViews returns the rolls that a WHERE clause, with what follows it, picks.
func rollViews(ctx context.Context, q querier, where string, args ...any) ([]jobs.RollView, error) {
	rows, err := q.Query(ctx, selectRollViews+where, args...)
	if err != nil {
		return nil, err
	}
	return pgx.CollectRows(rows, scanRollView)
}

// lockRoll returns a roll that nobody else can change until the transaction
// ends.
func (t tx) lockRoll(ctx context.Context, id jobs.RollID) (jobs.Roll, error) {
	rolls, err := t.lockRolls(ctx, []jobs.RollID{id})
	if err != nil {
		return jobs.Roll{}, err
	}
	return rolls[0], nil
}

// lockRolls returns rolls, in the order asked for, that nobody else can change
// until the transaction ends. Rolls are always locked in the order of their
// keys, so that two who want the same ones do not wait for each other.
func (t tx) lockRolls(ctx context.Context, ids []jobs.RollID) ([]jobs.Roll, error) {
	rows, err := t.Query(ctx, "SELECT "+rollColumns+" FROM rolls r WHERE r.id = ANY($1) ORDER BY r.id FOR UPDATE", ids)
	if err != nil {
		return nil, err
	}
	locked, err := pgx.CollectRows(rows, scanRoll)
	if err != nil {
		return nil, err
	}
	rolls := make([]jobs.Roll, len(ids))
	for i, id := range ids {
		at := slices.IndexFunc(locked, func(r jobs.Roll) bool { return r.ID == id })
		if at < 0 {
			return nil, errNoRoll
		}
		rolls[i] = locked[at]
	}
	return rolls, nil
}

var errNoRoll = jobs.Errorf(jobs.NotFound, "there is no such roll")

// oneRollView returns the single roll that a WHERE clause picks.
func oneRollView(ctx context.Context, q querier, where string, args ...any) (jobs.RollView, error) {
	rows, err := q.Query(ctx, selectRollViews+where, args...)
	if err != nil {
		return jobs.RollView{}, err
	}
	view, err := pgx.CollectExactlyOneRow(rows, scanRollView)
	if errors.Is(err, pgx.ErrNoRows) {
		return jobs.RollView{}, errNoRoll
	}
	return view, err
}

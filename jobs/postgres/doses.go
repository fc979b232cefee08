package postgres

import (
	"context"
	"errors"
	"fmt"
	"time"

	"github.com/jackc/pgx/v5"

	"wetside/jobs"
)

// DoseStore keeps what film calls for and what was poured for it.
type DoseStore struct{ db *DB }

var _ jobs.DoseService = (*DoseStore)(nil)

// NewDoseStore returns the doses kept in db.
func NewDoseStore(db *DB) *DoseStore { return &DoseStore{db} }

var errNoDose = jobs.Errorf(jobs.NotFound, "there is no such dose")

// doses returns the doses that what follows the FROM clause picks.
func doses(ctx context.Context, q querier, where string, args ...any) ([]jobs.Dose, error) {
	rows, err := q.Query(ctx, `SELECT e.id, e.batch_id, b.line_id, l.name, s.id, s.name, coalesce(e.fill_id, 0), coalesce(f.volume_ml, 0),
		f.dumped_at, e.at, e.rolls, e.area_m2, e.push_sixths, e.called_ml::double precision, e.recipe_version,
		a.at, coalesce(a.by_name, ''), coalesce(a.amount, 0)::double precision, coalesce(a.why, ''),
		coalesce((SELECT m.mix_id FROM ledger m WHERE m.move = a.move AND m.mix_id IS NOT NULL), 0)
		FROM ledger e JOIN batches b ON b.id = e.batch_id JOIN lines l ON l.id = b.line_id LEFT JOIN fills f ON f.id = e.fill_id
		JOIN solutions s ON s.id = coalesce(e.solution_id, f.solution_id) LEFT JOIN ledger a ON a.answers = e.id `+where, args...)
	if err != nil {
		return nil, err
	}
	return pgx.CollectRows(rows, func(row pgx.CollectableRow) (jobs.Dose, error) {
		var d jobs.Dose
		var dumped, given *time.Time
		var poured jobs.Poured
		err := row.Scan(&d.ID, &d.Batch, &d.Line, &d.LineName, &d.Solution, &d.SolutionName, &d.Fill, &d.FillML, &dumped, &d.At,
			&d.Rolls, &d.AreaM2, &d.Push, &d.CalledML, &d.Recipe, &given, &poured.By, &poured.ML, &poured.Why, &poured.Mix)
		if dumped != nil {
			d.DumpedAt = *dumped
		}
		if given != nil {
			poured.At = *given
			d.Given = &poured
		}
		return d, err
	})
}

// isDose picks the entries of film that calls for something.
const isDose = "e.kind = 'film' AND e.called_ml > 0"

// Doses lists doses, the newest first.
func (s *DoseStore) Doses(ctx context.Context, query jobs.DoseQuery) ([]jobs.Dose, error) {
	if query.Limit < 1 || query.Limit > 500 {
		return nil, jobs.InvalidField("limit", "%d is outside what is allowed, 1 to 500", query.Limit)
	}
	var w conditions
	w.add(isDose)
	if query.Open {
		w.add("e.id IN (SELECT entry_id FROM open_doses)")
	}
	if query.Batch != 0 {
		w.add("e.batch_id = ?", int64(query.Batch))
	}
	if query.Fill != 0 {
		w.add("e.fill_id = ?", int64(query.Fill))
	}
	return doses(ctx, s.db.pool, w.where()+" ORDER BY e.id DESC LIMIT "+w.arg(query.Limit), w.args...)
}

// Dose returns one dose.
func (s *DoseStore) Dose(ctx context.Context, id jobs.DoseID) (jobs.Dose, error) {
	return oneDose(ctx, s.db.pool, id)
}

func oneDose(ctx context.Context, q querier, id jobs.DoseID) (jobs.Dose, error) {
	found, err := doses(ctx, q, "WHERE e.id = $1 AND "+isDose, int64(id))
	if err != nil {
		return jobs.Dose{}, err
	}
	if len(found) == 0 {
		return jobs.Dose{}, errNoDose
	}
	return found[0], nil
}

// lockDose returns a dose that nobody else confirms until the transaction ends.
func (t tx) lockDose(ctx context.Context, id jobs.DoseID) (jobs.Dose, error) {
	if err := t.QueryRow(ctx, "SELECT e.id FROM ledger e WHERE e.id = $1 AND "+isDose+" FOR UPDATE", int64(id)).Scan(&id); err != nil {
		if errors.Is(err, pgx.ErrNoRows) {
			return jobs.Dose{}, errNoDose
		}
		return jobs.Dose{}, fmt.Errorf("lock dose: %w", err)
	}
	return oneDose(ctx, t, id)
}

// ConfirmDose records what was poured.
func (s *DoseStore) ConfirmDose(ctx context.Context, by jobs.Actor, id jobs.DoseID, c jobs.Confirmation) (given jobs.Dose, err error) {
	err = s.db.withTx(ctx, func(t tx) error {
		catalogue, err := t.catalogue(ctx)
		if err != nil {
			return err
		}
		dose, err := t.lockDose(ctx, id)
		if err != nil {
			return err
		}
		var fill jobs.Fill
		if dose.Fill != 0 {
			if fill, err = t.lockFill(ctx, dose.Fill); err != nil {
				return err
			}
			dose.DumpedAt = fill.DumpedAt // it may have been dumped until we had the lock
		}
		from, err := t.lockMix(ctx, c.Mix)
		if err != nil {
			return err
		}
		containers, err := t.lockContainers(ctx)
		if err != nil {
			return err
		}
		does, err := dose.Confirm(c, catalogue.Solutions[dose.Solution], fill, from, containers)
		if err != nil {
			return err
		}
		if _, err := t.post(ctx, by, does...); err != nil {
			return err
		}
		why := fmt.Sprintf("%d mL of %s, %.0f mL called for", c.ML, dose.SolutionName, dose.CalledML)
		if note := does[0].Why; note != "" {
			why += ": " + note
		}
		if err := t.addEvents(ctx, jobs.Event{By: by, Kind: "replenish", Batch: dose.Batch, Fill: dose.Fill, Why: why}); err != nil {
			return err
		}
		given, err = oneDose(ctx, t, id)
		return err
	})
	return given, err
}

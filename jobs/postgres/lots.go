package postgres

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"time"

	"github.com/jackc/pgx/v5"

	"wetside/jobs"
)

// LotStore keeps the stock of what is mixed.
type LotStore struct{ db *DB }

var _ jobs.LotService = (*LotStore)(nil)

// NewLotStore returns the lots kept in db.
func NewLotStore(db *DB) *LotStore { return &LotStore{db} }

// shownUsedUp is how long a lot or mix of which nothing is left stays in the
// list; lately is over how long the use of a part is looked at.
const (
	shownUsedUp = 30 * 24 * time.Hour
	lately      = 28 * 24 * time.Hour
)

// lots returns the lots that what follows the FROM clause picks, with the sums
// of their ledgers; since is from when on use counts as late.
func lots(ctx context.Context, q querier, since time.Time, where string, args ...any) ([]jobs.Lot, error) {
	rows, err := q.Query(ctx, `SELECT l.id, l.part, l.number, l.unit, l.expires_on, l.received_at, e.received, e.left_over, e.used
		FROM lots l CROSS JOIN LATERAL (SELECT
			coalesce(sum(amount) FILTER (WHERE kind = 'received'), 0)::double precision AS received,
			coalesce(sum(amount), 0)::double precision AS left_over,
			coalesce(-sum(amount) FILTER (WHERE kind = 'mixed' AND at >= $1), 0)::double precision AS used, max(at) AS last
			FROM ledger WHERE lot_id = l.id) e `+where, append([]any{since}, args...)...)
	if err != nil {
		return nil, err
	}
	return pgx.CollectRows(rows, func(row pgx.CollectableRow) (jobs.Lot, error) {
		var l jobs.Lot
		var expires *time.Time
		err := row.Scan(&l.ID, &l.Part, &l.Number, &l.Unit, &expires, &l.ReceivedAt, &l.Received, &l.Left, &l.UsedLately)
		if expires != nil {
			l.ExpiresOn = *expires
		}
		return l, err
	})
}

// Lots lists the lots with something left, then those used up lately.
func (s *LotStore) Lots(ctx context.Context) ([]jobs.Lot, error) {
	now := s.db.now()
	return lots(ctx, s.db.pool, now.Add(-lately), `WHERE e.left_over > 0 OR e.last >= $2
		ORDER BY e.left_over <= 0, lower(l.part), l.expires_on NULLS LAST, l.received_at, l.id`, now.Add(-shownUsedUp))
}

// Lot returns a lot with every entry of every act that moved it.
func (s *LotStore) Lot(ctx context.Context, id jobs.LotID) (lot jobs.Lot, moves []jobs.Entry, err error) {
	err = s.db.withTx(ctx, func(t tx) error {
		found, err := lots(ctx, t, t.now.Add(-lately), "WHERE l.id = $2", int64(id))
		if err != nil {
			return err
		}
		if len(found) == 0 {
			return errNoLot
		}
		lot = found[0]
		moves, err = entries(ctx, t, "WHERE move IN (SELECT move FROM ledger WHERE lot_id = $1)", int64(id))
		return err
	})
	return lot, moves, err
}

// lockLots returns lots of which nobody else takes until the transaction ends;
// those that there are not, it leaves out.
func (t tx) lockLots(ctx context.Context, ids []jobs.LotID) (map[jobs.LotID]jobs.Lot, error) {
	keys := make([]int64, len(ids))
	for i, id := range ids {
		keys[i] = int64(id)
	}
	if _, err := t.Exec(ctx, "SELECT FROM lots WHERE id = ANY($1) ORDER BY id FOR UPDATE", keys); err != nil {
		return nil, fmt.Errorf("lock lots: %w", err)
	}
	found, err := lots(ctx, t, t.now.Add(-lately), "WHERE l.id = ANY($2)", keys)
	all := map[jobs.LotID]jobs.Lot{}
	for _, lot := range found {
		all[lot.ID] = lot
	}
	return all, err
}

// Receive records what came in, as a new lot or as more of one.
func (s *LotStore) Receive(ctx context.Context, by jobs.Actor, receipt jobs.Receipt) (lot jobs.Lot, err error) {
	err = s.db.withTx(ctx, func(t tx) error {
		c, err := t.catalogue(ctx)
		if err != nil {
			return err
		}
		receipt, err := jobs.CheckReceipt(receipt, t.now.In(c.Lab.Zone()))
		if err != nil {
			return err
		}
		id, isNew, err := t.lotOf(ctx, receipt)
		if err != nil {
			return err
		}
		all, err := t.lockLots(ctx, []jobs.LotID{id})
		if err != nil {
			return err
		}
		if !isNew {
			if err := receipt.CheckAgrees(all[id]); err != nil {
				return err
			}
		}
		lot, err = t.postLot(ctx, by, id, "receive", "", jobs.Entry{Kind: jobs.EntryReceived, Lot: id, Amount: receipt.Amount})
		return err
	})
	return lot, err
}

// lotOf returns the key of the lot that something is of; a lot that is not
// there yet is made.
func (t tx) lotOf(ctx context.Context, r jobs.Receipt) (id jobs.LotID, isNew bool, err error) {
	var expires *time.Time
	if !r.ExpiresOn.IsZero() {
		expires = &r.ExpiresOn
	}
	err = t.QueryRow(ctx, `INSERT INTO lots (part, number, unit, expires_on, received_at) VALUES ($1, $2, $3, $4, $5)
		ON CONFLICT (lower(part), lower(number)) DO NOTHING RETURNING id`, r.Part, r.Number, r.Unit, expires, t.now).Scan(&id)
	if !errors.Is(err, pgx.ErrNoRows) {
		return id, true, err
	}
	err = t.QueryRow(ctx, "SELECT id FROM lots WHERE lower(part) = lower($1) AND lower(number) = lower($2)", r.Part, r.Number).Scan(&id)
	return id, false, err
}

// postLot posts what one act did to a lot, tells of it, and returns the lot as
// it is then.
func (t tx) postLot(ctx context.Context, by jobs.Actor, id jobs.LotID, kind, why string, posted ...jobs.Entry) (jobs.Lot, error) {
	if _, err := t.post(ctx, by, posted...); err != nil {
		return jobs.Lot{}, err
	}
	found, err := lots(ctx, t, t.now.Add(-lately), "WHERE l.id = $2", int64(id))
	if err != nil {
		return jobs.Lot{}, err
	}
	what := fmt.Sprintf("%+.10g %s of %s", posted[0].Amount, found[0].Unit, found[0].Name())
	return found[0], t.addEvents(ctx, jobs.Event{By: by, Kind: kind, Why: strings.TrimSuffix(what+": "+why, ": ")})
}

// LoseLot records what was dumped or spilled of a lot.
func (s *LotStore) LoseLot(ctx context.Context, by jobs.Actor, id jobs.LotID, loss jobs.Loss) (lot jobs.Lot, err error) {
	err = s.db.withTx(ctx, func(t tx) error {
		c, err := t.catalogue(ctx)
		if err != nil {
			return err
		}
		all, err := t.lockLots(ctx, []jobs.LotID{id})
		if err != nil {
			return err
		}
		before, ok := all[id]
		if !ok {
			return errNoLot
		}
		held, err := t.lockContainers(ctx)
		if err != nil {
			return err
		}
		gone, err := c.LoseLot(before, held, loss)
		if err != nil {
			return err
		}
		lot, err = t.postLot(ctx, by, id, string(gone[0].Kind), gone[0].Why, gone...)
		return err
	})
	return lot, err
}

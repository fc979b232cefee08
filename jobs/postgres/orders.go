package postgres

import (
	"context"
	"crypto/rand"
	"crypto/sha256"
	"encoding/base64"
	"encoding/json"
	"errors"
	"fmt"

	"github.com/jackc/pgx/v5"

	"wetside/jobs"
)

// OrderStore keeps orders.
type OrderStore struct{ db *DB }

var _ jobs.OrderService = (*OrderStore)(nil)

// NewOrderStore returns the orders kept in db.
func NewOrderStore(db *DB) *OrderStore { return &OrderStore{db} }

// Submit takes an order in, once for each key.
func (s *OrderStore) Submit(ctx context.Context, by jobs.Actor, order jobs.NewOrder, key string) (taken jobs.Order, again bool, err error) {
	if err := jobs.CheckKey(key); err != nil {
		return jobs.Order{}, false, err
	}
	hash, err := contentHash(order)
	if err != nil {
		return jobs.Order{}, false, err
	}
	err = s.db.withTx(ctx, func(t tx) error {
		c, err := t.catalogue(ctx)
		if err != nil {
			return err
		}
		admitted, refused := jobs.Admit(order, c, t.now)
		if refused != nil {
			// What was taken before is returned as it is, even when the catalogue
			// would no longer allow it.
			if taken, again, err = t.takenBefore(ctx, key, hash); err != nil || again {
				return err
			}
			return refused
		}
		admitted.Token = newToken()
		added, err := t.addOrder(ctx, &admitted, key, hash)
		if err != nil {
			return err
		}
		if !added {
			taken, again, err = t.takenBefore(ctx, key, hash)
			return err
		}
		taken = admitted
		return t.addRolls(ctx, by, &taken)
	})
	return taken, again, err
}

// contentHash tells one order's content from another's.
func contentHash(order jobs.NewOrder) ([]byte, error) {
	content, err := json.Marshal(order)
	if err != nil {
		return nil, fmt.Errorf("hash order: %w", err)
	}
	sum := sha256.Sum256(content)
	return sum[:], nil
}

// tokenBytes is the length of a token before it is encoded: 128 bits.
const tokenBytes = 16

// newToken is 128 random bits for a private link.
func newToken() string {
	bits := make([]byte, tokenBytes)
	rand.Read(bits) // never fails
	return base64.RawURLEncoding.EncodeToString(bits)
}

// takenBefore returns the order that came with this key, if one did: Duplicate
// when its content was another.
func (t tx) takenBefore(ctx context.Context, key string, hash []byte) (jobs.Order, bool, error) {
	if key == "" {
		return jobs.Order{}, false, nil
	}
	var id jobs.OrderID
	var same bool
	err := t.QueryRow(ctx, "SELECT id, content_hash = $2 FROM orders WHERE idempotency_key = $1", key, hash).Scan(&id, &same)
	if errors.Is(err, pgx.ErrNoRows) {
		return jobs.Order{}, false, nil
	}
	if err != nil {
		return jobs.Order{}, false, err
	}
	if !same {
		return jobs.Order{}, false, jobs.Errorf(jobs.Duplicate, "another order was sent with this key before: order %d", id)
	}
	order, err := oneOrder(ctx, t, "WHERE o.id = $1", id)
	return order, err == nil, err
}

// addOrder inserts an order without its rolls. It returns false when one with
// its key is there already; where another transaction is just adding that, it
// waits for it. A number that was drawn in vain is not used again.
func (t tx) addOrder(ctx context.Context, order *jobs.Order, key string, hash []byte) (bool, error) {
	err := t.QueryRow(ctx, `INSERT INTO orders
		(token, name, email, phone, return_by, address, submitted_at, due_at, idempotency_key, content_hash)
		VALUES ($1, $2, $3, $4, $5, $6, $7, $8, nullif($9, ''), $10)
		ON CONFLICT (idempotency_key) DO NOTHING RETURNING id`,
		order.Token, order.Name, order.Email, order.Phone, string(order.Return), order.Address, order.Submitted, order.Due,
		key, hash).Scan(&order.ID)
	if errors.Is(err, pgx.ErrNoRows) {
		return false, nil
	}
	return err == nil, err
}

// addRolls inserts the rolls of an order, each together with its first event.
func (t tx) addRolls(ctx context.Context, by jobs.Actor, order *jobs.Order) error {
	batch := &pgx.Batch{}
	for i := range order.Rolls {
		r := &order.Rolls[i]
		r.Order = order.ID
		batch.Queue(`WITH roll AS (
				INSERT INTO rolls (order_id, position, stock_id, process, remjet, solution_id, format, exposures, light, filter,
					ei, push_sixths, note, reading, confirm, cut_and_sleeve, scan, return_negatives, state, since, due_at)
				VALUES ($1, $2, $3, $4, $5, nullif($6::bigint, 0), $7, $8, $9, $10, $11, $12, $13, $14, $15, $16, $17, $18, $19, $20, $21)
				RETURNING id, version, order_id, state, reading
			), event AS (
				INSERT INTO events (at, person_id, by_name, kind, order_id, roll_id, to_state, why)
				SELECT $22, nullif($23::bigint, 0), $24, 'order', order_id, id, state, reading FROM roll
			)
			SELECT id, version FROM roll`,
			int64(r.Order), r.Position, int64(r.Stock), string(r.Process), string(r.Remjet), int64(r.Solution), string(r.Format),
			r.Exposures, string(r.Light), r.Filter, r.EI, int(r.Push), r.Note, r.Reading, r.Confirm, r.Service.CutAndSleeve,
			r.Service.Scan, r.Service.ReturnNegatives, string(r.State), r.Since, r.Due, t.now, int64(by.Person), by.Name,
		).QueryRow(func(row pgx.Row) error { return row.Scan(&r.ID, &r.Version) })
	}
	if err := t.SendBatch(ctx, batch).Close(); err != nil {
		return fmt.Errorf("add rolls: %w", err)
	}
	return nil
}

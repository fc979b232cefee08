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
	in := &intake{db: s.db, by: by, order: order, key: key, hash: hash}
	err = s.db.withCount(ctx, func(t tx, countedNow bool) error {
		in.countedNow = countedNow
		return in.take(ctx, t)
	})
	if err != nil {
		return jobs.Order{}, false, err
	}
	return in.taken, in.again, nil
}

// withCount runs fn in a transaction, and once more, with the work counted for
// it, when the count was too old.
func (db *DB) withCount(ctx context.Context, fn func(t tx, countedNow bool) error) error {
	err := db.withTx(ctx, func(t tx) error { return fn(t, false) })
	if !errors.Is(err, errCountAnew) {
		return err
	}
	if _, err := db.countWork(ctx); err != nil {
		return err
	}
	return db.withTx(ctx, func(t tx) error { return fn(t, true) })
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

// insertOrder inserts an order, its rolls and their first events. In one
// statement it is one way to the database, however many rolls there are; the
// rolls come as JSON, field by field as [newRow] has them.
const insertOrder = `
	WITH taken AS (
		INSERT INTO orders (token, name, email, phone, return_by, address, submitted_at, due_at, idempotency_key, content_hash,
			reference, import_id)
		VALUES ($1, $2, $3, $4, $5, $6, $7, $8, nullif($9, ''), $10, $15, nullif($16::bigint, 0))
		ON CONFLICT (idempotency_key) DO NOTHING RETURNING id
	), roll AS (
		INSERT INTO rolls (order_id, position, stock_id, process, remjet, solution_id, format, exposures, light, filter, ei,
			push_sixths, note, reading, confirm, cut_and_sleeve, scan, return_negatives, state, since, due_at)
		SELECT taken.id, sent.position, stock, process, remjet, nullif(solution, 0), format, exposures, light, filter, ei,
			push, note, reading, confirm, cut, scan, negatives, state, $11, $8
		FROM taken, json_to_recordset($12) AS sent(position int, stock bigint, process text, remjet text, solution bigint,
			format text, exposures int, light text, filter text, ei int, push int, note text, reading text, confirm bool,
			cut bool, scan bool, negatives bool, state text)
		ORDER BY sent.position
		RETURNING id, version, order_id, position, state, reading
	), told AS (
		INSERT INTO events (at, person_id, by_name, kind, order_id, roll_id, to_state, why)
		SELECT $11, nullif($13::bigint, 0), $14, CASE $16::bigint WHEN 0 THEN 'order' ELSE 'import' END, order_id, id, state, reading FROM roll ORDER BY position
	)
	SELECT order_id, id, version FROM roll ORDER BY position`

// newRow is a roll as insertOrder reads it.
type newRow struct {
	Position  int    `json:"position"`
	Stock     int64  `json:"stock"`
	Process   string `json:"process"`
	Remjet    string `json:"remjet"`
	Solution  int64  `json:"solution"`
	Format    string `json:"format"`
	Exposures int    `json:"exposures"`
	Light     string `json:"light"`
	Filter    string `json:"filter"`
	EI        int    `json:"ei"`
	Push      int    `json:"push"` // sixths
	Note      string `json:"note"`
	Reading   string `json:"reading"`
	Confirm   bool   `json:"confirm"`
	Cut       bool   `json:"cut"`
	Scan      bool   `json:"scan"`
	Negatives bool   `json:"negatives"`
	State     string `json:"state"`
}

func newRowOf(r jobs.Roll) newRow {
	return newRow{
		Position: r.Position, Stock: int64(r.Stock), Process: string(r.Process), Remjet: string(r.Remjet), Solution: int64(r.Solution),
		Format: string(r.Format), Exposures: r.Exposures, Light: string(r.Light), Filter: r.Filter, EI: r.EI, Push: int(r.Push),
		Note: r.Note, Reading: r.Reading, Confirm: r.Confirm, Cut: r.Service.CutAndSleeve, Scan: r.Service.Scan,
		Negatives: r.Service.ReturnNegatives, State: string(r.State),
	}
}

// addOrder inserts an order with its rolls. It returns false when one with its
// key is there already; where another transaction is just adding that, it waits
// for it. A number that was drawn in vain is not used again. One that came in a
// file belongs to an import, any other one to 0.
func (t tx) addOrder(ctx context.Context, by jobs.Actor, order *jobs.Order, key string, hash []byte, file jobs.ImportID) (bool, error) {
	sent := make([]newRow, len(order.Rolls))
	for i, r := range order.Rolls {
		sent[i] = newRowOf(r)
	}
	text, err := json.Marshal(sent)
	if err != nil {
		return false, fmt.Errorf("add order: %w", err)
	}
	rows, err := t.Query(ctx, insertOrder, order.Token, order.Name, order.Email, order.Phone, string(order.Return), order.Address,
		order.Submitted, order.Due, key, hash, t.now, string(text), int64(by.Person), by.Name,
		order.Reference, int64(file))
	if err != nil {
		return false, fmt.Errorf("add order: %w", err)
	}
	added := 0
	var roll jobs.Roll
	_, err = pgx.ForEachRow(rows, []any{&order.ID, &roll.ID, &roll.Version}, func() error {
		r := &order.Rolls[added]
		r.Order, r.ID, r.Version = order.ID, roll.ID, roll.Version
		added++
		return nil
	})
	return added > 0, err
}

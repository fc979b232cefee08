package postgres

import (
	"context"
	"encoding/base64"

	"github.com/jackc/pgx/v5"

	"wetside/jobs"
)

var errNoOrder = jobs.Errorf(jobs.NotFound, "there is no such order")

// Order returns an order with its rolls.
func (s *OrderStore) Order(ctx context.Context, id jobs.OrderID) (jobs.Order, error) {
	return oneOrder(ctx, s.db.pool, "WHERE o.id = $1", id)
}

// OrderByToken returns the order of a private link.
func (s *OrderStore) OrderByToken(ctx context.Context, token string) (jobs.Order, error) {
	if bits, err := base64.RawURLEncoding.DecodeString(token); err != nil || len(bits) != tokenBytes {
		return jobs.Order{}, errNoOrder
	}
	return oneOrder(ctx, s.db.pool, "WHERE o.token = $1", token)
}

// Orders lists orders, the newest first.
func (s *OrderStore) Orders(ctx context.Context, query jobs.OrderQuery) ([]jobs.Order, error) {
	if query.Limit < 1 || query.Limit > 100 {
		return nil, jobs.InvalidField("limit", "%d is outside what is allowed, 1 to 100", query.Limit)
	}
	var w conditions
	text, err := jobs.CheckSearch(query.Search)
	if err != nil {
		return nil, err
	}
	if text != "" {
		found := "SELECT id FROM orders WHERE name ILIKE ? UNION SELECT order_id FROM rolls WHERE twin_check = ?"
		found += " UNION SELECT id FROM orders WHERE reference <> '' AND lower(reference) = lower(?)"
		values := []any{likeAnywhere(text), jobs.PlainTwinCheck(text), text}
		if order, _, ok := jobs.ParseLabel(text); ok {
			found += " UNION SELECT id FROM orders WHERE id = ?"
			values = append(values, int64(order))
		}
		w.add("o.id IN ("+found+")", values...)
	}
	if query.Open {
		w.add("o.id IN (SELECT r.order_id FROM rolls r WHERE " + isOpen + ")")
	}
	if query.Before != 0 {
		w.add("o.id < ?", int64(query.Before))
	}
	return orders(ctx, s.db.pool, w.where()+" ORDER BY o.id DESC LIMIT "+w.arg(query.Limit), w.args...)
}

// orders returns the orders that a WHERE clause, with what follows it, picks.
func orders(ctx context.Context, q querier, where string, args ...any) ([]jobs.Order, error) {
	rows, err := q.Query(ctx, `SELECT o.id, o.token, o.reference, o.name, o.email, o.phone, o.return_by, o.address, o.submitted_at,
		o.due_at FROM orders o `+where, args...)
	if err != nil {
		return nil, err
	}
	found, err := pgx.CollectRows(rows, func(row pgx.CollectableRow) (jobs.Order, error) {
		var o jobs.Order
		err := row.Scan(&o.ID, &o.Token, &o.Reference, &o.Name, &o.Email, &o.Phone, &o.Return, &o.Address, &o.Submitted, &o.Due)
		return o, err
	})
	if err != nil {
		return nil, err
	}
	return found, addRollsTo(ctx, q, found)
}

// addRollsTo reads the rolls of orders into them.
func addRollsTo(ctx context.Context, q querier, orders []jobs.Order) error {
	ids := make([]int64, len(orders))
	at := make(map[jobs.OrderID]int, len(orders))
	for i, order := range orders {
		ids[i], at[order.ID] = int64(order.ID), i
	}
	rows, err := q.Query(ctx, "SELECT "+rollColumns+" FROM rolls r WHERE r.order_id = ANY($1) ORDER BY r.order_id, r.position", ids)
	if err != nil {
		return err
	}
	rolls, err := pgx.CollectRows(rows, scanRoll)
	for _, roll := range rolls {
		order := &orders[at[roll.Order]]
		order.Rolls = append(order.Rolls, roll)
	}
	return err
}

// oneOrder returns the single order that a WHERE clause picks.
func oneOrder(ctx context.Context, q querier, where string, args ...any) (jobs.Order, error) {
	found, err := orders(ctx, q, where, args...)
	if err != nil {
		return jobs.Order{}, err
	}
	if len(found) == 0 {
		return jobs.Order{}, errNoOrder
	}
	return found[0], nil
}

package postgres

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"github.com/jackc/pgx/v5"

	"wetside/jobs"
)

// Roll returns one roll.
func (s *RollStore) Roll(ctx context.Context, id jobs.RollID) (jobs.RollView, error) {
	return oneRollView(ctx, s.db.pool, "WHERE r.id = $1", id)
}

// RollByTwinCheck finds a roll by its number, in any case.
func (s *RollStore) RollByTwinCheck(ctx context.Context, twinCheck string) (jobs.RollView, error) {
	number, err := jobs.ParseTwinCheck(twinCheck)
	if err != nil {
		return jobs.RollView{}, errNoRoll
	}
	return oneRollView(ctx, s.db.pool, "WHERE r.twin_check = $1", number)
}

// History returns the events of a roll.
func (s *RollStore) History(ctx context.Context, id jobs.RollID) ([]jobs.Event, error) {
	if _, err := s.Roll(ctx, id); err != nil {
		return nil, err
	}
	return events(ctx, s.db.pool, "WHERE roll_id = $1 ORDER BY id", id)
}

// events returns the part of the record that a WHERE clause picks.
func events(ctx context.Context, q querier, where string, args ...any) ([]jobs.Event, error) {
	rows, err := q.Query(ctx, `SELECT id, at, coalesce(person_id, 0), by_name, kind, coalesce(order_id, 0), coalesce(roll_id, 0),
		coalesce(batch_id, 0), coalesce(fill_id, 0), from_state, to_state, why FROM events `+where, args...)
	if err != nil {
		return nil, err
	}
	return pgx.CollectRows(rows, func(row pgx.CollectableRow) (jobs.Event, error) {
		var e jobs.Event
		err := row.Scan(&e.ID, &e.At, &e.By.Person, &e.By.Name, &e.Kind, &e.Order, &e.Roll, &e.Batch, &e.Fill, &e.From, &e.To, &e.Why)
		return e, err
	})
}

// isOpen picks the rolls that have not ended. It is written as the partial
// index rolls_open is, which is what makes the day's lists cheap.
const isOpen = "r.state NOT IN ('delivered', 'cancelled', 'spoiled')"

const openCounts = "SELECT r.state, count(*) FROM rolls r WHERE " + isOpen + " GROUP BY r.state"

// CountRolls counts the rolls in each state that has not ended.
func (s *RollStore) CountRolls(ctx context.Context) (map[jobs.RollState]int, error) {
	var counts map[jobs.RollState]int
	batch := &pgx.Batch{}
	queueCounts(batch, &counts)
	if err := s.db.pool.SendBatch(ctx, batch).Close(); err != nil {
		return nil, err
	}
	return counts, nil
}

// Rolls lists rolls, the earliest due first.
func (s *RollStore) Rolls(ctx context.Context, query jobs.RollQuery) ([]jobs.RollView, error) {
	if query.Limit < 1 || query.Limit > 500 {
		return nil, jobs.InvalidField("limit", "%d is outside what is allowed, 1 to 500", query.Limit)
	}
	var w conditions
	if len(query.States) > 0 {
		w.add("r.state = ANY(?)", plain(query.States))
		if !slices.ContainsFunc(query.States, jobs.RollState.Ended) {
			w.add(isOpen)
		}
	}
	text, err := jobs.CheckSearch(query.Search)
	if err != nil {
		return nil, err
	}
	if text != "" {
		w.addSearch(text)
	}
	if query.After != 0 {
		w.add("(r.due_at, r.id) > (SELECT due_at, id FROM rolls WHERE id = ?)", int64(query.After))
	}
	return rollViews(ctx, s.db.pool, w.where()+" ORDER BY r.due_at, r.id LIMIT "+w.arg(query.Limit), w.args...)
}

// plain returns states as the database knows them.
func plain(states []jobs.RollState) []string {
	texts := make([]string, len(states))
	for i, state := range states {
		texts[i] = string(state)
	}
	return texts
}

// addSearch looks for a twin-check, an order number, "order/position" or part
// of a name. Each is looked up by itself, so that each can use its index.
func (w *conditions) addSearch(text string) {
	const byTwinCheck = "SELECT id FROM rolls WHERE twin_check = ?"
	const byName = "SELECT f.id FROM rolls f JOIN orders n ON n.id = f.order_id WHERE n.name ILIKE ?"
	found, values := byTwinCheck+" UNION "+byName, []any{jobs.PlainTwinCheck(text), likeAnywhere(text)}
	if order, position, ok := jobs.ParseLabel(text); ok {
		found += " UNION SELECT id FROM rolls WHERE order_id = ? AND position = coalesce(nullif(?::int, 0), position)"
		values = append(values, int64(order), position)
	}
	w.add("r.id IN ("+found+")", values...)
}

// likeAnywhere is a pattern for text anywhere in a column; what would be a
// wildcard is taken as it is.
func likeAnywhere(text string) string {
	return "%" + strings.NewReplacer(`\`, `\\`, "%", `\%`, "_", `\_`).Replace(text) + "%"
}

// conditions builds a WHERE clause from fixed pieces of SQL; what a person
// typed only ever becomes a parameter.
type conditions struct {
	parts []string
	args  []any
}

// add appends a condition, in which each ? stands for one of the values.
func (w *conditions) add(sql string, values ...any) {
	for _, value := range values {
		sql = strings.Replace(sql, "?", w.arg(value), 1)
	}
	w.parts = append(w.parts, sql)
}

// arg adds a parameter and returns its place.
func (w *conditions) arg(value any) string {
	w.args = append(w.args, value)
	return fmt.Sprintf("$%d", len(w.args))
}

func (w *conditions) where() string {
	if len(w.parts) == 0 {
		return ""
	}
	return "WHERE " + strings.Join(w.parts, " AND ")
}

package postgres

import (
	"context"
	"errors"
	"testing"

	"github.com/jackc/pgx/v5/pgconn"

	"wetside/jobs"
)

// The schema holds the invariants by itself: SQL by hand, past every rule of
// the program, is refused.
func TestTheSchemaRefuses(t *testing.T) {
	t.Parallel()
	lab := newLab(t)
	queued := lab.queued(newRoll(sedge160), newRoll(reedmace))
	expected := lab.order(newRoll(sedge160)).Rolls[0]
	_, err := lab.people.AddPerson(context.Background(), ada, "Bea", jobs.Owner, goodPassword)
	lab.must(err)
	lab.exec(`INSERT INTO batches (line_id, process, develop_seconds, temp_c, state, planned_start)
		VALUES ($1, 'C-41', 195, 37.8, 'accepted', now()), ($1, 'C-41', 195, 37.8, 'accepted', now())`, int64(drum))
	const checkViolation, unique, foreignKey, restrict = "23514", "23505", "23503", "23001"
	for _, test := range []struct {
		name, sql, want string
		args            []any
	}{
		{"an unknown state", "UPDATE rolls SET state = 'lost' WHERE id = $1", checkViolation, []any{queued[0].ID}},
		{"a hold without a question", "UPDATE rolls SET state = 'held' WHERE id = $1", checkViolation, []any{queued[0].ID}},
		{"spoiled without a reason", "UPDATE rolls SET state = 'spoiled' WHERE id = $1", checkViolation, []any{queued[0].ID}},
		{"received without a twin-check", "UPDATE rolls SET state = 'received' WHERE id = $1", checkViolation, []any{expected.ID}},
		{"a twin-check in small letters", "UPDATE rolls SET twin_check = 'abc' WHERE id = $1", checkViolation, []any{expected.ID}},
		{"a twin-check twice", "UPDATE rolls SET twin_check = (SELECT twin_check FROM rolls WHERE id = $2) WHERE id = $1", unique, []any{expected.ID, queued[0].ID}},
		{"queued with a reading to confirm", "UPDATE rolls SET confirm = true WHERE id = $1", checkViolation, []any{queued[0].ID}},
		{"EI 0", "UPDATE rolls SET ei = 0 WHERE id = $1", checkViolation, []any{queued[0].ID}},
		{"a push of 11 stops", "UPDATE rolls SET push_sixths = 66 WHERE id = $1", checkViolation, []any{queued[0].ID}},
		{"an unknown format", "UPDATE rolls SET format = '110' WHERE id = $1", checkViolation, []any{queued[0].ID}},
		{"a developer for colour", "UPDATE rolls SET solution_id = 1 WHERE id = $1", checkViolation, []any{queued[0].ID}},
		{"an unknown stock", "UPDATE rolls SET stock_id = 999 WHERE id = $1", foreignKey, []any{queued[0].ID}},
		{"posted to nowhere", "UPDATE orders SET return_by = 'post' WHERE id = $1", checkViolation, []any{expected.Order}},
		{"due before it came", "UPDATE orders SET due_at = submitted_at - interval '1 s' WHERE id = $1", checkViolation, []any{expected.Order}},
		{"remjet into C-41", "INSERT INTO batch_rolls (batch_id, roll_id, process, remjet) VALUES (1, $1, 'C-41', 'present')", checkViolation, []any{queued[1].ID}},
		{"remjet into C-41 under another name", "INSERT INTO batch_rolls (batch_id, roll_id, process, remjet) VALUES (1, $1, 'C-41', 'none')", foreignKey, []any{queued[1].ID}},
		{"a wrong process", "INSERT INTO batch_rolls (batch_id, roll_id, process, remjet) VALUES (1, $1, 'ECN-2', 'present')", foreignKey, []any{queued[1].ID}},
		{"the clean roll", "INSERT INTO batch_rolls (batch_id, roll_id, process, remjet) VALUES (1, $1, 'C-41', 'none')", "", []any{queued[0].ID}},
		{"in two batches", "INSERT INTO batch_rolls (batch_id, roll_id, process, remjet) VALUES (2, $1, 'C-41', 'none')", unique, []any{queued[0].ID}},
		{"remjet found on a roll in a batch", "UPDATE rolls SET remjet = 'present' WHERE id = $1", checkViolation, []any{queued[0].ID}},
		{"remjet doubted on a roll in a batch", "UPDATE rolls SET remjet = 'unknown' WHERE id = $1", checkViolation, []any{queued[0].ID}},
		{"a second lab", "INSERT INTO lab SELECT * FROM lab", unique, nil},
		{"a person of a third kind", "UPDATE people SET role = 'boss'", checkViolation, nil},
		{"a stock without a speed", "UPDATE stocks SET iso_daylight = 0, iso_tungsten = 0", checkViolation, nil},
		{"an event changed", "UPDATE events SET why = 'nothing happened'", restrict, nil},
		{"an event removed", "DELETE FROM events WHERE id = 1", restrict, nil},
		{"all events removed", "TRUNCATE events", restrict, nil},
		{"a ledger cut", "DELETE FROM ledger", restrict, nil},
		{"a reading changed", "UPDATE readings SET temp_c = 20", restrict, nil},
	} {
		for i, arg := range test.args {
			switch id := arg.(type) {
			case jobs.RollID:
				test.args[i] = int64(id)
			case jobs.OrderID:
				test.args[i] = int64(id)
			}
		}
		_, err := lab.db.pool.Exec(context.Background(), test.sql, test.args...)
		var pgErr *pgconn.PgError
		got := ""
		if errors.As(err, &pgErr) {
			got = pgErr.Code
		}
		if got != test.want || (err == nil) != (test.want == "") {
			t.Errorf("%s: %v, want SQLSTATE %q", test.name, err, test.want)
		}
	}
}

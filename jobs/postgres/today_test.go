package postgres

import (
	"context"
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/jackc/pgx/v5"

	"wetside/jobs"
)

func TestToday(t *testing.T) {
	t.Parallel()
	lab, ctx := newLab(t), context.Background()
	labs := lab.readCatalogue().Lab
	labs.TimeZone, labs.ReadyHours = "Pacific/Auckland", 24 // UTC+13: the day ends at 11:00 UTC
	_, err := lab.catalogue.SaveLab(ctx, ada, labs)
	lab.must(err)
	rolls := lab.queued(newRoll(sedge160), newRoll(sedge160), newRoll(sedge160), newRoll(sedge160), newRoll(sedge160))
	dueNow, dueLater, waiting, ready, gone := rolls[0], rolls[1], rolls[2], rolls[3], rolls[4]
	lab.order(newRoll(sedge160)) // not here yet
	due := func(roll jobs.Roll, at time.Time) {
		lab.exec("UPDATE rolls SET due_at = $2 WHERE id = $1", int64(roll.ID), at)
	}
	dayEnd := time.Date(2026, 3, 2, 11, 0, 0, 0, time.UTC)
	due(dueNow, dayEnd.Add(-time.Microsecond))
	due(dueLater, dayEnd)
	due(ready, fixtureStart.Add(-time.Hour))
	_, err = lab.rolls.Hold(ctx, ada, waiting.ID, 0, "really?")
	lab.must(err)
	lab.exec("UPDATE rolls SET state = 'ready' WHERE id = $1", int64(ready.ID))
	_, err = lab.rolls.Spoil(ctx, ada, gone.ID, 0, "torn")
	lab.must(err)
	batch, err := lab.batches.Accept(ctx, ada, jobs.BatchDraft{Line: dipAndDunk, Rolls: []jobs.RollID{dueNow.ID}})
	lab.must(err)

	today, err := lab.today.Today(ctx)
	lab.must(err)
	ids := func(views []jobs.RollView) (ids []jobs.RollID) {
		for _, view := range views {
			ids = append(ids, view.ID)
		}
		return ids
	}
	if diff := cmp.Diff([][]jobs.RollID{{waiting.ID}, {dueNow.ID}, {ready.ID}},
		[][]jobs.RollID{ids(today.Held), ids(today.DueToday), ids(today.Ready)}); diff != "" {
		t.Errorf("held, due, ready:\n%s", diff)
	}
	if diff := cmp.Diff(map[jobs.RollState]int{jobs.Expected: 1, jobs.Batched: 1, jobs.Queued: 1, jobs.Held: 1, jobs.Ready: 1}, today.Counts); diff != "" {
		t.Error(diff)
	}
	if len(today.Batches) != 1 || today.Batches[0].ID != batch.ID || len(today.Batches[0].Rolls) != 1 || !today.At.Equal(fixtureStart) {
		t.Errorf("batches %+v at %s", today.Batches, today.At)
	}
}

// addPast adds rolls that were delivered long ago, one to an order.
func (l *testLab) addPast(rolls int) {
	l.t.Helper()
	l.exec(`WITH past AS (INSERT INTO orders (token, name, email, phone, return_by, address, submitted_at, due_at)
			SELECT 'past-token-000000000-' || n, 'Past ' || n, '', '', 'collect', '', '2020-01-01', '2020-01-04' FROM generate_series(1, $1) n
			RETURNING id)
		INSERT INTO rolls (order_id, position, twin_check, stock_id, process, remjet, format, exposures, light, filter, ei,
			push_sixths, note, reading, confirm, cut_and_sleeve, scan, return_negatives, state, since, due_at)
		SELECT id, 1, 'P-' || id, $2, 'C-41', 'none', '135', 36, 'daylight', '', 160, 0, '', '', false, true, true, true,
			'delivered', '2020-01-04', '2020-01-04' FROM past`, rolls, int64(sedge160))
	l.exec("VACUUM ANALYZE rolls")
	l.exec("VACUUM ANALYZE orders")
}

// The day's lists never walk through the past.
func TestTodayReadsOnlyOpenRolls(t *testing.T) {
	t.Parallel()
	lab, ctx := newLab(t), context.Background()
	lab.addPast(20000)
	lab.queued(newRoll(sedge160), newRoll(marl400))
	for name, query := range map[string][]any{
		openCounts:                  {},
		selectRollViews + heldRolls: {todayRolls}, selectRollViews + readyRolls: {todayRolls},
		selectRollViews + dueRolls: {todayRolls, fixtureStart},
	} {
		rows, err := lab.db.pool.Query(ctx, "EXPLAIN "+name, query...)
		lab.must(err)
		lines, err := pgx.CollectRows(rows, pgx.RowTo[string])
		lab.must(err)
		plan := strings.Join(lines, "\n")
		if strings.Contains(plan, "Seq Scan on rolls") || !strings.Contains(plan, "rolls_open") {
			t.Errorf("%s\nis planned as\n%s", name, plan)
		}
	}
}

func BenchmarkToday(b *testing.B) {
	for _, past := range []int{1_000, 1_000_000} {
		b.Run(fmt.Sprintf("past=%d", past), func(b *testing.B) {
			lab, ctx := newLab(b), context.Background()
			lab.addPast(past)
			for range 10 {
				lab.queued(newRoll(sedge160), newRoll(marl400), newRoll(sedge640))
			}
			lab.exec(`INSERT INTO morning_lists SELECT $1::date, $2::timestamptz, jsonb_agg(jsonb_build_object('Key', n::text, 'What', 'Change the fixer', 'Why',
				repeat('because ', 20), 'Urgent', n < 5)) FROM generate_series(1, 40) n`, fixtureStart, fixtureStart)
			for b.Loop() {
				_, err := lab.today.Today(ctx)
				lab.must(err)
			}
		})
	}
}

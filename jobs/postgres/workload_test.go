package postgres

import (
	"context"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"github.com/jackc/pgx/v5"

	"wetside/chemistry"
	"wetside/jobs"
)

// counts is what waits, by stock.
func (l *testLab) counts() map[jobs.StockID][2]int {
	l.t.Helper()
	work, err := l.orders.Workload(context.Background())
	l.must(err)
	found := map[jobs.StockID][2]int{}
	for _, w := range work.Waiting {
		n := found[w.Stock]
		found[w.Stock] = [2]int{n[0] + w.Here, n[1] + w.Expected}
	}
	return found
}

func (l *testLab) wantCounts(what string, want map[jobs.StockID][2]int) {
	l.t.Helper()
	if diff := cmp.Diff(want, l.counts()); diff != "" {
		l.t.Errorf("%s: here and expected\n%s", what, diff)
	}
}

func TestWorkload(t *testing.T) {
	t.Parallel()
	lab, ctx := newLab(t), context.Background()
	lab.wantCounts("nothing", map[jobs.StockID][2]int{})
	order := lab.order(newRoll(sedge160), newRoll(sedge160), newRoll(marl400))
	lab.wantCounts("ordered", map[jobs.StockID][2]int{sedge160: {0, 2}, marl400: {0, 1}})
	_, err := lab.rolls.CheckIn(ctx, ada, found(order.Rolls[0]))
	lab.must(err)
	lab.wantCounts("within a minute", map[jobs.StockID][2]int{sedge160: {0, 2}, marl400: {0, 1}})
	lab.clock.advance(countedFor + time.Second)
	lab.wantCounts("counted anew", map[jobs.StockID][2]int{sedge160: {1, 1}, marl400: {0, 1}})

	// In a batch it holds the line, and waits no more.
	batch := lab.colourBatch(2)
	lab.clock.advance(countedFor + time.Second)
	work, err := lab.orders.Workload(ctx)
	lab.must(err)
	want := []jobs.Running{{Line: drum, Seconds: lab.readCatalogue().Lines[drum].Turnaround + batch.Develop}}
	if diff := cmp.Diff(want, work.Running); diff != "" {
		t.Error(diff)
	}
	for _, w := range work.Waiting {
		if w.Develop == 0 {
			t.Errorf("no time for %+v", w)
		}
	}

	// What never came is not waited for.
	lab.clock.advance(2 * work.Pace.Known().Arrival.High)
	lab.wantCounts("long after", map[jobs.StockID][2]int{sedge160: {1, 0}})
}

// What came in since the count is put into it, and counted once.
func TestTheCountIsFolded(t *testing.T) {
	t.Parallel()
	lab := newLab(t)
	rolls := make([]jobs.NewRoll, jobs.MaxRolls)
	for i := range rolls {
		rolls[i] = newRoll(sedge160)
	}
	lab.order(newRoll(marl400))
	for n := 1; n <= 2*foldAt/jobs.MaxRolls+1; n++ {
		lab.order(rolls...)
		lab.wantCounts("order", map[jobs.StockID][2]int{marl400: {0, 1}, sedge160: {0, n * jobs.MaxRolls}})
	}
	if n := lab.count("SELECT count(*) FROM rolls WHERE id > (SELECT last_roll FROM workload)"); n > foldAt {
		t.Errorf("%d rolls are read with every order", n)
	}
}

// The time of a load in a developer that was used as much as it may be is longer
// than in a fresh one.
func TestWaitingWorkIsTimedForAUsedFill(t *testing.T) {
	t.Parallel()
	lab := newLab(t)
	kind := jobs.WorkKind{Stock: marl400, Process: chemistry.BW, Solution: mqBorax, Format: chemistry.Format135}
	timed := lab.readCatalogue().Timed([]jobs.Waiting{{WorkKind: kind}})
	// Half a square metre is 9.7 rolls of 80 in², at 10 % each.
	if got := timed[0].Develop; got < 450*19/10 || got > 450*2 {
		t.Errorf("%d s", got)
	}
}

func TestOrdersAtOnceArePromisedBehindEachOther(t *testing.T) {
	t.Parallel()
	lab := newLab(t)
	lab.exec("UPDATE lab SET ready_hours = 1")
	lab.order(newRoll(marl400))
	rolls := make([]jobs.NewRoll, jobs.MaxRolls)
	for i := range rolls {
		rolls[i] = newRoll(tealSlide)
	}
	lab.atOnce(12, func(ctx context.Context, _ int) error {
		_, _, err := lab.orders.Submit(ctx, jobs.Customer, newOrder(rolls...), "")
		return err
	})
	last := lab.order(rolls...)
	// 650 slides, five to a load of 31 minutes: more than six days of ten hours.
	// They begin when the film is here, the next day, and hang for another.
	if want := fixtureStart.AddDate(0, 0, 9); last.Due.Before(want) {
		t.Errorf("promised for %v, before %v", last.Due, want)
	}
	if n := lab.count("SELECT count(*) FROM orders o JOIN rolls r ON r.order_id = o.id WHERE r.due_at <> o.due_at"); n != 0 {
		t.Errorf("%d rolls are due at another time than their order", n)
	}
}

// An order whose rolls have their keys but are not committed when the count goes
// on past them lies before the orders that follow nevertheless.
func TestNobodyIsSkippedByTheCount(t *testing.T) {
	t.Parallel()
	for _, anew := range []bool{false, true} {
		lab, ctx := newLab(t), context.Background()
		rolls := make([]jobs.NewRoll, jobs.MaxRolls)
		for i := range rolls {
			rolls[i] = newRoll(tealSlide)
		}
		lab.order(newRoll(marl400))
		slow := &intake{db: lab.db, by: jobs.Customer, order: newOrder(rolls...)}
		lab.must(lab.db.withTx(ctx, func(t tx) error {
			if err := slow.take(ctx, t); err != nil {
				return err
			}
			for range 2*foldAt/jobs.MaxRolls + 1 {
				lab.order(rolls...)
			}
			if anew {
				lab.clock.advance(countedFor + time.Second)
				lab.order(newRoll(marl400))
			}
			return nil
		}))
		if n := lab.count("SELECT last_roll FROM workload"); n <= jobs.MaxRolls+1 {
			t.Fatalf("counted to roll %d only: nobody was passed by", n)
		}
		last := lab.order(rolls...)
		lab.clock.advance(countedFor + time.Second)
		lab.exec("UPDATE rolls SET state = 'cancelled', reason = 'called off' WHERE order_id = $1", last.ID)
		if again := lab.order(rolls...); last.Due.Before(again.Due.Add(-2 * time.Minute)) {
			t.Errorf("counted anew %v: promised for %v, and for %v when everybody is counted", anew, last.Due, again.Due)
		}
	}
}

func TestThePaceIsLearnt(t *testing.T) {
	t.Parallel()
	lab, ctx := newLab(t), context.Background()
	// Ten orders take an hour to come and ten take ten; on the dry side the
	// first eighteen take two hours and the rest a day.
	lab.exec(`INSERT INTO orders (token, name, email, phone, return_by, address, submitted_at, due_at)
		SELECT 'learnt-token-000000000-' || n, 'Past ' || n, '', '', 'collect', '', $1, $1 FROM generate_series(1, 20) n`, fixtureStart.AddDate(0, 0, -8))
	lab.exec(`INSERT INTO events (at, by_name, kind, order_id, roll_id, from_state, to_state)
		SELECT o.submitted_at + CASE WHEN o.id % 2 = 0 THEN interval '1 hour' ELSE interval '10 hours' END, 'Ada', 'check-in', o.id, o.id, 'expected', 'received'
		FROM orders o`)
	lab.exec(`INSERT INTO events (at, by_name, kind, order_id, roll_id, from_state, to_state)
		SELECT o.submitted_at + interval '1 day', 'Ada', 'finish batch', o.id, o.id, 'developing', 'drying' FROM orders o`)
	lab.exec(`INSERT INTO events (at, by_name, kind, order_id, roll_id, from_state, to_state)
		SELECT o.submitted_at + interval '1 day' + CASE WHEN row_number() OVER (ORDER BY id) <= 18 THEN interval '2 hours' ELSE interval '1 day' END,
			'Ada', 'finish', o.id, o.id, 'finishing', 'ready' FROM orders o`)
	work, err := lab.orders.Workload(ctx)
	lab.must(err)
	want := jobs.Pace{
		Arrival: jobs.Usual{Median: 5*time.Hour + 30*time.Minute, High: 10 * time.Hour, Seen: 20},
		DrySide: jobs.Usual{Median: 2 * time.Hour, High: 4*time.Hour + 12*time.Minute, Seen: 20}, // a tenth of the way from 2 to 24
	}
	if diff := cmp.Diff(want, work.Pace, cmpopts.EquateApprox(0, float64(time.Second))); diff != "" {
		t.Error(diff)
	}
	if work.Pace.Known() != work.Pace {
		t.Errorf("twenty cases are enough, but %+v is taken", work.Pace.Known())
	}
	// Weeks later none of it counts.
	lab.clock.advance(7 * jobs.PaceWeeks * 24 * time.Hour)
	work, err = lab.orders.Workload(ctx)
	lab.must(err)
	if work.Pace != (jobs.Pace{}) {
		t.Errorf("still %+v", work.Pace)
	}
}

// A closed day between is none on the dry side: the lab's day, whatever day it is
// elsewhere.
func TestThePaceLeavesClosedDaysOut(t *testing.T) {
	t.Parallel()
	lab, ctx := newLab(t), context.Background()
	rolls := make([]jobs.NewRoll, jobs.MaxRolls)
	for i := range rolls {
		rolls[i] = newRoll(sedge160)
	}
	order := lab.order(rolls...)
	lab.exec(`INSERT INTO events (at, by_name, kind, order_id, roll_id, to_state) SELECT x.at, 'Ada', 'finish', order_id, id, x.state FROM rolls,
		(VALUES ('2026-02-22 10:00Z'::timestamptz, 'drying'), ('2026-02-23 12:00Z', 'ready')) x(at, state) WHERE order_id = $1`, order.ID)
	for zone, want := range map[string]time.Duration{"UTC": 26 * time.Hour, "Pacific/Auckland": 2 * time.Hour} {
		about := lab.readCatalogue().Lab
		about.TimeZone = zone
		_, err := lab.catalogue.SaveLab(ctx, ada, about)
		lab.must(err)
		lab.exec("TRUNCATE closures")
		lab.exec("INSERT INTO closures (first_day, last_day, name) VALUES ('2026-02-23', '2026-02-23', 'Holiday')")
		lab.exec("UPDATE workload SET counted_at = 'epoch', learnt_at = 'epoch'")
		work, err := lab.orders.Workload(ctx)
		lab.must(err)
		if got := work.Pace.DrySide; got.Median != want || got.High != want || got.Seen != jobs.MaxRolls {
			t.Errorf("%s: %+v, want %v", zone, got, want)
		}
	}
}

// Neither the count nor what is learnt walks through the past.
func TestTheWorkloadReadsOnlyWhatIsOpen(t *testing.T) {
	t.Parallel()
	lab, ctx := newLab(t), context.Background()
	lab.addPast(20000)
	lab.exec(`INSERT INTO events (at, by_name, kind, order_id, roll_id, to_state)
		SELECT '2020-01-01', 'Ada', 'check-in', order_id, id, 'received' FROM rolls`)
	lab.exec("VACUUM ANALYZE events")
	lab.queued(newRoll(sedge160), newRoll(marl400))
	since := fixtureStart.AddDate(0, 0, -28)
	for _, asked := range []struct {
		query, index string
		args         []any
	}{
		{countWaiting, "rolls_open", []any{since}},
		{tookToArrive, "events_pace", []any{since}},
		{tookToDry, "events_pace", []any{since, []time.Time{since}, "UTC"}},
	} {
		query, index := asked.query, asked.index
		rows, err := lab.db.pool.Query(ctx, "EXPLAIN "+query, asked.args...)
		lab.must(err)
		lines, err := pgx.CollectRows(rows, pgx.RowTo[string])
		lab.must(err)
		plan := strings.Join(lines, "\n")
		if strings.Contains(plan, "Seq Scan on rolls") || strings.Contains(plan, "Seq Scan on events") || !strings.Contains(plan, index) {
			t.Errorf("%s\nis planned as\n%s", query, plan)
		}
	}
}

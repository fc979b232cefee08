package postgres

import (
	"context"
	"math"
	"strings"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"

	"wetside/chemistry"
	"wetside/jobs"
)

// weeksOfWork fills the hand tanks with MQ borax and runs two rolls through them
// on every weekday of two weeks; it ends on a Monday.
func (l *testLab) weeksOfWork() jobs.Fill {
	l.t.Helper()
	ctx := context.Background()
	c := l.readCatalogue()
	mq := c.Solutions[mqBorax]
	mq.CapacityM2PerL = 40 * chemistry.FilmUnitArea
	_, err := l.catalogue.SaveSolution(ctx, ada, mq)
	l.must(err)
	fill := l.poured(mqBorax, handTanks, 1000)
	for range 14 {
		if day := l.clock.now().Weekday(); day != time.Saturday && day != time.Sunday {
			batch := l.started(l.accepted(handTanks, l.queued(newRoll(marl400), newRoll(marl400))...))
			l.clock.advance(time.Hour)
			_, err := l.batches.Finish(ctx, ada, batch.ID, batch.Version, nil)
			l.must(err)
			l.clock.advance(-time.Hour)
		}
		l.clock.advance(24 * time.Hour)
	}
	l.clock.advance(2 * time.Hour)
	return fill
}

// Twenty of forty rolls went through in two weeks; the other twenty take ten
// more weekdays, today included.
func TestOutlooksFromTheRecords(t *testing.T) {
	t.Parallel()
	lab, ctx := newLab(t), context.Background()
	fill := lab.weeksOfWork()
	store := NewForecastStore(lab.db)
	outlooks, err := store.Outlooks(ctx)
	lab.must(err)
	o := outlooks[fill.ID]
	if o.Cause != jobs.CapacityUsed || !o.RunsOut.Date.Equal(time.Date(2026, 3, 27, 0, 0, 0, 0, time.UTC)) || o.ExtraM2 != 0 {
		t.Errorf("%+v", o)
	}
	// Film that waits comes on top, as far as it is for this tank.
	lab.queued(newRoll(marl400), newRoll(marl400), newRoll(sedge160))
	outlooks, err = store.Outlooks(ctx)
	lab.must(err)
	if rolls := outlooks[fill.ID].ExtraM2 / chemistry.FilmUnitArea; math.Abs(rolls-2) > 0.01 {
		t.Errorf("%v rolls wait beyond the usual, want 2", rolls)
	}
	lab.accepted(handTanks, lab.queued(newRoll(marl400))...)
	outlooks, err = store.Outlooks(ctx)
	lab.must(err)
	if rolls := outlooks[fill.ID].ExtraM2 / chemistry.FilmUnitArea; math.Abs(rolls-3) > 0.01 {
		t.Errorf("%v rolls wait beyond the usual, want 3", rolls)
	}
}

func TestCourseFromTheRecords(t *testing.T) {
	t.Parallel()
	lab, ctx := newLab(t), context.Background()
	fill := lab.weeksOfWork()
	store := NewForecastStore(lab.db)
	course, err := store.Course(ctx, fill.ID)
	lab.must(err)
	if len(course.Past) != 11 || math.Abs(course.Past[10].CapacityUsed-0.5) > 1e-9 || len(course.Ahead) == 0 || course.Outlook.Says == "" || len(course.Stored) != 0 {
		t.Errorf("%d points, then %d: %s", len(course.Past), len(course.Ahead), course.Outlook.Says)
	}
	lab.must(store.Recalculate(ctx))
	lab.clock.advance(time.Hour)
	lab.must(store.Recalculate(ctx)) // in the place of the one before
	lab.clock.advance(24 * time.Hour)
	lab.must(store.Recalculate(ctx))
	_, err = lab.fills.DumpFill(ctx, ada, fill.ID, jobs.Dump{Reason: "tired"})
	lab.must(err)
	if course, err = store.Course(ctx, fill.ID); err != nil || len(course.Ahead) != 0 || len(course.Stored) != 2 {
		t.Errorf("dumped: %+v, %v", course.Stored, err)
	}
	if course.Stored[0].Day.Before(course.Stored[1].Day) || course.Stored[0].Says == "" || course.Stored[1].RunsOut.Date.IsZero() {
		t.Errorf("stored: %+v", course.Stored)
	}
	if _, err := store.Course(ctx, 99); jobs.CodeOf(err) != jobs.NotFound {
		t.Errorf("no fill: %v", err)
	}
	var columns int
	lab.must(lab.db.pool.QueryRow(ctx, "SELECT count(*) FROM forecasts WHERE runs_out BETWEEN earliest AND latest").Scan(&columns))
	if columns != 2 {
		t.Errorf("%d of 2 forecasts have their dates in columns", columns)
	}
}

// A fill that comes to a worse verdict is noted once.
func TestRecalculateWarnsOnce(t *testing.T) {
	t.Parallel()
	lab, ctx := newLab(t), context.Background()
	fill := lab.weeksOfWork()
	store := NewForecastStore(lab.db)
	recipe := func(rolls float64) {
		mq := lab.readCatalogue().Solutions[mqBorax]
		mq.CapacityM2PerL = rolls * chemistry.FilmUnitArea
		_, err := lab.catalogue.SaveSolution(ctx, ada, mq)
		lab.must(err)
	}
	warned := func(want string) {
		t.Helper()
		lab.must(store.Recalculate(ctx))
		lab.must(store.Recalculate(ctx))
		rows, err := lab.db.pool.Query(ctx, "SELECT to_state FROM events WHERE kind = 'warn' AND fill_id = $1 ORDER BY id", int64(fill.ID))
		lab.must(err)
		got, err := pgx.CollectRows(rows, pgx.RowTo[string])
		lab.must(err)
		if strings.Join(got, ", ") != want {
			t.Errorf("warned of %q, want %q", got, want)
		}
	}
	warned("")
	recipe(22)
	warned("due soon")
	recipe(20)
	warned("due soon, exhausted")
}

// The day is the lab's: at half past eleven in the evening UTC it is tomorrow in
// Auckland.
func TestForecastsAreKeptByTheLabsDay(t *testing.T) {
	t.Parallel()
	lab, ctx := newLab(t), context.Background()
	labs := lab.readCatalogue().Lab
	labs.TimeZone = "Pacific/Auckland"
	_, err := lab.catalogue.SaveLab(ctx, ada, labs)
	lab.must(err)
	lab.poured(mqBorax, handTanks, 1000)
	lab.at(time.Date(2026, 3, 2, 23, 30, 0, 0, time.UTC))
	store := NewForecastStore(lab.db)
	lab.must(store.Recalculate(ctx))
	var forecast, list time.Time
	lab.must(lab.db.pool.QueryRow(ctx, "SELECT f.day, m.day FROM forecasts f, morning_lists m").Scan(&forecast, &list))
	if want := time.Date(2026, 3, 3, 0, 0, 0, 0, time.UTC); !forecast.Equal(want) || !list.Equal(want) {
		t.Errorf("forecast of %s, list of %s, want %s", forecast, list, want)
	}
}

// The list is written, kept, ticked off and read with the day.
func TestMorningFromTheRecords(t *testing.T) {
	t.Parallel()
	lab, ctx := newLab(t), context.Background()
	fill := lab.weeksOfWork()
	store := NewForecastStore(lab.db)
	today, err := lab.today.Today(ctx)
	lab.must(err)
	if !today.Morning.At.IsZero() {
		t.Errorf("a list that nobody wrote: %+v", today.Morning)
	}
	mq := lab.readCatalogue().Solutions[mqBorax]
	mq.CapacityM2PerL = 20 * chemistry.FilmUnitArea
	_, err = lab.catalogue.SaveSolution(ctx, ada, mq)
	lab.must(err)
	list, err := store.Morning(ctx)
	lab.must(err)
	if open, urgent := list.Open(); open != 2 || urgent != 2 || list.Items[0].Fill != fill.ID || list.Items[1].ToMix.ML != 1000 {
		t.Fatalf("%+v", list)
	}
	_, err = lab.fills.DumpFill(ctx, ada, fill.ID, jobs.Dump{Reason: "used up"})
	lab.must(err)
	lab.clock.advance(time.Minute)
	list, err = store.Morning(ctx)
	lab.must(err)
	if open, _ := list.Open(); open != 0 || len(list.Items) != 2 {
		t.Errorf("after it was dumped: %+v", list)
	}
	today, err = lab.today.Today(ctx)
	lab.must(err)
	if len(today.Morning.Items) != 2 || !today.Morning.At.Equal(list.At) {
		t.Errorf("the day shows %+v", today.Morning)
	}
	lab.clock.advance(24 * time.Hour)
	if today, err = lab.today.Today(ctx); err != nil || len(today.Morning.Items) != 0 {
		t.Errorf("the next day shows %+v, %v", today.Morning, err)
	}
}

// Many write the list and recalculate at once: one list, one forecast.
func TestMorningListsAreWrittenInTurns(t *testing.T) {
	t.Parallel()
	lab := newLab(t)
	lab.poured(mqBorax, handTanks, 1000)
	store := NewForecastStore(lab.db)
	lab.atOnce(8, func(ctx context.Context, i int) error {
		if i%2 == 0 {
			return store.Recalculate(ctx)
		}
		_, err := store.Morning(ctx)
		return err
	})
	if lists, forecasts := lab.count("SELECT count(*) FROM morning_lists"), lab.count("SELECT count(*) FROM forecasts"); lists != 1 || forecasts != 1 {
		t.Errorf("%d lists, %d forecasts", lists, forecasts)
	}
}

// Nothing that is asked for a forecast walks through the past.
func TestDemandReadsOnlyTheLastWeeks(t *testing.T) {
	t.Parallel()
	lab, ctx := newLab(t), context.Background()
	lab.weeksOfWork()
	lab.addPast(20000)
	lab.exec("ANALYZE ledger")
	for query, args := range map[string][]any{
		waitingFilm: {},
		filmByDay:   {fixtureStart.AddDate(0, 0, 13), "UTC"},
	} {
		rows, err := lab.db.pool.Query(ctx, "EXPLAIN "+query, args...)
		lab.must(err)
		lines, err := pgx.CollectRows(rows, pgx.RowTo[string])
		lab.must(err)
		if plan := strings.Join(lines, "\n"); strings.Contains(plan, "Seq Scan on rolls") {
			t.Errorf("%s\nis planned as\n%s", query, plan)
		}
	}
}

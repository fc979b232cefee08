package postgres

import (
	"context"
	"errors"
	"io"
	"log/slog"
	"slices"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"github.com/riverqueue/river"
	"github.com/riverqueue/river/rivertype"

	"wetside/jobs"
)

// quiet is a log that nobody reads.
var quiet = slog.New(slog.NewTextHandler(io.Discard, nil))

// testServer is a program on the lab's records.
type testServer struct {
	*Upkeep
	lab  *testLab
	ends <-chan *river.Event // of every program of the test
}

// serve starts programs whose only work counts itself, and fails where fail
// says so.
func (l *testLab) serve(programs int, runs *atomic.Int64, fail func() error) []*testServer {
	l.t.Helper()
	ctx, ends := context.Background(), make(chan *river.Event, 1000)
	count := func(context.Context, tx) error {
		if err := fail(); err != nil {
			return err
		}
		runs.Add(1)
		return nil
	}
	var servers []*testServer
	for range programs {
		u, err := startUpkeep(ctx, l.db, quiet, map[jobs.WorkName]duty{jobs.MorningWork: count})
		l.must(err)
		own, cancel := u.client.Subscribe(river.EventKindJobCompleted, river.EventKindJobFailed)
		go func() {
			for end := range own {
				ends <- end
			}
		}()
		l.t.Cleanup(func() {
			cancel()
			l.must(u.Stop(context.Background()))
		})
		servers = append(servers, &testServer{u, l, ends})
	}
	return servers
}

// settle waits until no scheduled work is left to do: its end is told after it
// is recorded.
func (s *testServer) settle() {
	s.lab.t.Helper()
	for {
		var open int
		s.lab.must(s.lab.db.pool.QueryRow(context.Background(), `SELECT count(*) FROM river_job WHERE kind = 'scheduled'
			AND state IN ('available', 'pending', 'running', 'scheduled')`).Scan(&open))
		if open == 0 {
			return
		}
		<-s.ends
	}
}

func works() error { return nil }

// at moves the lab's clock; the records are in UTC unless a test says otherwise.
func (l *testLab) at(moment time.Time) { l.clock.advance(moment.Sub(l.clock.now())) }

// only leaves one schedule in use.
func (l *testLab) only(name jobs.WorkName, cron string) jobs.ScheduledWork {
	l.t.Helper()
	ctx, store := context.Background(), NewScheduleStore(l.db)
	all, err := store.Schedules(ctx)
	l.must(err)
	var kept jobs.ScheduledWork
	for _, work := range all {
		work.Active = work.Name == name
		if work.Active {
			work.Cron = cron
		}
		saved, err := store.SaveSchedule(ctx, ada, work)
		l.must(err)
		if work.Active {
			kept = saved
		}
	}
	return kept
}

func (l *testLab) work(name jobs.WorkName) jobs.ScheduledWork {
	l.t.Helper()
	all, err := NewScheduleStore(l.db).Schedules(context.Background())
	l.must(err)
	return all[slices.IndexFunc(all, func(w jobs.ScheduledWork) bool { return w.Name == name })]
}

// Two programs look at the same moment, again and again: the work is done once.
func TestScheduledWorkIsDoneOnceAcrossServers(t *testing.T) {
	t.Parallel()
	lab, ctx := newLab(t), context.Background()
	lab.only(jobs.MorningWork, "0 6 * * *")
	var runs atomic.Int64
	servers := lab.serve(2, &runs, works)
	one, two := servers[0], servers[1]
	if runs.Load() != 0 {
		t.Fatal("work was done that fell due before its schedule was made")
	}
	for day := 3; day <= 5; day++ {
		due := time.Date(2026, 3, day, 6, 0, 0, 0, time.UTC)
		lab.at(due.Add(-time.Second))
		lab.must(one.tick(ctx))
		one.settle()
		if got := runs.Load(); got != int64(day-3) {
			t.Fatalf("a second before %s it was done %d times", due, got)
		}
		lab.at(due.Add(20 * time.Second))
		errs := make(chan error, 6)
		for _, server := range []*testServer{one, two, one, two, one, two} {
			go func() { errs <- server.tick(ctx) }()
		}
		for range 6 {
			lab.must(<-errs)
		}
		one.settle()
		lab.must(two.tick(ctx)) // a minute later, say
		one.settle()
		if got := runs.Load(); got != int64(day-2) {
			t.Fatalf("on day %d it was done %d times", day-2, got)
		}
		if last := lab.work(jobs.MorningWork).LastDone; !last.Equal(due) {
			t.Errorf("last done for %s, want %s", last, due)
		}
	}
}

// However long all servers slept, what they missed is caught up once.
func TestMissedWorkIsCaughtUpOnce(t *testing.T) {
	t.Parallel()
	lab, ctx := newLab(t), context.Background()
	lab.only(jobs.MorningWork, "0 6 * * *")
	var runs atomic.Int64
	lab.at(time.Date(2026, 3, 20, 14, 0, 0, 0, time.UTC)) // no program ran for 18 mornings
	awake := lab.serve(1, &runs, works)[0]
	awake.settle()
	if got, last := runs.Load(), lab.work(jobs.MorningWork).LastDone; got != 1 || !last.Equal(time.Date(2026, 3, 20, 6, 0, 0, 0, time.UTC)) {
		t.Fatalf("at the start: done %d times, last for %s", got, last)
	}
	lab.at(time.Date(2026, 3, 24, 9, 0, 0, 0, time.UTC)) // the machine slept over three more
	lab.must(awake.tick(ctx))
	awake.settle()
	if got := runs.Load(); got != 2 {
		t.Errorf("after a sleep: done %d times", got)
	}
	again := lab.serve(1, &runs, works)[0]
	again.settle()
	if got := runs.Load(); got != 2 {
		t.Errorf("a second start did it again: %d times", got)
	}
}

// A time that the clocks of Amsterdam leave out is worked all the same, one that
// they show twice once.
func TestScheduledWorkWhereTheClocksChange(t *testing.T) {
	t.Parallel()
	lab, ctx := newLab(t), context.Background()
	labs := lab.readCatalogue().Lab
	labs.TimeZone = "Europe/Amsterdam"
	_, err := lab.catalogue.SaveLab(ctx, ada, labs)
	lab.must(err)
	lab.at(time.Date(2026, 3, 28, 12, 0, 0, 0, time.UTC))
	lab.only(jobs.MorningWork, "30 2 * * *")
	var runs atomic.Int64
	server := lab.serve(1, &runs, works)[0]
	through := func(from, to time.Time) int64 {
		before := runs.Load()
		for at := from; at.Before(to); at = at.Add(10 * time.Minute) {
			lab.at(at)
			lab.must(server.tick(ctx))
			server.settle()
		}
		return runs.Load() - before
	}
	if got := through(time.Date(2026, 3, 28, 22, 0, 0, 0, time.UTC), time.Date(2026, 3, 29, 6, 0, 0, 0, time.UTC)); got != 1 {
		t.Errorf("in the night of 29 March it was done %d times", got)
	}
	lab.at(time.Date(2026, 10, 24, 12, 0, 0, 0, time.UTC))
	lab.must(server.tick(ctx))
	server.settle()
	if got := through(time.Date(2026, 10, 24, 22, 0, 0, 0, time.UTC), time.Date(2026, 10, 25, 6, 0, 0, 0, time.UTC)); got != 1 {
		t.Errorf("in the night of 25 October it was done %d times", got)
	}
}

// What the owner changes is gone by without a restart.
func TestServersGoByAChangedSchedule(t *testing.T) {
	t.Parallel()
	lab, ctx := newLab(t), context.Background()
	work := lab.only(jobs.MorningWork, "0 6 * * *")
	var runs atomic.Int64
	server := lab.serve(1, &runs, works)[0]
	look := func(at time.Time, want int64) {
		t.Helper()
		lab.at(at)
		lab.must(server.tick(ctx))
		server.settle()
		if got := runs.Load(); got != want {
			t.Errorf("at %s it was done %d times, want %d", at.Format(time.DateTime), got, want)
		}
	}
	save := func(cron string, active bool) {
		t.Helper()
		work.Cron, work.Active = cron, active
		var err error
		work, err = NewScheduleStore(lab.db).SaveSchedule(ctx, ada, work)
		lab.must(err)
	}
	look(time.Date(2026, 3, 3, 6, 30, 0, 0, time.UTC), 1)
	save("0 5 * * *", true) // fell due this morning, before it was the schedule
	look(time.Date(2026, 3, 3, 23, 0, 0, 0, time.UTC), 1)
	look(time.Date(2026, 3, 4, 5, 0, 0, 0, time.UTC), 2)
	save("0 5 * * *", false)
	look(time.Date(2026, 3, 6, 12, 0, 0, 0, time.UTC), 2)
	save("0 5 * * *", true)
	look(time.Date(2026, 3, 6, 12, 1, 0, 0, time.UTC), 2)
	look(time.Date(2026, 3, 7, 5, 0, 0, 0, time.UTC), 3)
}

// Work that fails is kept with its reason, tried again, and done once it can be.
func TestFailedWorkIsTriedAgain(t *testing.T) {
	t.Parallel()
	lab, ctx := newLab(t), context.Background()
	lab.only(jobs.MorningWork, "0 6 * * *")
	var runs, tries atomic.Int64
	server := lab.serve(1, &runs, func() error {
		if tries.Add(1) == 1 {
			return errors.New("the densitometer is asleep")
		}
		return nil
	})[0]
	due := time.Date(2026, 3, 3, 6, 0, 0, 0, time.UTC)
	lab.at(due)
	lab.must(server.tick(ctx))
	var failed *river.Event
	for failed == nil {
		if end := <-server.ends; end.Job.Kind == (workArgs{}).Kind() {
			failed = end
		}
	}
	// The river tries again after a second; a slow machine may have done so by now.
	state := failed.Job.State
	if failed.Kind != river.EventKindJobFailed || state != rivertype.JobStateRetryable && state != rivertype.JobStateAvailable {
		t.Fatalf("%s, %s", failed.Kind, state)
	}
	if len(failed.Job.Errors) != 1 || !strings.Contains(failed.Job.Errors[0].Error, "asleep") {
		t.Errorf("%+v", failed.Job.Errors)
	}
	for runs.Load() == 0 {
		<-server.ends
	}
	if work := lab.work(jobs.MorningWork); work.Failure != "" || !work.FailedAt.IsZero() || !work.LastDone.Equal(due) {
		t.Errorf("after it was done: %+v", work)
	}
}

// The owner sees why work failed until it is done.
func TestWhyWorkFailedIsKept(t *testing.T) {
	t.Parallel()
	lab, ctx := newLab(t), context.Background()
	lab.only(jobs.MorningWork, "0 6 * * *")
	broken := errors.New("no more ink" + strings.Repeat(".", 500))
	u := &Upkeep{db: lab.db, duties: map[jobs.WorkName]duty{jobs.MorningWork: func(context.Context, tx) error { return broken }}}
	worker, job := &dutyWorker{upkeep: u}, &river.Job[workArgs]{Args: workArgs{jobs.MorningWork, fixtureStart}}
	if err := worker.Work(ctx, job); !errors.Is(err, broken) {
		t.Errorf("%v", err)
	}
	if work := lab.work(jobs.MorningWork); !strings.HasPrefix(work.Failure, "no more ink") || len(work.Failure) != mostFailure || !work.FailedAt.Equal(fixtureStart) || !work.LastDone.IsZero() {
		t.Errorf("%+v", work)
	}
	broken = nil
	lab.must(worker.Work(ctx, job))
	if work := lab.work(jobs.MorningWork); work.Failure != "" || !work.LastDone.Equal(fixtureStart) {
		t.Errorf("%+v", work)
	}
	if err := worker.Work(ctx, &river.Job[workArgs]{Args: workArgs{"sleep", fixtureStart}}); !errors.Is(err, river.JobCancel(nil)) {
		t.Errorf("unknown work: %v", err)
	}
}

func TestTidyForgets(t *testing.T) {
	t.Parallel()
	lab, ctx := newLab(t), context.Background()
	lab.exec("INSERT INTO sessions (token, data, expiry) VALUES ('old', '', $1), ('new', '', $2)", fixtureStart.Add(-time.Second), fixtureStart)
	lab.must(lab.db.withTx(ctx, func(t tx) error { return tidy(ctx, t) }))
	var left string
	lab.must(lab.db.pool.QueryRow(ctx, "SELECT string_agg(token, ',') FROM sessions").Scan(&left))
	if left != "new" {
		t.Errorf("left are %q", left)
	}
}

func TestSaveSchedule(t *testing.T) {
	t.Parallel()
	lab, ctx := newLab(t), context.Background()
	store := NewScheduleStore(lab.db)
	all, err := store.Schedules(ctx)
	lab.must(err)
	if len(all) != len(jobs.WorkNames) {
		t.Fatalf("%+v", all)
	}
	for i, work := range all {
		if work.Name != jobs.WorkNames[i] || !work.Active {
			t.Errorf("%d: %+v", i, work)
		}
		if _, err := jobs.ParseSchedule(work.Cron, time.UTC); err != nil {
			t.Errorf("%s: %v", work.Name, err)
		}
	}
	change := all[0]
	change.Cron = " 0  7 * * 1-5"
	saved, err := store.SaveSchedule(ctx, ada, change)
	lab.must(err)
	if saved.Cron != "0 7 * * 1-5" || saved.Version != change.Version+1 {
		t.Errorf("%+v", saved)
	}
	if _, err := store.SaveSchedule(ctx, ada, change); jobs.CodeOf(err) != jobs.Stale {
		t.Errorf("at an old version: %v", err)
	}
	saved.Cron = "0 7 30 2 *"
	if _, err := store.SaveSchedule(ctx, ada, saved); jobs.CodeOf(err) != jobs.Invalid {
		t.Errorf("on 30 February: %v", err)
	}
	saved.Name = "sleep"
	if _, err := store.SaveSchedule(ctx, ada, saved); jobs.CodeOf(err) != jobs.NotFound {
		t.Errorf("unknown work: %v", err)
	}
	var why string
	lab.must(lab.db.pool.QueryRow(ctx, "SELECT why FROM events WHERE kind = 'schedule' ORDER BY id DESC LIMIT 1").Scan(&why))
	if why != "morning list: 0 7 * * 1-5" {
		t.Errorf("the record says %q", why)
	}
}

package postgres

import (
	"context"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"wetside/jobs"
)

// days is a closure that begins and ends so many days after the lab's first day
// in the tests.
func days(from, to int, name string) jobs.Closure {
	first := time.Date(fixtureStart.Year(), fixtureStart.Month(), fixtureStart.Day(), 0, 0, 0, 0, time.UTC)
	return jobs.Closure{From: first.AddDate(0, 0, from), To: first.AddDate(0, 0, to), Name: name}
}

func TestClosuresAreKept(t *testing.T) {
	t.Parallel()
	lab, ctx := newLab(t), context.Background()
	var kept []jobs.Closure
	for _, closure := range []jobs.Closure{days(30, 33, " Easter "), days(0, 0, "Stocktaking")} {
		saved, err := lab.catalogue.AddClosure(ctx, ada, closure)
		lab.must(err)
		kept = append([]jobs.Closure{saved}, kept...)
	}
	if diff := cmp.Diff(kept, lab.readCatalogue().Lab.Closures); diff != "" || kept[1].Name != "Easter" {
		t.Errorf("kept are\n%s", diff)
	}
	if _, err := lab.catalogue.AddClosure(ctx, ada, days(33, 34, "Holiday")); jobs.CodeOf(err) != jobs.Invalid {
		t.Errorf("one over another: %v", err)
	}
	// The lab's entry keeps them, whatever it is saved with, and goes by them.
	about := lab.readCatalogue().Lab
	about.ClosedOn, about.Closures = jobs.WeekdaysOf(time.Sunday, time.Monday), nil
	saved, err := lab.catalogue.SaveLab(ctx, ada, about)
	lab.must(err)
	if diff := cmp.Diff(saved, lab.readCatalogue().Lab); diff != "" || len(saved.Closures) != 2 || saved.ClosedOn != about.ClosedOn {
		t.Errorf("the lab is kept as %+v\n%s", saved, diff)
	}
	lab.must(lab.catalogue.RemoveClosure(ctx, ada, kept[1].ID))
	if err := lab.catalogue.RemoveClosure(ctx, ada, kept[1].ID); jobs.CodeOf(err) != jobs.NotFound {
		t.Errorf("removed twice: %v", err)
	}
	if left := lab.readCatalogue().Lab.Closures; len(left) != 1 || left[0].ID != kept[0].ID {
		t.Errorf("left are %+v", left)
	}
	if n := lab.count("SELECT count(*) FROM events WHERE kind IN ('add closure', 'remove closure') AND by_name = 'Ada'"); n != 3 {
		t.Errorf("%d events", n)
	}
	// What is over is forgotten with the next one.
	lab.clock.advance((jobs.ClosuresKept + 1) * 24 * time.Hour)
	_, err = lab.catalogue.AddClosure(ctx, ada, days(40, 40, "Holiday"))
	lab.must(err)
	if left := lab.readCatalogue().Lab.Closures; len(left) != 1 || left[0].Name != "Holiday" {
		t.Errorf("left are %+v", left)
	}
}

// The schema keeps what the rules say, whoever writes.
func TestTheSchemaRefusesBadClosures(t *testing.T) {
	t.Parallel()
	lab, ctx := newLab(t), context.Background()
	lab.exec("INSERT INTO closures (first_day, last_day, name) VALUES ('2026-04-03', '2026-04-06', 'Holiday')")
	for _, sql := range []string{
		"INSERT INTO closures (first_day, last_day, name) VALUES ('2026-05-02', '2026-05-01', 'Holiday')",
		"INSERT INTO closures (first_day, last_day, name) VALUES ('2026-05-01', '2026-10-31', 'Holiday')",
		"INSERT INTO closures (first_day, last_day, name) VALUES ('2026-04-06', '2026-04-07', 'Holiday')",
		"INSERT INTO closures (first_day, last_day, name) VALUES ('2026-05-01', '2026-05-01', ' ')",
		"UPDATE lab SET closed_on = 127",
		"UPDATE lab SET closed_on = -1",
	} {
		if _, err := lab.db.pool.Exec(ctx, sql); err == nil {
			t.Errorf("taken: %s", sql)
		}
	}
	lab.exec("INSERT INTO closures (first_day, last_day, name) VALUES ('2026-05-01', '2026-10-30', 'Holiday')")
}

// An order of Saturday evening is promised for Monday, or for when the lab opens
// after its holidays; the next order goes by what the owner said last.
func TestOrdersAreNotPromisedForClosedDays(t *testing.T) {
	t.Parallel()
	lab, ctx := newLab(t), context.Background()
	about := lab.readCatalogue().Lab
	about.ReadyHours, about.ClosedOn = 1, jobs.WeekdaysOf(time.Sunday)
	_, err := lab.catalogue.SaveLab(ctx, ada, about)
	lab.must(err)
	lab.clock.advance(time.Date(2026, 3, 7, 19, 0, 0, 0, time.UTC).Sub(lab.clock.now()))
	// Film comes within a day, and dries within another.
	promised := func(day int) {
		t.Helper()
		opens := time.Date(2026, 3, day, 8, 0, 0, 0, time.UTC)
		if order := lab.order(newRoll(sedge160)); order.Due.Before(opens) || order.Due.After(opens.Add(2*time.Hour)) {
			t.Errorf("promised for %v, want %v and a load", order.Due, opens)
		}
	}
	promised(10)
	_, err = lab.catalogue.AddClosure(ctx, ada, days(7, 7, "Holiday"))
	lab.must(err)
	promised(11)
}

package postgres

import (
	"context"
	"fmt"
	"strings"
	"testing"
	"time"

	"wetside/chemistry"
	"wetside/jobs"
)

// stripAim is what the box of the fixture should read.
var stripAim = jobs.Densities{
	"d_min_red": 0.2, "d_min_green": 0.6, "d_min_blue": 0.9, "ld_red": 0.8, "ld_green": 1.2, "ld_blue": 1.5,
	"hd_red": 1.3, "hd_green": 1.9, "hd_blue": 2.2, "d_max_blue": 2.9, "yellow_blue": 2.8,
}

// off is the aim with the speed of the red layer off by so much.
func off(by float64) jobs.Densities {
	densities := jobs.Densities{}
	for name, density := range stripAim {
		densities[name] = density
	}
	densities["ld_red"] += by
	densities["hd_red"] += by
	return densities
}

func boxDraft(number string) jobs.BoxDraft {
	return jobs.BoxDraft{Process: chemistry.C41, Number: number, Aim: stripAim, Limits: chemistry.C41StripLimits, Strips: 50}
}

// watched opens a box of C-41 strips in the lab.
func (l *testLab) watched() *StripStore {
	l.t.Helper()
	store := NewStripStore(l.db)
	_, err := store.OpenBox(context.Background(), ada, boxDraft("4711"))
	l.must(err)
	return store
}

// read reads a strip of the drum, off by so much, a minute after what was done
// before.
func (s *StripStore) read(l *testLab, by float64) jobs.Strip {
	l.t.Helper()
	l.clock.advance(time.Minute)
	strip, err := s.ReadStrip(context.Background(), ada, jobs.StripRun{Line: drum, Process: chemistry.C41, Densities: off(by)})
	l.must(err)
	return strip
}

// standing is how the drum stands.
func (s *StripStore) standing(l *testLab) jobs.Standing {
	l.t.Helper()
	lines, err := s.WatchedLines(context.Background())
	l.must(err)
	for _, line := range lines {
		if line.Line == drum {
			return line.State.Standing
		}
	}
	return ""
}

// A line's day: a strip before the first film, a stop that a second strip
// confirms, a release by an owner, and a good strip.
func TestStripsLetFilmIn(t *testing.T) {
	t.Parallel()
	l, ctx := newLab(t), t.Context()
	b := l.colourBatch(1)
	start := func() error {
		batch, err := l.batches.Start(ctx, ada, b.ID, jobs.BatchStart{DeveloperC: warmC41})
		if err != nil {
			return err
		}
		if _, err = l.batches.Finish(ctx, ada, batch.ID, batch.Version, nil); err != nil {
			return err
		}
		b = l.colourBatch(1)
		return nil
	}
	refused := func(says string) {
		t.Helper()
		err := start()
		wantCode(t, err, jobs.Refused)
		if err != nil && !strings.Contains(err.Error(), says) {
			t.Errorf("refused as %q, want %q", err, says)
		}
		proposal, err := l.batches.Propose(ctx)
		l.must(err)
		if !strings.Contains(proposal.First[b.ID], says) {
			t.Errorf("the plan says %q of the batch, want %q", proposal.First[b.ID], says)
		}
	}
	l.must(start()) // no box is in use: nothing is asked for
	s := l.watched()
	refused("no control strip of C-41")
	s.read(l, 0)
	l.must(start())
	s.read(l, 0.07)
	l.must(start()) // past the action limit
	first := s.read(l, 0.1)
	refused("a second one at once")
	second := s.read(l, 0.1)
	if second.Confirms != first.ID || s.standing(l) != jobs.LineStopped {
		t.Fatalf("the second confirms %d and the line is %s", second.Confirms, s.standing(l))
	}
	refused("line stopped")
	if _, err := s.ReleaseLine(ctx, ada, first.ID, "it was the densitometer"); jobs.CodeOf(err) != jobs.WrongState {
		t.Errorf("released on a strip that is not the last: %v", err)
	}
	free, err := s.ReleaseLine(ctx, ada, second.ID, "it was the densitometer")
	l.must(err)
	if free.Release.By != ada.Name || free.Release.Reason != "it was the densitometer" || !free.Release.At.Equal(l.clock.now()) {
		t.Errorf("released as %+v", free.Release)
	}
	l.must(start())
	s.read(l, 0.1)
	refused("line stopped") // a release does not outlive the next bad strip
	s.read(l, 0)
	l.must(start())
	l.clock.advance(24 * time.Hour)
	refused("no control strip of C-41")
	if n := l.count("SELECT count(*) FROM events WHERE kind IN ('read strip', 'release line', 'open strip box')"); n != 8 {
		t.Errorf("%d events of strips, want 6 strips, a release and a box", n)
	}
}

// A batch that is in the chemistry ends, whatever a strip says meanwhile.
func TestAStoppedLineLetsItsBatchFinish(t *testing.T) {
	t.Parallel()
	l, ctx := newLab(t), t.Context()
	s := l.watched()
	s.read(l, 0)
	b := l.started(l.colourBatch(2))
	s.read(l, 0.1)
	s.read(l, 0.1)
	if _, err := l.batches.Finish(ctx, ada, b.ID, b.Version, nil); err != nil {
		t.Error(err)
	}
}

func TestStripsAtOnce(t *testing.T) {
	t.Parallel()
	l := newLab(t)
	s := l.watched()
	first := s.read(l, 0.1)
	l.atOnce(6, func(ctx context.Context, i int) error {
		_, err := s.ReadStrip(ctx, ada, jobs.StripRun{Line: drum, Process: chemistry.C41, Densities: off(0.1)})
		return err
	})
	if n := l.count("SELECT count(*) FROM strips WHERE confirms = $1", int64(first.ID)); n != 1 {
		t.Errorf("%d strips confirm the first, want one", n)
	}
	if n := l.count("SELECT count(*) FROM strips WHERE confirms IS NOT NULL"); n != 1 {
		t.Errorf("%d strips confirm another, want one", n)
	}
	last, err := s.Strips(t.Context(), jobs.StripQuery{Line: drum, Process: chemistry.C41, Limit: 1})
	l.must(err)
	oneWins(t, l.race(6, func(ctx context.Context, i int) error {
		_, err := s.ReleaseLine(ctx, ada, last[0].ID, fmt.Sprintf("reason %d", i))
		return err
	}), jobs.WrongState)
	// The database holds to it even where nobody asks.
	if _, err := l.db.pool.Exec(t.Context(), `INSERT INTO strip_releases (strip_id, at, by_name, reason) VALUES ($1, now(), 'x', 'y')`, int64(last[0].ID)); jobs.CodeOf(translate(err)) != jobs.WrongState {
		t.Errorf("released twice: %v", err)
	}
	for _, sql := range []string{"UPDATE strips SET verdict = 'in control'", "DELETE FROM strips", "UPDATE strip_releases SET reason = 'z'", "TRUNCATE strip_releases"} {
		if _, err := l.db.pool.Exec(t.Context(), sql); err == nil || !strings.Contains(err.Error(), "only ever added to") {
			t.Errorf("%s: %v", sql, err)
		}
	}
}

func TestStripClockSetBack(t *testing.T) {
	t.Parallel()
	l := newLab(t)
	s := l.watched()
	s.read(l, 0)
	l.clock.advance(-time.Hour)
	_, err := s.ReadStrip(t.Context(), ada, jobs.StripRun{Line: drum, Process: chemistry.C41, Densities: off(0)})
	wantCode(t, err, jobs.WrongState)
	if _, err := s.ReadStrip(t.Context(), ada, jobs.StripRun{Line: dipAndDunk, Process: chemistry.C41, Densities: off(0)}); err != nil {
		t.Errorf("in another line: %v", err)
	}
}

func TestStripIsKeptAsItWasJudged(t *testing.T) {
	t.Parallel()
	l, ctx := newLab(t), t.Context()
	s := l.watched()
	was := s.read(l, 0.07)
	boxes, err := s.Boxes(ctx)
	l.must(err)
	draft := boxDraft("4711 b")
	draft.Aim = off(0.07)
	changed, err := s.ChangeBox(ctx, ada, boxes[0].ID, boxes[0].Version, draft)
	l.must(err)
	if changed.Version != boxes[0].Version+1 || changed.Read != 1 || changed.Recent != 1 || changed.Number != "4711 b" {
		t.Errorf("changed to %+v", changed)
	}
	_, err = s.ChangeBox(ctx, ada, boxes[0].ID, boxes[0].Version, draft)
	wantCode(t, err, jobs.Stale)
	_, err = s.ChangeBox(ctx, ada, 99, 1, draft)
	wantCode(t, err, jobs.NotFound)
	now, err := s.Strip(ctx, was.ID)
	l.must(err)
	if now.Aim != was.Aim || now.Result.Verdict != chemistry.PastAction || len(now.Result.Suspects) == 0 || jobs.DensitiesOf(chemistry.C41, now.Reading)["ld_red"] != 0.87 {
		t.Errorf("kept as %+v", now)
	}
	if later := s.read(l, 0.07); later.Result.Verdict != chemistry.InControl {
		t.Errorf("by the corrected aim: %s", later.Result.Verdict)
	}
	_, err = s.Strip(ctx, 99)
	wantCode(t, err, jobs.NotFound)
}

func TestBoxesOfStrips(t *testing.T) {
	t.Parallel()
	l, ctx := newLab(t), t.Context()
	s := l.watched()
	one, two := s.read(l, 0.01), s.read(l, 0.02)
	_, err := s.OpenBox(ctx, ada, boxDraft("4711"))
	wantCode(t, err, jobs.Duplicate)
	draft := boxDraft("4712")
	draft.Aim = nil
	draft.Pairs = []jobs.CrossPair{{Old: one.ID, New: off(0.06)}, {Old: two.ID, New: off(0.07)}}
	crossed, err := s.OpenBox(ctx, ada, draft)
	l.must(err)
	// The new strips read 0.05 more than the old ones, which are on their aim.
	if got := crossed.Aim.LD[chemistry.Red]; got != 0.85 || crossed.Basis.Crossed != one.Box || len(crossed.Basis.Pairs) != 2 {
		t.Errorf("crossed over to %g by %+v", got, crossed.Basis)
	}
	boxes, err := s.Boxes(ctx)
	l.must(err)
	if len(boxes) != 2 || boxes[0].ID != crossed.ID || !boxes[0].Active || boxes[1].Active {
		t.Fatalf("boxes %+v", boxes)
	}
	if standing := s.standing(l); standing != jobs.LineInControl {
		t.Errorf("after crossing over the line is %s", standing)
	}
	_, err = s.UseBox(ctx, ada, boxes[1].ID, boxes[1].Version, true)
	wantCode(t, err, jobs.WrongState)
	away, err := s.UseBox(ctx, ada, crossed.ID, crossed.Version, false)
	l.must(err)
	if standing := s.standing(l); away.Active || standing != "" {
		t.Errorf("put away, and the line is %s", standing)
	}
	_, err = s.ReadStrip(ctx, ada, jobs.StripRun{Line: drum, Process: chemistry.C41, Densities: off(0)})
	wantCode(t, err, jobs.Refused)
	if _, err := s.UseBox(ctx, ada, boxes[1].ID, boxes[1].Version, true); err != nil {
		t.Error(err)
	}
	oneEach := func(ctx context.Context, i int) error {
		_, err := s.OpenBox(ctx, ada, boxDraft(fmt.Sprintf("48%02d", i)))
		return err
	}
	l.atOnce(4, oneEach)
	if n := l.count("SELECT count(*) FROM strip_boxes WHERE active"); n != 1 {
		t.Errorf("%d boxes are in use for one process", n)
	}
}

// A file is recorded whole or not at all.
func TestStripFileIsRecordedWhole(t *testing.T) {
	t.Parallel()
	l, ctx := newLab(t), t.Context()
	s := l.watched()
	const head = "time;line;process;d_min_red;d_min_green;d_min_blue;ld_red;ld_green;ld_blue;hd_red;hd_green;hd_blue;d_max_blue;yellow_blue"
	row := func(at, line, red string) string {
		return fmt.Sprintf("\n2026-03-02 %s;%s;C-41;0,2;0,6;0,9;0,%s;1,2;1,5;1,%s;1,9;2,2;2,9;2,8", at, line, red, red[1:])
	}
	good := head + row("08:00", "Drum", "90") + row("08:05", "Drum", "90") + row("08:10", "Dip and dunk", "80")
	_, err := s.ReadStripFile(ctx, ada, good+row("08:15", "Tub", "80"))
	wantCode(t, err, jobs.Invalid)
	if n := l.count("SELECT count(*) FROM strips"); n != 0 || !strings.Contains(err.Error(), "line 5: ") {
		t.Fatalf("%d strips kept after %v", n, err)
	}
	read, err := s.ReadStripFile(ctx, ada, good)
	l.must(err)
	if len(read) != 3 || read[1].Confirms != read[0].ID || read[2].LineName != "Dip and dunk" {
		t.Fatalf("read %+v", read)
	}
	catalogue, err := l.catalogue.Catalogue(ctx)
	l.must(err)
	if zone := catalogue.Lab.Zone(); !read[0].At.Equal(time.Date(2026, 3, 2, 8, 0, 0, 0, zone)) {
		t.Errorf("read at %s", read[0].At)
	}
	_, err = s.ReadStripFile(ctx, ada, good)
	wantCode(t, err, jobs.Invalid)
	errs := l.race(3, func(ctx context.Context, _ int) error {
		_, err := s.ReadStripFile(ctx, ada, head+row("09:00", "Drum", "80"))
		return err
	})
	oneWins(t, errs, jobs.Invalid)
}

func TestStripChartAndLists(t *testing.T) {
	t.Parallel()
	l, ctx := newLab(t), t.Context()
	s := l.watched()
	l.poured(c41Developer, drum, 1000)
	for range 3 {
		s.read(l, 0.01)
	}
	l.poured(c41Developer, dipAndDunk, 1000)
	chart, err := s.StripChart(ctx, drum, chemistry.C41, 2)
	l.must(err)
	if len(chart.Strips) != 2 || !chart.Strips[0].At.Before(chart.Strips[1].At) || chart.Box.Number != "4711" || len(chart.Fresh) != 0 {
		t.Errorf("chart %+v", chart)
	}
	l.clock.advance(time.Minute)
	fill, err := l.fills.Fills(ctx)
	l.must(err)
	for _, f := range fill {
		if f.Line == drum {
			_, err := l.fills.DumpFill(ctx, ada, f.ID, jobs.Dump{Reason: "tired"})
			l.must(err)
		}
	}
	l.poured(c41Developer, drum, 1000)
	chart, err = s.StripChart(ctx, drum, chemistry.C41, 90)
	l.must(err)
	if len(chart.Strips) != 3 || len(chart.Fresh) != 1 || chart.Fresh[0].Solution != "C-41 developer" {
		t.Errorf("chart of all: %d strips, fresh %v", len(chart.Strips), chart.Fresh)
	}
	_, err = s.StripChart(ctx, drum, chemistry.E6, 30)
	wantCode(t, err, jobs.NotFound)
	all, err := s.Strips(ctx, jobs.StripQuery{Limit: 10})
	l.must(err)
	page, err := s.Strips(ctx, jobs.StripQuery{Line: drum, Process: chemistry.C41, Before: all[0].ID, Limit: 1})
	l.must(err)
	if len(all) != 3 || all[0].ID < all[1].ID || len(page) != 1 || page[0].ID != all[1].ID {
		t.Errorf("lists %v and %v", all, page)
	}
	_, err = s.Strips(ctx, jobs.StripQuery{Limit: 0})
	wantCode(t, err, jobs.Invalid)
}

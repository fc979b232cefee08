package postgres

import (
	"context"
	"math/rand/v2"
	"sync"
	"testing"

	"wetside/chemistry"
	"wetside/jobs"
)

// tally is what was acknowledged to those who did it, summed beside the
// ledger.
type tally struct {
	mutex                                 sync.Mutex
	filled, poured, spilled, mixed, added float64 // mL
	rolls                                 int
	acts                                  map[string]int
}

func (r *tally) add(kind string, note func()) {
	r.mutex.Lock()
	defer r.mutex.Unlock()
	r.acts[kind]++
	note()
}

// worker is somebody who looks after the colour developer of one line, and
// pours from a mix that everybody shares.
type worker struct {
	*testLab
	line   jobs.LineID
	mix    jobs.Mix
	sums   *tally
	random *rand.Rand
}

// inUse is the developer of the line; the zero fill between two.
func (w worker) inUse(ctx context.Context) (jobs.Fill, error) {
	found, err := fills(ctx, w.db.pool, "WHERE f.line_id = $1 AND f.solution_id = $2 AND f.dumped_at IS NULL", int64(w.line), int64(c41Developer))
	if err != nil || len(found) == 0 {
		return jobs.Fill{}, err
	}
	return found[0], nil
}

// run develops a roll, unless the line is taken.
func (w worker) run(ctx context.Context, roll jobs.Roll) error {
	b, err := w.batches.Accept(ctx, ada, draft(w.line, roll))
	if err != nil {
		return err
	}
	if _, err := w.batches.Start(ctx, ada, b.ID, jobs.BatchStart{DeveloperC: warmC41}); err != nil {
		return err
	}
	if _, err := w.batches.Finish(ctx, ada, b.ID, 0, nil); err != nil {
		return err
	}
	w.sums.add("finish batch", func() { w.sums.rolls++ })
	return nil
}

// confirm answers one of the doses that are open.
func (w worker) confirm(ctx context.Context) error {
	doses := NewDoseStore(w.db)
	open, err := doses.Doses(ctx, jobs.DoseQuery{Open: true, Limit: 500})
	if err != nil || len(open) == 0 {
		return err
	}
	dose, ml := open[w.random.IntN(len(open))], 30+w.random.IntN(40)
	if _, err := doses.ConfirmDose(ctx, ada, dose.ID, jobs.Confirmation{ML: ml, Mix: w.mix.ID, Why: "as it came"}); err != nil {
		return err
	}
	w.sums.add("replenish", func() { w.sums.poured += float64(ml); w.sums.mixed += float64(ml); w.sums.added += float64(ml) })
	return nil
}

// tend does something to the fill itself.
func (w worker) tend(ctx context.Context, act int) error {
	fill, err := w.inUse(ctx)
	if err != nil || fill.ID == 0 {
		return err
	}
	ml := 1 + w.random.IntN(50)
	switch act {
	case 0:
		if _, err = w.fills.TopUpFill(ctx, ada, fill.ID, jobs.TopUp{ML: ml, Mix: w.mix.ID, Reason: "idle"}); err == nil {
			w.sums.add("top up", func() { w.sums.poured += float64(ml); w.sums.mixed += float64(ml) })
		}
	case 1:
		if _, err = w.fills.SpillFill(ctx, ada, fill.ID, jobs.Spill{ML: ml, Reason: "shaky hands"}); err == nil {
			w.sums.add("spill", func() { w.sums.spilled += float64(ml) })
		}
	case 2:
		if _, err = w.fills.DumpFill(ctx, ada, fill.ID, jobs.Dump{Reason: "tired"}); err == nil {
			w.sums.add("dump", func() {})
		}
	}
	return err
}

// refill pours a fresh fill where there is none.
func (w worker) refill(ctx context.Context) error {
	if _, err := w.fills.PourFill(ctx, ada, jobs.Pour{Solution: c41Developer, Line: w.line, VolumeML: 1000}); err != nil {
		return err
	}
	w.sums.add("pour", func() { w.sums.filled += 1000 })
	return nil
}

// However many people work at once on two lines, the ledger adds up to what
// each of them was told, and to what the record of events tells.
func TestTheLedgerAddsUpUnderConcurrency(t *testing.T) {
	t.Parallel()
	lab := newLab(t)
	lab.replenishing()
	mix, sums := lab.mixed(c41Developer, jobs.ReplenisherMixture, 100_000), &tally{acts: map[string]int{}}
	lines := []jobs.LineID{drum, dipAndDunk}
	const workers, steps = 8, 12
	rolls := make([][]jobs.Roll, workers)
	for i := range rolls {
		for range steps {
			rolls[i] = append(rolls[i], lab.queued(newRoll(sedge160))...)
		}
	}
	errs := lab.race(workers, func(ctx context.Context, i int) error {
		w := worker{lab, lines[i%2], mix, sums, rand.New(rand.NewPCG(7, uint64(i)))}
		for step := range steps {
			var err error
			switch act := w.random.IntN(9); act {
			case 0, 1, 2:
				err = w.tend(ctx, act)
			case 3, 4:
				err = w.refill(ctx)
			case 5, 6:
				err = w.confirm(ctx)
			default:
				err = w.run(ctx, rolls[i][step])
			}
			if err != nil && jobs.CodeOf(err) == "" {
				return err // not an answer for people
			}
		}
		return nil
	})
	for _, err := range errs {
		lab.must(err)
	}
	lab.compare(sums, mix)
}

// compare holds the ledger against a recount.
func (l *testLab) compare(sums *tally, mix jobs.Mix) {
	l.t.Helper()
	all, err := fills(context.Background(), l.db.pool, "")
	l.must(err)
	holds, added, area, rolls := 0.0, 0.0, 0.0, 0
	for _, fill := range all {
		holds, added, area, rolls = holds+fill.NowML, added+fill.AddedML, area+fill.AreaM2, rolls+fill.Rolls
		if fill.NowML < 0 || fill.NowML > float64(fill.VolumeML) || !fill.DumpedAt.IsZero() && fill.NowML != 0 {
			l.t.Errorf("fill %d holds %g of %d mL, dumped %v", fill.ID, fill.NowML, fill.VolumeML, fill.DumpedAt)
		}
	}
	for name, pair := range map[string][2]float64{
		"in tanks and containers": {holds + l.wasted(), sums.filled + sums.poured - sums.spilled},
		"left of the mix":         {l.leftOf(mix.ID), 100_000 - sums.mixed},
		"replenisher for film":    {added, sums.added},
	} {
		if !near(pair[0], pair[1]) {
			l.t.Errorf("%s: %g mL in the ledger, %g mL by recount", name, pair[0], pair[1])
		}
	}
	// Film that ran through a line whose tank was empty is in no fill's ledger.
	posted := l.count("SELECT count(*) FROM events WHERE kind = 'post'")
	if rolls != posted || rolls > sums.rolls || !near(area, float64(rolls)*chemistry.FilmUnitArea) {
		l.t.Errorf("%d rolls of %g m² in the ledger, %d were told of, %d were developed", rolls, area, posted, sums.rolls)
	}
	for kind, done := range sums.acts {
		want := "kind = '" + kind + "'"
		if kind == "finish batch" {
			want += " AND roll_id IS NULL"
		}
		if kind == "pour" {
			want += " AND fill_id IS NOT NULL"
		}
		if n := l.count("SELECT count(*) FROM events WHERE " + want); n != done {
			l.t.Errorf("%d were told “%s” was done, the record has %d", done, kind, n)
		}
	}
	if n := l.count(`SELECT count(*) FROM (SELECT id FROM ledger e WHERE kind = 'film' AND called_ml > 0
		AND NOT EXISTS (SELECT FROM ledger WHERE answers = e.id)) a FULL JOIN open_doses o ON o.entry_id = a.id
		WHERE o.entry_id IS NULL OR a.id IS NULL`); n != 0 {
		l.t.Errorf("%d doses are open and not listed, or the other way round", n)
	}
	for _, account := range []string{"mix_id", "fill_id", "container_id"} {
		if n := l.count(`SELECT count(*) FROM (SELECT sum(amount) OVER (PARTITION BY ` + account + ` ORDER BY id) AS holds,
			at < lag(at) OVER (PARTITION BY ` + account + ` ORDER BY id) AS backwards
			FROM ledger WHERE ` + account + ` IS NOT NULL) x WHERE holds < 0 OR backwards`); n != 0 {
			l.t.Errorf("by %s %d entries overdraw, or run backwards", account, n)
		}
	}
	if sums.rolls == 0 || sums.added == 0 || sums.spilled == 0 || sums.acts["dump"] == 0 {
		l.t.Errorf("the test did too little: %+v", sums.acts)
	}
}

// Two batches that finish at once, on two lines and on one, are each in the
// ledgers of the fills that they went through, once.
func TestTwoBatchesFinishAtOnce(t *testing.T) {
	t.Parallel()
	lab := newLab(t)
	lab.replenishing()
	first, second := lab.poured(c41Developer, drum, 1000), lab.poured(c41Developer, dipAndDunk, 1000)
	batches := []jobs.Batch{lab.started(lab.accepted(drum, lab.queued(newRoll(sedge160), newRoll(sedge160))...)),
		lab.started(lab.accepted(dipAndDunk, lab.queued(newRoll(sedge160))...))}
	lab.atOnce(2, func(ctx context.Context, i int) error {
		_, err := lab.batches.Finish(ctx, ada, batches[i].ID, 0, nil)
		return err
	})
	for fill, rolls := range map[jobs.FillID]int{first.ID: 2, second.ID: 1} {
		got, ledger, err := lab.fills.Fill(context.Background(), fill)
		lab.must(err)
		if got.Rolls != rolls || len(jobs.FilmThrough(ledger)) != 1 {
			t.Errorf("fill %d: %d rolls, %+v", fill, got.Rolls, ledger)
		}
	}
	if open := lab.open(); len(open) != 2 {
		t.Errorf("open: %+v", open)
	}
}

// A fill cannot be dumped under a batch: either the dump comes first and the
// batch is in the next fill, or it waits until the film is posted.
func TestFinishAgainstDump(t *testing.T) {
	t.Parallel()
	for range 8 {
		lab := newLab(t)
		fill := lab.poured(c41Developer, drum, 1000)
		b := lab.started(lab.colourBatch(2))
		errs := lab.race(2, func(ctx context.Context, i int) error {
			if i == 0 {
				_, err := lab.batches.Finish(ctx, ada, b.ID, 0, nil)
				return err
			}
			_, err := lab.fills.DumpFill(ctx, ada, fill.ID, jobs.Dump{Reason: "tired"})
			return err
		})
		lab.must(errs[0])
		if errs[1] != nil {
			wantCode(t, errs[1], jobs.WrongState)
		}
		_, ledger, err := lab.fills.Fill(context.Background(), fill.ID)
		lab.must(err)
		if len(ledger) < 2 || ledger[1].Kind != jobs.EntryFilm || ledger[1].Rolls != 2 {
			t.Errorf("the film is not in the fill that it went through: %+v", ledger)
		}
	}
}

package jobs

import (
	"cmp"
	"fmt"
	"slices"
	"time"
)

// WatchAhead is how long before rolls are due it is watched whether they can be
// ready: within it staff can still do something. Closed days do not count.
const WatchAhead = 72 * time.Hour

// WatchUntil is until when rolls are due that are watched now.
func (l Lab) WatchUntil(now time.Time) time.Time { return l.afterOpen(now, WatchAhead) }

// Risk is a promise that is about to break.
type Risk struct {
	Roll  RollView
	Ready time.Time // when it is to be expected instead
	Save  string    // what would save it, in words
	Saved bool      // whether something can
}

// Watch finds the rolls that will not be ready when they are due, from where
// they are now: the earliest due first. Where a roll has no batch yet a schedule
// that any lab can keep is asked first, as for [Catalogue.Promise]; only when
// that leaves a promise open, the plan is made, by calling propose once.
func (w WetSide) Watch(rolls []RollView, open []Batch, work Workload, propose func() (Proposal, error), now time.Time) ([]Risk, error) {
	watch := &watcher{WetSide: w, now: now, pace: work.Pace.Known(), open: open, backlog: w.backlog(work, nil), days: w.Lab.calendar(now)}
	watch.countIn(rolls)
	watch.runOpen()
	if err := watch.planQueued(rolls, propose); err != nil {
		return nil, err
	}
	var risks []Risk
	for _, roll := range rolls {
		ready, ok := watch.expected(roll)
		if !ok || !ready.After(roll.Due) {
			continue
		}
		risk := Risk{Roll: roll, Ready: ready}
		if risk.Save = watch.save(roll); risk.Save == "" {
			risk.Save = "nothing can; tell the customer"
		} else {
			risk.Saved = true
		}
		risks = append(risks, risk)
	}
	slices.SortStableFunc(risks, func(a, b Risk) int {
		return cmp.Or(a.Roll.Due.Compare(b.Roll.Due), cmp.Compare(a.Roll.ID, b.Roll.ID))
	})
	return risks, nil
}

// watcher is what is known of the day while promises are watched.
type watcher struct {
	WetSide
	now     time.Time
	pace    Pace
	open    []Batch
	backlog backlog
	days    *calendar
	free    map[LineID]time.Time  // when the running batch of a line is through
	running map[LineID]BatchID    // the batch that is in the line
	ends    map[BatchID]time.Time // when open batches are through
	planned map[RollID]time.Time  // when queued rolls come out, by the plan
}

// countIn puts rolls into the backlog that came in after it was counted.
func (w *watcher) countIn(rolls []RollView) {
	for _, roll := range rolls {
		if roll.State != Received && roll.State != Held && roll.State != Queued {
			continue
		}
		if one := w.backlog.loadFor(roll.Kind(), w.longestTime(roll.Kind())); one.here == 0 {
			one.here = 1
		}
	}
}

// runOpen follows the open batches along their lines; what would not be through
// before the lab closes waits for the morning.
func (w *watcher) runOpen() {
	w.free, w.running, w.ends = map[LineID]time.Time{}, map[LineID]BatchID{}, map[BatchID]time.Time{}
	for i, slot := range w.Slots(w.open, w.now) {
		b := w.open[i]
		w.ends[b.ID] = slot.Until
		if b.State == BatchDeveloping {
			w.free[b.Line], w.running[b.Line] = slot.Until, b.ID
		}
	}
}

// planQueued makes the plan when a queued roll is not safe without it.
func (w *watcher) planQueued(rolls []RollView, propose func() (Proposal, error)) error {
	open := slices.ContainsFunc(rolls, func(roll RollView) bool {
		if roll.State != Queued {
			return false
		}
		ready, ok := w.expected(roll)
		return ok && ready.After(roll.Due)
	})
	if !open {
		return nil
	}
	proposal, err := propose()
	if err != nil {
		return err
	}
	w.planned = map[RollID]time.Time{}
	for _, b := range proposal.Batches {
		for _, roll := range b.Rolls {
			w.planned[roll.ID] = b.End
		}
	}
	return nil
}

// expected is when a roll is to be expected ready; false where nothing can be
// said, or where nothing has to be: it is not here, or has its way behind it.
func (w *watcher) expected(roll RollView) (time.Time, bool) {
	switch roll.State {
	case Received, Held:
		return w.fromQueue(roll)
	case Queued:
		if ends, ok := w.planned[roll.ID]; ok {
			return w.dry(ends), true
		}
		return w.fromQueue(roll)
	case Batched, Developing:
		ends, ok := w.ends[roll.Batch]
		return w.dry(ends), ok
	case Drying:
		return w.Lab.openFrom(later(w.now, w.Lab.afterOpen(roll.Since, w.pace.DrySide.Median))), true
	case Finishing:
		return w.Lab.openFrom(w.now), true
	}
	return time.Time{}, false
}

// fromQueue is when a roll that has no batch is ready at the latest; false where
// no line takes it.
func (w *watcher) fromQueue(roll RollView) (time.Time, bool) {
	developed, ok := w.backlog.developed(roll.Kind(), w.days, w.days)
	return w.dry(developed), ok
}

// dry is when film that comes out of the chemistry at a moment is usually ready.
func (w *watcher) dry(developed time.Time) time.Time {
	return w.Lab.openFrom(w.Lab.afterOpen(developed, w.pace.DrySide.Median))
}

// save says what would still keep the promise of a roll, "" for nothing.
func (w *watcher) save(roll RollView) string {
	switch roll.State {
	case Drying, Finishing:
		if !w.Lab.openFrom(w.now).After(roll.Due) {
			return "take it through the dry side ahead of the others"
		}
	case Developing:
		return w.saveRunning(roll)
	case Batched:
		return w.saveBatched(roll)
	}
	line, ok := w.soonest(roll)
	if !ok {
		return ""
	}
	switch roll.State {
	case Held:
		return "answer the question now, then develop it next on " + line.Name
	case Received:
		return "queue it now, then develop it next on " + line.Name
	case Queued:
		return "develop it next on " + line.Name + ", ahead of the others"
	}
	return ""
}

// saveRunning speaks of film in the chemistry: when its time is over it has only
// to be taken out.
func (w *watcher) saveRunning(roll RollView) string {
	if !w.Lab.openFrom(w.now).After(roll.Due) && !w.ends[roll.Batch].After(w.now) {
		return fmt.Sprintf("finish batch %d now and take it through the dry side ahead of the others", roll.Batch)
	}
	return ""
}

func (w *watcher) saveBatched(roll RollView) string {
	at := slices.IndexFunc(w.open, func(b Batch) bool { return b.ID == roll.Batch })
	if at < 0 {
		return ""
	}
	b := w.open[at]
	ends := w.Lab.endOf(later(w.now, w.free[b.Line]), w.Lines[b.Line].takes(b.Develop))
	switch {
	case w.dry(ends).After(roll.Due):
		return ""
	case w.running[b.Line] != 0:
		return fmt.Sprintf("run batch %d next on %s, as soon as batch %d is out", b.ID, b.LineName, w.running[b.Line])
	}
	return fmt.Sprintf("run batch %d now", b.ID)
}

// soonest is the line on which a roll without a batch would be through first if
// it went ahead of everything that has not begun; false where even that is too
// late.
func (w *watcher) soonest(roll RollView) (best Line, ok bool) {
	var first time.Time
	for _, line := range w.backlog.lines {
		if line.perLoad(roll.Kind()) == 0 {
			continue
		}
		tank, err := w.Tank(line, roll.Process, roll.Solution)
		if err != nil {
			continue
		}
		development, err := w.DevelopmentFor(roll.Roll, tank)
		if err != nil {
			continue
		}
		ends := w.Lab.endOf(later(w.now, w.free[line.ID]), line.takes(development.Seconds))
		if !w.dry(ends).After(roll.Due) && (!ok || ends.Before(first)) {
			best, first, ok = line, ends, true
		}
	}
	return best, ok
}

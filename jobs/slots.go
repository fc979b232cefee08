package jobs

import (
	"slices"
	"time"
)

// Slot is from when until when a batch holds its line.
type Slot struct{ From, Until time.Time }

// Slots works out when open batches hold their lines, each at its place in the
// list. A plan is only kept roughly: runs begin late, and what is moved between
// batches changes their times. So what runs holds its line first, for as long
// as it takes and until now at the least; the others follow in the order in
// which they are planned, none before its hour, before now, or before the line
// is free. One that would not be through before the lab closes waits for the
// morning.
func (c Catalogue) Slots(open []Batch, now time.Time) []Slot {
	slots, free := make([]Slot, len(open)), map[LineID]time.Time{}
	order := make([]int, len(open))
	for i, b := range open {
		order[i] = i
		if b.State == BatchDeveloping {
			slots[i] = Slot{b.StartedAt, later(now, b.StartedAt.Add(c.Lines[b.Line].takes(b.Develop)))}
			free[b.Line] = later(free[b.Line], slots[i].Until)
		}
	}
	slices.SortStableFunc(order, func(i, j int) int { return open[i].PlannedStart.Compare(open[j].PlannedStart) })
	for _, i := range order {
		b := open[i]
		if b.State == BatchDeveloping || !b.State.Open() {
			continue
		}
		takes := c.Lines[b.Line].takes(b.Develop)
		until := c.Lab.endOf(later(later(now, b.PlannedStart), free[b.Line]), takes)
		slots[i], free[b.Line] = Slot{until.Add(-takes), until}, until
	}
	return slots
}

// freeFrom returns when a line's open batches have ended, and now when that is
// over or there is none.
func (c Catalogue) freeFrom(line LineID, open []Batch, now time.Time) time.Time {
	free := now
	for i, hold := range c.Slots(open, now) {
		if open[i].Line == line {
			free = later(free, hold.Until)
		}
	}
	return free
}

package jobs

import (
	"time"

	"wetside/chemistry"
)

// Usual is how long something usually takes, as the last weeks have shown.
type Usual struct {
	Median time.Duration
	High   time.Duration // nine in ten took no longer
	Seen   int           // how many were seen
}

// Pace is how long film takes outside the chemistry, by the clock on the wall:
// nights count, because they are slept through all the same.
type Pace struct {
	Arrival Usual // from the order to the check-in
	DrySide Usual // from the developed film to the ready one, without closed days
}

// PaceWeeks is over how many weeks a pace is learnt.
const PaceWeeks = 4

// fewSeen is below how many cases a duration is not taken from the records:
// one slow parcel must not make the promise for everybody.
const fewSeen = 20

// startingPace stands until enough was seen. Common practice, no source: film
// comes by the next day's post, dries for an hour or two and is cut, scanned and
// checked the same day, or the next one when much hangs there.
var startingPace = Pace{
	Arrival: Usual{Median: 24 * time.Hour, High: 72 * time.Hour},
	DrySide: Usual{Median: 4 * time.Hour, High: 24 * time.Hour},
}

// Known is the pace with the starting values where too little was seen.
func (p Pace) Known() Pace {
	if p.Arrival.Seen < fewSeen {
		p.Arrival = startingPace.Arrival
	}
	if p.DrySide.Seen < fewSeen {
		p.DrySide = startingPace.DrySide
	}
	return p
}

// ExpectedSince is since when film was ordered that is still counted on; what
// has not come by now is taken to stay in its camera. Film that came while the
// lab was closed has yet to be taken in, so closed days do not count.
func (p Pace) ExpectedSince(l Lab, now time.Time) time.Time {
	since := now.Add(-2 * p.Known().Arrival.High)
	for left := 0; ; {
		closed := len(l.ClosedDays(since, now))
		if closed == left {
			return since
		}
		since, left = since.Add(-time.Duration(closed-left)*24*time.Hour), closed
	}
}

// Workload is what lies before the next order: what the lab has to develop
// already, and how long the rest takes. The zero workload is that of a lab
// with nothing to do and nothing learnt.
type Workload struct {
	Pace    Pace
	Waiting []Waiting
	Running []Running
	Unread  int // rolls that have just come in and may be of any kind
}

// WorkKind says what decides with which rolls a roll is developed.
type WorkKind struct {
	Stock    StockID
	Process  chemistry.Process
	Solution SolutionID // 0 for colour
	Push     chemistry.Stops
	Format   chemistry.Format
}

// Waiting counts the rolls of a kind that have no batch yet.
type Waiting struct {
	WorkKind
	Develop  int // the longest developing time, in seconds; see [Catalogue.Timed]
	Here     int // received, held or queued
	Expected int // ordered, and not here yet
}

// Running is a line that open batches hold.
type Running struct {
	Line    LineID
	Seconds int // for how long from now, in all
}

// Kind is the kind of work that a roll makes.
func (r Roll) Kind() WorkKind {
	return WorkKind{Stock: r.Stock, Process: r.Process, Solution: r.Solution, Push: r.Push, Format: r.Format}
}

// untimed is the developing time, in seconds, that a roll is counted with for
// which none is known: a long one.
const untimed = 20 * 60

// Timed fills in how long the kinds of waiting work develop at most: by hand,
// which is slowest, in a fill that has taken all the film it may.
func (c Catalogue) Timed(waiting []Waiting) []Waiting {
	for i := range waiting {
		if waiting[i].Develop == 0 {
			waiting[i].Develop = c.longestTime(waiting[i].WorkKind)
		}
	}
	return waiting
}

func (c Catalogue) longestTime(kind WorkKind) int {
	w := WetSide{Catalogue: c}
	roll := Roll{Stock: kind.Stock, Process: kind.Process, Solution: kind.Solution, Push: kind.Push, Format: kind.Format}
	tank, err := w.Tank(Line{}, kind.Process, kind.Solution)
	if err != nil {
		return untimed
	}
	const litre = 1000
	tank.Fill = Fill{VolumeML: litre, AreaM2: tank.Developer.CapacityM2PerL}
	development, err := w.DevelopmentFor(roll, tank)
	if err != nil {
		return untimed
	}
	return development.Seconds
}

// Holding sums for how long open batches hold their lines from now on.
func (c Catalogue) Holding(open []Batch, now time.Time) []Running {
	var running []Running
	for _, b := range open {
		left := c.Lines[b.Line].takes(b.Develop)
		if b.State == BatchDeveloping {
			left = max(0, b.StartedAt.Add(left).Sub(now))
		}
		running = append(running, Running{b.Line, int(left.Seconds())})
	}
	return running
}

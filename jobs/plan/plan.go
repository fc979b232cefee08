// Package plan decides which rolls go together, on which line, and when.
//
// A batch is one load of one line: one process, one solution, one push level
// (or several, where the process may combine them), and one development time
// inside the window of every roll in it. Rolls due by the end of the day are
// always planned; rolls due after it only fill room that is left.
//
// The aims, in this order: the fewest rolls due by then that end after they
// are due; the fewest batches that hold all of those rolls; the most later
// rolls riding along without one more batch, and of equally many the ones due
// earliest; the earliest end of the last batch.
//
// The package is pure: no clock, no randomness, and effort is counted in steps
// and never in time, so the same day always gives the same plan.
package plan

import (
	"time"

	"wetside/chemistry"
)

// Input is a day to plan.
type Input struct {
	// Start is when the first batch may start, on every line.
	Start time.Time `json:"start"`
	// Until divides the rolls: those due at or before it must be planned,
	// later ones ride along where there is room. It does not close the lab: a
	// batch may end after it, and then every roll due by it is late.
	Until time.Time `json:"until"`
	// Combine names the processes whose push levels may share a batch when
	// their windows overlap.
	Combine []chemistry.Process `json:"combine"`
	Lines   []Line              `json:"lines"`
	Rolls   []Roll              `json:"rolls"`
}

// Line is a processor, tank set or set of hand tanks. It runs one batch at a
// time.
type Line struct {
	ID        string              `json:"id"`
	Processes []chemistry.Process `json:"processes"`
	// Capacity is the room of one load, in units of the line's own choice.
	Capacity int `json:"capacity"`
	// Takes is the room that one roll of a format needs. A format that is not
	// named does not fit the line.
	Takes map[chemistry.Format]int `json:"takes"`
	// TurnaroundS is what a batch takes beside its development, in seconds.
	TurnaroundS int `json:"turnaround_s"`
}

// Roll is a roll that waits for development.
type Roll struct {
	ID       string            `json:"id"`
	Process  chemistry.Process `json:"process"`
	Solution string            `json:"solution"`
	Push     chemistry.Stops   `json:"push"`
	Format   chemistry.Format  `json:"format"`
	DevelopS Window            `json:"develop_s"`
	Due      time.Time         `json:"due"`
}

// Window is the shortest and the longest development time that suits a roll,
// in seconds.
type Window [2]int

// Batch is one load of a line.
type Batch struct {
	Line     string            `json:"line"`
	Process  chemistry.Process `json:"process"`
	Solution string            `json:"solution"`
	// Push is the push level of every roll in the batch, nil where several
	// levels share it.
	Push     *chemistry.Stops `json:"push"`
	DevelopS int              `json:"develop_s"`
	Start    time.Time        `json:"start"`
	End      time.Time        `json:"end"`
	// Rolls are the ids of the rolls, the earliest due first.
	Rolls []string `json:"rolls"`
}

// Unplaced is a roll that no line can develop, and why.
type Unplaced struct {
	Roll   string `json:"roll"`
	Reason string `json:"reason"`
}

// Bound says what no plan can better.
type Bound struct {
	// Batches is the fewest batches in which the rolls due by the end of the
	// day can be held. When the plan is proven it is the plan's own number,
	// which keeping promises may have raised.
	Batches int `json:"batches"`
}

// Plan is the answer for a day.
type Plan struct {
	// Batches are sorted by start, then line.
	Batches []Batch `json:"batches"`
	// Late are the rolls due by the end of the day whose batch ends after
	// they are due.
	Late []string `json:"late"`
	// Later are the rolls due after the end of the day that found no room.
	Later    []string   `json:"later"`
	Unplaced []Unplaced `json:"unplaced"`
	// Proven says that no valid plan is better in the order of the aims.
	Proven bool  `json:"proven"`
	Bound  Bound `json:"bound"`
}

// Solve returns the best plan of a day. The order of lines and rolls in the
// input makes no difference. Its errors wrap [ErrInput] and are about the input
// alone; a roll that cannot be developed is not an error but in Unplaced. It is
// made for those who wait at a page: a day that is not proven within two seconds
// or so is left at that.
func Solve(in Input) (Plan, error) { return solve(in, effortFor) }

// SolveThoroughly is Solve for those who would rather wait longer, ten seconds or
// so, for a better plan of a day of some hundred rolls, or for its proof.
func SolveThoroughly(in Input) (Plan, error) { return solve(in, thoroughEffortFor) }

func solve(in Input, allowed func(rolls int) effort) (Plan, error) {
	if err := in.check(); err != nil {
		return Plan{}, err
	}
	d, unplaced := newDay(in)
	best, proven, bound := search(d, allowed(len(d.rolls)))
	out := d.write(best, unplaced)
	out.Proven, out.Bound.Batches = proven, bound
	return out, nil
}

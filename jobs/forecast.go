package jobs

import (
	"context"
	"time"

	"wetside/chemistry"
)

// RunOutCause says what ends a fill.
type RunOutCause string

// The causes.
const (
	UsedUpNow      RunOutCause = "exhausted"       // it takes no more film today
	CapacityUsed   RunOutCause = "capacity"        // film uses its capacity up
	NotReplenished RunOutCause = "not replenished" // film whose replenisher was not added uses it up
	TooOld         RunOutCause = "keeping"         // it no longer keeps
	ReplenisherOut RunOutCause = "replenisher"     // nothing is left of the mix that keeps it going
)

// Outlook is what is foretold of a fill.
type Outlook struct {
	Fill    FillID
	At      time.Time
	RunsOut chemistry.Forecast // no date where nothing is foretold
	Cause   RunOutCause        // "" where nothing is foretold
	Mix     *ToMix             // nil where nothing has to be mixed for it
	Verdict chemistry.Verdict
	DailyM2 float64 // film that usually goes through on a day, working day or not
	ExtraM2 float64 // film that waits beyond what usually waits
	OpenML  float64 // replenisher for film of today that nobody has confirmed and that counts as poured
	Ends    string  // when and why it ends, in words; "" where nothing is foretold
	Says    string  // all of it in a sentence or two
}

// ToMix is what has to be mixed before a fill runs out.
type ToMix struct {
	Solution    SolutionID
	Preparation Preparation
	ML          int
	By          time.Time // calendar day where the lab is, as midnight UTC
	Ready       MixID     // a mix that will do and stands ready; 0 for none
}

// TankKey names the tank of a solution in a line, whatever fill is in it.
type TankKey struct {
	Line     LineID
	Solution SolutionID
}

// FilmDay is film of one push level that went through a tank on one day where
// the lab is.
type FilmDay struct {
	TankKey
	Day    time.Time // as midnight UTC
	Push   chemistry.Stops
	AreaM2 float64
}

// WaitingFilm is film that waits to be developed.
type WaitingFilm struct {
	Line     LineID // of its batch; 0 where it has none
	Process  chemistry.Process
	Solution SolutionID // the developer it is to get; 0 for colour
	AreaM2   float64
}

// Demand is what the tanks are asked for: what went through them lately, and
// what waits.
type Demand struct {
	Days    []FilmDay             // of the last eight weeks
	Since   map[TankKey]time.Time // when the tank was first filled
	Waiting []WaitingFilm
	Wait    time.Duration // that film usually has from the queue to the developer
	Mixes   []Mix         // the latest of every preparation, and all of which something is left
}

// DemandDays is how far back the work is looked at that usually comes in.
const DemandDays = 56

// StoredOutlook is an outlook as it was on a day where the lab is.
type StoredOutlook struct {
	Day time.Time // as midnight UTC
	Outlook
}

// FillCourse is how a fill was used since it was filled, and how that goes on.
type FillCourse struct {
	Outlook Outlook
	Past    []chemistry.CoursePoint
	// Ahead is empty where there is nothing to go by, and of a fill that was
	// dumped or takes no more film.
	Ahead  []CourseAhead
	Stored []StoredOutlook // what was foretold on earlier days, the latest first
}

// CourseAhead is how a fill will be used by the end of a day, with a range that
// holds at least eight times in ten.
type CourseAhead struct {
	Day                     time.Time // as midnight UTC
	Used, LowUsed, HighUsed float64   // share of the capacity; more than 1 is past its end
	Bromide                 float64   // g/L as KBr
	LowBromide, HighBromide float64
}

// ForecastService foretells when the fills run out.
type ForecastService interface {
	// Outlooks foretells every fill in use, from the records as they are now.
	Outlooks(ctx context.Context) (map[FillID]Outlook, error)
	// Course returns the course of a fill: NotFound when there is none.
	Course(ctx context.Context, id FillID) (FillCourse, error)
	// Recalculate stores the outlook of every fill in use for this day where the
	// lab is, in the place of one that was stored before, notes in the record
	// which fills have come to a worse verdict, and writes the morning list anew.
	Recalculate(ctx context.Context) error
}

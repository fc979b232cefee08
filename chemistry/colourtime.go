package chemistry

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
)

// PushTime is a developing time at a push level.
type PushTime struct {
	Push    Stops
	Seconds int
	Source  Source
}

// ErrPush is wrapped by errors about a push for which no time is known.
var ErrPush = errors.New("no developing time is known for this push")

// ErrTable is wrapped by errors about developing times that contradict one
// another.
var ErrTable = errors.New("the table of developing times contradicts itself")

// colourTimes holds the shipped developing times of each colour process.
var colourTimes = map[Process][]PushTime{
	C41: {
		{-1 * Stop, 165, Source{CommonPractice, "30 s less for a stop"}},
		{0, 195, Source{Published, "Kodak Z-131, table 2-1"}},
		{1 * Stop, 225, Source{Published, "Kodak TI-2420, push table; Z-131, table 2-7"}},
		{2 * Stop, 255, Source{Published, "Kodak Z-131, table 2-7 (given there for one high-speed film)"}},
		{3 * Stop, 285, Source{CommonPractice, "extrapolated at 30 s a stop"}},
	},
	E6: {
		{-1 * Stop, 240, Source{FromMemory, "pull of a stop"}},
		{0, 360, Source{Published, "encyclopaedia, six-bath table"}},
		{1 * Stop, 480, Source{FromMemory, "push of a stop"}},
		{2 * Stop, 690, Source{FromMemory, "push of two stops"}},
	},
	ECN2: {
		{0, 180, Source{Published, "Kodak H-24, module 7"}},
		{1 * Stop, 230, Source{Computed, "middle of the 3:40 to 4:00 of Kennel and Sehlin, SMPTE Journal 1982"}},
		{2 * Stop, 280, Source{FromMemory, "a second stop of 50 s, as the first"}},
	},
}

// Starting pushes in black and white without push rows: one factor a stop has
// been published from a pull of one to a push of three.
const (
	bwMinPush = -1 * Stop
	bwMaxPush = 3 * Stop
)

// ColourTimes returns the developing times of a colour process by push level,
// the lab's own first: where it has tested a level, the shipped time is named
// in the source beside it. Own times are in rising order of push and time with
// the shipped ones, or they are refused with [ErrTable].
func ColourTimes(process Process, own []PushTime) ([]PushTime, error) {
	shipped, ok := colourTimes[process]
	if !ok {
		return nil, fmt.Errorf("%w: %q has no table of colour times, allowed are C-41, E-6 and ECN-2", ErrProcess, string(process))
	}
	times := slices.Clone(shipped)
	seen := map[Stops]bool{}
	for _, tested := range own {
		if err := checkPushTime(tested); err != nil {
			return nil, err
		}
		if seen[tested.Push] {
			return nil, fmt.Errorf("%w: two times of the lab's own for %s", ErrTable, levelName(tested.Push))
		}
		seen[tested.Push] = true
		if tested.Source.Standing == "" {
			tested.Source.Standing = LabsOwn
		}
		i := slices.IndexFunc(times, func(t PushTime) bool { return t.Push == tested.Push })
		if i < 0 {
			times = append(times, tested)
			continue
		}
		beside := fmt.Sprintf("in place of %s (%s)", FormatClock(times[i].Seconds), times[i].Source)
		tested.Source.Text = strings.TrimPrefix(tested.Source.Text+", "+beside, ", ")
		times[i] = tested
	}
	slices.SortFunc(times, func(a, b PushTime) int { return int(a.Push - b.Push) })
	return times, checkRising(times)
}

func checkPushTime(t PushTime) error {
	if t.Push > MaxStops || t.Push < -MaxStops {
		return &RangeError{ErrStops, t.Push.String(), "−10 to +10"}
	}
	if t.Seconds < 1 || t.Seconds > MaxClockSeconds {
		return &RangeError{ErrClock, fmt.Sprintf("%d s for %s", t.Seconds, levelName(t.Push)), "1 s to 180:00"}
	}
	return nil
}

// checkRising refuses times, in rising order of push, that do not rise.
func checkRising(times []PushTime) error {
	for i := 1; i < len(times); i++ {
		a, b := times[i-1], times[i]
		if b.Seconds <= a.Seconds {
			return fmt.Errorf("%w: %s takes %s and %s takes %s, but more push takes longer",
				ErrTable, levelName(a.Push), FormatClock(a.Seconds), levelName(b.Push), FormatClock(b.Seconds))
		}
	}
	return nil
}

// PushRange returns the pushes for which a time is known, the lab's own tested
// times included. For black and white it is the range of the starting point; a
// stock with push rows of its own has the range of those. An unknown process
// takes no push.
func PushRange(process Process, own []PushTime) (low, high Stops) {
	if process == BW {
		low, high = bwMinPush, bwMaxPush
	}
	for _, t := range colourTimes[process] {
		low, high = min(low, t.Push), max(high, t.Push)
	}
	for _, t := range own {
		low, high = min(low, t.Push), max(high, t.Push)
	}
	return low, high
}

// ColourTime returns the developing time of a colour process for a push. Own
// are the times that the lab has tested itself; they come first. Between levels
// the time is interpolated in log time and rounded to [RoundingSeconds];
// outside the table there is none, and the error, [ErrPush], names the range.
// It depends on no measured temperature: see [CheckDeveloperTemp].
func ColourTime(process Process, push Stops, own []PushTime) (Development, error) {
	times, err := ColourTimes(process, own)
	if err != nil {
		return Development{}, err
	}
	first, last := times[0].Push, times[len(times)-1].Push
	if push < first || push > last {
		return Development{}, &RangeError{ErrPush, fmt.Sprintf("%s in %s", push, process), pushSpan(first, last)}
	}
	aim := developerAims[process]
	d := Development{TempC: aim.temp, TempTolC: aim.tolerance, Cautions: []string{}}
	points := make([]timePoint, len(times))
	for i, t := range times {
		points[i] = timePoint{t.Push.Float(), float64(t.Seconds)}
	}
	curve := newTimeCurve(points)
	below, above := curve.neighbours(push.Float())
	used := timesAt(times, below.level, above.level)
	if len(used) == 1 {
		d.Factors = []Factor{{"developer time, " + levelName(push), below.seconds, "s", used[0].Source.String()}}
		d.settle(used[0].Seconds, "")
	} else {
		d.between(curve, push, used[0], used[1])
	}
	d.cautionColour(push, used)
	return d, nil
}

// WithReuse lengthens a colour time for a small kit's developer that rolls went
// through before, by a percentage of the fresh time a roll; 0 per cent takes the
// starting point of 2. It is never for a replenished line, whose time is exact.
func (d Development) WithReuse(rolls, percent float64) (Development, error) {
	d.Factors = slices.DeleteFunc(slices.Clone(d.Factors), func(f Factor) bool { return f.Name == roundingName })
	d.Cautions = slices.Clone(d.Cautions)
	if err := d.reuse(rolls, percent, 0, colourStartReuse); err != nil {
		return Development{}, err
	}
	if err := d.settleNearest(); err != nil {
		return Development{}, err
	}
	return d, nil
}

// between sets the time of a push that lies between two levels of the table.
// Where rounding would leave their span the time is kept to the second.
func (d *Development) between(curve *timeCurve, push Stops, a, b PushTime) {
	seconds := curve.seconds(push.Float())
	d.Factors = []Factor{{"developer time, " + levelName(push), seconds, "s",
		fmt.Sprintf("between %s and %s, by log time", a.inWords(), b.inWords())}}
	rounded, rule := roundSeconds(seconds), nearestRule
	if rounded <= a.Seconds || rounded >= b.Seconds {
		rounded, rule = int(math.Round(seconds)), "to the nearest second"
	}
	d.settle(rounded, rule)
}

// inWords writes a time with its level and where it comes from.
func (t PushTime) inWords() string {
	text := FormatClock(t.Seconds) + " at " + levelName(t.Push)
	if t.Source.Standing == "" {
		return text
	}
	return text + " (" + t.Source.String() + ")"
}

// timesAt picks the table's entries at the two levels, once if they are one.
func timesAt(times []PushTime, below, above float64) []PushTime {
	var used []PushTime
	for _, t := range times {
		if t.Push.Float() == below || t.Push.Float() == above {
			used = append(used, t)
		}
	}
	return used
}

func (d *Development) cautionColour(push Stops, used []PushTime) {
	for _, t := range used {
		d.cautionStarting(levelName(t.Push), t.Source)
	}
	if push != 0 {
		d.caution("Only the developer's time changes; every other step stays as it is.")
	}
}

// levelName writes a push level in words.
func levelName(push Stops) string {
	switch {
	case push > 0:
		return "push " + push.String()
	case push < 0:
		return "pull " + push.String()
	}
	return "normal"
}

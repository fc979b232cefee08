package chemistry

import (
	"errors"
	"fmt"
)

// StripPair is one strip of the old box and one of the new, run side by side.
type StripPair struct{ Old, New StripReading }

// CrossOver returns the aim of a new box of strips from pairs run side by side
// in a line that is in control: what the new strips read in the mean, less what
// the old strips deviate from their own aim. It refuses no pairs at all, and an
// old strip past a limit, because a line that is off would be carried into the
// new aim.
func CrossOver(oldAim StripReading, pairs []StripPair, limits StripLimits) (StripReading, error) {
	if len(pairs) == 0 {
		return StripReading{}, fmt.Errorf("%w: no pairs of strips, at least 1 is needed", ErrTooFew)
	}
	var sum StripReading
	for i, pair := range pairs {
		old, err := JudgeStrip(pair.Old, oldAim, limits)
		if err := firstFault(err, pair.New.check("new strip")); err != nil {
			return StripReading{}, fmt.Errorf("pair %d: %w", i+1, err)
		}
		if old.Verdict != InControl {
			return StripReading{}, fmt.Errorf("%w: pair %d, %s", ErrNotInControl, i+1, old.Signals[0])
		}
		sum = sum.combine(pair.New.From(old.Deviations), 1)
	}
	count := float64(len(pairs))
	for layer := range sum.LD {
		sum.DMin[layer] /= count
		sum.LD[layer] /= count
		sum.HD[layer] /= count
	}
	sum.DMaxBlue /= count
	sum.YellowBlue /= count
	return sum, nil
}

// CrossOverDue tells whether the new box must be crossed over now: while a
// week's strips of the old box are left.
func CrossOverDue(stripsLeft int, stripsPerDay float64) bool {
	return float64(stripsLeft) <= 7*stripsPerDay
}

// StripStorage says how strips are kept.
const StripStorage = "Strips keep at −18 °C."

// ErrNotInControl is wrapped where a line that is off cannot serve as a measure.
var ErrNotInControl = errors.New("the line is not in control")

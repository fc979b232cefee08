package chemistry

import (
	"cmp"
	"fmt"
	"slices"

	"gonum.org/v1/gonum/interp"
)

// ContrastAim is the contrast that a push aims at.
type ContrastAim struct {
	Push     Stops
	Contrast float64
}

// Calibration is a stock in a developer as the lab's strips show it: the curve,
// and the contrast to aim at for each push; an aim for 0 stops is needed.
type Calibration struct {
	Curve ContrastCurve
	Aims  []ContrastAim
}

// The contrast aim for pictorial negatives without a push (NAVEDTRA 14208 gives
// a contrast index of 0.56 to 0.60).
const (
	MinPictorialContrast = 0.56
	MaxPictorialContrast = 0.60
)

// Aim returns the contrast that a push aims at, between two aims in proportion
// and never outside them.
func (c Calibration) Aim(push Stops) (float64, error) {
	aims := slices.Clone(c.Aims)
	slices.SortFunc(aims, func(a, b ContrastAim) int { return cmp.Compare(a.Push, b.Push) })
	if len(aims) == 0 {
		return 0, fmt.Errorf("%w: no contrast to aim at has been entered", ErrCalibration)
	}
	levels, contrasts := make([]float64, len(aims)), make([]float64, len(aims))
	for i, aim := range aims {
		levels[i], contrasts[i] = aim.Push.Float(), aim.Contrast
		if i > 0 && (aims[i-1].Push == aim.Push || !(aims[i-1].Contrast < aim.Contrast)) {
			return 0, fmt.Errorf("%w: the aims for %s (%.2f) and %s (%.2f); one each, and more push aims higher", ErrCalibration,
				levelName(aims[i-1].Push), aims[i-1].Contrast, levelName(aim.Push), aim.Contrast)
		}
	}
	first, last := aims[0].Push, aims[len(aims)-1].Push
	if push < first || push > last {
		return 0, &RangeError{ErrPush, fmt.Sprintf("%s with these contrast aims", push), pushSpan(first, last)}
	}
	if len(aims) == 1 {
		return aims[0].Contrast, nil
	}
	var cubic interp.FritschButland
	_ = cubic.Fit(levels, contrasts) // no error for levels that rise
	return cubic.Predict(push.Float()), nil
}

// factor returns what a push multiplies the time by: the time for its contrast
// over the time for the contrast without it.
func (c Calibration) factor(push Stops) (float64, string, error) {
	normalAim, err := c.Aim(0)
	if err != nil {
		return 0, "", err
	}
	pushAim, err := c.Aim(push)
	if err != nil {
		return 0, "", err
	}
	normal, err := c.Curve.TimeFor(normalAim)
	if err != nil {
		return 0, "", err
	}
	pushed, err := c.Curve.TimeFor(pushAim)
	if err != nil {
		return 0, "", err
	}
	said := fmt.Sprintf("%d strips: contrast %.2f takes %.2f times as long as %.2f", len(c.Curve.Strips), pushAim, pushed.Seconds/normal.Seconds, normalAim)
	return pushed.Seconds / normal.Seconds, Source{LabsOwn, said}.String(), nil
}

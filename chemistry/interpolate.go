package chemistry

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/interp"
)

// timePoint is a developing time at a level: stops, or °C.
type timePoint struct{ level, seconds float64 }

// timeCurve passes exactly through its points and is monotone between them. It
// runs in log time, because a stop or a degree multiplies a time and does not
// add to it. It needs one point at least, in rising order of level.
type timeCurve struct {
	points []timePoint
	cubic  interp.FritschButland
}

func newTimeCurve(points []timePoint) *timeCurve {
	curve := &timeCurve{points: points}
	if len(points) < 2 {
		return curve
	}
	levels, logs := make([]float64, len(points)), make([]float64, len(points))
	for i, point := range points {
		levels[i], logs[i] = point.level, math.Log(point.seconds)
	}
	// Fit has no error to return for points that rise in level.
	_ = curve.cubic.Fit(levels, logs)
	return curve
}

// low and high are the ends of the curve.
func (c *timeCurve) low() timePoint  { return c.points[0] }
func (c *timeCurve) high() timePoint { return c.points[len(c.points)-1] }

// seconds returns the time at a level that lies within the curve.
func (c *timeCurve) seconds(level float64) float64 {
	for _, point := range c.points {
		if point.level == level {
			return point.seconds
		}
	}
	return math.Exp(c.cubic.Predict(level))
}

// neighbours returns the points on either side of a level within the curve;
// both are the same where the level is a point of its own.
func (c *timeCurve) neighbours(level float64) (below, above timePoint) {
	i := slices.IndexFunc(c.points, func(point timePoint) bool { return point.level >= level })
	if above = c.points[i]; above.level == level {
		return above, above
	}
	return c.points[i-1], above
}

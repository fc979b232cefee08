package chemistry

import "time"

// CoursePoint is how far a fill was used at a moment.
type CoursePoint struct {
	At           time.Time
	AreaM2       float64 // film that went through until then
	CapacityUsed float64 // share of the capacity, 1 being all; 0 where none is known
	BromideGPerL float64 // as KBr; 0 where nothing is known of it
}

// Course is how a fill was used since it was filled: a point then, and one
// after every pass, in the order in which they were recorded.
func Course(solution Solution, fill Fill) ([]CoursePoint, error) {
	if err := firstFault(solution.Check(), fill.check(fill.lastUse())); err != nil {
		return nil, err
	}
	w := newWear(solution, fill.VolumeML)
	points := make([]CoursePoint, 0, len(fill.Through)+1)
	points = append(points, w.at(fill.Filled))
	for _, pass := range fill.Through {
		w.take(pass)
		points = append(points, w.at(pass.At))
	}
	return points, nil
}

// wear is what film and replenisher have done to a fill.
type wear struct {
	solution     Solution
	volumeML     float64
	areaM2       float64
	calledML     float64 // replenisher that the film calls for
	addedML      float64
	bromideGPerL float64
}

func newWear(solution Solution, volumeML float64) wear {
	return wear{solution: solution, volumeML: volumeML, bromideGPerL: solution.Bromide.StartGPerL}
}

// take carries the wear through a pass, with the replenisher that was really
// added for it.
func (w *wear) take(pass Pass) {
	w.areaM2 += pass.AreaM2
	w.addedML += pass.ReplenisherML
	w.calledML += w.solution.CalledForML(pass.AreaM2, pass.Push)
	if bromide := w.solution.Bromide; bromide != (BromideFigures{}) {
		released := bromide.ReleasedMGPerRoll * pass.AreaM2 / FilmUnitArea
		w.bromideGPerL = bleed(w.bromideGPerL, w.volumeML, released, pass.ReplenisherML, 1, bromide.ReplenisherGPerL)
	}
}

// dueML is the replenisher that is still to be added.
func (w wear) dueML() float64 {
	if due := w.calledML - w.addedML; due > shareError*w.calledML {
		return due
	}
	return 0
}

// capacityM2 is the film that the whole fill takes; 0 where that is not known.
func (w wear) capacityM2() float64 { return w.solution.CapacityM2PerL * w.volumeML / 1000 }

// countedM2 is the film that counts against the capacity. Film that replenisher
// has made up for does not, in a replenished fill.
func (w wear) countedM2() float64 {
	if rate := w.solution.Replenisher.MLPerM2; w.solution.Use == Replenished && rate > 0 {
		return w.dueML() / rate
	}
	return w.areaM2
}

func (w wear) capacityUsed() float64 {
	if w.capacityM2() == 0 {
		return 0
	}
	return w.countedM2() / w.capacityM2()
}

func (w wear) at(moment time.Time) CoursePoint {
	return CoursePoint{At: moment, AreaM2: w.areaM2, CapacityUsed: w.capacityUsed(), BromideGPerL: w.bromideGPerL}
}

package chemistry

import "fmt"

// StepChange is the lab's own value for one step of a cycle; zero fields keep
// what is shipped. Seconds cannot be changed for the developing step: its time
// belongs to the lab's tested push times.
type StepChange struct {
	Step                string // the step's name
	Seconds, MaxSeconds int
	TempC, LowC, HighC  float64
	Agitation, Drain    string
	Note                string // who tested it, when
}

// With returns the cycle with the lab's own values; each changed step keeps
// the shipped one beside it in Original. It refuses, with [ErrCycle], a step
// that does not exist and values that contradict one another.
func (c Cycle) With(changes []StepChange) (Cycle, error) {
	steps := make([]Step, len(c.Steps))
	copy(steps, c.Steps)
	c.Steps = steps
	for _, change := range changes {
		i, err := c.step(change.Step)
		if err != nil {
			return Cycle{}, err
		}
		changed, err := steps[i].changed(change)
		if err != nil {
			return Cycle{}, err
		}
		steps[i] = changed
	}
	return c, nil
}

// changed applies one change.
func (s Step) changed(change StepChange) (Step, error) {
	if err := s.checkChange(change); err != nil {
		return Step{}, err
	}
	original := s
	if s.Original != nil {
		original = *s.Original
	}
	s.Original = &original
	s.Source = Source{LabsOwn, change.Note}
	if change.Seconds != 0 {
		s.Seconds, s.MaxSeconds = change.Seconds, change.MaxSeconds
	} else if change.MaxSeconds != 0 {
		s.MaxSeconds = change.MaxSeconds
	}
	if change.TempC != 0 || change.LowC != 0 || change.HighC != 0 {
		s.TempC, s.LowC, s.HighC = change.TempC, change.LowC, change.HighC
	}
	if change.Agitation != "" {
		s.Agitation = change.Agitation
	}
	if change.Drain != "" {
		s.Drain = change.Drain
	}
	return s, s.checkBounds()
}

// checkChange refuses a change that no step, or not this one, can take.
func (s Step) checkChange(change StepChange) error {
	if s.Develop && (change.Seconds != 0 || change.MaxSeconds != 0) {
		return fmt.Errorf("%w: the time of %q is not changed here; enter the lab's own tested developing time", ErrCycle, s.Name)
	}
	for _, seconds := range []int{change.Seconds, change.MaxSeconds} {
		if seconds < 0 || seconds > MaxClockSeconds {
			return &RangeError{ErrClock, fmt.Sprintf("%d s for %q", seconds, s.Name), "1 s to 180:00"}
		}
	}
	for _, celsius := range []float64{change.TempC, change.LowC, change.HighC} {
		if s.Solution == "" && celsius > MaxBathC && celsius <= MaxDryingC {
			continue
		}
		if err := CheckTemperature(celsius); err != nil {
			return fmt.Errorf("%q: %w", s.Name, err)
		}
	}
	return nil
}

// checkBounds refuses a range that is upside down or leaves out its aim.
func (s Step) checkBounds() error {
	if s.MaxSeconds != 0 && s.MaxSeconds < s.Seconds {
		return fmt.Errorf("%w: %q takes %s at least and %s at most", ErrCycle, s.Name, FormatClock(s.Seconds), FormatClock(s.MaxSeconds))
	}
	if s.HighC < s.LowC || s.TempC != 0 && (s.TempC < s.LowC || s.TempC > s.HighC) {
		return fmt.Errorf("%w: %q at %g °C, from %g to %g °C", ErrCycle, s.Name, s.TempC, s.LowC, s.HighC)
	}
	return nil
}

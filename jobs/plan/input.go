package plan

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"slices"

	"wetside/chemistry"
)

// ErrInput is wrapped by every error about a day that cannot be planned
// because it is not written right.
var ErrInput = errors.New("not a day to plan")

// The widest values that are still a lab's and not a slip of the pen.
const (
	maxCapacity = 100_000
	maxSeconds  = 7 * 24 * 3600
)

// Read reads a day from JSON. It refuses fields that it does not know and
// anything after the day.
func Read(r io.Reader) (Input, error) {
	var in Input
	decoder := json.NewDecoder(r)
	decoder.DisallowUnknownFields()
	if err := decoder.Decode(&in); err != nil {
		if errors.Is(err, io.EOF) {
			err = errors.New("there is nothing to read")
		}
		return Input{}, fmt.Errorf("%w: %w", ErrInput, err)
	}
	if _, err := decoder.Token(); !errors.Is(err, io.EOF) {
		return Input{}, fmt.Errorf("%w: there is more after the end of the day", ErrInput)
	}
	if err := in.check(); err != nil {
		return Input{}, err
	}
	return in, nil
}

// UnmarshalJSON reads exactly two numbers.
func (w *Window) UnmarshalJSON(data []byte) error {
	var ends []int
	if err := json.Unmarshal(data, &ends); err != nil || len(ends) != len(w) {
		return fmt.Errorf("develop_s is %s, the shortest and the longest time in seconds are wanted, as in [225, 225]", data)
	}
	*w = Window(ends)
	return nil
}

// wrong makes an error about the input.
func wrong(format string, args ...any) error {
	return fmt.Errorf("%w: %s", ErrInput, fmt.Sprintf(format, args...))
}

// check returns an error that names the first field that is not right and what
// is allowed there. A roll due before the start is allowed: it is late.
func (in Input) check() error {
	switch {
	case in.Start.IsZero():
		return wrong("start is missing, a time such as 2026-03-02T08:00:00Z is wanted")
	case in.Until.IsZero():
		return wrong("until is missing, a time such as 2026-03-02T18:00:00Z is wanted")
	case in.Until.Before(in.Start):
		return wrong("until is before start, it must be at or after it")
	}
	for _, process := range in.Combine {
		if err := knownProcess("combine", process); err != nil {
			return err
		}
	}
	seen := map[string]bool{}
	for i, line := range in.Lines {
		if err := line.check(i); err != nil {
			return err
		}
		if seen[line.ID] {
			return wrong("two lines have the id %q, each needs its own", line.ID)
		}
		seen[line.ID] = true
	}
	clear(seen)
	for i, roll := range in.Rolls {
		if err := roll.check(i); err != nil {
			return err
		}
		if seen[roll.ID] {
			return wrong("two rolls have the id %q, each needs its own", roll.ID)
		}
		seen[roll.ID] = true
	}
	return nil
}

func (l Line) check(index int) error {
	name := fmt.Sprintf("line %q", l.ID)
	if l.ID == "" {
		return wrong("lines[%d] has no id", index)
	}
	if err := within(name, "capacity", l.Capacity, 1, maxCapacity); err != nil {
		return err
	}
	if err := within(name, "turnaround_s", l.TurnaroundS, 0, maxSeconds); err != nil {
		return err
	}
	for _, process := range l.Processes {
		if err := knownProcess(name, process); err != nil {
			return err
		}
	}
	formats := make([]chemistry.Format, 0, len(l.Takes))
	for format := range l.Takes {
		formats = append(formats, format)
	}
	slices.Sort(formats)
	for _, format := range formats {
		if err := within(name, "takes "+string(format), l.Takes[format], 1, maxCapacity); err != nil {
			return err
		}
	}
	return nil
}

func (r Roll) check(index int) error {
	name := fmt.Sprintf("roll %q", r.ID)
	switch {
	case r.ID == "":
		return wrong("rolls[%d] has no id", index)
	case r.Format == "":
		return wrong("%s has no format", name)
	case r.Due.IsZero():
		return wrong("%s has no due time", name)
	}
	if err := knownProcess(name, r.Process); err != nil {
		return err
	}
	if r.Push < -chemistry.MaxStops || r.Push > chemistry.MaxStops {
		return wrong("%s: push is %v, allowed are −10 to +10", name, r.Push)
	}
	for _, seconds := range r.DevelopS {
		if err := within(name, "develop_s", seconds, 1, maxSeconds); err != nil {
			return err
		}
	}
	if r.DevelopS[0] > r.DevelopS[1] {
		return wrong("%s: develop_s is [%d, %d], the shorter time comes first", name, r.DevelopS[0], r.DevelopS[1])
	}
	return nil
}

func within(name, field string, value, least, most int) error {
	if value < least || value > most {
		return wrong("%s: %s is %d, allowed are %d to %d", name, field, value, least, most)
	}
	return nil
}

func knownProcess(name string, process chemistry.Process) error {
	if !slices.Contains(chemistry.Processes, process) {
		return wrong("%s: unknown process %q, allowed are C-41, E-6, ECN-2 and BW", name, string(process))
	}
	return nil
}

package jobs

import (
	"slices"
	"strings"
	"time"

	"wetside/chemistry"
)

// judge compares a reading with the aim of its box. Black and white has one
// channel, so no layer is named; and what a pattern suggests is only known of
// C-41.
func (b StripBox) judge(reading chemistry.StripReading) (chemistry.StripResult, error) {
	result, err := chemistry.JudgeStrip(reading, b.Aim, b.Limits)
	if err != nil {
		return chemistry.StripResult{}, InvalidField("densities", "%v", err)
	}
	if b.Process == chemistry.BW {
		for i := range result.Signals {
			result.Signals[i].Layer = ""
		}
	}
	if b.Process != chemistry.C41 {
		result = result.WithoutPattern()
	}
	return result, nil
}

// Bench is what a decision about a strip sees: the catalogue, the boxes in use
// and the last strips of the line and process since it was in control.
type Bench struct {
	Catalogue
	Boxes map[chemistry.Process]StripBox
	Since map[ControlKey][]Strip // the oldest first
}

// CheckStrip decides whether a strip may be recorded as read at a moment, and
// judges it. When the strip before was the first past the control limit, this
// one confirms it.
func (b Bench) CheckStrip(run StripRun, at time.Time) (Strip, error) {
	box, err := b.boxFor(run.Line, run.Process)
	if err != nil {
		return Strip{}, err
	}
	var wrong fieldErrors
	reading := wrong.reading("", run.Process, run.Densities, box.Limits)
	if err := wrong.err("the strip cannot be recorded like this"); err != nil {
		return Strip{}, err
	}
	result, err := box.judge(reading)
	if err != nil {
		return Strip{}, err
	}
	strip := Strip{
		Line: run.Line, LineName: b.Lines[run.Line].Name, Process: run.Process, Box: box.ID, BoxNumber: box.Number,
		At: at, Reading: reading, Aim: box.Aim, Result: result,
	}
	since := b.Since[ControlKey{run.Line, run.Process}]
	if len(since) == 0 {
		return strip, nil
	}
	last := since[len(since)-1]
	if at.Before(last.At) {
		return Strip{}, Errorf(WrongState, "the clock says %s, but the last strip of %s in %s was read at %s: set the clock right",
			b.clock(at), run.Process, strip.LineName, b.clock(last.At))
	}
	if stripsSay(since).Standing == SecondWanted {
		strip.Confirms = last.ID
		strip.Result.Next = slices.DeleteFunc(strip.Result.Next, func(step string) bool { return step == chemistry.ConfirmStep })
	}
	return strip, nil
}

// boxFor returns the box that judges a process in a line.
func (b Bench) boxFor(id LineID, process chemistry.Process) (StripBox, error) {
	line, ok := b.Lines[id]
	switch box, used := b.Boxes[process]; {
	case !ok:
		return StripBox{}, InvalidField("line", "there is no such line")
	case !line.Active:
		return StripBox{}, Errorf(Refused, "%s is out of use", line.Name)
	case !line.RunsProcess(process):
		return StripBox{}, Errorf(Refused, "%s does not run %s, it runs %s", line.Name, process, strings.Join(line.processes(), ", "))
	case !used:
		return StripBox{}, Errorf(Refused, "no box of %s strips is in use: an owner opens one first", process)
	default:
		return box, nil
	}
}

// processes names the processes of a line.
func (l Line) processes() []string {
	var names []string
	for _, run := range l.Runs {
		names = append(names, string(run.Process))
	}
	return names
}

// clock writes a moment in the lab's time.
func (b Bench) clock(at time.Time) string {
	return at.In(b.Lab.Zone()).Format("2 January 2006, 15:04")
}

// CheckRelease decides whether an owner lets a line run whose strips since it
// was in control are these, the oldest first, and returns the reason as it is
// kept.
func CheckRelease(strip Strip, since []Strip, reason string) (string, error) {
	var wrong fieldErrors
	reason = wrong.reason("reason", reason)
	if err := wrong.err("the line cannot be released like this"); err != nil {
		return "", err
	}
	state := stripsSay(since)
	switch {
	case !strip.Release.At.IsZero():
		return "", Errorf(WrongState, "%s was released on this strip already, by %s", strip.LineName, strip.Release.By)
	case state.Last.ID != strip.ID:
		return "", Errorf(WrongState, "another strip was read in %s since: the line is judged by that one", strip.LineName)
	case state.Standing != SecondWanted && state.Standing != LineStopped:
		return "", Errorf(WrongState, "%s is not stopped for %s: there is nothing to release it from", strip.LineName, strip.Process)
	}
	return reason, nil
}

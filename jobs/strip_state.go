package jobs

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"

	"wetside/chemistry"
)

// Standing says whether customers' film may run in a line, going by its strips.
type Standing string

// The standings.
const (
	StripDue       Standing = "strip due"             // none was read today: a strip moves it on
	LineInControl  Standing = "in control"            // until the next day or strip
	LinePastAction Standing = "past the action limit" // film may run while the cause is found
	SecondWanted   Standing = "second strip wanted"   // the first is past the control limit: a second says whether that is so
	LineStopped    Standing = "stopped"               // until a strip in control, or an owner's word
	LineReleased   Standing = "released"              // by an owner's word, until the next day or strip
)

// MayRun tells whether customers' film may run.
func (s Standing) MayRun() bool {
	return s == LineInControl || s == LinePastAction || s == LineReleased
}

// StripState is how a line stands in a process.
type StripState struct {
	Standing
	Last Strip // the last one; the zero strip for none
	// First is the strip past the control limit that Last was run to confirm,
	// and Again which of its signals Last gave once more. Where that is none the
	// first strip itself is suspect.
	First Strip
	Again []chemistry.StripSignal
}

// StateOfStrips works out how a line stands from its strips, the oldest first;
// those before its last strip in control change nothing. Days are those of now's
// location.
//
// A strip past the control limit asks for a second one at once. When that gives
// a signal past the control limit again, be it only past the action limit by
// then, or is past the control limit itself, the line is stopped; otherwise the
// first strip is suspect and the line is judged by the second. A stopped line is
// let go by a strip in control: past the action limit is not enough, for the
// stop has shown that the drift is real.
func StateOfStrips(strips []Strip, now time.Time) StripState {
	state := stripsSay(strips)
	holds := state.Last.At
	if state.Standing == LineReleased {
		holds = state.Last.Release.At
	}
	if state.Standing == "" || state.MayRun() && chemistry.StripDue(holds, now) {
		state.Standing = StripDue
	}
	return state
}

// stripsSay is the state of a line whatever day it is; "" before any strip.
func stripsSay(strips []Strip) StripState {
	var state StripState
	for _, strip := range strips {
		state = state.after(strip)
	}
	return state
}

var standingAfter = map[chemistry.StripVerdict]Standing{
	chemistry.InControl: LineInControl, chemistry.PastAction: LinePastAction, chemistry.PastControl: SecondWanted,
}

// after is the state once another strip was read.
func (s StripState) after(strip Strip) StripState {
	next := StripState{Standing: standingAfter[strip.Result.Verdict], Last: strip}
	switch {
	case s.Standing == SecondWanted:
		next.First, next.Again = s.Last, chemistry.ConfirmStrip(s.Last.Result, strip.Result)
		if next.confirmed() || next.Standing == SecondWanted {
			next.Standing = LineStopped
		}
	case s.Standing == LineStopped && next.Standing != LineInControl:
		next.Standing = LineStopped
	}
	if !next.MayRun() && !strip.Release.At.IsZero() {
		next.Standing = LineReleased
	}
	return next
}

// confirmed tells whether a signal that stopped the line at first came again.
func (s StripState) confirmed() bool {
	for _, again := range s.Again {
		for _, first := range s.First.Result.Signals {
			if first.Parameter == again.Parameter && first.Layer == again.Layer && first.Verdict == chemistry.PastControl {
				return true
			}
		}
	}
	return false
}

// FirstSuspect tells whether the second strip did not confirm the first.
func (s StripState) FirstSuspect() bool { return s.First.ID != 0 && !s.confirmed() }

// Objection is what speaks against film in the line, "" for nothing.
func (w WatchedLine) Objection() string {
	switch w.State.Standing {
	case StripDue:
		return fmt.Sprintf("no control strip of %s has been read in %s today: run a control strip first", w.Process, w.LineName)
	case SecondWanted:
		return fmt.Sprintf("line stopped: the control strip of %s in %s is past the control limit (%s); run a second one at once to confirm",
			w.Process, w.LineName, w.State.Last.worst())
	case LineStopped:
		return fmt.Sprintf("line stopped: %s is out of control in %s (%s); put it right and run a strip that is in control",
			w.LineName, w.Process, w.State.Last.worst())
	}
	return ""
}

// worst is the signal that a strip is judged by.
func (s Strip) worst() string {
	for _, signal := range s.Result.Signals {
		if signal.Verdict == s.Result.Verdict {
			return signal.String()
		}
	}
	return string(s.Result.Verdict)
}

// Control is what the strips of the line say to a batch.
func (w WatchedLine) Control() Control { return Control{Required: true, Objection: w.Objection()} }

// Left is how many strips are left in the box; false where nobody has counted.
func (b StripBox) Left() (int, bool) { return max(0, b.Strips-b.Read), b.Strips > 0 }

// CrossOverDue tells whether the next box has to be crossed over now. Each of
// the lines takes a strip a day at least.
func (b StripBox) CrossOverDue(lines int) bool {
	left, counted := b.Left()
	return b.Active && counted && chemistry.CrossOverDue(left, max(float64(b.Recent)/7, float64(lines)))
}

// Expired tells whether the box is past its date. Days are those of now's
// location.
func (b StripBox) Expired(now time.Time) bool {
	return !b.ExpiresOn.IsZero() && dayOf(now).After(b.ExpiresOn)
}

// Watched tells how every line in use stands that runs a process with a box in
// use, by the names of lines and the order of processes.
func (b Bench) Watched(now time.Time) []WatchedLine {
	var watched []WatchedLine
	for _, line := range b.Lines {
		for _, process := range chemistry.Processes {
			box, used := b.Boxes[process]
			if line.Active && used && line.RunsProcess(process) {
				state := StateOfStrips(b.Since[ControlKey{line.ID, process}], now.In(b.Lab.Zone()))
				watched = append(watched, WatchedLine{line.ID, line.Name, process, box, state})
			}
		}
	}
	slices.SortStableFunc(watched, func(a, b WatchedLine) int {
		return cmp.Or(strings.Compare(a.LineName, b.LineName), cmp.Compare(a.Line, b.Line))
	})
	return watched
}

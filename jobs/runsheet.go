package jobs

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"wetside/chemistry"
)

// RunSheet works out what the operator follows for a batch that has not
// started, with the developer at its working temperature.
func (w WetSide) RunSheet(b Batch, now time.Time) (RunSheet, error) {
	if !b.State.Open() {
		return RunSheet{}, Errorf(WrongState, "%s was cancelled and has no run sheet", b.name())
	}
	if len(b.Rolls) == 0 {
		return RunSheet{}, Errorf(WrongState, "%s holds no roll; put some in or cancel it", b.name())
	}
	load, err := w.LoadOf(b, b.Rolls, 0)
	if err != nil {
		return RunSheet{}, err
	}
	sheet, err := load.RunSheet(b)
	sheet.Doses, sheet.Against = w.CalledFor(b, load), texts(w.Objections(b, load, now))
	return sheet, err
}

// RunSheet returns what the operator follows for a batch with this load. The
// rolls stand in loading order and without their owners' names and words: the
// sheet hangs at the line, and is kept.
func (l Load) RunSheet(b Batch) (RunSheet, error) {
	cycle, err := chemistry.CycleFor(l.Tank.Process, l.Tank.Line.variant(l.Tank.Process))
	if err != nil {
		return RunSheet{}, fmt.Errorf("run sheet of %s: %w", b.name(), err)
	}
	b.Push, b.Develop, b.TempC = l.Push, l.Development.Seconds, l.Tank.TempC
	b.Rolls = slices.Clone(l.Rolls)
	for i := range b.Rolls {
		roll := &b.Rolls[i]
		roll.CustomerName, roll.Note, roll.Reading, roll.Question, roll.Answer = "", "", "", "", ""
	}
	cycle = cycle.WithDevelopment(l.Development)
	return RunSheet{
		Batch: b, Line: l.Tank.Line, Solution: l.Tank.Developer.Name,
		Development: l.Development, Cycle: cycle, Cautions: l.cautions(cycle),
	}, nil
}

// variant is the variant of a process's cycle that the line runs.
func (l Line) variant(process chemistry.Process) string {
	for _, run := range l.Runs {
		if run.Process == process {
			return run.Variant
		}
	}
	return ""
}

// cautions gathers what to mind with every bath of the cycle, each sentence
// once and behind the baths it is about; the deferral comes last.
func (l Load) cautions(cycle chemistry.Cycle) []string {
	general := chemistry.Cautions("")
	var sentences []string
	baths := map[string][]string{}
	for _, step := range cycle.Steps {
		bath, family := l.bath(step)
		for _, sentence := range chemistry.Cautions(family) {
			if slices.Contains(general, sentence) {
				continue
			}
			if baths[sentence] == nil {
				sentences = append(sentences, sentence)
			}
			if !slices.Contains(baths[sentence], bath) {
				baths[sentence] = append(baths[sentence], bath)
			}
		}
	}
	var cautions []string
	for _, sentence := range sentences {
		cautions = append(cautions, strings.Join(baths[sentence], ", ")+": "+sentence)
	}
	return append(cautions, general...)
}

// bath returns the name and the family of the solution of a step.
func (l Load) bath(step chemistry.Step) (string, chemistry.SolutionFamily) {
	if step.Develop && l.Tank.Process == chemistry.BW {
		return l.Tank.Developer.Name, l.Tank.Developer.Family
	}
	if strings.HasPrefix(step.Name, "wash") || strings.HasSuffix(step.Name, "wash") {
		return step.Name, chemistry.Wash
	}
	for _, family := range chemistry.SolutionFamilies {
		if strings.HasSuffix(step.Solution, string(family)) {
			return step.Solution, family
		}
	}
	return step.Solution, ""
}

// Refreshed is the sheet as it was when the batch started, with how the batch
// stands now and what was measured since.
func (s RunSheet) Refreshed(b Batch, readings []Reading) RunSheet {
	s.Batch.State, s.Batch.Version = b.State, b.Version
	s.Batch.EndedAt, s.Batch.Reason, s.Batch.Override = b.EndedAt, b.Reason, b.Override
	s.Readings = readings
	return s
}

// Measured is the reading of the developer's temperature (°C) with which a
// batch starts.
func (s RunSheet) Measured(developerC float64) Reading {
	for _, step := range s.Cycle.Steps {
		if step.Develop {
			return Reading{Step: step.Name, TempC: developerC, Note: "at the start"}
		}
	}
	panic("a cycle without a developer") // chemistry promises one
}

// CheckReading checks a temperature taken while a batch runs and returns it as
// it is kept: WrongState when the batch is not running, Invalid for a step that
// the sheet does not have and for a temperature that no bath has.
func (s RunSheet) CheckReading(b Batch, reading Reading) (Reading, error) {
	if b.State != BatchDeveloping {
		return Reading{}, Errorf(WrongState, "%s is %s; readings are taken while it runs", b.name(), b.State)
	}
	var wrong fieldErrors
	steps := make([]string, len(s.Cycle.Steps))
	for i, step := range s.Cycle.Steps {
		steps[i] = step.Name
	}
	wrong.oneOf("step", reading.Step, steps)
	if err := chemistry.CheckTemperature(reading.TempC); err != nil {
		wrong.add("temp_c", "%v", err)
	}
	reading.Note = strings.TrimSpace(reading.Note)
	wrong.line("note", reading.Note, MaxReason)
	return reading, wrong.err("this reading cannot be kept")
}

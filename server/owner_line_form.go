package server

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"wetside/chemistry"
	"wetside/jobs"
)

// lineForm is a line as it was typed. Runs stand in the order of
// chemistry.Processes, takes in that of chemistry.Formats.
type lineForm struct {
	Version    string         `form:"version"`
	Name       string         `form:"name"`
	Capacity   string         `form:"capacity"`
	Turnaround string         `form:"turnaround"` // minutes
	Rotary     bool           `form:"rotary"`
	Active     bool           `form:"active"`
	Runs       []lineRunForm  `form:"runs" most:"4"`
	Takes      []lineTakeForm `form:"takes" most:"4"`
	Tanks      []lineTankForm `form:"tanks" most:"200"`
}

type lineRunForm struct {
	Variant string `form:"variant"` // "" when the line does not run it
}

type lineTakeForm struct {
	Units string `form:"units"` // "" when it does not fit
}

// lineTankForm is what the tank of a solution holds.
type lineTankForm struct {
	Solution string `form:"solution"`
	Volume   string `form:"volume_ml"` // "" where nobody has said
	Storage  string `form:"storage"`
}

// standardVariant is how a form names the standard variant of a cycle, because
// an empty choice is none.
const standardVariant = "standard"

// lineFormOf asks for the tanks of all solutions in use that the line runs, and
// of those that it has a tank of.
func lineFormOf(line jobs.Line, c jobs.Catalogue) lineForm {
	form := lineForm{
		Version: fmt.Sprint(line.Version), Name: line.Name, Capacity: plainInt(line.Capacity),
		Turnaround: plainFloat(float64(line.Turnaround) / 60), Rotary: line.Rotary, Active: line.Active,
	}
	form.complete()
	for _, run := range line.Runs {
		form.Runs[slices.Index(chemistry.Processes, run.Process)].Variant = run.Variant
		if run.Variant == "" {
			form.Runs[slices.Index(chemistry.Processes, run.Process)].Variant = standardVariant
		}
	}
	for i, format := range chemistry.Formats {
		form.Takes[i].Units = plainInt(line.Takes[format])
	}
	for _, solution := range sortedSolutions(c) {
		tank, has := line.Tanks[solution.ID]
		if has || solution.Active && line.RunsProcess(solution.Process) {
			form.Tanks = append(form.Tanks, lineTankForm{plainInt(solution.ID), plainInt(tank.VolumeML), string(tank.Storage)})
		}
	}
	return form
}

// complete adds the rows that a form did not send.
func (f *lineForm) complete() {
	f.Runs = append(f.Runs, make([]lineRunForm, len(chemistry.Processes)-len(f.Runs))...)
	f.Takes = append(f.Takes, make([]lineTakeForm, len(chemistry.Formats)-len(f.Takes))...)
}

// line turns what was typed into a line, and returns how the form names the
// fields of the rules.
func (f lineForm) line(wrong *faults) (jobs.Line, func(string) string) {
	line := jobs.Line{
		Version: versionOf(f.Version), Name: f.Name, Rotary: f.Rotary, Active: f.Active,
		Capacity: count(f.Capacity, "capacity", wrong), Takes: map[chemistry.Format]int{},
	}
	const mostMinutes = 24 * 60
	minutes := measure(f.Turnaround, "turnaround", wrong)
	if !(minutes >= 0 && minutes <= mostMinutes) {
		wrong.add("turnaround", "a load cannot take %g minutes, allowed are 0 to %d", minutes, mostMinutes)
		minutes = 0
	}
	line.Turnaround = int(minutes*60 + 0.5)
	names := map[string]string{"runs": "runs[0].variant", "takes": "takes[0].units"}
	for i, run := range f.Runs {
		if run.Variant == "" {
			continue
		}
		names[fmt.Sprintf("runs[%d]", len(line.Runs))] = fmt.Sprintf("runs[%d].variant", i)
		variant := run.Variant
		if variant == standardVariant {
			variant = ""
		}
		line.Runs = append(line.Runs, jobs.LineProcess{Process: chemistry.Processes[i], Variant: variant})
	}
	for i, take := range f.Takes {
		field := fmt.Sprintf("takes[%d].units", i)
		names["takes["+string(chemistry.Formats[i])+"]"] = field
		if strings.TrimSpace(take.Units) != "" {
			line.Takes[chemistry.Formats[i]] = count(take.Units, field, wrong)
		}
	}
	f.tanks(&line, names, wrong)
	return line, func(field string) string {
		if name, ok := names[field]; ok {
			return name
		}
		return field
	}
}

// tanks reads what the tanks hold, and notes how the form names them.
func (f lineForm) tanks(line *jobs.Line, names map[string]string, wrong *faults) {
	for i, typed := range f.Tanks {
		prefix := fmt.Sprintf("tanks[%d].", i)
		id := jobs.SolutionID(key(typed.Solution, prefix+"volume_ml", wrong))
		rule := fmt.Sprintf("tanks[%d]", id)
		names[rule], names[rule+".volume_ml"], names[rule+".storage"] = prefix+"volume_ml", prefix+"volume_ml", prefix+"storage"
		if strings.TrimSpace(typed.Volume) == "" {
			if typed.Storage != "" {
				wrong.add(prefix+"volume_ml", "say what the tank holds, or leave open how it stands")
			}
			continue
		}
		if line.Tanks == nil {
			line.Tanks = map[jobs.SolutionID]jobs.LineTank{}
		}
		line.Tanks[id] = jobs.LineTank{VolumeML: tankVolume(typed.Volume, prefix+"volume_ml", wrong), Storage: chemistry.Storage(typed.Storage)}
	}
}

// tankVolume reads a volume in mL or, with the letter, in litres, to the
// nearest mL.
func tankVolume(text, field string, wrong *faults) int {
	plain := strings.ToLower(strings.TrimSpace(text))
	number, inML := strings.CutSuffix(plain, "ml")
	factor := 1.0
	if litres, ok := strings.CutSuffix(plain, "l"); ok && !inML {
		number, factor = litres, 1000
	}
	ml := measure(number, field, wrong) * factor
	if !(ml >= 0 && ml <= 1e9) {
		wrong.add(field, "%q is no volume of a tank, allowed are %d to %d mL", text, jobs.MinVolumeML, jobs.MaxVolumeML)
		return 0
	}
	return int(math.Round(ml))
}

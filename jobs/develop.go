package jobs

import (
	"math"

	"wetside/chemistry"
)

// WetSide is what a decision about batches sees, read together: the catalogue,
// the fills in use and what the control strips say. The ledgers, which only the
// start of a batch asks for, are there when one starts.
type WetSide struct {
	Catalogue
	Fills    []Fill
	Ledgers  map[FillID][]Entry     // of the fills in the batch's line
	Controls map[ControlKey]Control // what is left out is not watched
}

// Tank is a line with the developer that a batch meets in it.
type Tank struct {
	Line      Line
	Process   chemistry.Process
	Developer Solution // black and white; the zero solution for colour
	Fill      Fill     // the developer's fill in use; the zero fill when none is poured
	TempC     float64  // of the developer
}

// Tank returns a line as a batch of a process meets it, at the working
// temperature of its developer. The solution is 0 for colour.
func (w WetSide) Tank(line Line, process chemistry.Process, solution SolutionID) (Tank, error) {
	tank := Tank{Line: line, Process: process}
	if process != chemistry.BW {
		temp, _, err := chemistry.DeveloperTemp(process)
		tank.TempC = temp
		return tank, err
	}
	developer, ok := w.Solutions[solution]
	if !ok {
		return Tank{}, Errorf(Refused, "no developer is chosen")
	}
	tank.Developer, tank.TempC = developer, developer.TempC
	for _, fill := range w.Fills {
		if fill.Line == line.ID && fill.Solution == solution && fill.DumpedAt.IsZero() {
			tank.Fill = fill
		}
	}
	return tank, nil
}

// needsFill reports whether film can only go in where a fill of the developer
// is poured. A one-shot developer is mixed for the load and gone with it; of a
// colour batch the records do not say which developer it uses.
func (t Tank) needsFill() bool {
	return t.Process == chemistry.BW && t.Developer.Use != chemistry.OneShot
}

// DevelopmentFor works out how long a roll develops in a tank. Colour takes the
// process's times, the lab's tested ones first. Black and white takes the
// stock's rows for the developer and, where the developer is reused, the rolls
// that went through its present fill: each adds the solution's per cent for one
// litre, divided by the litres there are; past [chemistry.MaxReuse] it is refused. A replenished developer stays as it
// is. It is Refused when no time is known, with the reason.
func (w WetSide) DevelopmentFor(roll Roll, tank Tank) (chemistry.Development, error) {
	if tank.Process != chemistry.BW {
		development, err := chemistry.ColourTime(tank.Process, roll.Push, w.testedTimes(tank.Process))
		return development, refusedFor(roll, err)
	}
	recipe, err := w.recipe(roll, tank)
	if err != nil {
		return chemistry.Development{}, err
	}
	development, err := chemistry.BWTime(recipe, tank.TempC, roll.Push)
	return development, refusedFor(roll, err)
}

func (w WetSide) testedTimes(process chemistry.Process) []chemistry.PushTime {
	var own []chemistry.PushTime
	for _, tested := range w.Tested {
		if tested.Process == process {
			own = append(own, tested.PushTime)
		}
	}
	return own
}

// recipe puts together what chemistry wants to know of a black-and-white roll.
func (w WetSide) recipe(roll Roll, tank Tank) (chemistry.BWRecipe, error) {
	stock := w.Stocks[roll.Stock]
	for _, times := range stock.Times {
		if times.Solution != tank.Developer.ID {
			continue
		}
		recipe := chemistry.BWRecipe{
			Rows: times.Rows, PushRows: times.PushRows,
			B: tank.Developer.B, PushFactor: tank.Developer.PushFactor, Rotary: tank.Line.Rotary,
			Source: chemistry.Source{Standing: chemistry.LabsOwn, Text: times.Source},
		}
		if tank.Developer.Use == chemistry.Reused && tank.Fill.VolumeML > 0 {
			recipe.Reused = tank.Fill.AreaM2 / chemistry.FilmUnitArea
			recipe.PerRollPercent, recipe.VolumeML = tank.Developer.PerRollPercent, float64(tank.Fill.VolumeML)
		}
		return recipe, nil
	}
	return chemistry.BWRecipe{}, Errorf(Refused, "%s: there is no developing time for %s in %s",
		nameOf(roll), stock.Name, tank.Developer.Name)
}

// refusedFor says of which roll a rule of the trade speaks.
func refusedFor(roll Roll, err error) error {
	if err == nil {
		return nil
	}
	return Errorf(Refused, "%s: %w", nameOf(roll), err)
}

// nameOf is what a roll is called at the line: by its twin-check, or by its
// order before it has one; a roll that is not in the records yet has no name.
func nameOf(roll Roll) string {
	if roll.TwinCheck != "" {
		return "roll " + roll.TwinCheck
	}
	if roll.Order == 0 {
		return "this roll"
	}
	return "roll " + roll.Label()
}

// window is the shortest and the longest time, in seconds, that suits a roll.
type window struct{ least, most int }

func (a window) meet(b window) window {
	return window{max(a.least, b.least), min(a.most, b.most)}
}

func (a window) empty() bool { return a.least > a.most }

// windowOf widens a developing time to what the roll tolerates. A colour time
// is exact. Black-and-white times that differ by no more than the lab's
// tolerance may meet half way: each gives half of it, so that two windows touch
// exactly when the longer time is within the tolerance of the shorter one.
func (l Lab) windowOf(process chemistry.Process, seconds int) window {
	if process != chemistry.BW || !l.CombineBW {
		return window{seconds, seconds}
	}
	half := math.Sqrt(1 + l.TolerancePercent/100)
	return window{int(math.Round(float64(seconds) / half)), int(math.Round(float64(seconds) * half))}
}

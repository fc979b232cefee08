package jobs

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"wetside/chemistry"
)

// Load is a set of rolls that every rule allows to be developed together.
type Load struct {
	Tank        Tank
	Rolls       []RollView       // in loading order
	Push        *chemistry.Stops // nil when rolls of several levels share it
	Units       int              // of the line's capacity
	Development chemistry.Development
}

// Load checks rolls against every rule of a tank and works out how long they
// develop together: Refused with the first reason against it. The tank says
// which process and developer the load is for.
func (w WetSide) Load(tank Tank, rolls []RollView) (Load, error) {
	load := Load{Tank: tank, Rolls: slices.Clone(rolls)}
	SortForLoading(load.Rolls)
	if len(rolls) == 0 {
		return Load{}, Errorf(Refused, "a batch needs at least one roll")
	}
	for _, roll := range load.Rolls {
		if err := tank.admits(roll.Roll); err != nil {
			return Load{}, err
		}
		load.Units += tank.Line.Takes[roll.Format]
	}
	if load.Units > tank.Line.Capacity {
		return Load{}, Errorf(Refused, "these %d rolls need %d units, %s takes %d in one load",
			len(rolls), load.Units, tank.Line.Name, tank.Line.Capacity)
	}
	if err := load.levels(w.Lab); err != nil {
		return Load{}, err
	}
	return load, w.develop(&load)
}

// SortForLoading puts rolls of one format together, so that reels and racks
// are set once, and counts up in each.
func SortForLoading(rolls []RollView) {
	place := func(r RollView) int { return slices.Index(chemistry.Formats, r.Format) }
	slices.SortFunc(rolls, func(a, b RollView) int {
		return cmp.Or(cmp.Compare(place(a), place(b)), cmp.Compare(a.TwinCheck, b.TwinCheck), cmp.Compare(a.ID, b.ID))
	})
}

// admits refuses a roll that the tank would spoil, that would spoil the tank,
// or that does not fit into it.
func (t Tank) admits(roll Roll) error {
	film := chemistry.Film{Process: roll.Process, Remjet: roll.Remjet}
	if err := chemistry.Compatible(film, t.Process); err != nil {
		return refusedFor(roll, err)
	}
	switch {
	case !t.Line.Active:
		return Errorf(Refused, "%s is out of use", t.Line.Name)
	case !t.Line.RunsProcess(t.Process):
		return refusedFor(roll, t.Line.foreign(film))
	case roll.Solution != t.Developer.ID:
		return Errorf(Refused, "%s is for another developer than %s", nameOf(roll), t.Developer.Name)
	case t.Line.Takes[roll.Format] == 0:
		return Errorf(Refused, "%s: %s takes no %s film", nameOf(roll), t.Line.Name, roll.Format)
	}
	return nil
}

// foreign says why a line is wrong for a film whose process it does not run;
// film that would foul it is called that first.
func (l Line) foreign(film chemistry.Film) error {
	names := make([]string, len(l.Runs))
	for i, run := range l.Runs {
		names[i] = string(run.Process)
		if film.Remjet == chemistry.RemjetPresent || film.Remjet == chemistry.RemjetUnknown {
			if err := chemistry.Compatible(film, run.Process); err != nil {
				return fmt.Errorf("%s runs %s: %w", l.Name, run.Process, err)
			}
		}
	}
	return fmt.Errorf("%s does not run %s, it runs %s", l.Name, film.Process, strings.Join(names, ", "))
}

// levels sets the push level of the load, and refuses several where they may
// not be combined.
func (l *Load) levels(lab Lab) error {
	first := l.Rolls[0]
	push := first.Push
	l.Push = &push
	for _, roll := range l.Rolls {
		if roll.Push == push {
			continue
		}
		if l.Tank.Process != chemistry.BW || !lab.CombineBW {
			return Errorf(Refused, "one batch, one push level: %s is %s and %s is %s",
				nameOf(first.Roll), pushName(push), nameOf(roll.Roll), pushName(roll.Push))
		}
		l.Push = nil
	}
	return nil
}

// pushName says a push level in words.
func pushName(push chemistry.Stops) string {
	switch {
	case push > 0:
		return "push " + push.String()
	case push < 0:
		return "pull " + push.String()
	}
	return "normal"
}

// develop chooses the developing time of a load: inside the window of every
// roll, as near as can be to the middle between the shortest and the longest of
// their own times, so that the roll that is served worst is served best.
func (w WetSide) develop(load *Load) error {
	var shortest, longest chemistry.Development
	var first, last Roll
	common := window{0, chemistry.MaxClockSeconds}
	for i, roll := range load.Rolls {
		own, err := w.DevelopmentFor(roll.Roll, load.Tank)
		if err != nil {
			return err
		}
		if i == 0 || own.Seconds < shortest.Seconds {
			shortest, first = own, roll.Roll
		}
		if i == 0 || own.Seconds > longest.Seconds {
			longest, last = own, roll.Roll
		}
		common = common.meet(w.Lab.windowOf(load.Tank.Process, own.Seconds))
	}
	if common.empty() {
		return Errorf(Refused, "the times do not meet: %s takes %s and %s takes %s; %s",
			nameOf(first), chemistry.FormatClock(shortest.Seconds), nameOf(last), chemistry.FormatClock(longest.Seconds),
			w.Lab.mayDiffer(load.Tank.Process))
	}
	load.Development = shared(shortest, longest, common, w.Lab.TolerancePercent)
	return nil
}

func (l Lab) mayDiffer(process chemistry.Process) string {
	if process != chemistry.BW || !l.CombineBW {
		return "in one batch they must be the same"
	}
	return fmt.Sprintf("in one batch they may differ by %g %%", l.TolerancePercent)
}

// shared is the development between two that meet. The sum behind it is that of
// the shorter time, with the step to the common one as its last factor.
func shared(shortest, longest chemistry.Development, common window, tolerance float64) chemistry.Development {
	if shortest.Seconds == longest.Seconds {
		return shortest
	}
	middle := (shortest.Seconds + longest.Seconds) / 2
	rounded := (middle + chemistry.RoundingSeconds/2) / chemistry.RoundingSeconds * chemistry.RoundingSeconds
	if rounded < common.least || rounded > common.most {
		rounded = min(max(middle, common.least), common.most)
	}
	d := shortest
	d.Seconds = rounded
	d.Factors = append(slices.Clone(d.Factors), chemistry.Factor{
		Name:  "shared batch",
		Value: float64(rounded) / float64(shortest.Seconds),
		Source: fmt.Sprintf("between %s and %s, which are within the lab's tolerance of %g %%",
			chemistry.FormatClock(shortest.Seconds), chemistry.FormatClock(longest.Seconds), tolerance),
	})
	d.Cautions = slices.Clone(d.Cautions)
	for _, caution := range longest.Cautions {
		if !slices.Contains(d.Cautions, caution) {
			d.Cautions = append(d.Cautions, caution)
		}
	}
	return d
}

package chemistry

import (
	"errors"
	"fmt"
	"slices"
)

// Step is one step of a cycle. MaxSeconds is the longest where the step may
// take a range, otherwise 0; a step of 0 seconds takes as long as it needs.
// LowC and HighC bound the temperature; where only they are known TempC is 0,
// and all are 0 where the step is run at the temperature of the room. Exact
// says that the time is neither a minimum nor a maximum.
type Step struct {
	Name, Solution      string
	Seconds, MaxSeconds int
	TempC, LowC, HighC  float64
	Exact               bool
	Develop             bool // the step that takes the batch's developing time
	Agitation, Drain    string
	Cautions            []string
	Source              Source
	Original            *Step // the shipped step, where the lab has its own
}

// Cycle is the order of steps that a process, in one variant, takes film
// through.
type Cycle struct {
	Process Process
	Variant string
	Name    string
	Steps   []Step
}

// The variants beside the standard one, which is "".
const (
	VariantRapid      = "rapid-access" // C-41
	VariantPersulfate = "persulfate"   // ECN-2, persulfate bleach
)

// MaxDryingC is the warmest air, in °C, that film is dried in (Kodak Z-131,
// table 2-1).
const MaxDryingC = 60.0

// ErrCycle is wrapped by errors about cycles and steps that do not exist, and
// about changes that a step cannot take.
var ErrCycle = errors.New("no such cycle")

// Variants lists the variants of a process, the standard one, "", first.
func Variants(process Process) []string {
	var variants []string
	for _, c := range shippedCycles() {
		if c.Process == process {
			variants = append(variants, c.Variant)
		}
	}
	return variants
}

// CycleFor returns the shipped cycle of a process; the variant "" is the
// standard one. Exactly one of its steps has Develop set. The caller owns the
// result.
func CycleFor(process Process, variant string) (Cycle, error) {
	for _, c := range shippedCycles() {
		if c.Process == process && c.Variant == variant {
			return c, nil
		}
	}
	return Cycle{}, fmt.Errorf("%w: %s %q, allowed variants are %q", ErrCycle, process, variant, Variants(process))
}

// step returns the place of the step with that name.
func (c Cycle) step(name string) (int, error) {
	i := slices.IndexFunc(c.Steps, func(s Step) bool { return s.Name == name })
	if i < 0 {
		return 0, fmt.Errorf("%w: the %s cycle has no step %q", ErrCycle, c.Name, name)
	}
	return i, nil
}

// WithDevelopment returns the cycle with a batch's developing time and
// temperature in the step that takes them. Where no tolerance is known, as in
// black and white, the bounds are the temperature itself.
func (c Cycle) WithDevelopment(d Development) Cycle {
	c.Steps = slices.Clone(c.Steps)
	for i := range c.Steps {
		step := &c.Steps[i]
		if !step.Develop {
			continue
		}
		step.Seconds, step.MaxSeconds = d.Seconds, 0
		step.TempC, step.LowC, step.HighC = d.TempC, d.TempC-d.TempTolC, d.TempC+d.TempTolC
		step.Cautions = append(slices.Clone(step.Cautions), d.Cautions...)
	}
	return c
}

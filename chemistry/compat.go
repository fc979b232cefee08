package chemistry

import "fmt"

// Incompatible says why a film may not enter a process.
type Incompatible struct {
	Film    Process // what the film is made for
	Process Process // what was asked of it
	Reason  string
}

// Error gives the reason.
func (e *Incompatible) Error() string { return e.Reason }

// Compatible refuses film that would spoil a tank, or be spoiled in it, with an
// [*Incompatible] that says why. Only ECN-2 has the prebath that takes a remjet
// backing off, so a film that carries it goes nowhere else, and one of which it
// is not known is kept out of the colour lines until somebody has looked.
func Compatible(film Film, process Process) error {
	refuse := func(format string, args ...any) error {
		return &Incompatible{Film: film.Process, Process: process, Reason: fmt.Sprintf(format, args...)}
	}
	unknown := film.Remjet == RemjetUnknown || film.Remjet == ""
	switch {
	case film.Remjet == RemjetPresent && process != ECN2:
		return refuse("remjet is present: it would come off in the %s developer and spoil it and every film in the tank; "+
			"this film belongs in ECN-2, or in C-41 once the layer has been removed", process)
	case unknown && (process == C41 || process == E6):
		return refuse("it is not known whether this film carries remjet: hold it and look at its back before it goes into %s", process)
	case film.Process != process:
		return refuse("this film is made for %s, not for %s", film.Process, process)
	}
	return nil
}

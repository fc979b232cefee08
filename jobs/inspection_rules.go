package jobs

import (
	"fmt"
	"strings"
)

// Mark decides which rolls of the trace become marked, those of other states
// aside. It returns the reason as it is kept.
func (t Trace) Mark(marking Marking) (Marked, string, error) {
	var wrong fieldErrors
	why := strings.TrimSpace(marking.Why)
	if why == "" {
		wrong.add("why", "say what to look for, and why")
	}
	wrong.line("why", why, MaxReason)
	chosen := map[RollID]bool{}
	for _, id := range marking.Rolls {
		chosen[id] = true
	}
	var marked Marked
	for _, roll := range t.Rolls {
		if len(marking.Rolls) > 0 && !chosen[roll.ID] {
			continue
		}
		delete(chosen, roll.ID)
		switch {
		case roll.Marked != 0:
			marked.Already = append(marked.Already, roll.ID)
		case roll.State == Spoiled:
			marked.Spoiled = append(marked.Spoiled, roll.ID)
		case roll.State == Delivered && !marking.Delivered:
			marked.Delivered = append(marked.Delivered, roll.ID)
		default:
			marked.Marked = append(marked.Marked, roll.ID)
		}
	}
	for i, id := range marking.Rolls {
		if chosen[id] {
			wrong.add(fmt.Sprintf("rolls[%d]", i), "roll %d is not among those that were touched", id)
		}
	}
	if len(t.Rolls) == 0 {
		wrong.add("rolls", "no roll was touched")
	}
	return marked, why, wrong.err("these rolls cannot be marked")
}

// Check refuses a closing that is not whole, and returns it as it is kept.
func (c Closing) Check() (Closing, error) {
	var wrong fieldErrors
	if n := len(c.Inspections); n == 0 || n > MostClosed {
		wrong.add("inspections", "%d inspections are named, allowed are 1 to %d", n, MostClosed)
	}
	wrong.oneOf("outcome", string(c.Outcome), names(Outcomes))
	c.Finding = strings.TrimSpace(c.Finding)
	if c.Finding == "" {
		wrong.add("finding", "write what was found")
	}
	wrong.line("finding", c.Finding, MaxReason)
	return c, wrong.err("this cannot be closed")
}

// CheckOpen refuses to write a second finding.
func (i Inspection) CheckOpen() error {
	if i.Outcome != "" {
		return Errorf(WrongState, "the inspection of %s was closed already, by %s: %s", nameOf(i.Roll.Roll), i.DoneBy, i.Finding)
	}
	return nil
}

// Spoils reports whether the finding ruins the roll on record: one that is back
// with its owner, or ruined anyway, stays as it is.
func (c Closing) Spoils(roll Roll) bool { return c.Outcome == FoundSpoiled && !roll.State.Ended() }

// checkInspected refuses to let a roll go on to its owner that somebody has to
// look at first.
func (r Roll) checkInspected(next RollState) error {
	if r.Inspect && (next == Ready || next == Delivered) {
		return r.InspectFirst()
	}
	return nil
}

// InspectFirst tells that a roll waits for somebody to look at it.
func (r Roll) InspectFirst() error {
	return Errorf(Refused, "%s is marked for inspection: somebody has to look at it and write what was found before it can leave", nameOf(r))
}

package jobs

import (
	"strings"
	"time"
)

// Pour is a fresh fill that somebody wants to record.
type Pour struct {
	Solution SolutionID
	Line     LineID
	VolumeML int
	Mix      MixID  // 0 where it is not on record
	Override string // why an owner lets a mix be poured that is too old; "" otherwise
}

// CheckPour decides whether a fill may be poured now, from a mix where one is
// named: Invalid for an unknown solution or line and for an impossible volume,
// Refused where they do not belong together and for a mix that is too old or too
// small.
func (c Catalogue) CheckPour(pour Pour, from Mix, now time.Time) error {
	var wrong fieldErrors
	poured, ok := c.Solutions[pour.Solution]
	if !ok {
		wrong.add("solution", "there is no such solution")
	}
	into, ok := c.Lines[pour.Line]
	if !ok {
		wrong.add("line", "there is no such line")
	}
	if pour.VolumeML < MinVolumeML || pour.VolumeML > MaxVolumeML {
		wrong.add("volume_ml", "%d mL is no volume of a fill, allowed are %d to %d mL", pour.VolumeML, MinVolumeML, MaxVolumeML)
	} else if tank := into.Tanks[pour.Solution]; tank.VolumeML > 0 && pour.VolumeML > tank.VolumeML {
		wrong.add("volume_ml", "%d mL is more than the tank of %s in %s holds, %d mL", pour.VolumeML, poured.Name, into.Name, tank.VolumeML)
	}
	wrong.line("override", pour.Override, MaxReason)
	switch {
	case len(wrong) > 0:
		return wrong.err("this fill cannot be recorded")
	case !poured.Active:
		return Errorf(Refused, "%s is out of use", poured.Name)
	case !into.Active:
		return Errorf(Refused, "%s is out of use", into.Name)
	case !into.RunsProcess(poured.Process):
		return Errorf(Refused, "%s is for %s, which %s does not run", poured.Name, poured.Process, into.Name)
	case pour.Mix != 0:
		if err := from.gives(pour.Solution, Working, float64(pour.VolumeML)); err != nil {
			return err
		}
		return from.CheckAge(poured, now.In(c.Lab.Zone()), strings.TrimSpace(pour.Override))
	}
	return nil
}

// gives decides whether a mix is the right one and has enough left, in mL.
func (m Mix) gives(solution SolutionID, preparation Preparation, ml float64) error {
	switch {
	case m.Solution != solution:
		return Errorf(Refused, "%s is another solution", m.Name())
	case m.Preparation != preparation:
		return Errorf(Refused, "%s is a %s mixture, a %s mixture is asked for", m.Name(), m.Preparation, preparation)
	case m.LeftML < ml:
		return Errorf(Refused, "%.0f mL are left of %s, %.0f mL are asked for", m.LeftML, m.Name(), ml)
	}
	return nil
}

// Entries are what a fresh fill does to the ledger.
func (p Pour) Entries(fill FillID) []Entry {
	ml, why := float64(p.VolumeML), strings.TrimSpace(p.Override)
	entries := []Entry{{Kind: EntryFilled, Fill: fill, Amount: ml, Why: why}}
	if p.Mix != 0 {
		entries = append(entries, Entry{Kind: EntryFilled, Mix: p.Mix, Amount: -ml, Why: why})
	}
	return entries
}

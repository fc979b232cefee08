package jobs

import (
	"errors"
	"fmt"
	"maps"
	"reflect"
	"slices"
	"strings"
	"time"

	"wetside/chemistry"
)

// MaxStrips is the most strips that a box holds.
const MaxStrips = 1000

// maxLimit is far beyond any limit of a control strip, in density.
const maxLimit = 2

// StripParameters lists what strips of a process may be judged by. A
// black-and-white strip has neither colours that differ nor a bleach that leaves
// silver.
func StripParameters(process chemistry.Process) []chemistry.StripParameter {
	all := []chemistry.StripParameter{
		chemistry.ParameterDMin, chemistry.ParameterSpeed, chemistry.ParameterContrast,
		chemistry.ParameterSpread, chemistry.ParameterSilver,
	}
	if process == chemistry.BW {
		return all[:3]
	}
	return all
}

// StartLimits are the limits that a new box of a process begins with: the
// published ones of C-41, none elsewhere, where the owner takes them from the
// manual of the process.
func StartLimits(process chemistry.Process) chemistry.StripLimits {
	if process == chemistry.C41 {
		return chemistry.C41StripLimits
	}
	return chemistry.StripLimits{}
}

// highOnly tells whether a parameter that is low is no fault.
func highOnly(parameter chemistry.StripParameter) bool {
	return chemistry.C41StripLimits.Limits[parameter].HighOnly
}

// NewBox decides whether a box may be put into use, in place of an old one
// (zero for none) from which it may be crossed over by strips of it.
func (d BoxDraft) NewBox(old StripBox, strips []Strip, now time.Time) (StripBox, error) {
	var wrong fieldErrors
	if !slices.Contains(chemistry.Processes, d.Process) {
		wrong.oneOf("process", string(d.Process), names(chemistry.Processes))
		return StripBox{}, wrong.err("")
	}
	box := StripBox{Process: d.Process, OpenedAt: now, Active: true}
	wrong.plain(&box, d)
	if !d.ExpiresOn.IsZero() && dayOf(now).After(d.ExpiresOn) {
		wrong.add("expires_on", "a box that is past its date, %s, cannot judge a line", d.ExpiresOn.Format("2 January 2006"))
	}
	if len(d.Pairs) == 0 {
		wrong.aim(&box, d)
		return box, wrong.err("this box cannot be opened like this")
	}
	if len(d.Aim) > 0 {
		wrong.add("aim", "the aim is either typed or found by crossing over, not both")
	}
	pairs := wrong.pairs(d, old, strips)
	if err := wrong.err("this box cannot be opened like this"); err != nil {
		return StripBox{}, err
	}
	aim, err := chemistry.CrossOver(old.Aim, pairs, old.Limits)
	if errors.Is(err, chemistry.ErrNotInControl) {
		return StripBox{}, Errorf(Refused, "the box cannot be crossed over with this strip: %v", err)
	}
	if err != nil {
		return StripBox{}, InvalidField("pairs", "%v", err)
	}
	box.Aim, box.Basis = rounded(aim), AimBasis{Crossed: old.ID, Pairs: d.Pairs}
	wrong.steps(box)
	return box, wrong.err("this box cannot be opened like this")
}

// Changed decides whether a box may be corrected. What its aim was worked out
// from stays where the aim stays.
func (b StripBox) Changed(d BoxDraft) (StripBox, error) {
	var wrong fieldErrors
	after := b
	wrong.plain(&after, d)
	wrong.aim(&after, d)
	if after.Aim == b.Aim {
		after.Basis = b.Basis
	}
	return after, wrong.err("this box cannot be changed like this")
}

// plain checks everything about a box but its aim.
func (f *fieldErrors) plain(box *StripBox, d BoxDraft) {
	box.Number, box.Strips, box.ExpiresOn = strings.TrimSpace(d.Number), d.Strips, d.ExpiresOn
	if box.Number == "" {
		f.add("number", "the number of the box is missing")
	}
	f.line("number", box.Number, 40)
	if d.Strips < 0 || d.Strips > MaxStrips {
		f.add("strips", "%d is no number of strips in a box, allowed are 1 to %d, or 0 where nobody has counted", d.Strips, MaxStrips)
	}
	box.Limits = f.limits(box.Process, d.Limits)
}

// limits checks what a box is judged by. A limit of 0 is none.
func (f *fieldErrors) limits(process chemistry.Process, sent chemistry.StripLimits) chemistry.StripLimits {
	kept := chemistry.StripLimits{Limits: map[chemistry.StripParameter]chemistry.StripLimit{}}
	judged := false
	for _, parameter := range slices.Sorted(maps.Keys(sent.Limits)) {
		limit, field := sent.Limits[parameter], "limits."+LimitNames[parameter]
		if !slices.Contains(StripParameters(process), parameter) {
			f.add("limits", "%q is nothing that strips of %s are judged by", parameter, process)
			continue
		}
		before := len(*f)
		f.within(field+"_action", limit.Action, 0, maxLimit)
		f.within(field+"_control", limit.Control, 0, maxLimit)
		if len(*f) == before && limit.Control > 0 && limit.Action > limit.Control {
			f.add(field+"_action", "the action limit of %s, %g, lies beyond its control limit, %g", parameter, limit.Action, limit.Control)
		}
		if limit.Action > 0 || limit.Control > 0 {
			limit.HighOnly = highOnly(parameter)
			kept.Limits[parameter] = limit
			judged = judged || limit.Control > 0
		}
	}
	if !judged {
		f.add("limits", "at least one control limit is needed: without any, no strip could ever stop a line")
	}
	if process == chemistry.C41 && reflect.DeepEqual(kept.Limits, chemistry.C41StripLimits.Limits) {
		return chemistry.C41StripLimits
	}
	text := strings.TrimSpace(sent.Source.Text)
	if text == "" || text == chemistry.C41StripLimits.Source.Text {
		f.add("limits_source", "say where these limits are from, as in the manual and its table")
	}
	f.line("limits_source", text, MaxReason)
	kept.Source = chemistry.Source{Standing: chemistry.LabsOwn, Text: text}
	return kept
}

// LimitNames name the parameters in drafts, forms and errors.
var LimitNames = map[chemistry.StripParameter]string{
	chemistry.ParameterDMin: "d_min", chemistry.ParameterSpeed: "ld", chemistry.ParameterContrast: "hd_ld",
	chemistry.ParameterSpread: "spread", chemistry.ParameterSilver: "silver",
}

// aim works out the aim from a reference strip and its correction factors.
func (f *fieldErrors) aim(box *StripBox, d BoxDraft) {
	before := len(*f)
	read := f.reading("aim.", box.Process, d.Aim, box.Limits)
	correction := f.densities("correction.", box.Process, d.Correction, -maxCorrection, maxCorrection)
	box.Aim, box.Basis = rounded(read.Aim(correction)), AimBasis{Read: read, Correction: correction}
	if len(*f) == before {
		f.steps(*box)
	}
}

// steps refuses an aim whose patches do not grow darker one after the other, or
// that no strip reads.
func (f *fieldErrors) steps(box StripBox) {
	densities := DensitiesOf(box.Process, box.Aim)
	for _, patch := range Patches(box.Process) {
		value := densities[patch.Name]
		if value < 0 || value > MaxDensity {
			f.add("aim."+patch.Name, "the aim of %s through %s comes to %g, allowed are 0 to %d", patch.Row, patch.Channel, value, MaxDensity)
		}
		below, has := map[string]string{"LD": "d_min_", "HD": "ld_"}[patch.Row]
		if has && value <= densities[below+patch.Channel] {
			f.add("aim."+patch.Name, "the aim of %s through %s, %g, is not above that of the patch before it, %g: are they mixed up?",
				patch.Row, patch.Channel, value, densities[below+patch.Channel])
		}
	}
}

// pairs finds the strips of the old box that the new ones were run with.
func (f *fieldErrors) pairs(d BoxDraft, old StripBox, strips []Strip) []chemistry.StripPair {
	if old.ID == 0 {
		f.add("pairs", "no box of %s strips is in use to cross over from: type the aim", d.Process)
		return nil
	}
	var pairs []chemistry.StripPair
	seen := map[StripID]bool{}
	for i, pair := range d.Pairs {
		field := fmt.Sprintf("pairs[%d].", i)
		found := slices.IndexFunc(strips, func(s Strip) bool { return s.ID == pair.Old && s.Box == old.ID })
		switch {
		case found < 0:
			f.add(field+"old", "this is no strip that was read from box %s", old.Number)
		case seen[pair.Old]:
			f.add(field+"old", "this strip stands in two pairs")
		}
		seen[pair.Old] = true
		read := f.reading(field+"new.", d.Process, pair.New, old.Limits)
		if found >= 0 {
			pairs = append(pairs, chemistry.StripPair{Old: strips[found].Reading, New: read})
		}
	}
	return pairs
}

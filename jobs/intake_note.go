package jobs

import (
	"fmt"

	"wetside/chemistry"
	"wetside/jobs/note"
)

// asking is what a customer asks for, in fields and note together.
type asking struct {
	rated    bool   // the EI was said
	pushed   bool   // the push was said
	inNote   bool   // the push was said in the note only
	doubtful bool   // a person must read the note
	because  string // what was read in the note, "" for none
}

// asked reads fields and note into the roll. Where both say the same thing they
// must agree: two requests in one roll are refused, because either reading
// would spoil it for somebody.
func (f *fieldErrors) asked(roll *Roll, in NewRoll, stock Stock) asking {
	iso, err := stock.Film.SpeedIn(roll.Light)
	if err != nil {
		f.add("stock", "%s has no usable speed: %v", stock.Name, err)
		return asking{}
	}
	said := note.Reading{}
	if roll.Note != "" {
		said = note.Read(roll.Note, iso)
	}
	a := asking{
		rated: in.EI != 0 || said.EI != nil, pushed: in.Push != nil || said.Push != nil,
		doubtful: said.Confirm, because: said.Because,
	}
	roll.EI = f.ei("ei", in.EI, roll.Light, stock.Film)
	if in.EI == 0 && said.EI != nil {
		f.ratedInNote(roll, *said.EI, said.Confirm, stock)
	}
	switch {
	case in.Push != nil:
		f.push("push", *in.Push)
		roll.Push = *in.Push
	case said.Push != nil && *said.Push <= chemistry.MaxStops && *said.Push >= -chemistry.MaxStops:
		roll.Push, a.inNote = *said.Push, true
	}
	switch {
	case said.Two && in.Push == nil:
		f.add("note", "two requests in one roll: %s A roll is developed as a whole; say one push or pull for all of it", said.Because)
	case !said.Confirm:
		f.twoRequests(in, said)
	}
	return a
}

// ratedInNote takes the EI from the note. Where the note is in doubt an
// impossible EI is left out: a person will read it anyway.
func (f *fieldErrors) ratedInNote(roll *Roll, said int, doubtful bool, stock Stock) {
	var wrong fieldErrors
	ei := wrong.ei("note", said, roll.Light, stock.Film)
	switch {
	case len(wrong) == 0:
		roll.EI = ei
	case !doubtful:
		*f = append(*f, wrong...)
	}
}

func (f *fieldErrors) twoRequests(in NewRoll, said note.Reading) {
	if in.Push != nil && said.Push != nil && *in.Push != *said.Push {
		f.add("note", "two requests in one roll: the note asks for %s, the push field for %s; make them say the same",
			developmentName(*said.Push), developmentName(*in.Push))
	}
	if in.EI != 0 && said.EI != nil && in.EI != *said.EI {
		f.add("note", "two requests in one roll: the note says EI %d, the EI field %d; make them say the same", *said.EI, in.EI)
	}
}

// unclear reports whether a person should decide although every word was
// understood: the film was rated away from its speed and nothing was said of a
// push, or rating and push differ by more than the third of a stop in which
// speeds are printed. A push of 0 that was said is an answer.
func (a asking) unclear(request chemistry.Request) bool {
	const third = chemistry.Stop / 3
	if a.pushed {
		return a.rated && request.Asked != 0 && (request.Left > third || request.Left < -third)
	}
	for _, advice := range request.Advice {
		switch advice.Code {
		case chemistry.AdviceLeftUnder, chemistry.AdviceLeftOver, chemistry.AdviceUnforgiving:
			if advice.Severity == chemistry.Warn {
				return true
			}
		}
	}
	return false
}

// readAs says in words how a roll was rated and what is asked of it.
func (c Catalogue) readAs(roll Roll) string {
	request := c.request(roll)
	rated := fmt.Sprintf("ISO %d used at EI %d", request.ISO, request.EI)
	if request.Rated == 0 {
		rated = fmt.Sprintf("Box speed, ISO %d", request.ISO)
	}
	return rated + ", " + developmentName(request.Asked)
}

// developmentName says a push level as development.
func developmentName(push chemistry.Stops) string {
	if push == 0 {
		return "normal development"
	}
	return pushName(push)
}

// agreed is the reading of a roll whose push a person has settled.
func (c Catalogue) agreed(roll Roll) string { return c.readAs(roll) + ", as agreed." }

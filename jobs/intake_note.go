package jobs

import (
	"fmt"
	"strings"

	"wetside/chemistry"
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
	said := noteReading{}
	if roll.Note != "" {
		said = noteReading{Confirm: true, Because: "a person reads it"}
	}
	if in.Push != nil {
		f.push("push", *in.Push)
	}
	roll.EI = f.ei("ei", in.EI, roll.Light, stock.Film)
	a := asking{rated: in.EI != 0 || said.EI != 0, pushed: in.Push != nil || said.Push != nil, doubtful: said.Confirm, because: said.Because}
	if in.EI == 0 && said.EI != 0 {
		roll.EI = f.ei("note", said.EI, roll.Light, stock.Film)
	}
	switch {
	case in.Push != nil:
		roll.Push = *in.Push
	case said.Push != nil:
		roll.Push, a.inNote = *said.Push, true
	}
	if said.Confirm {
		return a
	}
	if in.Push != nil && said.Push != nil && *in.Push != *said.Push {
		f.add("note", "two requests in one roll: the note asks for %s, the push field for %s; make them say the same",
			pushName(*said.Push), pushName(*in.Push))
	}
	if in.EI != 0 && said.EI != 0 && in.EI != said.EI {
		f.add("note", "two requests in one roll: the note says EI %d, the EI field says %d; make them say the same", said.EI, in.EI)
	}
	return a
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

// sentence adds what was read in the note to what it comes to.
func (a asking) sentence(reading string) string {
	if a.because == "" {
		return reading
	}
	return reading + "; the note: " + strings.TrimSuffix(a.because, ".")
}

// readAs says in words how a roll was rated and what is asked of it.
func (c Catalogue) readAs(roll Roll) string {
	request := c.request(roll)
	rated := fmt.Sprintf("ISO %d used at EI %d", request.ISO, request.EI)
	if request.Rated == 0 {
		rated = fmt.Sprintf("box speed, ISO %d", request.ISO)
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
func (c Catalogue) agreed(roll Roll) string { return c.readAs(roll) + ", as agreed" }

// noteReading is what was read in a note. Until notes are read by the program
// a person reads every one of them.
type noteReading struct {
	Push    *chemistry.Stops
	EI      int
	Confirm bool
	Because string
}

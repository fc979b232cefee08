package jobs

import (
	"cmp"
	"fmt"
	"strings"

	"wetside/chemistry"
)

// TakeIn checks a roll in as it was found. It becomes received, and with that
// queued when nothing is open, or held when something is: a question, a reading
// to confirm, a wrong or unknown backing, no developing time. What differs from
// the order is kept in the event. An empty twin-check is left for the records
// to issue.
func TakeIn(roll Roll, found CheckIn, c Catalogue) (*RollMove, error) {
	move := roll.Move()
	if !roll.State.CanBecome(Received) || roll.State == Held {
		return nil, Errorf(WrongState, "%s is %s; it was checked in before or called off", nameOf(roll), roll.State)
	}
	var wrong fieldErrors
	wrong.found(&move.Roll, found, c)
	question := strings.TrimSpace(found.Question)
	wrong.paragraph("question", question, MaxQuestion)
	if err := wrong.err("the roll cannot be checked in like this"); err != nil {
		return nil, err
	}
	if err := move.To(Received, "check-in", c.differences(roll, move.Roll)); err != nil {
		return nil, err
	}
	open := c.openMatters(move.Roll)
	if question != "" && open != "" {
		question += "; "
	}
	if question += open; question == "" {
		return move, move.To(Queued, "queue", "")
	}
	move.Roll.Question = question
	return move, move.To(Held, "hold", question)
}

// found makes the roll what it was found to be.
func (f *fieldErrors) found(roll *Roll, found CheckIn, c Catalogue) {
	if strings.TrimSpace(found.TwinCheck) != "" {
		roll.TwinCheck = f.twinCheck("twin_check", found.TwinCheck)
	}
	// The lab may have learnt more of the stock since the roll was ordered.
	if stock, ok := c.Stocks[found.Stock]; !ok || found.Stock != roll.Stock || stock.Film.Process != roll.Process {
		f.changeStock(roll, found.Stock, c)
	} else {
		roll.Remjet = stock.Film.Remjet
	}
	f.format("format", "exposures", found.Format, found.Exposures)
	roll.Format, roll.Exposures = found.Format, found.Exposures
	if found.Remjet != "" {
		f.oneOf("remjet", string(found.Remjet), names(remjets))
		roll.Remjet = found.Remjet
	}
	c.giveDeveloper(roll)
	if found.Solution != 0 {
		roll.Solution = f.chosenDeveloper("solution", found.Solution, c.Stocks[roll.Stock], c)
	}
	if !found.Confirmed {
		return
	}
	f.push("push", found.Push)
	roll.Push = found.Push
	roll.EI = f.ei("ei", found.EI, roll.Light, c.Stocks[roll.Stock].Film)
	if len(*f) == 0 {
		roll.Confirm, roll.Reading = false, c.agreed(*roll)
	}
}

// differences says how a roll differs from its order.
func (c Catalogue) differences(ordered, found Roll) string {
	var different []string
	note := func(what string, ordered, found any) {
		if ordered != found {
			different = append(different, fmt.Sprintf("%s: ordered %v, found %v", what, ordered, found))
		}
	}
	note("stock", c.Stocks[ordered.Stock].Name, c.Stocks[found.Stock].Name)
	note("format", ordered.Format, found.Format)
	note("exposures", ordered.Exposures, found.Exposures)
	if said := c.Stocks[found.Stock].Film.Remjet; said != found.Remjet {
		different = append(different, fmt.Sprintf("remjet: %s by the catalogue, found %s", said, found.Remjet))
	}
	note("EI", ordered.EI, found.EI)
	note("push", ordered.Push, found.Push)
	note("developer", c.developerName(ordered.Solution), c.developerName(found.Solution))
	if len(different) == 0 {
		return "as ordered"
	}
	return strings.Join(different, "; ")
}

func (c Catalogue) developerName(id SolutionID) string { return cmp.Or(c.Solutions[id].Name, "none") }

// format checks a format and how many exposures it has.
func (f *fieldErrors) format(formatField, exposuresField string, format chemistry.Format, exposures int) {
	before := len(*f)
	f.oneOf(formatField, string(format), names(chemistry.Formats))
	if len(*f) > before {
		return
	}
	if _, err := format.Area(exposures); err != nil {
		f.add(exposuresField, "%v", err)
	}
}

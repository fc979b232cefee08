package jobs

import (
	"cmp"
	"strings"

	"wetside/chemistry"
)

// MaxQuestion is the most characters that a question or an answer has.
const MaxQuestion = 1000

// Hold stops a received or queued roll with a question.
func Hold(roll Roll, question string) (*RollMove, error) {
	var wrong fieldErrors
	question = wrong.question("question", question)
	move := roll.Move()
	move.Roll.Question = question
	if err := move.To(Held, "hold", question); err != nil {
		return nil, err
	}
	return move, wrong.err("a question is needed")
}

// question checks a question or an answer, which must be there.
func (f *fieldErrors) question(field, text string) string {
	text = strings.TrimSpace(text)
	if text == "" {
		f.add(field, "the %s is missing", field)
	}
	f.paragraph(field, text, MaxQuestion)
	return text
}

// EndHold ends a hold with an answer. The roll is queued when nothing is open
// any more; otherwise it stays received, with what is open as its question. A
// reading that had to be confirmed is settled by an answer that says the push,
// and by no other: an answer to another question must not decide it.
func EndHold(roll Roll, answer Answer, c Catalogue) (*RollMove, error) {
	move := roll.Move()
	if roll.State != Held {
		return nil, Errorf(WrongState, "%s is %s; nothing waits for an answer", nameOf(roll), roll.State)
	}
	var wrong fieldErrors
	text := wrong.question("answer", answer.Answer)
	now := &move.Roll
	if answer.Stock != nil && *answer.Stock != roll.Stock {
		wrong.changeStock(now, *answer.Stock, c)
	}
	c.giveDeveloper(now)
	if answer.Solution != nil {
		now.Solution = wrong.chosenDeveloper("solution", *answer.Solution, c.Stocks[now.Stock], c)
	}
	if answer.Remjet != nil {
		wrong.oneOf("remjet", string(*answer.Remjet), names(remjets))
		now.Remjet = *answer.Remjet
	}
	if answer.EI != nil {
		now.EI = wrong.ei("ei", *answer.EI, now.Light, c.Stocks[now.Stock].Film)
	}
	if answer.Push != nil {
		wrong.push("push", *answer.Push)
		now.Push, now.Confirm = *answer.Push, false
	}
	if err := wrong.err("this answer cannot be kept"); err != nil {
		return nil, err
	}
	if answer.Push != nil || answer.EI != nil {
		now.Reading = c.agreed(*now)
	}
	now.Answer, now.Question = text, ""
	if err := move.To(Received, "answer", text); err != nil {
		return nil, err
	}
	if open := c.openMatters(*now); open != "" {
		now.Question = open
		return move, nil
	}
	return move, move.To(Queued, "queue", "")
}

// changeStock makes the roll one of another stock. What was read for the old
// stock may be wrong for the new one, so the push has to be confirmed.
func (f *fieldErrors) changeStock(roll *Roll, id StockID, c Catalogue) {
	stock, ok := c.Stocks[id]
	if !ok {
		f.add("stock", "there is no such film stock")
		return
	}
	roll.Stock, roll.Process, roll.Remjet, roll.Solution = id, stock.Film.Process, stock.Film.Remjet, stock.Solution
	roll.Confirm = true
	roll.Reading = "The film is " + stock.Name + " for " + string(stock.Film.Process) + ", not what was ordered. " + c.readAs(*roll) + "?"
}

// Enqueue puts a received roll with nothing open into the queue.
func Enqueue(roll Roll, c Catalogue) (*RollMove, error) {
	if roll.State != Received {
		return nil, Errorf(WrongState, "%s is %s; only received rolls are queued by hand", nameOf(roll), roll.State)
	}
	move := roll.Move()
	c.giveDeveloper(&move.Roll)
	if open := c.openMatters(move.Roll); open != "" {
		return nil, Errorf(Refused, "%s cannot be queued: %s", nameOf(roll), open)
	}
	move.Roll.Question = ""
	return move, move.To(Queued, "queue", "")
}

// giveDeveloper gives a roll that has no developer the usual one of its stock,
// which the lab may have chosen since the roll came in.
func (c Catalogue) giveDeveloper(roll *Roll) {
	roll.Solution = cmp.Or(roll.Solution, c.Stocks[roll.Stock].Solution)
}

// openMatters says, in words, what keeps a roll from being developed; "" when
// nothing does.
func (c Catalogue) openMatters(roll Roll) string {
	var open []string
	film := chemistry.Film{Process: roll.Process, Remjet: roll.Remjet}
	if err := chemistry.Compatible(film, roll.Process); err != nil {
		open = append(open, err.Error())
	} else if roll.Remjet == chemistry.RemjetUnknown && roll.Process != chemistry.ECN2 {
		open = append(open, "it is not known whether this film carries remjet: look at its back")
	}
	if roll.Confirm {
		open = append(open, "what is wanted? "+roll.Reading)
	}
	unnamed := roll
	unnamed.Order, unnamed.TwinCheck = 0, ""
	if _, err := c.UsualTime(unnamed); err != nil {
		open = append(open, err.Error())
	}
	return strings.Join(open, "; ")
}

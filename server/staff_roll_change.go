package server

import (
	"strings"

	"github.com/labstack/echo/v4"

	"wetside/chemistry"
	"wetside/jobs"
)

// changeRoll shows the roll's page when a change of it cannot be made.
func (p staffPages) changeRoll(c echo.Context, name string, do func(change[jobs.RollID]) (notice string, err error)) error {
	return carryOut(p, c, page[jobs.RollID]{rollPath, p.showRoll}, name, do)
}

// hold stops a roll with a question.
func (p staffPages) hold(c echo.Context) error {
	return p.changeRoll(c, "hold", func(r change[jobs.RollID]) (string, error) {
		roll, err := p.services.Rolls.Hold(c.Request().Context(), r.by, r.key, r.version, r.text("hold.question"))
		return rollName(roll) + " is held until its question is answered.", err
	})
}

// answer ends a hold.
func (p staffPages) answer(c echo.Context) error {
	return p.changeRoll(c, "answer", func(r change[jobs.RollID]) (string, error) {
		answer, err := answerOf(r)
		if err != nil {
			return "", err
		}
		roll, err := p.services.Rolls.AnswerHold(c.Request().Context(), r.by, answer)
		if roll.State == jobs.Received {
			return rollName(roll) + " has its answer, and something is still open: " + roll.Question + ".", err
		}
		return rollName(roll) + " has its answer and is queued.", err
	})
}

// answerOf reads what an answer settles.
func answerOf(r change[jobs.RollID]) (jobs.Answer, error) {
	var wrong faults
	answer := jobs.Answer{Roll: r.key, Version: r.version, Answer: r.text("answer.answer")}
	if text := strings.TrimSpace(r.text("answer.push")); text != "" {
		push, err := chemistry.ParseStops(text)
		if err != nil {
			wrong.add("push", "%v", err)
		}
		answer.Push = &push
	}
	if ei := count(r.text("answer.ei"), "ei", &wrong); ei != 0 {
		answer.EI = &ei
	}
	if text := r.text("answer.remjet"); text != "" {
		remjet := chemistry.Remjet(text)
		answer.Remjet = &remjet
	}
	if stock := jobs.StockID(key(r.text("answer.stock"), "stock", &wrong)); stock != 0 {
		answer.Stock = &stock
	}
	if solution := jobs.SolutionID(key(r.text("answer.solution"), "solution", &wrong)); solution != 0 {
		answer.Solution = &solution
	}
	return answer, wrong.err()
}

// queue puts a roll into the queue.
func (p staffPages) queue(c echo.Context) error {
	return p.changeRoll(c, "queue", func(r change[jobs.RollID]) (string, error) {
		roll, err := p.services.Rolls.Queue(c.Request().Context(), r.by, r.key, r.version)
		return rollName(roll) + " is queued.", err
	})
}

// moveRoll puts a roll into another batch, or back into the queue.
func (p staffPages) moveRoll(c echo.Context) error {
	return p.changeRoll(c, "move", func(r change[jobs.RollID]) (string, error) {
		var wrong faults
		to := jobs.BatchID(key(r.text("move.to"), "to", &wrong))
		if err := wrong.err(); err != nil {
			return "", err
		}
		ctx := c.Request().Context()
		if err := p.services.Batches.MoveRolls(ctx, r.by, []jobs.SeenRoll{{ID: r.key, Version: r.version}}, to); err != nil {
			return "", err
		}
		roll, err := p.services.Rolls.Roll(ctx, r.key)
		return movedWords(rollName(roll.Roll)+" is", to), err
	})
}

// movedWords says where rolls are now; who begins with "1 roll is".
func movedWords(who string, to jobs.BatchID) string {
	if to == 0 {
		return who + " back in the queue."
	}
	return who + " in batch " + keyText(to) + " now."
}

// advance moves a roll one step along the dry side.
func (p staffPages) advance(c echo.Context) error {
	return p.changeRoll(c, "advance", func(r change[jobs.RollID]) (string, error) {
		roll, err := p.services.Rolls.Advance(c.Request().Context(), r.by, r.key, r.version)
		return advancedWords(roll), err
	})
}

func advancedWords(roll jobs.Roll) string {
	if roll.State == jobs.Finishing {
		return rollName(roll) + " (" + roll.Label() + ") is finishing now. Wanted: " + serviceWords(roll.Service) + "."
	}
	return rollName(roll) + " (" + roll.Label() + ") is " + string(roll.State) + " now."
}

// deliverRoll hands one roll over.
func (p staffPages) deliverRoll(c echo.Context) error {
	return p.changeRoll(c, "deliver", func(r change[jobs.RollID]) (string, error) {
		ctx := c.Request().Context()
		roll, err := p.services.Rolls.Roll(ctx, r.key)
		if err != nil {
			return "", err
		}
		if r.version != roll.Version {
			return "", jobs.MovedMeanwhile(roll)
		}
		delivered, err := p.services.Rolls.Deliver(ctx, r.by, jobs.Delivery{
			Rolls: []jobs.RollID{r.key}, How: jobs.Return(r.text("deliver.how")), Tracking: r.text("deliver.tracking"),
		})
		return deliveredWords(delivered), err
	})
}

// cancelRoll calls a roll off.
func (p staffPages) cancelRoll(c echo.Context) error {
	return p.changeRoll(c, "cancel", func(r change[jobs.RollID]) (string, error) {
		roll, err := p.services.Rolls.Cancel(c.Request().Context(), r.by, r.key, r.version, r.text("cancel.reason"))
		return rollName(roll) + " is cancelled.", err
	})
}

// spoil records that a roll is ruined.
func (p staffPages) spoil(c echo.Context) error {
	return p.changeRoll(c, "spoil", func(r change[jobs.RollID]) (string, error) {
		roll, err := p.services.Rolls.Spoil(c.Request().Context(), r.by, r.key, r.version, r.text("spoil.reason"))
		return rollName(roll) + " is recorded as spoiled. Its owner reads the reason on the private page.", err
	})
}

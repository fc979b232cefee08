package server

import (
	"net/url"
	"strings"

	"github.com/labstack/echo/v4"

	"wetside/chemistry"
	"wetside/jobs"
)

// rollChange is what a form about a roll asks for.
type rollChange struct {
	roll    jobs.RollID
	version int
	by      jobs.Actor
	values  url.Values
}

// text returns a value as it was typed.
func (r rollChange) text(name string) string {
	return strings.ReplaceAll(r.values.Get(name), "\r\n", "\n")
}

type changeForm struct {
	Version string `form:"version"`
	Back    string `form:"back"`
}

// change carries out what a form about a roll asks for and says so. When it
// cannot be done the roll's page says why and shows how things are now; what
// was typed stays in the form.
func (p staffPages) change(c echo.Context, name string, do func(rollChange) (notice string, err error)) error {
	id, err := keyInPath(c)
	if err != nil {
		return err
	}
	var form changeForm
	if err := readForm(c, &form); err != nil {
		return err
	}
	notice, err := do(rollChange{jobs.RollID(id), versionOf(form.Version), actorOf(c), c.Request().PostForm})
	if err == nil {
		return p.done(c, localPath(form.Back, rollPath(jobs.RollID(id))), notice)
	}
	wrong, ok := staffFaults(err)
	if !ok {
		return err
	}
	return p.showRoll(c, jobs.RollID(id), typedIn(c, wrong.within(name)))
}

// hold stops a roll with a question.
func (p staffPages) hold(c echo.Context) error {
	return p.change(c, "hold", func(r rollChange) (string, error) {
		roll, err := p.services.Rolls.Hold(c.Request().Context(), r.by, r.roll, r.version, r.text("hold.question"))
		return rollName(roll) + " is held until its question is answered.", err
	})
}

// answer ends a hold.
func (p staffPages) answer(c echo.Context) error {
	return p.change(c, "answer", func(r rollChange) (string, error) {
		answer, err := r.answer()
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

// answer reads what an answer settles.
func (r rollChange) answer() (jobs.Answer, error) {
	var wrong faults
	answer := jobs.Answer{Roll: r.roll, Version: r.version, Answer: r.text("answer.answer")}
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
	return p.change(c, "queue", func(r rollChange) (string, error) {
		roll, err := p.services.Rolls.Queue(c.Request().Context(), r.by, r.roll, r.version)
		return rollName(roll) + " is queued.", err
	})
}

// moveRoll puts a roll into another batch, or back into the queue.
func (p staffPages) moveRoll(c echo.Context) error {
	return p.change(c, "move", func(r rollChange) (string, error) {
		var wrong faults
		to := jobs.BatchID(key(r.text("move.to"), "to", &wrong))
		if err := wrong.err(); err != nil {
			return "", err
		}
		ctx := c.Request().Context()
		if err := p.services.Batches.MoveRoll(ctx, r.by, r.roll, r.version, to); err != nil {
			return "", err
		}
		roll, err := p.services.Rolls.Roll(ctx, r.roll)
		return movedWords(rollName(roll.Roll), to), err
	})
}

func movedWords(name string, to jobs.BatchID) string {
	if to == 0 {
		return name + " is back in the queue."
	}
	return name + " is in batch " + keyText(to) + " now."
}

// advance moves a roll one step along the dry side.
func (p staffPages) advance(c echo.Context) error {
	return p.change(c, "advance", func(r rollChange) (string, error) {
		roll, err := p.services.Rolls.Advance(c.Request().Context(), r.by, r.roll, r.version)
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
	return p.change(c, "deliver", func(r rollChange) (string, error) {
		ctx := c.Request().Context()
		roll, err := p.services.Rolls.Roll(ctx, r.roll)
		if err != nil {
			return "", err
		}
		if r.version != roll.Version {
			return "", jobs.MovedMeanwhile(roll)
		}
		delivered, err := p.services.Rolls.Deliver(ctx, r.by, jobs.Delivery{
			Rolls: []jobs.RollID{r.roll}, How: jobs.Return(r.text("deliver.how")), Tracking: r.text("deliver.tracking"),
		})
		return deliveredWords(delivered), err
	})
}

// cancelRoll calls a roll off.
func (p staffPages) cancelRoll(c echo.Context) error {
	return p.change(c, "cancel", func(r rollChange) (string, error) {
		roll, err := p.services.Rolls.Cancel(c.Request().Context(), r.by, r.roll, r.version, r.text("cancel.reason"))
		return rollName(roll) + " is cancelled.", err
	})
}

// spoil records that a roll is ruined.
func (p staffPages) spoil(c echo.Context) error {
	return p.change(c, "spoil", func(r rollChange) (string, error) {
		roll, err := p.services.Rolls.Spoil(c.Request().Context(), r.by, r.roll, r.version, r.text("spoil.reason"))
		return rollName(roll) + " is recorded as spoiled. Its owner reads the reason on the private page.", err
	})
}

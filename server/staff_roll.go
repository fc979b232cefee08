package server

import (
	"net/url"
	"strings"

	"github.com/labstack/echo/v4"

	"wetside/jobs"
	"wetside/web"
)

// roll shows everything about one roll.
func (p staffPages) roll(c echo.Context) error {
	id, err := keyInPath(c)
	if err != nil {
		return err
	}
	return p.showRoll(c, jobs.RollID(id), typed{})
}

// showRoll shows a roll as it is now, with what was typed into its forms.
func (p staffPages) showRoll(c echo.Context, id jobs.RollID, t typed) error {
	ctx := c.Request().Context()
	roll, err := p.services.Rolls.Roll(ctx, id)
	if err != nil {
		return err
	}
	events, err := p.services.Rolls.History(ctx, id)
	if err != nil {
		return err
	}
	catalogue, err := p.services.Catalogue.Catalogue(ctx)
	if err != nil {
		return err
	}
	open, err := p.services.Batches.Batches(ctx, jobs.BatchQuery{Open: true, Limit: 100})
	if err != nil {
		return err
	}
	d := p.desk(c)
	page := &web.RollPage{
		Frame:    web.Frame{Title: "Roll " + rollName(roll.Roll), Problems: t.wrong.problems()},
		Roll:     d.line(roll),
		Say:      stateSays[roll.State],
		Lead:     leadFrom(roll),
		Ordered:  orderedOf(roll, catalogue),
		Answer:   roll.Answer,
		Reason:   roll.Reason,
		Tracking: roll.Tracking,
		Remjet:   string(roll.Remjet),
		Batch:    int64(roll.Batch),
		Forms:    rollForms(roll, t, open, catalogue),
		Events:   d.history(events),
	}
	if development, err := catalogue.UsualTime(roll.Roll); err == nil {
		page.DevelopS = development.Seconds
	} else {
		page.NoTime = sentence(problemOf(err).Detail)
	}
	page.Lost = lost(t.values, page.Forms)
	return p.show(c, t.wrong.status(), page)
}

// leadFrom is the page where the next step of a roll is taken, when that is not
// the roll's own.
func leadFrom(roll jobs.RollView) web.NextStep {
	switch roll.State {
	case jobs.Expected:
		return web.NextStep{Label: "Check it in", Path: checkInPath(roll.ID)}
	case jobs.Batched, jobs.Developing:
		return web.NextStep{Label: "To its batch", Path: batchPath(roll.Batch)}
	}
	return web.NextStep{}
}

// orderedOf is a roll as it was ordered, with what the lab reads in it.
func orderedOf(roll jobs.RollView, c jobs.Catalogue) web.Ordered {
	asked := jobs.NewRoll{
		Stock: roll.Stock, Format: roll.Format, Exposures: roll.Exposures, Light: roll.Light, Filter: roll.Filter,
		EI: roll.EI, Push: &roll.Push, Solution: roll.Solution,
	}
	// What cannot be read any more, of a stock that the lab no longer takes, is
	// left out; the sentence stands in the record.
	understood, _ := jobs.ReadRoll(asked, c)
	understood.Reading, understood.Confirm = roll.Reading, roll.Confirm
	return web.Ordered{
		Film:      filmWords(roll.StockName, roll.Format, roll.Exposures),
		Process:   processNames[roll.Process],
		Light:     lightWords(roll.Roll),
		Note:      roll.Note,
		Service:   serviceWords(roll.Service),
		Reading:   readingOf(asked, understood, c),
		Remjet:    string(roll.Remjet),
		Developer: c.Solutions[roll.Solution].Name,
	}
}

// lost lists the words that were typed into forms which the state no longer
// offers, so that they can still be copied.
func lost(values url.Values, forms []web.ActionForm) []web.Hidden {
	offered := map[string]bool{}
	for _, form := range forms {
		for _, field := range form.Fields {
			offered[field.Name] = true
		}
	}
	var words []web.Hidden
	for _, name := range []string{"hold.question", "answer.answer", "cancel.reason", "spoil.reason", "deliver.tracking", "stop.reason"} {
		if text := strings.TrimSpace(values.Get(name)); text != "" && !offered[name] {
			words = append(words, web.Hidden{Name: sentence(fieldName(name)), Value: text})
		}
	}
	return words
}

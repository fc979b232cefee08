package server

import (
	"fmt"
	"strconv"

	"wetside/chemistry"
	"wetside/jobs"
	"wetside/web"
)

// rollFormsOf says which forms a state offers, the likeliest first.
var rollFormsOf = map[jobs.RollState][]string{
	jobs.Expected:  {"cancel"},
	jobs.Received:  {"queue", "hold", "cancel", "spoil"},
	jobs.Held:      {"answer", "cancel", "spoil"},
	jobs.Queued:    {"move", "hold", "cancel", "spoil"},
	jobs.Batched:   {"move"},
	jobs.Drying:    {"advance", "spoil"},
	jobs.Finishing: {"advance", "spoil"},
	jobs.Ready:     {"deliver", "spoil"},
}

// rollForms are the things that can be done with a roll in its present state.
func rollForms(roll jobs.RollView, t typed, open []jobs.Batch, c jobs.Catalogue) []web.ActionForm {
	var forms []web.ActionForm
	for i, name := range rollFormsOf[roll.State] {
		form := rollFormNamed(name, roll, t, open, c)
		if name == "move" && len(form.Fields[0].Options) == 0 {
			continue
		}
		form.Path = rollPath(roll.ID) + "/" + name
		form.Hidden = []web.Hidden{{Name: "version", Value: strconv.Itoa(roll.Version)}}
		form.Open = i == 0 && roll.State != jobs.Expected && roll.State != jobs.Queued && roll.State != jobs.Batched
		for _, field := range form.Fields {
			form.Open = form.Open || t.values.Has(field.Name)
		}
		forms = append(forms, form)
	}
	return forms
}

// rollFormNamed makes one of the forms.
func rollFormNamed(name string, roll jobs.RollView, t typed, open []jobs.Batch, c jobs.Catalogue) web.ActionForm {
	switch name {
	case "queue":
		return web.ActionForm{Title: "Queue it", Say: "When nothing is open any more.", Button: "Queue it", Class: "primary"}
	case "hold":
		return web.ActionForm{Title: "Hold it with a question", Button: "Hold it",
			Fields: []web.Field{hinted(required(t.field(web.TextArea, "hold.question", "Question", "")), "Its owner reads it on the private page.")}}
	case "answer":
		return answerForm(roll, t, c)
	case "move":
		return web.ActionForm{Title: "Move it", Button: "Move it",
			Say:    "Every rule is checked for the batch it goes into.",
			Fields: []web.Field{required(t.field(web.Select, "move.to", "Where to", "", moveTargets(roll, open, c)...))}}
	case "advance":
		return web.ActionForm{Title: "Next step", Button: nextOnDrySide[roll.State], Class: "primary"}
	case "deliver":
		return web.ActionForm{Title: "Hand it over", Button: "It has left", Class: "primary", Fields: deliveryFields(t, roll.Return)}
	case "cancel":
		return web.ActionForm{Title: "Call it off", Button: "Cancel the roll", Class: "danger",
			Fields: []web.Field{hinted(required(t.field(web.Text, "cancel.reason", "Reason", "")), "Its owner reads it.")}}
	}
	return web.ActionForm{Title: "Record it as spoiled", Button: "It is spoiled", Class: "danger",
		Fields: []web.Field{hinted(required(t.field(web.Text, "spoil.reason", "What happened", "")), "Its owner reads it.")}}
}

// answerForm asks for the answer to a question and what it settles.
func answerForm(roll jobs.RollView, t typed, c jobs.Catalogue) web.ActionForm {
	form := web.ActionForm{Title: "Answer it", Button: "Keep the answer", Class: "primary",
		Say: "Fill in what the answer settles, and leave the rest as it is."}
	push := hinted(t.field(web.Text, "answer.push", "Push or pull", ""), "Now "+pushWords(roll.Push)+". Write +1, −½ or 0.")
	if roll.Confirm {
		push.Hint = "The reading waits to be confirmed: say the push, 0 for normal. Now " + pushWords(roll.Push) + "."
	}
	form.Fields = []web.Field{
		required(t.field(web.TextArea, "answer.answer", "Answer", "")),
		push,
		hinted(t.field(web.Number, "answer.ei", "EI", ""), fmt.Sprintf("Now EI %d.", roll.EI)),
		t.field(web.Select, "answer.remjet", "Remjet", "", remjetChoices("As it is: "+string(roll.Remjet))...),
		t.field(web.Select, "answer.stock", "Film", "", foundStocks("As it is: "+roll.StockName, roll.Stock, c)...),
	}
	if developers := developerOptions(keyText(roll.Stock), c); developers != nil {
		developers[0].Label = "As it is"
		form.Fields = append(form.Fields, t.field(web.Select, "answer.solution", "Developer", "", developers...))
	}
	return form
}

// moveTargets lists where a queued or batched roll can go: batches of its
// process whose rolls are not fixed, and out of its own.
func moveTargets(roll jobs.RollView, open []jobs.Batch, c jobs.Catalogue) []web.Option {
	var options []web.Option
	if roll.State == jobs.Batched {
		options = append(options, web.Option{Value: "0", Label: "Out of its batch, back to the queue"})
	}
	for _, batch := range open {
		if batch.State != jobs.BatchAccepted || batch.Process != roll.Process || roll.State == jobs.Batched && batch.ID == roll.Batch {
			continue
		}
		options = append(options, web.Option{Value: keyText(batch.ID), Label: targetWords(batch, c)})
	}
	return options
}

func targetWords(b jobs.Batch, c jobs.Catalogue) string {
	return fmt.Sprintf("Batch %d: %s, %s (%s)", b.ID, b.LineName, batchWhat(b, c), counted(len(b.Rolls), "roll", "rolls"))
}

// deliveryFields ask how film leaves.
func deliveryFields(t typed, way jobs.Return) []web.Field {
	return []web.Field{
		required(t.field(web.Radio, "deliver.how", "How it leaves", string(way),
			web.Option{Value: string(jobs.Collect), Label: "Collected"}, web.Option{Value: string(jobs.Post), Label: "Posted"})),
		hinted(t.field(web.Text, "deliver.tracking", "Tracking reference", ""), "Needed when it is posted."),
	}
}

// remjetChoices lists what can be known of the backing of a film; the first
// option leaves it as it is.
func remjetChoices(asItIs string) []web.Option {
	return []web.Option{
		{Value: "", Label: asItIs},
		{Value: string(chemistry.RemjetNone), Label: "none: made without it"},
		{Value: string(chemistry.RemjetPresent), Label: "present: black backing on the film"},
		{Value: string(chemistry.RemjetRemoved), Label: "removed: taken off by the maker"},
		{Value: string(chemistry.RemjetUnknown), Label: "unknown: somebody must look"},
	}
}

// foundStocks lists the stocks that a roll may turn out to be. The first option
// leaves it as it is; a stock that is no longer taken can only be kept.
func foundStocks(asItIs string, now jobs.StockID, c jobs.Catalogue) []web.Option {
	options := []web.Option{{Value: "", Label: asItIs}}
	for _, option := range stockOptions(c)[1:] {
		if option.Value != keyText(now) {
			options = append(options, option)
		}
	}
	return options
}

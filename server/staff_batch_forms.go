package server

import (
	"fmt"
	"strconv"

	"wetside/jobs"
	"wetside/web"
)

// batchWork is an open batch with what can be done to it before it starts.
func (d desk) batchWork(b jobs.Batch, open []jobs.Batch, t typed, c jobs.Catalogue) web.BatchWork {
	work := web.BatchWork{BatchLine: d.batchLine(b, c), Free: b.State == jobs.BatchAccepted}
	version := []web.Hidden{{Name: "version", Value: strconv.Itoa(b.Version)}}
	path := batchPath(b.ID)
	if work.Free {
		targets := []web.Option{{Value: "0", Label: "Out, back to the queue"}}
		for _, other := range open {
			if other.ID != b.ID && other.State == jobs.BatchAccepted && other.Process == b.Process {
				targets = append(targets, web.Option{Value: keyText(other.ID), Label: targetWords(other, c)})
			}
		}
		for _, line := range activeLines(c) {
			if line.RunsProcess(b.Process) && len(b.Rolls) > 1 {
				targets = append(targets, web.Option{Value: newBatchOn + keyText(line.ID), Label: "A new batch on " + line.Name})
			}
		}
		work.Targets = []web.Field{required(t.field(web.Select, "move.to", "Move the ticked rolls to", "", targets...))}
		for i := range work.Rolls {
			for _, value := range t.values["move.rolls"] {
				work.Rolls[i].Ticked = work.Rolls[i].Ticked || value == moveValue(work.Rolls[i])
			}
		}
		work.Forms = append(work.Forms, web.ActionForm{Title: "Lock it", Say: "Fixes its rolls.", Path: path + "/lock", Button: "Lock", Hidden: version})
	}
	if b.State == jobs.BatchLocked {
		work.Forms = append(work.Forms, web.ActionForm{Title: "Unlock it", Say: "Its rolls can be moved again.", Path: path + "/unlock", Button: "Unlock", Hidden: version})
	}
	if b.State.CanBecome(jobs.BatchCancelled) {
		work.Forms = append(work.Forms, web.ActionForm{Title: "Cancel it", Path: path + "/cancel", Button: "Cancel the batch", Class: "danger", Hidden: version,
			Open:   t.values.Has("cancel.reason"),
			Fields: []web.Field{hinted(required(t.field(web.Text, "cancel.reason", "Reason", "")), "Its rolls go back to the queue.")}})
	}
	return work
}

// newBatchOn leads the key of a line where the ticked rolls are to become a batch
// of their own.
const newBatchOn = "new."

// moveValue is how a form names a roll as it was seen: its key and its version.
func moveValue(roll web.RollLine) string {
	return strconv.FormatInt(roll.ID, 10) + "." + strconv.Itoa(roll.Version)
}

// addBatchForms adds the forms with which a batch is run. An owner is asked why
// it may start where something speaks against it.
func addBatchForms(page *web.BatchPage, b jobs.Batch, sheet jobs.RunSheet, t typed, owner bool) {
	version := []web.Hidden{{Name: "version", Value: strconv.Itoa(b.Version)}}
	path := batchPath(b.ID)
	if b.State.CanBecome(jobs.BatchDeveloping) {
		measuredC := hinted(required(measured(t.field(web.Number, "start.developer_c", "Developer, measured", ""), "°C")),
			"Wanted: "+page.Sheet.Temp+". Measure in the tank, not on the dial.")
		measuredC.Autocomplete = "off"
		form := web.ActionForm{Path: path + "/start", Button: "Start: film goes in", Class: "primary large", Hidden: version, Fields: []web.Field{measuredC}}
		if owner && (len(sheet.Against) > 0 || t.values.Has("start.developer_c")) {
			form.Fields = append(form.Fields, hinted(t.field(web.Text, "start.override", "Why it may start all the same", ""),
				"Only an owner may say so. It is kept with the batch, with everything that spoke against it."))
		}
		page.Start = []web.ActionForm{form}
	}
	if b.State != jobs.BatchDeveloping {
		return
	}
	steps := make([]web.Option, len(sheet.Cycle.Steps))
	for i, step := range sheet.Cycle.Steps {
		steps[i] = web.Option{Value: step.Name, Label: sentence(step.Name)}
	}
	temp := required(measured(t.field(web.Number, "reading.temp_c", "Temperature", ""), "°C"))
	temp.Autocomplete = "off"
	page.Reading = []web.ActionForm{{Path: path + "/reading", Button: "Keep the reading", Fields: []web.Field{
		required(t.field(web.Select, "reading.step", "Step", "", steps...)), temp, t.field(web.Text, "reading.note", "Note", ""),
	}}}
	page.Finish = &web.Ending{
		Form: web.ActionForm{Path: path + "/finish", Button: "Finish: film is out", Hidden: version},
		Rows: outcomeRows(page.Batch.Rolls, "finish", string(jobs.Drying), t,
			web.Option{Value: string(jobs.Drying), Label: "drying"}, web.Option{Value: string(jobs.Spoiled), Label: "spoiled"}),
	}
	page.Stop = &web.Ending{
		Form: web.ActionForm{Path: path + "/stop", Button: "Stop the batch", Class: "danger", Hidden: version, Open: t.values.Has("stop.reason"),
			Fields: []web.Field{required(t.field(web.Text, "stop.reason", "Why it is stopped", ""))}},
		Rows: outcomeRows(page.Batch.Rolls, "stop", "", t, web.Option{Label: "Say what became of it"},
			web.Option{Value: string(jobs.Queued), Label: "stayed dry: back to the queue"},
			web.Option{Value: string(jobs.Drying), Label: "developed: drying"}, web.Option{Value: string(jobs.Spoiled), Label: "spoiled"}),
	}
}

// outcomeRows ask of every roll what became of it.
func outcomeRows(rolls []web.RollLine, form, usual string, t typed, options ...web.Option) []web.OutcomeRow {
	rows := make([]web.OutcomeRow, len(rolls))
	for i, roll := range rolls {
		prefix := fmt.Sprintf("%s[%d].", form, i)
		rows[i] = web.OutcomeRow{
			Roll: roll, RollName: prefix + "roll",
			State:  required(t.field(web.Select, prefix+"state", "What became of "+roll.Name(), usual, options...)),
			Reason: t.field(web.Text, prefix+"reason", "Reason, when spoiled", ""),
		}
	}
	return rows
}

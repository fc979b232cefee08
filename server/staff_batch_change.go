package server

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"github.com/labstack/echo/v4"

	"wetside/chemistry"
	"wetside/jobs"
)

// changeBatch shows the batch's page when a change of it cannot be made.
func (p staffPages) changeBatch(c echo.Context, name string, do func(change[jobs.BatchID]) (notice string, err error)) error {
	return carryOut(p, c, page[jobs.BatchID]{batchPath, p.showBatch}, name, do)
}

// lock fixes the rolls of a batch.
func (p staffPages) lock(c echo.Context) error {
	return p.changeBatch(c, "lock", func(b change[jobs.BatchID]) (string, error) {
		_, err := p.services.Batches.Lock(c.Request().Context(), b.by, b.key, b.version)
		return "Batch " + keyText(b.key) + " is locked: its rolls are fixed.", err
	})
}

// unlock frees the rolls of a batch.
func (p staffPages) unlock(c echo.Context) error {
	return p.changeBatch(c, "unlock", func(b change[jobs.BatchID]) (string, error) {
		_, err := p.services.Batches.Unlock(c.Request().Context(), b.by, b.key, b.version)
		return "Batch " + keyText(b.key) + " is unlocked.", err
	})
}

// cancelBatch gives the rolls of a batch back to the queue.
func (p staffPages) cancelBatch(c echo.Context) error {
	return p.changeBatch(c, "cancel", func(b change[jobs.BatchID]) (string, error) {
		_, err := p.services.Batches.CancelBatch(c.Request().Context(), b.by, b.key, b.version, b.values.Get("cancel.reason"))
		return "Batch " + keyText(b.key) + " is cancelled. Its rolls are back in the queue.", err
	})
}

// moveRolls moves the ticked rolls out of a batch, together.
func (p staffPages) moveRolls(c echo.Context) error {
	return p.changeBatch(c, "move", func(b change[jobs.BatchID]) (string, error) {
		var wrong faults
		if line, ok := strings.CutPrefix(b.values.Get("move.to"), newBatchOn); ok {
			return p.split(c, b, line)
		}
		to := jobs.BatchID(key(b.values.Get("move.to"), "to", &wrong))
		seen := tickedToMove(b, &wrong)
		if err := wrong.err(); err != nil {
			return "", err
		}
		err := p.services.Batches.MoveRolls(c.Request().Context(), b.by, seen, to)
		return movedWords(counted(len(seen), "roll is", "rolls are"), to), err
	})
}

// tickedToMove lists the rolls that are to leave a batch, each as it was when
// the page was made.
func tickedToMove(b change[jobs.BatchID], wrong *faults) []jobs.SeenRoll {
	var seen []jobs.SeenRoll
	for _, value := range b.values["move.rolls"] {
		roll, version, _ := strings.Cut(value, ".")
		seen = append(seen, jobs.SeenRoll{ID: jobs.RollID(key(roll, "to", wrong)), Version: versionOf(version)})
	}
	if len(seen) == 0 {
		wrong.add("to", "tick the rolls to move")
	}
	return seen
}

// split makes a batch of the ticked rolls.
func (p staffPages) split(c echo.Context, b change[jobs.BatchID], line string) (string, error) {
	var wrong faults
	split := jobs.Split{Batch: b.key, Version: b.version, Line: jobs.LineID(key(line, "to", &wrong))}
	for _, roll := range tickedToMove(b, &wrong) {
		split.Rolls = append(split.Rolls, roll.ID)
	}
	if err := wrong.err(); err != nil {
		return "", err
	}
	made, err := p.services.Batches.Split(c.Request().Context(), b.by, split)
	if found, ok := staffFaults(err); ok && len(found.list) > 0 && found.list[0].Field != "" {
		err = jobs.InvalidField("to", "%s", found.list[0].Message)
	}
	return counted(len(made.Rolls), "roll is", "rolls are") + " in batch " + keyText(made.ID) + " on " + made.LineName + " now.", err
}

// start puts a batch into the chemistry.
func (p staffPages) start(c echo.Context) error {
	return p.changeBatch(c, "start", func(b change[jobs.BatchID]) (string, error) {
		var wrong faults
		developerC := decimal(b.values.Get("start.developer_c"), "developer_c", "temperature", &wrong)
		if err := wrong.err(); err != nil {
			return "", err
		}
		override := strings.TrimSpace(b.values.Get("start.override"))
		if err := mayOverride(c, override); err != nil {
			return "", err
		}
		batch, err := p.services.Batches.Start(c.Request().Context(), b.by, b.key, jobs.BatchStart{
			Version: b.version, DeveloperC: developerC, Override: override,
		})
		if jobs.CodeOf(err) == jobs.Refused {
			return "", besideTheForm(err)
		}
		return "Batch " + keyText(b.key) + " is developing for " + chemistry.FormatClock(batch.Develop) + ".", err
	})
}

// besideTheForm leaves to the temperature what is about it; the rest of what
// speaks against a start has no field of its own.
func besideTheForm(err error) error {
	told := problemOf(err)
	beside := &jobs.Error{Code: told.Code, Message: told.Detail}
	for _, field := range told.Fields {
		if field.Field != "developer_c" {
			field.Field = ""
		}
		beside.Fields = append(beside.Fields, field)
	}
	return beside
}

// takeReading keeps a temperature that was taken during a run.
func (p staffPages) takeReading(c echo.Context) error {
	return p.changeBatch(c, "reading", func(b change[jobs.BatchID]) (string, error) {
		var wrong faults
		reading := jobs.Reading{Step: b.values.Get("reading.step"), Note: b.values.Get("reading.note")}
		reading.TempC = decimal(b.values.Get("reading.temp_c"), "temp_c", "temperature", &wrong)
		if err := wrong.err(); err != nil {
			return "", err
		}
		err := p.services.Batches.TakeReading(c.Request().Context(), b.by, b.key, reading)
		return "Kept: " + reading.Step + " at " + degrees(reading.TempC) + " °C.", err
	})
}

// decimal reads a number with a point or a comma, which must be there.
func decimal(text, field, what string, wrong *faults) float64 {
	text = strings.TrimSpace(text)
	if text == "" {
		wrong.add(field, "the %s is missing", what)
		return 0
	}
	number, err := strconv.ParseFloat(strings.Replace(text, ",", ".", 1), 64)
	if err != nil {
		wrong.add(field, "%q is no number; write it like 37.8", text)
	}
	return number
}

// outcomeForm is what became of a roll, as it was chosen.
type outcomeForm struct {
	Roll   string `form:"roll"`
	State  string `form:"state"`
	Reason string `form:"reason"`
}

type outcomesForm struct {
	Finish []outcomeForm `form:"finish" most:"500"`
	Stop   []outcomeForm `form:"stop" most:"500"`
}

// outcomesOf reads what became of the rolls; a roll of which nothing is said is
// named.
func outcomesOf(rows []outcomeForm, form string) ([]jobs.RollOutcome, error) {
	var wrong faults
	outcomes := make([]jobs.RollOutcome, len(rows))
	for i, row := range rows {
		field := fmt.Sprintf("%s[%d].", form, i)
		if row.State == "" {
			wrong.add(field+"state", "say what became of this roll")
		}
		outcomes[i] = jobs.RollOutcome{
			Roll: jobs.RollID(key(row.Roll, field+"roll", &wrong)), State: jobs.RollState(row.State), Reason: row.Reason,
		}
	}
	return outcomes, wrong.err()
}

// named gives the outcomes in an error the names that the form has for them.
func named(err error, form string) error {
	wrong, ok := staffFaults(err)
	if !ok || len(wrong.list) == 0 || wrong.list[0].Field == "" {
		return err
	}
	list := slices.Clone(wrong.list)
	for i := range list {
		rest, isOutcome := strings.CutPrefix(list[i].Field, "outcomes")
		if isOutcome {
			list[i].Field = form + rest
		} else {
			list[i].Field = form + "." + list[i].Field
		}
	}
	return &jobs.Error{Code: jobs.CodeOf(err), Message: problemOf(err).Detail, Fields: list}
}

// finish ends a run: film dries, or is spoiled with a reason.
func (p staffPages) finish(c echo.Context) error {
	return p.changeBatch(c, "", func(b change[jobs.BatchID]) (string, error) {
		var form outcomesForm
		if err := readForm(c, &form); err != nil {
			return "", err
		}
		outcomes, err := outcomesOf(form.Finish, "finish")
		if err != nil {
			return "", err
		}
		batch, err := p.services.Batches.Finish(c.Request().Context(), b.by, b.key, b.version, outcomes)
		return "Batch " + keyText(b.key) + " is finished: " + outcomeWords(batch.Rolls) + ".", named(err, "finish")
	})
}

// stop breaks a run off with a reason and an outcome for every roll.
func (p staffPages) stop(c echo.Context) error {
	return p.changeBatch(c, "", func(b change[jobs.BatchID]) (string, error) {
		var form outcomesForm
		if err := readForm(c, &form); err != nil {
			return "", err
		}
		outcomes, err := outcomesOf(form.Stop, "stop")
		if err != nil {
			return "", err
		}
		_, err = p.services.Batches.Stop(c.Request().Context(), b.by, b.key, b.version, b.values.Get("stop.reason"), outcomes)
		return "Batch " + keyText(b.key) + " is stopped.", named(err, "stop")
	})
}

// outcomeWords counts what became of the rolls of a batch.
func outcomeWords(rolls []jobs.RollView) string {
	var words []string
	for _, state := range jobs.RollStates {
		n := 0
		for _, roll := range rolls {
			if roll.State == state {
				n++
			}
		}
		if n > 0 {
			words = append(words, counted(n, "roll", "rolls")+" "+string(state))
		}
	}
	return listWords(words)
}

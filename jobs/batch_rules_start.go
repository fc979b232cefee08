package jobs

import (
	"strings"
	"time"

	"wetside/chemistry"
)

// Start decides whether film may go in, now that the developer's temperature
// has been measured, and returns the batch as it runs with its run sheet.
// Whatever speaks against it is Refused, all of it at once, unless an owner
// overrides it. A black-and-white time is fitted to the measured temperature,
// because there no tolerance is known; a colour time never is.
func (w WetSide) Start(b Batch, start BatchStart, now time.Time) (Batch, RunSheet, error) {
	if err := b.CheckBecome(BatchDeveloping); err != nil {
		return Batch{}, RunSheet{}, err
	}
	if err := chemistry.CheckTemperature(start.DeveloperC); err != nil {
		return Batch{}, RunSheet{}, InvalidField("developer_c", "%v", err)
	}
	load, err := w.LoadOf(b, b.Rolls, start.DeveloperC)
	if err != nil {
		return Batch{}, RunSheet{}, err
	}
	against := w.Objections(b, load, now)
	if err := chemistry.CheckDeveloperTemp(b.Process, start.DeveloperC); err != nil {
		against = append(against, Objection{Field: "developer_c", Text: err.Error()})
	}
	if b.Override, err = settle(against, start.Override); err != nil {
		return Batch{}, RunSheet{}, err
	}
	b.State, b.StartedAt = BatchDeveloping, now
	b.Push, b.Develop, b.TempC = load.Push, load.Development.Seconds, load.Tank.TempC
	running := b
	running.Version++ // the sheet is kept with this very change
	sheet, err := load.RunSheet(running)
	sheet.Doses, sheet.Against = w.CalledFor(b, load), texts(against)
	return b, sheet, err
}

// Overridden tells of a started batch what an owner overrode and why; "" where
// nothing was.
func (s RunSheet) Overridden() string {
	if s.Batch.Override == "" {
		return ""
	}
	return s.Batch.Override + " (overridden: " + strings.Join(s.Against, "; ") + ")"
}

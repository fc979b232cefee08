package jobs

import (
	"time"

	"wetside/chemistry"
)

// Start decides whether film may go in, now that the developer's temperature
// has been measured (°C), and returns the batch as it runs with its run sheet.
// A colour developer out of tolerance, or a developer for reuse that is not
// poured, is Refused with what to do. A black-and-white time is fitted to the
// measured temperature, because there no tolerance is known.
func (w WetSide) Start(b Batch, developerC float64, now time.Time) (Batch, RunSheet, error) {
	load, err := w.startable(b, developerC)
	if err != nil {
		return Batch{}, RunSheet{}, err
	}
	b.State, b.StartedAt = BatchDeveloping, now
	b.Push, b.Develop, b.TempC = load.Push, load.Development.Seconds, load.Tank.TempC
	running := b
	running.Version++ // the sheet is kept with this very change
	sheet, err := load.RunSheet(running)
	return b, sheet, err
}

// startable returns the load of a batch as it may go in.
func (w WetSide) startable(b Batch, developerC float64) (Load, error) {
	if err := b.CheckBecome(BatchDeveloping); err != nil {
		return Load{}, err
	}
	if err := chemistry.CheckTemperature(developerC); err != nil {
		return Load{}, InvalidField("developer_c", "%v", err)
	}
	if err := chemistry.CheckDeveloperTemp(b.Process, developerC); err != nil {
		return Load{}, Errorf(Refused, "%w", err)
	}
	load, err := w.LoadOf(b, b.Rolls, developerC)
	if err != nil {
		return Load{}, err
	}
	if load.Tank.needsFill() && load.Tank.Fill.ID == 0 {
		return Load{}, Errorf(Refused, "there is no %s in %s: pour a fill and record it before film goes in",
			load.Tank.Developer.Name, load.Tank.Line.Name)
	}
	return load, nil
}

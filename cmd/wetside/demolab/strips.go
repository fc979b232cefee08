package demolab

import (
	"context"
	"math/rand/v2"
	"time"

	"wetside/chemistry"
	"wetside/jobs"
)

// stripDays is how far back the demo's control strips begin.
const stripDays = 14

// stripAim is the invented aim of the demo's box.
var stripAim = jobs.Densities{
	"d_min_red": 0.23, "d_min_green": 0.62, "d_min_blue": 0.87, "ld_red": 0.76, "ld_green": 1.18, "ld_blue": 1.49,
	"hd_red": 1.31, "hd_green": 1.86, "hd_blue": 2.21, "d_max_blue": 2.94, "yellow_blue": 2.81,
}

// openStripBox puts a box of C-41 strips into use, and reads a strip a day from
// it in the days before the demo's own: on one of them the dip-and-dunk line was
// off, stopped, and put right.
func (l *lab) openStripBox(ctx context.Context) error {
	l.clock.Set(l.now.AddDate(0, 0, -stripDays-1))
	if _, err := l.Strips.OpenBox(ctx, l.owner, jobs.BoxDraft{
		Process: chemistry.C41, Number: "SQ-0417", Aim: stripAim, Limits: chemistry.C41StripLimits, Strips: 60,
		ExpiresOn: time.Date(l.now.Year()+1, l.now.Month(), 1, 0, 0, 0, 0, time.UTC),
	}); err != nil {
		return err
	}
	for day := stripDays; day > days; day-- {
		at := l.now.AddDate(0, 0, -day).Add(-dayHours * time.Hour)
		l.clock.Set(at)
		if day == stripDays-3 {
			if err := l.badMorning(ctx, at); err != nil {
				return err
			}
		}
		if err := l.runStrips(ctx, l.clock.Now()); err != nil {
			return err
		}
	}
	return nil
}

// badMorning is a developer that was too warm: two strips say so, and a third
// one, an hour later, that it is right again.
func (l *lab) badMorning(ctx context.Context, at time.Time) error {
	for _, strip := range []struct {
		after time.Duration
		off   float64
	}{{0, 0.10}, {10 * time.Minute, 0.09}, {70 * time.Minute, 0.02}} {
		l.clock.Set(at.Add(strip.after))
		if err := l.readStrip(ctx, "Dip-and-dunk", strip.off); err != nil {
			return err
		}
	}
	return nil
}

// warningDay is how many days ago the dip-and-dunk line ran past the action
// limit.
const warningDay = 4

// runStrips reads a strip in every line in which none was read today.
func (l *lab) runStrips(ctx context.Context, at time.Time) error {
	watched, err := l.Strips.WatchedLines(ctx)
	if err != nil {
		return err
	}
	for _, line := range watched {
		if line.State.Standing != jobs.StripDue {
			continue
		}
		off := 0.0
		if line.LineName == "Dip-and-dunk" && int(l.now.Sub(at).Hours()/24) == warningDay {
			off = 0.07
		}
		if err := l.readStrip(ctx, line.LineName, off); err != nil {
			return err
		}
	}
	return nil
}

// readStrip reads a strip whose speed is off by so much; a densitometer and a
// line never read quite the same twice.
func (l *lab) readStrip(ctx context.Context, line string, off float64) error {
	scatter := rand.New(rand.NewPCG(seed, uint64(l.clock.Now().Unix()/60)+uint64(len(line))))
	densities := jobs.Densities{}
	for _, patch := range jobs.Patches(chemistry.C41) {
		value := stripAim[patch.Name] + float64(scatter.IntN(3)-1)/100
		if patch.Row == "LD" || patch.Row == "HD" {
			value += off
		}
		densities[patch.Name] = value
	}
	if off != 0 { // so that the demo is off by as much as it says
		for _, channel := range []string{"red", "green", "blue"} {
			densities["ld_"+channel], densities["hd_"+channel] = stripAim["ld_"+channel]+off, stripAim["hd_"+channel]+off
		}
	}
	watched, err := l.Strips.WatchedLines(ctx)
	if err != nil {
		return err
	}
	for _, one := range watched {
		if one.LineName == line {
			_, err := l.Strips.ReadStrip(ctx, l.staff, jobs.StripRun{Line: one.Line, Process: chemistry.C41, Densities: densities})
			return err
		}
	}
	return nil
}

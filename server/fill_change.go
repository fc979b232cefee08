package server

import (
	"fmt"
	"net/url"
	"strconv"

	"github.com/labstack/echo/v4"

	"wetside/chemistry"
	"wetside/jobs"
)

// fillChange is what a form about a fill asks for.
type fillChange struct {
	fill   jobs.FillID
	by     jobs.Actor
	values url.Values
	wrong  faults
}

// whole reads whole mL that may be left out.
func (f *fillChange) whole(form, field string) int {
	return count(f.values.Get(form+"."+field), field, &f.wrong)
}

// mix reads the mix that was chosen, 0 for none.
func (f *fillChange) mix(form string) jobs.MixID {
	return jobs.MixID(key(f.values.Get(form+".mix"), "mix", &f.wrong))
}

// seen reads the last entry that the form was made from. A broken form fits no
// ledger.
func (f *fillChange) seen(form string) int64 {
	n, err := strconv.ParseInt(f.values.Get(form+".seen"), 10, 64)
	if err != nil {
		return -1
	}
	return n
}

// changeFill carries out what a form about a fill asks for and says so; when it
// cannot be done, the fill's page says why and shows how things are now.
func (p fillPages) changeFill(c echo.Context, name string, do func(f *fillChange) (done string, err error)) error {
	id, err := keyInPath(c)
	if err != nil {
		return err
	}
	if err := readForm(c, &struct{}{}); err != nil {
		return err
	}
	change := &fillChange{fill: jobs.FillID(id), by: actorOf(c), values: c.Request().PostForm}
	done, err := do(change)
	if err == nil {
		return p.done(c, fillPath(change.fill), done)
	}
	wrong, ok := staffFaults(err)
	if !ok {
		return err
	}
	return p.showFill(c, change.fill, typedIn(c, wrong.within(name)))
}

// topUp records what went in beside what film called for.
func (p fillPages) topUp(c echo.Context) error {
	return p.changeFill(c, "topup", func(f *fillChange) (string, error) {
		up := jobs.TopUp{ML: wholeML(f.values.Get("topup.ml"), "ml", &f.wrong), Mix: f.mix("topup"), Reason: f.values.Get("topup.reason"), Seen: f.seen("topup")}
		if err := f.wrong.err(); err != nil {
			return "", err
		}
		_, err := p.services.Fills.TopUpFill(c.Request().Context(), f.by, f.fill, up)
		return volumeWords(up.ML) + " are recorded as a top-up.", err
	})
}

// spill records what was lost.
func (p fillPages) spill(c echo.Context) error {
	return p.changeFill(c, "spill", func(f *fillChange) (string, error) {
		spill := jobs.Spill{ML: wholeML(f.values.Get("spill.ml"), "ml", &f.wrong), Reason: f.values.Get("spill.reason"), Seen: f.seen("spill")}
		if err := f.wrong.err(); err != nil {
			return "", err
		}
		fill, err := p.services.Fills.SpillFill(c.Request().Context(), f.by, f.fill, spill)
		return volumeWords(spill.ML) + " are recorded as spilled; " + mlWords(fill.NowML) + " are left.", err
	})
}

// foul records what got in and does not belong.
func (p fillPages) foul(c echo.Context) error {
	return p.changeFill(c, "foul", func(f *fillChange) (string, error) {
		fouling := jobs.Fouling{What: f.values.Get("foul.what"), ML: f.whole("foul", "ml"), Mix: f.mix("foul"), Seen: f.seen("foul")}
		if err := f.wrong.err(); err != nil {
			return "", err
		}
		_, err := p.services.Fills.FoulFill(c.Request().Context(), f.by, f.fill, fouling)
		return "It is recorded as fouled. No film goes in until it is dumped.", err
	})
}

// testClearing keeps a clearing test.
func (p fillPages) testClearing(c echo.Context) error {
	return p.changeFill(c, "clearing", func(f *fillChange) (string, error) {
		test := chemistry.ClearingTest{NowS: decimal(f.values.Get("clearing.now_s"), "now_s", "time", &f.wrong)}
		if f.values.Get("clearing.fresh_s") != "" {
			test.FreshS = decimal(f.values.Get("clearing.fresh_s"), "fresh_s", "time", &f.wrong)
		}
		if err := f.wrong.err(); err != nil {
			return "", err
		}
		_, err := p.services.Fills.TestClearing(c.Request().Context(), f.by, f.fill, test)
		return "The test is kept: it clears in " + secondsWords(test.NowS) + ".", err
	})
}

// dump ends a fill.
func (p fillPages) dump(c echo.Context) error {
	id, err := keyInPath(c)
	if err != nil {
		return err
	}
	var form struct {
		Reason    string `form:"reason"`
		Container string `form:"container"`
	}
	if err := readForm(c, &form); err != nil {
		return err
	}
	var wrong faults
	into := jobs.ContainerID(key(form.Container, "container", &wrong))
	if len(wrong.list) > 0 {
		return p.showFill(c, jobs.FillID(id), typedIn(c, wrong))
	}
	fill, err := p.services.Fills.DumpFill(c.Request().Context(), actorOf(c), jobs.FillID(id), jobs.Dump{Reason: form.Reason, Container: into})
	if wrong, ok := faultsOf(err); ok {
		return p.showFill(c, jobs.FillID(id), typedIn(c, wrong))
	}
	if err != nil {
		return err
	}
	return p.done(c, "/chemistry", fmt.Sprintf("%s in %s is dumped. The tank is empty on record until a fresh fill is poured.", fill.SolutionName, fill.LineName))
}

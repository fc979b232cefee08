package server

import (
	"fmt"
	"strings"

	"github.com/labstack/echo/v4"

	"wetside/chemistry"
	"wetside/jobs"
	"wetside/web"
)

// readForm asks for one strip.
func (p stripPages) readForm(c echo.Context) error {
	return p.showRead(c, map[string]string{}, faults{})
}

// read records and judges one strip.
func (p stripPages) read(c echo.Context) error {
	if err := readForm(c, &struct{}{}); err != nil {
		return err
	}
	watched, _, err := p.watched(c)
	if err != nil {
		return err
	}
	values := c.Request().PostForm
	var wrong faults
	run := jobs.StripRun{Line: watched.Line, Process: watched.Process, Densities: typedDensities(values, "", watched.Process, &wrong)}
	if len(wrong.list) > 0 {
		return p.showRead(c, firstValues(values), wrong)
	}
	strip, err := p.services.Strips.ReadStrip(c.Request().Context(), actorOf(c), run)
	if found, ok := faultsOf(err); ok {
		return p.showRead(c, firstValues(values), found)
	}
	if err != nil {
		return err
	}
	return p.done(c, stripPath(strip.ID), fmt.Sprintf("The strip is recorded: %s.", strip.Result.Verdict))
}

func (p stripPages) showRead(c echo.Context, values map[string]string, wrong faults) error {
	watched, lines, err := p.watched(c)
	if err != nil {
		return err
	}
	d := p.desk(c)
	card := d.stripCard(watched)
	fields := typedForm{values: values, wrong: wrong}
	return p.show(c, wrong.status(), &web.StripReadPage{
		Frame: web.Frame{Title: card.Button + ": " + card.Line + ", " + card.Process, Problems: wrong.problems()},
		Card:  card, Box: d.boxRow(watched.Box, lines, false), Keep: chemistry.StripStorage,
		Grid: fields.densityGrid("What the densitometer reads, in density", "", watched.Process, jobs.DensitiesOf(watched.Process, watched.Box.Aim), true),
	})
}

// fileForm asks for a densitometer's file.
func (p stripPages) fileForm(c echo.Context) error { return p.showFile(c, "", faults{}) }

// file records the strips of a file.
func (p stripPages) file(c echo.Context) error {
	sent, err := sentParts(c)
	if err != nil {
		return err
	}
	text := sentFile(sent)
	if strings.TrimSpace(text) == "" {
		var wrong faults
		wrong.add("csv", "choose a file, or paste what is in it")
		return p.showFile(c, text, wrong)
	}
	strips, err := p.services.Strips.ReadStripFile(c.Request().Context(), actorOf(c), text)
	if found, ok := faultsOf(err); ok {
		return p.showFile(c, text, found)
	}
	if err != nil {
		return err
	}
	past := 0
	for _, strip := range strips {
		if strip.Result.Verdict != chemistry.InControl {
			past++
		}
	}
	words := counted(len(strips), "strip is", "strips are") + " recorded, "
	if past == 0 {
		return p.done(c, "/chemistry/strips", words+"all in control.")
	}
	return p.done(c, "/chemistry/strips", words+fmt.Sprintf("%d of them past a limit.", past))
}

func (p stripPages) showFile(c echo.Context, text string, wrong faults) error {
	fields := typedForm{values: map[string]string{"csv": text}, wrong: wrong}
	page := &web.StripFilePage{
		Frame:   web.Frame{Title: "From a densitometer’s file", Problems: wrong.problems()},
		File:    web.Field{Kind: "file", Name: "file", Label: "The file"},
		Text:    fields.field(web.TextArea, "csv", "Or what is in it", "Paste the lines of the file, the names of the columns first."),
		Columns: jobs.StripFileColumns(), Example: jobs.StripFileExample,
	}
	return p.show(c, wrong.status(), page)
}

package server

import (
	"fmt"
	"net/http"
	"slices"
	"strings"

	"github.com/labstack/echo/v4"

	"wetside/chemistry"
	"wetside/jobs"
	"wetside/web"
)

// stripPages are the control strips: what staff read, and what the owner
// decides about boxes and stopped lines.
type stripPages struct{ *site }

// stripRoutes lists the addresses of these pages.
func stripRoutes(s *site) []Route {
	const get, post = http.MethodGet, http.MethodPost
	p := stripPages{s}
	return []Route{
		{get, "/chemistry/strips", "control strips", StaffOnly, "", nil, p.list},
		{get, "/chemistry/strips/file", "strip file form", StaffOnly, "", nil, p.fileForm},
		{post, "/chemistry/strips/file", "read a strip file", StaffOnly, "", nil, p.file},
		{get, "/chemistry/strips/:line/:process", "strip chart", StaffOnly, "", nil, p.chart},
		{get, "/chemistry/strips/:line/:process/read", "strip form", StaffOnly, "", nil, p.readForm},
		{post, "/chemistry/strips/:line/:process/read", "read a strip", StaffOnly, "", nil, p.read},
		{get, "/chemistry/strip/:id", "strip", StaffOnly, "", nil, p.strip},
		{post, "/chemistry/strip/:id/release", "release a line", OwnerOnly, "", nil, p.release},
		{get, "/chemistry/strip-boxes/new", "new strip box form", OwnerOnly, "", nil, p.newBox},
		{post, "/chemistry/strip-boxes/new", "open a strip box", OwnerOnly, "", nil, p.openBox},
		{get, "/chemistry/strip-boxes/:id", "strip box form", OwnerOnly, "", nil, p.box},
		{post, "/chemistry/strip-boxes/:id", "save a strip box", OwnerOnly, "", nil, p.saveBox},
		{post, "/chemistry/strip-boxes/:id/use", "use a strip box", OwnerOnly, "", nil, p.useBox},
	}
}

// list shows every watched line and the boxes.
func (p stripPages) list(c echo.Context) error {
	ctx := c.Request().Context()
	watched, err := p.services.Strips.WatchedLines(ctx)
	if err != nil {
		return err
	}
	boxes, err := p.services.Strips.Boxes(ctx)
	if err != nil {
		return err
	}
	d := p.desk(c)
	page := &web.StripsPage{
		Frame: web.Frame{Title: "Control strips"}, CanOpen: roleOf(c).May(jobs.Owner), Keep: chemistry.StripStorage,
	}
	for _, line := range watched {
		page.Lines = append(page.Lines, d.stripCard(line))
	}
	lines := linesOf(watched)
	for _, box := range boxes {
		page.Boxes = append(page.Boxes, d.boxRow(box, lines[box.Process], page.CanOpen))
	}
	return p.show(c, http.StatusOK, page)
}

// stripsOf is the address of the strips of a process in a line.
func stripsOf(line jobs.LineID, process chemistry.Process) string {
	return fmt.Sprintf("/chemistry/strips/%d/%s", line, process)
}

func stripPath(id jobs.StripID) string { return "/chemistry/strip/" + keyText(id) }

var lineChips = map[jobs.Standing]web.Chip{
	jobs.StripDue:       {Class: "wait", Word: "Strip due"},
	jobs.LineInControl:  {Class: "done", Word: "In control"},
	jobs.LinePastAction: {Class: "hold", Word: "Past the action limit"},
	jobs.SecondWanted:   {Class: "bad", Word: "Second strip wanted"},
	jobs.LineStopped:    {Class: "bad", Word: "Stopped"},
	jobs.LineReleased:   {Class: "hold", Word: "Released"},
}

// lineSays tells what to do now.
var lineSays = map[jobs.Standing]string{
	jobs.StripDue:       "Run a control strip before the next film.",
	jobs.LineInControl:  "Film may run.",
	jobs.LinePastAction: "Film may run while you find the cause.",
	jobs.SecondWanted:   "No customers’ film: run a second strip at once to confirm the first.",
	jobs.LineStopped:    "No customers’ film: put it right, then run a strip that is in control.",
	jobs.LineReleased:   "Film may run, by an owner’s word, until the next strip and no longer than today.",
}

var verdictChips = map[chemistry.StripVerdict]web.Chip{
	chemistry.InControl:   {Class: "done", Word: "In control"},
	chemistry.PastAction:  {Class: "hold", Word: "Past the action limit"},
	chemistry.PastControl: {Class: "bad", Word: "Past the control limit"},
}

// stripCard puts into words how a line stands.
func (d desk) stripCard(w jobs.WatchedLine) web.StripLineCard {
	state := w.State
	card := web.StripLineCard{
		Line: w.LineName, Process: string(w.Process), State: lineChips[state.Standing], Say: lineSays[state.Standing],
		Stopped: state.Standing == jobs.SecondWanted || state.Standing == jobs.LineStopped,
		Chart:   stripsOf(w.Line, w.Process), Read: stripsOf(w.Line, w.Process) + "/read", Button: "Read a strip",
	}
	if state.Standing == jobs.SecondWanted {
		card.Button = "Read the second strip"
	}
	if state.Last.ID != 0 {
		card.Last, card.LastID, card.LastVerdict = d.moment(state.Last.At), int64(state.Last.ID), string(state.Last.Result.Verdict)
	}
	switch {
	case state.FirstSuspect():
		card.Notes = append(card.Notes, "The second strip did not give the signals of the first again: the first strip itself is suspect. Check how it was handled and read.")
	case len(state.Again) > 0:
		card.Notes = append(card.Notes, "The second strip gave it again: "+signalWords(state.Again)+".")
	case !state.MayRun() && len(state.Last.Result.Signals) > 0:
		card.Notes = append(card.Notes, signalWords(state.Last.Result.Signals)+".")
	}
	if !state.Last.Release.At.IsZero() && state.Standing == jobs.LineReleased {
		card.Notes = append(card.Notes, releaseWords(state.Last.Release, d))
	}
	return card
}

func signalWords(signals []chemistry.StripSignal) string {
	words := make([]string, len(signals))
	for i, signal := range signals {
		words[i] = signal.String()
	}
	return strings.Join(words, "; ")
}

func releaseWords(r jobs.StripRelease, d desk) string {
	return fmt.Sprintf("Released by %s, %s: %s", r.By, d.moment(r.At).Words, r.Reason)
}

// boxRow puts a box into words.
func (d desk) boxRow(box jobs.StripBox, lines int, mayChange bool) web.StripBoxRow {
	row := web.StripBoxRow{Number: box.Number, Process: string(box.Process), State: web.Chip{Word: "Put away"}, Left: "not counted",
		Expires: "not known", Opened: d.moment(box.OpenedAt)}
	if mayChange {
		row.Path = "/chemistry/strip-boxes/" + keyText(box.ID)
	}
	if left, counted := box.Left(); counted {
		row.Left = fmt.Sprintf("%d of %d strips left", left, box.Strips)
	}
	if !box.ExpiresOn.IsZero() {
		row.Expires = box.ExpiresOn.Format("2 January 2006")
	}
	if !box.Active {
		return row
	}
	row.State = web.Chip{Class: "ready", Word: "In use"}
	if box.Expired(d.now.In(d.zone)) {
		row.Warn = append(row.Warn, "It is past its date: its strips may read off.")
	}
	if box.CrossOverDue(lines) {
		row.Warn = append(row.Warn, "Cross over to the next box now.")
	}
	return row
}

// watched returns the line and process in the address as they stand; NotFound
// where they are not watched.
func (p stripPages) watched(c echo.Context) (jobs.WatchedLine, int, error) {
	watched, err := p.services.Strips.WatchedLines(c.Request().Context())
	if err != nil {
		return jobs.WatchedLine{}, 0, err
	}
	at := slices.IndexFunc(watched, func(w jobs.WatchedLine) bool {
		return keyText(w.Line) == c.Param("line") && string(w.Process) == c.Param("process")
	})
	if at < 0 {
		return jobs.WatchedLine{}, 0, jobs.Errorf(jobs.NotFound, "No line is watched by control strips at this address.")
	}
	return watched[at], linesOf(watched)[watched[at].Process], nil
}

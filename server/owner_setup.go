package server

import (
	"cmp"
	"fmt"
	"maps"
	"net/http"
	"slices"
	"strings"

	"github.com/labstack/echo/v4"

	"wetside/chemistry"
	"wetside/jobs"
	"wetside/web"
)

// setUpPages keep what the lab knows before a roll arrives.
type setUpPages struct{ *site }

// setUpParts are the parts of the set-up in the order in which a new lab fills
// them in.
var setUpParts = []struct{ path, label, say string }{
	{"/lab", "The lab", "Its name, address, hours and weekdays, and how soon film is ready."},
	{"/closures", "Closed days", "Holidays, and other days on which nobody works."},
	{"/solutions", "Solutions", "The recipes: developers, bleaches, fixers, with their capacity and how they are used."},
	{"/lines", "Lines", "The machines and tanks, what fits into one load and which processes they run."},
	{"/stocks", "Film stocks", "The films you take: process, speeds, remjet, black-and-white times."},
	{"/processes", "Processes", "The steps of every process, and your own developing times where you have tested them."},
	{"/people", "People", "Who signs in, and as what."},
}

// sections links the parts of the set-up with each other; the page that is
// asked for belongs to one of them.
func sections(current string) []web.Link {
	var links []web.Link
	for _, part := range setUpParts {
		links = append(links, web.Link{Label: part.label, Path: part.path, Current: part.path == current})
	}
	return links
}

// ownerFrame is the frame of a page of one part.
func ownerFrame(part, title string, wrong faults) web.OwnerFrame {
	return web.OwnerFrame{Frame: web.Frame{Title: title, Problems: wrong.problems()}, Sections: sections(part)}
}

// overview says what there is to set up, and what is there already.
func (p setUpPages) overview(c echo.Context) error {
	ctx := c.Request().Context()
	catalogue, err := p.services.Catalogue.Catalogue(ctx)
	if err != nil {
		return err
	}
	people, err := p.services.People.People(ctx)
	if err != nil {
		return err
	}
	signIn := 0
	for _, person := range people {
		if person.Active {
			signIn++
		}
	}
	now := map[string]string{
		"/lab":       catalogue.Lab.Name,
		"/closures":  fmt.Sprintf("%d to come", len(catalogue.Lab.ComingClosures(p.options.Now()))),
		"/solutions": inUse(catalogue.Solutions, func(s jobs.Solution) bool { return s.Active }),
		"/lines":     inUse(catalogue.Lines, func(l jobs.Line) bool { return l.Active }),
		"/stocks":    inUse(catalogue.Stocks, func(s jobs.Stock) bool { return s.Active }),
		"/processes": fmt.Sprintf("%d processes, %d times of your own", len(chemistry.Processes), len(catalogue.Tested)),
		"/people":    fmt.Sprintf("%d who can sign in", signIn),
	}
	page := &web.SetUpPage{Frame: web.Frame{Title: "Set-up"}}
	for _, part := range setUpParts {
		page.Parts = append(page.Parts, web.SetUpPart{
			Link: web.Link{Label: part.label, Path: part.path}, Say: part.say, Now: now[part.path],
		})
	}
	return p.show(c, http.StatusOK, page)
}

// inUse counts the entries of a part of the catalogue.
func inUse[K comparable, V any](entries map[K]V, active func(V) bool) string {
	n := 0
	for _, entry := range entries {
		if active(entry) {
			n++
		}
	}
	if n == len(entries) {
		return fmt.Sprintf("%d in use", n)
	}
	return fmt.Sprintf("%d in use, %d not", n, len(entries)-n)
}

// sorted lists the entries of a part of the catalogue, those in use first, then
// by name.
func sorted[K comparable, V any](entries map[K]V, active func(V) bool, name func(V) string) []V {
	rank := func(v V) int {
		if active(v) {
			return 0
		}
		return 1
	}
	return slices.SortedFunc(maps.Values(entries), func(a, b V) int {
		return cmp.Or(cmp.Compare(rank(a), rank(b)), cmp.Compare(strings.ToLower(name(a)), strings.ToLower(name(b))))
	})
}

func sortedStocks(c jobs.Catalogue) []jobs.Stock {
	return sorted(c.Stocks, func(s jobs.Stock) bool { return s.Active }, func(s jobs.Stock) string { return s.Name })
}

func sortedSolutions(c jobs.Catalogue) []jobs.Solution {
	return sorted(c.Solutions, func(s jobs.Solution) bool { return s.Active }, func(s jobs.Solution) string { return s.Name })
}

func sortedLines(c jobs.Catalogue) []jobs.Line {
	return sorted(c.Lines, func(l jobs.Line) bool { return l.Active }, func(l jobs.Line) string { return l.Name })
}

package server

import (
	"net/http"
	"slices"
	"strings"
	"time"

	"github.com/labstack/echo/v4"

	"wetside/jobs"
	"wetside/web"
)

// forecastPages show what is to come: the morning list, and when work is done
// by itself.
type forecastPages struct{ *site }

func forecastRoutes(s *site) []Route {
	const get, post = http.MethodGet, http.MethodPost
	p := forecastPages{s}
	return []Route{
		{get, "/chemistry/morning", "morning list", StaffOnly, "", nil, p.morning},
		{get, "/chemistry/schedules", "schedules", OwnerOnly, "", nil, p.schedules},
		{get, "/chemistry/schedules/:work", "schedule form", OwnerOnly, "", nil, p.scheduleForm},
		{post, "/chemistry/schedules/:work", "save a schedule", OwnerOnly, "", nil, p.saveSchedule},
	}
}

// morning shows the list, written anew.
func (p forecastPages) morning(c echo.Context) error {
	list, err := p.services.Morning.Morning(c.Request().Context())
	if err != nil {
		return err
	}
	d := p.desk(c)
	page := &web.MorningPage{
		Frame: web.Frame{Title: "Morning list"}, Written: d.moment(list.At),
		Date: web.Moment{Stamp: list.Day.Format(time.DateOnly), Words: list.Day.Format("Monday 2 January")},
	}
	page.Open, page.Urgent = list.Open()
	page.Done = len(list.Items) - page.Open
	for _, group := range jobs.MorningGroups {
		shown := web.MorningGroup{ID: strings.ReplaceAll(string(group), " ", "-"), Name: sentence(string(group))}
		for _, item := range list.Items {
			if item.Group == group {
				shown.Lines = append(shown.Lines, p.morningLine(item, d))
			}
		}
		if len(shown.Lines) > 0 {
			page.Groups = append(page.Groups, shown)
		}
	}
	return p.show(c, http.StatusOK, page)
}

func (s *site) morningLine(item jobs.MorningItem, d desk) web.MorningLine {
	return web.MorningLine{
		What: item.What, Where: item.Where, Why: sentence(strings.TrimSuffix(item.Why, ".")) + ".", Urgent: item.Urgent,
		Done: d.moment(item.Done), Path: s.morningPath(item),
	}
}

// urgentShown is how many urgent things stand on the page of the day: the film
// that waits must not be pushed out of sight.
const urgentShown = 4

// morningShort is the list as the page of the day shows it: how much there is,
// and what is urgent.
func (s *site) morningShort(list jobs.MorningList, d desk) web.MorningShort {
	short := web.MorningShort{Written: d.moment(list.At)}
	short.Open, short.Urgent = list.Open()
	for _, item := range list.Items {
		if item.Urgent && item.Done.IsZero() && len(short.Lines) < urgentShown {
			short.Lines = append(short.Lines, s.morningLine(item, d))
		}
	}
	short.More = short.Urgent - len(short.Lines)
	return short
}

// morningPath is where something on the list is seen to.
func (s *site) morningPath(item jobs.MorningItem) string {
	switch {
	case item.Fill != 0:
		return fillPath(item.Fill)
	case item.Batch != 0:
		return batchPath(item.Batch)
	case item.Container != 0:
		return s.addressed("/chemistry/waste")
	case item.Box != 0 || item.Strips != jobs.ControlKey{}:
		return s.addressed("/chemistry/strips")
	}
	return s.addressed("/chemistry/stock")
}

// addressed is an address if anything is there, and "" otherwise.
func (s *site) addressed(path string) string {
	if slices.ContainsFunc(s.routes, func(r Route) bool { return r.Path == path }) {
		return path
	}
	return ""
}

package server

import (
	"slices"
	"strings"

	"github.com/labstack/echo/v4"

	"wetside/web"
)

// chemistryParts are the pages that the chemistry is divided into, in the order
// of a day.
var chemistryParts = []web.Link{
	{Label: "Tanks", Path: "/chemistry"},
	{Label: "Morning list", Path: "/chemistry/morning"},
	{Label: "Stock and mixes", Path: "/chemistry/stock"},
	{Label: "Control strips", Path: "/chemistry/strips"},
	{Label: "Waste", Path: "/chemistry/waste"},
	{Label: "Trace", Path: "/chemistry/trace"},
	{Label: "Inspections", Path: "/chemistry/inspections"},
	{Label: "What if", Path: "/chemistry/what-if"},
	{Label: "Schedules", Path: "/chemistry/schedules"},
}

// partsOfChemistry links the parts of the chemistry that whoever asks may see;
// none on a page that belongs to none.
func (s *site) partsOfChemistry(c echo.Context) []web.Link {
	here := c.Path()
	if here != "/fills/:id" && here != "/chemistry" && !strings.HasPrefix(here, "/chemistry/") {
		return nil
	}
	var links []web.Link
	for _, part := range chemistryParts {
		if slices.ContainsFunc(s.routes, func(r Route) bool { return r.Path == part.Path && decide(r.Access, roleOf(c)) == enter }) {
			part.Current = part.Path == here
			links = append(links, part)
		}
	}
	return links
}

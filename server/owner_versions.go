package server

import (
	"net/http"

	"github.com/labstack/echo/v4"

	"wetside/jobs"
	"wetside/web"
)

// versions shows how a recipe came to be what it is, the latest version first.
// Whoever works here may read it: the fills in the tanks ran by it.
func (p solutionPages) versions(c echo.Context) error {
	id, err := keyInPath(c)
	if err != nil {
		return err
	}
	versions, err := p.services.Catalogue.RecipeVersions(c.Request().Context(), jobs.SolutionID(id))
	if err != nil {
		return err
	}
	d := p.desk(c)
	name := versions[0].Name
	page := &web.VersionsPage{OwnerFrame: ownerFrame("/solutions", name+", versions", faults{}), Name: name}
	if roleOf(c).May(jobs.Owner) {
		page.Form = entryPath("/solutions", jobs.SolutionID(id))
	} else {
		page.Sections = nil // the rest of the set-up is the owner's
	}
	for i, version := range versions {
		row := web.VersionRow{Version: version.Version, At: d.moment(version.At), By: version.By, Latest: i == 0, First: i == len(versions)-1}
		for _, line := range version.Says() {
			row.Says = append(row.Says, web.Said(line))
		}
		if !row.First {
			for _, change := range jobs.RecipeChanges(versions[i+1].Solution, version.Solution) {
				row.Changes = append(row.Changes, web.RecipeChange(change))
			}
		}
		page.Versions = append(page.Versions, row)
	}
	return p.show(c, http.StatusOK, page)
}

// versionsPath is where the versions of a recipe are listed.
func versionsPath(id jobs.SolutionID) string { return entryPath("/solutions", id) + "/versions" }

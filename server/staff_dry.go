package server

import (
	"net/http"
	"strings"

	"github.com/labstack/echo/v4"

	"wetside/jobs"
	"wetside/web"
)

// drySideListed is how many rolls each list of the dry side shows.
const drySideListed = 100

// drySide shows what hangs and what is being finished. A roll that is scanned
// stands on top with its next step under the Enter key: the scanner's own Enter
// only finds it, so that reading a number twice moves nothing twice.
func (p staffPages) drySide(c echo.Context) error {
	ctx := c.Request().Context()
	code := strings.TrimSpace(c.QueryParam("code"))
	d := p.desk(c)
	var wrong faults
	page := &web.DrySidePage{Frame: web.Frame{Title: "Dry side"}}
	if code != "" {
		scanned, err := p.services.Rolls.RollByTwinCheck(ctx, code)
		switch {
		case jobs.CodeOf(err) == jobs.NotFound:
			wrong.add("code", "there is no roll %q", code)
			wrong.code = http.StatusNotFound
		case err != nil:
			return err
		case nextOnDrySide[scanned.State] == "":
			wrong.add("code", "%s is %s; it is not on the dry side", rollName(scanned.Roll), scanned.State)
			wrong.code = http.StatusConflict
		default:
			page.Scanned = append(page.Scanned, d.line(scanned))
		}
	}
	for state, list := range map[jobs.RollState]*[]web.RollLine{jobs.Drying: &page.Drying, jobs.Finishing: &page.Finishing} {
		rolls, err := p.services.Rolls.Rolls(ctx, jobs.RollQuery{States: []jobs.RollState{state}, Limit: drySideListed})
		if err != nil {
			return err
		}
		*list = d.lines(rolls)
	}
	if len(wrong.list) == 0 {
		code = ""
	}
	page.Scan = web.Field{Kind: web.Text, Name: "code", Label: "Scan a roll", Value: code, Required: true, Autocomplete: "off",
		Focus: len(page.Scanned) == 0, Error: wrong.of("code"), Hint: "Then Enter takes its next step."}
	page.Problems = wrong.problems()
	return p.show(c, wrong.status(), page)
}

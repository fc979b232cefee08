package server

import (
	"net/url"
	"strconv"
	"strings"

	"github.com/labstack/echo/v4"

	"wetside/jobs"
	"wetside/web"
)

// rolls lists rolls by state and by what is searched for.
func (p staffPages) rolls(c echo.Context) error {
	ctx := c.Request().Context()
	search, state := strings.TrimSpace(c.QueryParam("q")), c.QueryParam("state")
	query := jobs.RollQuery{Search: search, After: jobs.RollID(numberOr0(c.QueryParam("after"))), Limit: rollsPerPage + 1}
	if state != "" {
		query.States = []jobs.RollState{jobs.RollState(state)}
	}
	found, err := p.services.Rolls.Rolls(ctx, query)
	wrong, known := faultsOf(err)
	if err != nil && !known {
		return err
	}
	counts, err := p.services.Rolls.CountRolls(ctx)
	if err != nil {
		return err
	}
	page := &web.RollsPage{
		Frame: web.Frame{Title: "Rolls", Problems: wrong.problems()},
		Search: web.Field{Kind: web.Text, Name: "q", Label: "Find rolls", Value: search, Autocomplete: "off", Error: wrong.of("search"),
			Hint: "Twin-check, order number, 1042/1, or part of a name."},
		State: state,
		Tabs:  rollTabs(state, search, counts),
	}
	if len(found) > rollsPerPage {
		found = found[:rollsPerPage]
		page.Later = "/rolls?" + url.Values{"q": {search}, "state": {state}, "after": {keyText(found[rollsPerPage-1].ID)}}.Encode()
	}
	page.Rolls = p.desk(c).lines(found)
	return p.show(c, wrong.status(), page)
}

// rollsPerPage is how many rolls one page lists.
const rollsPerPage = 60

// rollTabs lead to the rolls of each state; the ended ones are not counted,
// because there is no end to them.
func rollTabs(chosen, search string, counts map[jobs.RollState]int) []web.Tab {
	link := func(state, label string) web.Link {
		query := url.Values{}
		if state != "" {
			query.Set("state", state)
		}
		if search != "" {
			query.Set("q", search)
		}
		path := "/rolls"
		if len(query) > 0 {
			path += "?" + query.Encode()
		}
		return web.Link{Label: label, Path: path, Current: state == chosen}
	}
	tabs := []web.Tab{{Link: link("", "All"), Count: -1}}
	for _, state := range jobs.RollStates {
		tab := web.Tab{Link: link(string(state), sentence(string(state))), Count: -1}
		if !state.Ended() {
			tab.Count = counts[state]
		}
		tabs = append(tabs, tab)
	}
	return tabs
}

// numberOr0 reads a number out of an address; what is none is 0.
func numberOr0(text string) int64 {
	n, err := strconv.ParseInt(text, 10, 64)
	if err != nil || n < 0 {
		return 0
	}
	return n
}

// keyText writes a key as forms and addresses carry it.
func keyText[K ~int64](key K) string { return strconv.FormatInt(int64(key), 10) }

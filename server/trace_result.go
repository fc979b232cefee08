package server

import (
	"fmt"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"github.com/labstack/echo/v4"

	"wetside/jobs"
	"wetside/web"
)

// tracedPerPage is how many rolls of a trace one page lists.
const tracedPerPage = 100

// result shows the rolls of a trace: those of the chosen state, by order, a
// page at a time.
func (p tracePages) result(c echo.Context, form traceForm, trace jobs.Trace, d desk, wrong faults) *web.TraceResult {
	values := c.QueryParams()
	if posted := c.Request().PostForm; len(posted) > 0 {
		values = posted
	}
	state := jobs.RollState(values.Get("state"))
	shown := slices.DeleteFunc(slices.Clone(trace.Rolls), func(r jobs.TracedRoll) bool { return state != "" && r.State != state })
	page, pages := pageOf(shown, values.Get("page"), tracedPerPage)
	result := &web.TraceResult{
		Name: causeWords(trace.Cause, trace.Name), About: p.aboutCause(trace.Cause), Say: traceSays[trace.Kind], Span: d.span(trace),
		Total: len(trace.Rolls), Chosen: string(state), Tabs: traceTabs(form, trace, state),
		Orders: d.tracedOrders(page, values["roll"]), Pages: pageLinks(form.stated(state), values.Get("page"), pages),
		Message: "/chemistry/trace/message?" + form.values().Encode(),
		Hidden:  append(hiddenFields(form), hiddenPlace(state, values.Get("page"))...),
	}
	for _, roll := range trace.Rolls {
		switch {
		case roll.Marked != 0 || roll.State == jobs.Spoiled:
		case roll.State == jobs.Delivered:
			result.Away++
		default:
			result.Markable++
		}
	}
	t := typed{values, wrong}
	result.Why = hinted(required(t.field(web.Text, "why", "What to look for, and why", "")), "Whoever looks at the rolls reads it.")
	result.WithAway = web.Field{Kind: web.Checkbox, Name: "delivered", Checked: values.Get("delivered") != "",
		Label: "Also mark film that is back with its owner", Hint: "To be asked about; nothing holds it back."}
	return result
}

// traceSays tells what stands in a list.
var traceSays = map[jobs.CauseKind]string{
	jobs.FromFill:  "All film that went through this fill, with what runs in it now.",
	jobs.FromMix:   "All film that met this mix: in tanks poured, replenished or topped up from it, from the moment it had gone in.",
	jobs.FromLot:   "All film that met a mix made from this lot, from the moment the mix had gone in.",
	jobs.FromStrip: "All film of batches in this line and process that were started after the last strip in control, up to the next one.",
}

// span says from when to when a cause reaches.
func (d desk) span(trace jobs.Trace) string {
	words := ""
	switch {
	case !trace.From.IsZero() && trace.Kind == jobs.FromStrip:
		words = "Last strip in control: " + d.due(trace.From).Words
	case trace.Kind == jobs.FromStrip:
		words = "No strip in control stands before it"
	case !trace.From.IsZero():
		words = "From " + d.due(trace.From).Words
	}
	switch {
	case trace.Until.IsZero() && trace.Kind == jobs.FromStrip:
		return words + "; none in control since, so everything up to now."
	case trace.Kind == jobs.FromStrip:
		return words + "; the next one: " + d.due(trace.Until).Words + "."
	case trace.Until.IsZero():
		return words + " up to now."
	}
	return words + " to " + d.due(trace.Until).Words + "."
}

// stated is the trace's address with the rolls of one state chosen.
func (f traceForm) stated(state jobs.RollState) url.Values {
	values := f.values()
	if state != "" {
		values.Set("state", string(state))
	}
	return values
}

// traceTabs lead to the rolls of each state there is.
func traceTabs(form traceForm, trace jobs.Trace, chosen jobs.RollState) []web.Tab {
	tab := func(state jobs.RollState, label string, count int) web.Tab {
		return web.Tab{Link: web.Link{Label: label, Path: "/chemistry/trace?" + form.stated(state).Encode(), Current: state == chosen}, Count: count}
	}
	tabs := []web.Tab{tab("", "All", len(trace.Rolls))}
	counts := trace.Counts()
	for _, state := range jobs.RollStates {
		if counts[state] > 0 {
			tabs = append(tabs, tab(state, sentence(string(state)), counts[state]))
		}
	}
	return tabs
}

// pageOf is a page of a list, from 1, and how many there are.
func pageOf[T any](list []T, text string, size int) (page []T, pages int) {
	pages = max(1, (len(list)+size-1)/size)
	n := int(min(max(1, numberOr0(text)), int64(pages)))
	return list[(n-1)*size : min(n*size, len(list))], pages
}

// pageLinks lead to the pages of a list; none where there is one page.
func pageLinks(values url.Values, text string, pages int) []web.Link {
	if pages == 1 {
		return nil
	}
	current := min(max(1, numberOr0(text)), int64(pages))
	var links []web.Link
	for n := 1; n <= pages; n++ {
		values.Set("page", strconv.Itoa(n))
		links = append(links, web.Link{Label: strconv.Itoa(n), Path: "?" + values.Encode(), Current: int64(n) == current})
	}
	return links
}

// hiddenPlace carries along which part of a list somebody looks at.
func hiddenPlace(state jobs.RollState, page string) []web.Hidden {
	var hidden []web.Hidden
	if state != "" {
		hidden = append(hidden, web.Hidden{Name: "state", Value: string(state)})
	}
	if page != "" {
		hidden = append(hidden, web.Hidden{Name: "page", Value: page})
	}
	return hidden
}

// tracedOrders puts rolls, which are sorted by it, under their orders.
func (d desk) tracedOrders(rolls []jobs.TracedRoll, chosen []string) []web.TracedOrder {
	var orders []web.TracedOrder
	for _, roll := range rolls {
		if n := len(orders); n == 0 || orders[n-1].Order != int64(roll.Order) {
			orders = append(orders, web.TracedOrder{Order: int64(roll.Order), Customer: roll.CustomerName, Email: roll.Email, Phone: roll.Phone})
		}
		line := web.TracedRoll{RollLine: d.line(roll.RollView), Batch: int64(roll.Run), Line: roll.LineName, When: d.moment(roll.StartedAt)}
		line.Ticked = hasValue(chosen, keyText(roll.ID))
		switch {
		case roll.Open && roll.State == jobs.Delivered:
			line.Mark = web.Chip{Class: "hold", Word: "With its owner"}
		case roll.Open:
			line.Mark = web.Chip{Class: "hold", Word: "To be looked at"}
		case roll.Marked != 0:
			line.Mark = web.Chip{Class: "done", Word: "Looked at"}
		default:
			line.Tickable = roll.State != jobs.Spoiled
		}
		last := &orders[len(orders)-1]
		last.Rolls = append(last.Rolls, line)
	}
	return orders
}

// mark marks the ticked rolls of a trace, or all of them, for inspection.
func (p tracePages) mark(c echo.Context) error {
	var form struct {
		traceForm
		Why       string `form:"why"`
		Delivered bool   `form:"delivered"`
		Do        string `form:"do"`
	}
	if err := readForm(c, &form.traceForm); err != nil {
		return err
	}
	if err := readForm(c, &form); err != nil {
		return err
	}
	var wrong faults
	marking := jobs.Marking{TraceQuery: form.query(p.desk(c).zone, &wrong), Why: form.Why, Delivered: form.Delivered}
	if form.Do != "all" {
		keys, err := ticked(c, "roll")
		if err != nil {
			return err
		}
		if len(keys) == 0 {
			wrong.add("roll", "tick the rolls to mark, or mark all of them")
		}
		for _, key := range keys {
			marking.Rolls = append(marking.Rolls, jobs.RollID(key))
		}
	}
	err := wrong.err()
	var marked jobs.Marked
	if err == nil {
		marked, err = p.services.Inspections.Mark(c.Request().Context(), actorOf(c), marking)
	}
	if found, ok := traceFaults(err); err != nil && ok {
		return p.showTrace(c, form.traceForm, found)
	}
	if err != nil {
		return err
	}
	return p.done(c, form.path(), markedWords(marked))
}

// markedWords says what became of the rolls of a marking.
func markedWords(m jobs.Marked) string {
	words := []string{counted(len(m.Marked), "roll is", "rolls are") + " marked for inspection."}
	add := func(n int, one, many, rest string) {
		if n > 0 {
			words = append(words, counted(n, one, many)+" "+rest)
		}
	}
	add(len(m.Already), "was", "were", "marked before.")
	add(len(m.Delivered), "is", "are", "back with the owner and not marked: write a message.")
	add(len(m.Spoiled), "is", "are", "spoiled anyway.")
	return strings.Join(words, " ")
}

// aboutCause is the page of a cause, where there is one.
func (p tracePages) aboutCause(cause jobs.Cause) web.Link {
	path, label := map[jobs.CauseKind]string{
		jobs.FromFill: "/fills/:id", jobs.FromMix: "/chemistry/mixes/:id", jobs.FromLot: "/chemistry/lots/:id", jobs.FromStrip: "/chemistry/strip/:id",
	}[cause.Kind], fmt.Sprintf("To %s %d", cause.Kind, cause.ID)
	if !slices.ContainsFunc(p.routes, func(r Route) bool { return r.Path == path }) {
		return web.Link{}
	}
	return web.Link{Label: label, Path: strings.Replace(path, ":id", strconv.FormatInt(cause.ID, 10), 1)}
}

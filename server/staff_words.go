package server

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"

	"github.com/labstack/echo/v4"

	"wetside/chemistry"
	"wetside/jobs"
	"wetside/web"
)

// desk is where and when somebody at the lab looks at something.
type desk struct {
	now  time.Time
	zone *time.Location
}

func (s *site) desk(c echo.Context) desk {
	return desk{s.options.Now(), s.lab.get(c.Request().Context()).zone}
}

// moment writes a time as people at the lab say it: the hour alone today, with
// the day otherwise.
func (d desk) moment(t time.Time) web.Moment {
	if t.IsZero() {
		return web.Moment{}
	}
	local := t.In(d.zone)
	words := local.Format("15:04")
	switch days := d.daysTo(t); {
	case days == 1:
		words = "tomorrow " + words
	case days == -1:
		words = "yesterday " + words
	case days != 0:
		words = local.Format("Mon 2 Jan ") + words
	}
	return web.Moment{Stamp: local.Format(time.RFC3339), Words: words}
}

// due writes when something is due.
func (d desk) due(t time.Time) web.Moment {
	m := d.moment(t)
	if d.daysTo(t) == 0 {
		m.Words = "today " + m.Words
	}
	return m
}

// daysTo counts the midnights from now to a time.
func (d desk) daysTo(t time.Time) int {
	midnight := func(t time.Time) time.Time {
		local := t.In(d.zone)
		return time.Date(local.Year(), local.Month(), local.Day(), 0, 0, 0, 0, time.UTC)
	}
	return int(midnight(t).Sub(midnight(d.now)).Hours() / 24)
}

// stateClasses give every state a shape.
var stateClasses = map[jobs.RollState]string{
	jobs.Expected: "wait", jobs.Received: "hold", jobs.Held: "hold", jobs.Queued: "wait", jobs.Batched: "work",
	jobs.Developing: "work", jobs.Drying: "work", jobs.Finishing: "work", jobs.Ready: "ready", jobs.Delivered: "done",
	jobs.Cancelled: "bad", jobs.Spoiled: "bad",
}

func rollChip(state jobs.RollState) web.Chip {
	return web.Chip{Class: stateClasses[state], Word: sentence(string(state))}
}

var orderClasses = map[jobs.OrderState]string{
	jobs.OrderExpected: "wait", jobs.OrderHeld: "hold", jobs.OrderInWork: "work", jobs.OrderPartReady: "work",
	jobs.OrderReady: "ready", jobs.OrderDelivered: "done", jobs.OrderEnded: "bad",
}

func orderChip(state jobs.OrderState) web.Chip {
	return web.Chip{Class: orderClasses[state], Word: sentence(string(state))}
}

var batchClasses = map[jobs.BatchState]string{
	jobs.BatchAccepted: "wait", jobs.BatchLocked: "hold", jobs.BatchDeveloping: "work",
	jobs.BatchFinished: "done", jobs.BatchStopped: "bad", jobs.BatchCancelled: "bad",
}

func batchChip(state jobs.BatchState) web.Chip {
	return web.Chip{Class: batchClasses[state], Word: sentence(string(state))}
}

// stateSays tells staff what a state means and what comes next.
var stateSays = map[jobs.RollState]string{
	jobs.Expected:   "Ordered, and not here yet. Check it in when it is unpacked.",
	jobs.Received:   "Here, with something left open. Queue it when that is settled, or hold it with a question.",
	jobs.Held:       "Waits for an answer. The answer moves it on.",
	jobs.Queued:     "Ready to be developed. The plan puts it into a batch.",
	jobs.Batched:    "In an open batch. Starting the batch moves it on.",
	jobs.Developing: "In the chemistry. Finishing or stopping its batch moves it on.",
	jobs.Drying:     "Developed, and hanging to dry.",
	jobs.Finishing:  "Dry. It is cut, sleeved, scanned and checked as ordered.",
	jobs.Ready:      "Waits to leave. The counter hands it out or posts it.",
	jobs.Delivered:  "Back with its owner.",
	jobs.Cancelled:  "Called off before it was developed.",
	jobs.Spoiled:    "Ruined.",
}

// nextOnDrySide names the step that a roll takes next.
var nextOnDrySide = map[jobs.RollState]string{
	jobs.Drying:    "Dry: on to finishing",
	jobs.Finishing: "Finished: ready to leave",
}

// line is a roll as it stands in a list.
func (d desk) line(roll jobs.RollView) web.RollLine {
	return web.RollLine{
		ID: int64(roll.ID), Order: int64(roll.Order), Version: roll.Version,
		TwinCheck: roll.TwinCheck, Label: roll.Label(),
		Film: filmWords(roll.StockName, roll.Format, roll.Exposures), Asked: askedWords(roll.Roll),
		Customer: roll.CustomerName, Service: serviceWords(roll.Service), State: rollChip(roll.State),
		Since: d.moment(roll.Since), Due: d.dueOf(roll.Roll), Question: sentence(roll.Question), Next: nextOnDrySide[roll.State],
		Inspect: roll.Inspect,
	}
}

// dueOf is when a roll is due; ready ones have kept their word.
func (d desk) dueOf(roll jobs.Roll) web.Due {
	return web.Due{Moment: d.due(roll.Due), Late: d.now.After(roll.Due) && !roll.State.Ended() && roll.State != jobs.Ready}
}

func (d desk) lines(rolls []jobs.RollView) []web.RollLine {
	lines := make([]web.RollLine, len(rolls))
	for i, roll := range rolls {
		lines[i] = d.line(roll)
	}
	return lines
}

// viewsOf puts beside the rolls of an order what is shown with them.
func viewsOf(order jobs.Order, c jobs.Catalogue) []jobs.RollView {
	views := make([]jobs.RollView, len(order.Rolls))
	for i, roll := range order.Rolls {
		views[i] = jobs.RollView{Roll: roll, StockName: c.Stocks[roll.Stock].Name, CustomerName: order.Name, Return: order.Return}
	}
	return views
}

// rollName is what a roll is called at the lab.
func rollName(roll jobs.Roll) string {
	if roll.TwinCheck != "" {
		return roll.TwinCheck
	}
	return roll.Label()
}

// history writes the record for people.
func (d desk) history(events []jobs.Event) []web.EventLine {
	lines := make([]web.EventLine, len(events))
	for i, e := range events {
		lines[i] = web.EventLine{
			At: d.moment(e.At), By: e.By.Name, What: sentence(e.Kind), From: e.From, To: e.To, Why: e.Why,
			Batch: int64(e.Batch), Roll: int64(e.Roll),
		}
		if e.From == e.To {
			lines[i].From = ""
		}
	}
	return lines
}

// batchWhat says what is developed in a batch, and how.
func batchWhat(b jobs.Batch, c jobs.Catalogue) string {
	words := string(b.Process)
	if b.Process == chemistry.BW {
		words += " in " + c.Solutions[b.Solution].Name
	}
	if b.Push == nil {
		return words + ", several levels together"
	}
	return words + ", " + pushWords(*b.Push)
}

// batchTodo is the next step of an open batch.
var batchTodo = map[jobs.BatchState]string{
	jobs.BatchAccepted:   "Run sheet",
	jobs.BatchLocked:     "Run sheet",
	jobs.BatchDeveloping: "Timers",
}

// batchLine is a batch as it stands in a list.
func (d desk) batchLine(b jobs.Batch, c jobs.Catalogue) web.BatchLine {
	begins := b.PlannedStart
	if !b.StartedAt.IsZero() {
		begins = b.StartedAt
	}
	ends := begins.Add(loadTime(b, c))
	if !b.EndedAt.IsZero() {
		ends = b.EndedAt
	}
	return web.BatchLine{
		ID: int64(b.ID), Version: b.Version, Line: b.LineName, What: batchWhat(b, c), State: batchChip(b.State),
		DevelopS: b.Develop, Start: d.moment(begins), End: d.moment(ends), Rolls: d.lines(b.Rolls), Todo: batchTodo[b.State],
		Late: b.State == jobs.BatchDeveloping && d.now.After(ends) ||
			b.State.Open() && b.State != jobs.BatchDeveloping && d.now.After(begins.Add(lateAfter)),
	}
}

// lateAfter is how long after its planned start a batch counts as late.
const lateAfter = 10 * time.Minute

// loadTime is how long a batch holds its line.
func loadTime(b jobs.Batch, c jobs.Catalogue) time.Duration {
	return time.Duration(c.Lines[b.Line].Turnaround+b.Develop) * time.Second
}

// degrees writes a temperature in °C with the figures it has.
func degrees(celsius float64) string {
	return strconv.FormatFloat(math.Round(celsius*100)/100, 'f', -1, 64)
}

// tempWords writes what is known of a step's temperature: "37.8 ± 0.15 °C",
// "24 to 41 °C", "up to 60 °C".
func tempWords(temp, low, high float64) string {
	switch {
	case temp != 0 && high > temp:
		return fmt.Sprintf("%s ± %s °C", degrees(temp), degrees(high-temp))
	case temp != 0:
		return degrees(temp) + " °C"
	case low != 0 && high != 0:
		return fmt.Sprintf("%s to %s °C", degrees(low), degrees(high))
	case high != 0:
		return "up to " + degrees(high) + " °C"
	}
	return ""
}

// listWords joins words as they are read out: "a, b and c".
func listWords(words []string) string {
	if len(words) < 2 {
		return strings.Join(words, "")
	}
	return strings.Join(words[:len(words)-1], ", ") + " and " + words[len(words)-1]
}

// counted writes a count with its noun.
func counted(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}

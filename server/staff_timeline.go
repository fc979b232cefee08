package server

import (
	"slices"
	"strconv"
	"time"

	"wetside/jobs"
	"wetside/web"
)

// leastSpan is the shortest time that a timeline shows.
const leastSpan = 4 * time.Hour

// spanOf is the time that a timeline shows: from the full hour before the
// earliest batch, or the start, to the full hour after the last.
func (d desk) spanOf(bars []taken, start time.Time) (from, until time.Time) {
	from, until = start, start.Add(leastSpan)
	for _, bar := range bars {
		if bar.from.Before(from) {
			from = bar.from
		}
		if bar.until.After(until) {
			until = bar.until
		}
	}
	local := from.In(d.zone)
	from = time.Date(local.Year(), local.Month(), local.Day(), local.Hour(), 0, 0, 0, d.zone)
	return from, until.Add(time.Hour - time.Second).Truncate(time.Hour)
}

// taken is a line that is taken for a while.
type taken struct {
	line        jobs.LineID
	from, until time.Time
	class, word string
	title       string
}

// timeline draws when each line will be taken, by open batches, which may run
// later than they were planned, and by proposed ones.
func (d desk) timeline(proposal jobs.Proposal, open []jobs.Batch, c jobs.Catalogue) web.Timeline {
	var bars []taken
	add := func(b jobs.Batch, slot jobs.Slot, class, word, first string) {
		title := word + ": " + batchWhat(b, c) + ", " + d.moment(slot.From).Words + " to " + d.moment(slot.Until).Words
		if first != "" {
			title += "; " + first
			word += " !"
		}
		bars = append(bars, taken{b.Line, slot.From, slot.Until, class, word, title})
	}
	start := d.now // nights and closed days are not drawn when nothing runs
	switch {
	case len(open) == 0:
		start = proposal.From
	case !slices.ContainsFunc(open, func(b jobs.Batch) bool { return b.State == jobs.BatchDeveloping }):
		start = c.Lab.PlannedFrom(d.now)
	}
	slots := c.Slots(open, start)
	for i, b := range open {
		class := "open"
		if b.State == jobs.BatchDeveloping {
			class = "running"
		}
		add(b, slots[i], class, keyText(b.ID), proposal.First[b.ID])
	}
	for i, b := range proposal.Batches {
		add(b.Batch, jobs.Slot{From: b.PlannedStart, Until: b.End}, "proposed", "P"+strconv.Itoa(i+1), b.First)
	}
	if len(bars) == 0 {
		return web.Timeline{}
	}
	from, until := d.spanOf(bars, start)
	share := func(t time.Time) float64 { return 100 * float64(t.Sub(from)) / float64(until.Sub(from)) }
	chart := web.Timeline{Label: "When each line is taken, from " + d.moment(from).Words + " to " + d.moment(until).Words}
	step := time.Hour
	for until.Sub(from)/step > 10 {
		step *= 2
	}
	for at := from; at.Before(until); at = at.Add(step) {
		chart.Hours = append(chart.Hours, web.Mark{X: share(at), Word: at.In(d.zone).Format("15:04")})
	}
	for _, line := range activeLines(c) {
		lane := web.Lane{Name: line.Name}
		for _, bar := range bars {
			if bar.line == line.ID {
				lane.Bars = append(lane.Bars, web.Bar{
					X: share(bar.from), Width: share(bar.until) - share(bar.from), Class: bar.class, Word: bar.word, Title: bar.title,
				})
			}
		}
		chart.Lanes = append(chart.Lanes, lane)
	}
	return chart
}

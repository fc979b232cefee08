package server

import (
	"fmt"
	"strings"
	"time"

	"wetside/jobs"
	"wetside/web"
)

// closedSoon is how long ahead customers are told of closed days.
const closedSoon = 60 * 24 * time.Hour

// opening says to customers when a lab is open.
func opening(lab jobs.Lab, now time.Time) web.Opening {
	words := web.Opening{Hours: fmt.Sprintf("Open %s, %d:00 to %d:00", openWeekdays(lab.ClosedOn), lab.OpensAt, lab.ClosesAt)}
	for _, closure := range lab.ComingClosures(now) {
		if !closure.From.After(lab.Today(now.Add(closedSoon))) {
			words.Closed = append(words.Closed, closure.Days()+": "+closure.Name)
		}
	}
	return words
}

// openWeekdays names the weekdays that are not closed: "Monday to Friday and
// Sunday".
func openWeekdays(closed jobs.Weekdays) string {
	if closed == 0 {
		return "every day"
	}
	var runs [][]string
	open := false
	for _, day := range jobs.Week {
		if closed.Has(day) {
			open = false
			continue
		}
		if !open {
			runs, open = append(runs, nil), true
		}
		runs[len(runs)-1] = append(runs[len(runs)-1], day.String())
	}
	var words []string
	for _, run := range runs {
		if len(run) > 2 {
			run = []string{run[0] + " to " + run[len(run)-1]}
		}
		words = append(words, run...)
	}
	if last := len(words) - 1; last > 0 {
		return strings.Join(words[:last], ", ") + " and " + words[last]
	}
	return words[0]
}

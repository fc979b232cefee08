package server

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/labstack/echo/v4"

	"wetside/chemistry"
	"wetside/jobs"
	"wetside/web"
)

// addOutlook says on a fill's card what is foretold of it.
func addOutlook(card *web.FillCard, o jobs.Outlook) {
	card.Outlook = o.Says
	if o.Cause != jobs.ReplenisherOut {
		card.RunsOut = runsOutWords(o.RunsOut)
	}
}

// addCourse puts the course of a fill on its page.
func (p fillPages) addCourse(c echo.Context, page *web.FillPage, id jobs.FillID, solution jobs.Solution, d desk) error {
	course, err := p.services.Forecasts.Course(c.Request().Context(), id)
	if err != nil {
		return err
	}
	if course.Outlook.Fill != 0 {
		addOutlook(&page.Fill, course.Outlook)
	}
	page.Course = courseWords(course, solution, d)
	return nil
}

// courseWords draws a course, and puts it into a table.
func courseWords(course jobs.FillCourse, solution jobs.Solution, d desk) web.FillCourse {
	shown := web.FillCourse{
		Says:    course.Outlook.Says,
		Used:    solution.CapacityM2PerL > 0 && (solution.Use != chemistry.Replenished || solution.Replenisher.MLPerM2 > 0),
		Bromide: solution.Bromide != (chemistry.BromideFigures{}),
	}
	if shown.Used {
		chart := plotted{
			id: "used", title: "Capacity used", unit: "%", limit: 100, limitLabel: "all of it", least: 110, most: 125,
			past: func(p chemistry.CoursePoint) float64 { return 100 * p.CapacityUsed },
			ahead: func(a jobs.CourseAhead) (mid, low, high float64) {
				return 100 * a.Used, 100 * a.LowUsed, 100 * a.HighUsed
			},
		}
		shown.Charts = append(shown.Charts, chart.draw(course, d))
	}
	if shown.Bromide {
		chart := plotted{
			id: "bromide", title: "Bromide", unit: "g/L as KBr", least: 0.1, most: math.Inf(1),
			past:  func(p chemistry.CoursePoint) float64 { return p.BromideGPerL },
			ahead: func(a jobs.CourseAhead) (mid, low, high float64) { return a.Bromide, a.LowBromide, a.HighBromide },
		}
		shown.Charts = append(shown.Charts, chart.draw(course, d))
	}
	shown.Rows = courseRows(course, d)
	for _, stored := range course.Stored {
		shown.Stored = append(shown.Stored, web.StoredForecast{Day: dayMoment(stored.Day), Says: stored.Says})
	}
	return shown
}

// dayMoment writes a calendar day.
func dayMoment(day time.Time) web.Moment {
	return web.Moment{Stamp: day.Format(time.DateOnly), Words: day.Format("Mon 2 Jan 2006")}
}

// plotted is what one chart shows of a course.
type plotted struct {
	id, title, unit string
	limit           float64 // 0 for none
	limitLabel      string
	least, most     float64 // what the upper end of the axis is at least and at most
	past            func(chemistry.CoursePoint) float64
	ahead           func(jobs.CourseAhead) (mid, low, high float64)
	from, to        time.Time
	top             float64
}

// The frame of a chart within its picture; see the template "chart".
const (
	chartLeft, chartTop     = 40.0, 10.0
	chartWidth, chartHeight = 350.0, 190.0
	chartMarks              = 4 // along each axis, about
)

// draw works out where everything stands in the picture.
func (p plotted) draw(course jobs.FillCourse, d desk) web.Chart {
	p.frame(course, d)
	chart := web.Chart{ID: p.id, Title: p.title, Unit: p.unit, LimitLabel: p.limitLabel, Says: p.says(course)}
	var past, ahead, low, high []string
	for i, point := range course.Past {
		if i > 0 {
			past = append(past, p.point(point.At, p.past(course.Past[i-1]))) // it stays until film goes through
		}
		past = append(past, p.point(point.At, p.past(point)))
	}
	last := course.Past[len(course.Past)-1]
	if len(course.Ahead) > 0 {
		past = append(past, p.point(d.now, p.past(last)))
		ahead = append(ahead, p.point(d.now, p.past(last)))
	}
	for _, day := range course.Ahead {
		end := endOf(day.Day, d.zone)
		m, l, h := p.ahead(day)
		ahead, low, high = append(ahead, p.point(end, m)), append(low, p.point(end, l)), append(high, p.point(end, h))
	}
	chart.Past, chart.Ahead = strings.Join(past, " "), strings.Join(ahead, " ")
	if len(ahead) > 0 {
		slices.Reverse(low)
		chart.Band = strings.Join(slices.Concat(ahead[:1], high, low), " ")
		chart.Today = place(p.x(d.now))
	}
	if p.limit > 0 {
		chart.Limit = place(p.y(p.limit))
	}
	for value, step := 0.0, niceStep(p.top); value <= p.top; value += step {
		chart.Up = append(chart.Up, web.ChartMark{At: place(p.y(value)), Label: strconv.FormatFloat(math.Round(value*1e6)/1e6, 'f', -1, 64)})
	}
	days := max(1, int(math.Ceil(p.to.Sub(p.from).Hours()/24/chartMarks)))
	for at := endOf(calendar(p.from, d.zone), d.zone); at.Before(p.to); at = at.AddDate(0, 0, days) {
		chart.Across = append(chart.Across, web.ChartMark{At: place(p.x(at)), Label: at.Format("2 Jan")})
	}
	return chart
}

// frame finds what the axes have to hold.
func (p *plotted) frame(course jobs.FillCourse, d desk) {
	p.from, p.to = course.Past[0].At.In(d.zone), course.Past[len(course.Past)-1].At.In(d.zone)
	p.top = p.least
	for _, point := range course.Past {
		p.top = max(p.top, p.past(point)*1.05)
	}
	if n := len(course.Ahead); n > 0 {
		p.to = endOf(course.Ahead[n-1].Day, d.zone)
		for _, day := range course.Ahead {
			_, _, high := p.ahead(day)
			p.top = max(p.top, min(p.most, high*1.05))
		}
	}
	if !p.to.After(p.from.Add(24 * time.Hour)) {
		p.to = p.from.Add(24 * time.Hour)
	}
}

func (p plotted) x(at time.Time) float64 {
	return chartLeft + chartWidth*at.Sub(p.from).Seconds()/p.to.Sub(p.from).Seconds()
}

func (p plotted) y(value float64) float64 { return chartTop + chartHeight*(1-value/p.top) }

func (p plotted) point(at time.Time, value float64) string {
	return place(p.x(at)) + "," + place(p.y(value))
}

// says tells the chart to who does not see it.
func (p plotted) says(course jobs.FillCourse) string {
	text := fmt.Sprintf("%.3g %s now", p.past(course.Past[len(course.Past)-1]), p.unit)
	if n := len(course.Ahead); n > 0 {
		m, l, h := p.ahead(course.Ahead[n-1])
		text += fmt.Sprintf(", %.3g by %s (%.3g to %.3g)", m, course.Ahead[n-1].Day.Format("2 January"), l, h)
	}
	return text + ". The figures stand in the table below."
}

// place writes a length of the picture.
func place(length float64) string { return strconv.FormatFloat(math.Round(length*10)/10, 'f', -1, 64) }

// niceStep divides an axis into a few steps of 1, 2 or 5.
func niceStep(top float64) float64 {
	step := math.Pow(10, math.Floor(math.Log10(top/chartMarks)))
	for _, times := range []float64{1, 2, 5, 10} {
		if top/(step*times) <= chartMarks+1 {
			return step * times
		}
	}
	return step * 10
}

// endOf is the midnight that ends a calendar day.
func endOf(day time.Time, zone *time.Location) time.Time {
	return time.Date(day.Year(), day.Month(), day.Day()+1, 0, 0, 0, 0, zone)
}

// calendar is the day of a moment as midnight UTC.
func calendar(at time.Time, zone *time.Location) time.Time {
	local := at.In(zone)
	return time.Date(local.Year(), local.Month(), local.Day(), 0, 0, 0, 0, time.UTC)
}

// courseRows are the figures of a course: every day with film, then every week
// and the days on which it may run out.
func courseRows(course jobs.FillCourse, d desk) []web.CourseRow {
	var rows []web.CourseRow
	for i, point := range course.Past {
		day := calendar(point.At, d.zone)
		if i+1 < len(course.Past) && calendar(course.Past[i+1].At, d.zone).Equal(day) {
			continue // the last of a day counts
		}
		row := web.CourseRow{Day: dayMoment(day), Used: percentWords(point.CapacityUsed), Bromide: gramWords(point.BromideGPerL)}
		if calendar(course.Past[0].At, d.zone).Equal(day) {
			row.Note = "filled"
		}
		rows = append(rows, row)
	}
	out := course.Outlook.RunsOut
	for i, ahead := range course.Ahead {
		row := web.CourseRow{
			Day: dayMoment(ahead.Day), Ahead: true, Note: "foretold",
			Used: percentWords(ahead.Used), UsedRange: percentWords(ahead.LowUsed) + " to " + percentWords(ahead.HighUsed),
			Bromide: gramWords(ahead.Bromide), BromideEnd: gramWords(ahead.LowBromide) + " to " + gramWords(ahead.HighBromide),
		}
		switch {
		case ahead.Day.Equal(out.Date):
			row.Note = "runs out about now"
		case ahead.Day.Equal(out.Earliest):
			row.Note = "may run out from here on"
		case ahead.Day.Equal(out.Latest):
			row.Note = "has run out by now, nine times in ten"
		case i%7 != 0 && i != len(course.Ahead)-1:
			continue
		}
		rows = append(rows, row)
	}
	return rows
}

// percentWords writes a share, and gramWords a concentration in g/L.
func percentWords(share float64) string { return fmt.Sprintf("%.0f %%", 100*share) }
func gramWords(gPerL float64) string    { return fmt.Sprintf("%.2f g/L", gPerL) }

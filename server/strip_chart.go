package server

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"wetside/chemistry"
	"wetside/jobs"
	"wetside/web"
)

// chartRules are the rules by the numbers that stand in a drawing.
var chartRules = []chemistry.ChartRule{chemistry.OneBeyondThree, chemistry.TwoOfThree, chemistry.FourOfFive, chemistry.EightOnOneSide}

// Where the field of a drawing lies, in its own units.
const (
	plotWidth, plotHeight = 620, 232
	plotLeft, plotRight   = 96.0, 560.0
	plotTop, plotBottom   = 18.0, 206.0
)

// fillChart draws the series of a chart and lists its figures.
func (d desk) fillChart(page *web.StripChartPage, chart jobs.StripChart, series []jobs.StripSeries) {
	for i, one := range series {
		if i == 0 || one.Parameter != series[i-1].Parameter {
			layers := series[i:]
			if end := slices.IndexFunc(layers, func(s jobs.StripSeries) bool { return s.Parameter != one.Parameter }); end >= 0 {
				layers = layers[:end]
			}
			page.Plots = append(page.Plots, d.stripPlot(chart, layers))
		}
		if one.Settled {
			page.Own = append(page.Own, ownWords(one))
		}
	}
	if len(page.Own) == 0 && len(chart.Strips) > 0 {
		page.Few = "The line’s own scatter, and the rules that go by it, are shown from eight strips on that differ at all."
	}
	for i := len(chart.Strips) - 1; i >= 0; i-- {
		page.Rows = append(page.Rows, d.stripRow(chart, i, series))
	}
}

func seriesName(s jobs.StripSeries) string {
	return strings.TrimSpace(string(s.Parameter) + " " + s.Layer)
}

// ownWords say how a series runs by itself.
func ownWords(s jobs.StripSeries) web.StripOwn {
	last := len(s.Values) - 1
	own := web.StripOwn{
		Name: seriesName(s), Mean: deviation(s.Own.Mean), Low: deviation(s.Own.Lower), High: deviation(s.Own.Upper),
		Last: deviation(s.Values[last]), Average: deviation(s.Average.Values[last]), Rules: "none",
	}
	if rules := s.RulesAt(last); len(rules) > 0 {
		own.Rules = strings.Join(rules, "; ")
	}
	if slices.Contains(s.Average.Outside, last) {
		own.Average += ", beyond " + deviation(s.Average.Lower) + " to " + deviation(s.Average.Upper)
	}
	return own
}

// stripRow is one strip with its deviations and what is to be said of it.
func (d desk) stripRow(chart jobs.StripChart, at int, series []jobs.StripSeries) web.StripRow {
	strip := chart.Strips[at]
	figures := map[chemistry.StripParameter][]string{}
	var notes []string
	for _, one := range series {
		figures[one.Parameter] = append(figures[one.Parameter], deviation(one.Values[at]))
		for _, rule := range one.RulesAt(at) {
			notes = append(notes, seriesName(one)+": "+rule)
		}
	}
	said := func(parameter chemistry.StripParameter) string {
		if len(figures[parameter]) == 0 {
			return "–"
		}
		return strings.Join(figures[parameter], " / ")
	}
	row := web.StripRow{
		ID: int64(strip.ID), At: d.moment(strip.At), Verdict: verdictChips[strip.Result.Verdict],
		DMin: said(chemistry.ParameterDMin), LD: said(chemistry.ParameterSpeed), HDLD: said(chemistry.ParameterContrast),
		Spread: said(chemistry.ParameterSpread), Silver: said(chemistry.ParameterSilver),
	}
	if strip.Confirms != 0 {
		row.Notes = append(row.Notes, "Second strip, to confirm the one before")
	}
	if !strip.Release.At.IsZero() {
		row.Notes = append(row.Notes, releaseWords(strip.Release, d))
	}
	for _, fresh := range chart.Fresh {
		if !fresh.At.After(strip.At) && (at == 0 || fresh.At.After(chart.Strips[at-1].At)) {
			row.Notes = append(row.Notes, "Fresh fill before it: "+fresh.Solution)
		}
	}
	row.Notes = append(row.Notes, notes...)
	return row
}

// stripScale turns strips and deviations into places in the drawing.
type stripScale struct {
	strips    int
	low, high float64
}

func (s stripScale) x(at float64) float64 {
	return plotLeft + 14 + (plotRight-plotLeft-28)*(at+0.5)/float64(s.strips)
}

func (s stripScale) y(value float64) float64 {
	return plotBottom - (plotBottom-plotTop)*(value-s.low)/(s.high-s.low)
}

// scaleOf makes room for the limits and for every strip.
func scaleOf(layers []jobs.StripSeries) stripScale {
	limit := layers[0].Limit
	reach := math.Max(0.05, 1.2*math.Max(limit.Action, limit.Control))
	scale := stripScale{len(layers[0].Values), -reach, reach}
	if layers[0].Parameter == chemistry.ParameterSpread {
		scale.low = -reach / 8
	}
	for _, layer := range layers {
		for _, value := range layer.Values {
			scale.low, scale.high = math.Min(scale.low, value*1.1), math.Max(scale.high, value*1.1)
		}
	}
	return scale
}

// stripPlot draws one parameter.
func (d desk) stripPlot(chart jobs.StripChart, layers []jobs.StripSeries) web.StripPlot {
	scale := scaleOf(layers)
	plot := web.StripPlot{
		Title: sentence(string(layers[0].Parameter)), Width: plotWidth, Height: plotHeight, Left: plotLeft, Right: plotRight,
		Lines: scale.levels(layers[0].Limit), Label: plotLabel(layers),
	}
	step := max(1, (len(chart.Strips)+5)/6)
	for at, strip := range chart.Strips {
		if at%step == 0 {
			plot.Days = append(plot.Days, web.PlotWord{X: scale.x(float64(at)), Word: strip.At.In(d.zone).Format("2 Jan")})
		}
		if !strip.Release.At.IsZero() {
			plot.Marks = append(plot.Marks, web.PlotMark{X: scale.x(float64(at)), Class: "release", Word: releaseWords(strip.Release, d)})
		}
	}
	for _, fresh := range chart.Fresh {
		at := slices.IndexFunc(chart.Strips, func(s jobs.Strip) bool { return !s.At.Before(fresh.At) })
		if at < 0 {
			at = len(chart.Strips)
		}
		plot.Marks = append(plot.Marks, web.PlotMark{X: scale.x(float64(at) - 0.5), Class: "fresh", Word: "Fresh fill: " + fresh.Solution})
	}
	for i, layer := range layers {
		plot.Series = append(plot.Series, d.plotSeries(chart, scale, layer, i))
	}
	spreadNames(plot.Series)
	plot.Rules = scale.rules(layers)
	return plot
}

// levels are the aim and the limits around it.
func (s stripScale) levels(limit chemistry.StripLimit) []web.PlotLine {
	lines := []web.PlotLine{{Class: "aim", Word: "aim", Y: s.y(0)}}
	for _, one := range []struct {
		class string
		value float64
	}{{"action", limit.Action}, {"control", limit.Control}} {
		if one.value == 0 {
			continue
		}
		lines = append(lines, web.PlotLine{Class: one.class, Word: one.class + " " + deviation(one.value), Y: s.y(one.value)})
		if !limit.HighOnly {
			lines = append(lines, web.PlotLine{Class: one.class, Word: one.class + " " + deviation(-one.value), Y: s.y(-one.value)})
		}
	}
	return lines
}

// rules are the numbers of the rules that each strip breaks in any layer, above
// its highest point.
func (s stripScale) rules(layers []jobs.StripSeries) []web.PlotWord {
	var words []web.PlotWord
	for at := range s.strips {
		var numbers []string
		top := layers[0].Values[at]
		for i, rule := range chartRules {
			if slices.ContainsFunc(layers, func(l jobs.StripSeries) bool { return slices.Contains(l.RulesAt(at), string(rule)) }) {
				numbers = append(numbers, strconv.Itoa(i+1))
			}
		}
		for _, layer := range layers {
			top = max(top, layer.Values[at])
		}
		if len(numbers) > 0 {
			words = append(words, web.PlotWord{X: s.x(float64(at)), Y: s.y(top), Word: strings.Join(numbers, ", ")})
		}
	}
	return words
}

// plotLabel says in words what a drawing shows.
func plotLabel(layers []jobs.StripSeries) string {
	var words []string
	for _, layer := range layers {
		if n := len(layer.Values); n > 0 {
			words = append(words, fmt.Sprintf("%s: last %s, from %s to %s", strings.TrimSpace(layer.Layer+" off by"),
				deviation(layer.Values[n-1]), deviation(slices.Min(layer.Values)), deviation(slices.Max(layer.Values))))
		}
	}
	return string(layers[0].Parameter) + ", " + strings.Join(words, "; ")
}

// Shapes tell the layers apart without their colour.
var layerShapes = []string{"M%[1]g %[2]gm-4 0a4 4 0 1 0 8 0a4 4 0 1 0 -8 0", "M%[1]g %[2]gm-3.5-3.5h7v7h-7z", "M%[1]g %[2]gm0-5l4.5 8h-9z"}

// plotSeries draws the strips of one layer and their moving average, or, where
// there are too few for one, the strips joined.
func (d desk) plotSeries(chart jobs.StripChart, scale stripScale, layer jobs.StripSeries, place int) web.PlotSeries {
	drawn := web.PlotSeries{Class: layer.Layer, Name: sentence(layer.Layer)}
	trend := layer.Values
	if layer.Settled {
		trend = layer.Average.Values
	}
	var points []string
	for at, value := range trend {
		points = append(points, fmt.Sprintf("%.1f,%.1f", scale.x(float64(at)), scale.y(value)))
		drawn.NameY = scale.y(value)
	}
	drawn.Trend = strings.Join(points, " ")
	for at, value := range layer.Values {
		x, y := math.Round(10*scale.x(float64(at)))/10, math.Round(10*scale.y(value))/10
		point := web.PlotPoint{
			X: x, Y: y, Shape: fmt.Sprintf(layerShapes[place], x, y), Past: past(value, layer.Limit),
			Title: fmt.Sprintf("%s, %s: %s", d.moment(chart.Strips[at].At).Words, seriesName(layer), deviation(value)),
		}
		for _, rule := range layer.RulesAt(at) {
			point.Title += ", " + rule
		}
		drawn.Points = append(drawn.Points, point)
	}
	return drawn
}

// past tells whether a deviation is past a limit.
func past(value float64, limit chemistry.StripLimit) bool {
	if !limit.HighOnly {
		value = math.Abs(value)
	}
	least := limit.Action
	if least == 0 {
		least = limit.Control
	}
	return least > 0 && value > least+1e-6
}

// spreadNames keeps the names at the ends of the lines from covering each other.
func spreadNames(series []web.PlotSeries) {
	const apart = 15.0
	order := make([]int, len(series))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(series[a].NameY, series[b].NameY) })
	for i := 1; i < len(order); i++ {
		if above := series[order[i-1]].NameY; series[order[i]].NameY < above+apart {
			series[order[i]].NameY = above + apart
		}
	}
}

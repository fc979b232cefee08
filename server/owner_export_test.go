package server

import (
	"wetside/chemistry"
	"wetside/jobs"
)

// StockThroughForm puts a stock into its form and reads it back.
func StockThroughForm(stock jobs.Stock) (jobs.Stock, error) {
	var wrong faults
	back, _ := stockFormOf(stock).stock(&wrong)
	back.ID = stock.ID
	return back, wrong.err()
}

// SolutionThroughForm puts a solution into its form and reads it back.
func SolutionThroughForm(solution jobs.Solution) (jobs.Solution, error) {
	var wrong faults
	back, _ := solutionFormOf(solution).solution(&wrong)
	back.ID = solution.ID
	return back, wrong.err()
}

// ReadParts reads typed parts of working solution.
func ReadParts(text string) ([]jobs.Part, error) {
	var wrong faults
	parts := typedParts(text, "working", jobs.Working, &wrong)
	return parts, wrong.err()
}

// WriteParts writes parts as a solution's form shows them.
func WriteParts(parts []jobs.Part) string { return partLines(parts, jobs.Working) }

// ReadKeeping reads how long something keeps.
func ReadKeeping(text string) (chemistry.Keeping, error) {
	var wrong faults
	keeping := keepingForm{For: text}.keeping("", "keeping[0].for", &wrong)
	return keeping, wrong.err()
}

// WriteKeeping writes how long something keeps as a solution's form shows it.
func WriteKeeping(keeping chemistry.Keeping) string { return keepingText(keeping) }

// LineThroughForm puts a line, in a lab with some solutions, into its form and
// reads it back.
func LineThroughForm(line jobs.Line, solutions map[jobs.SolutionID]jobs.Solution) (jobs.Line, error) {
	var wrong faults
	back, _ := lineFormOf(line, jobs.Catalogue{Solutions: solutions}).line(&wrong)
	back.ID = line.ID
	return back, wrong.err()
}

// ReadTimes reads typed rows of a stock's times.
func ReadTimes(rows, pushRows string) (jobs.StockTimes, error) {
	var wrong faults
	times := stockTimesForm{Solution: "1", Rows: rows, PushRows: pushRows}.times("times[0].", &wrong)
	return times, wrong.err()
}

// WriteTimes writes times as a stock's form shows them.
func WriteTimes(times jobs.StockTimes) (rows, pushRows string) {
	form := stockFormOf(jobs.Stock{Film: chemistry.Film{Process: chemistry.BW}, Times: []jobs.StockTimes{times}})
	return form.Times[0].Rows, form.Times[0].PushRows
}

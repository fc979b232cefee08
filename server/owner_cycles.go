package server

import (
	"fmt"
	"strings"

	"wetside/chemistry"
	"wetside/web"
)

// standingChips give every standing of a value a shape: what is printed or
// tested is firm, what is only remembered wants a look.
var standingChips = map[chemistry.Standing]web.Chip{
	chemistry.Published:      {Class: "ready", Word: "Published"},
	chemistry.LabsOwn:        {Class: "done", Word: "Your own"},
	chemistry.Computed:       {Class: "work", Word: "Computed"},
	chemistry.CommonPractice: {Class: "work", Word: "Common practice"},
	chemistry.FromMemory:     {Class: "hold", Word: "From memory"},
}

// sourceWords says where a value is from, beside the chip of its standing.
func sourceWords(source chemistry.Source) string {
	if source.Text == "" {
		return ""
	}
	return sentence(source.Text)
}

// cycleTables shows every variant of a process step by step.
func cycleTables(process chemistry.Process) []web.CycleTable {
	var tables []web.CycleTable
	for _, variant := range chemistry.Variants(process) {
		cycle, err := chemistry.CycleFor(process, variant)
		if err != nil {
			continue // the list and the cycles are one table
		}
		table := web.CycleTable{Name: cycle.Name}
		for i, step := range cycle.Steps {
			table.Steps = append(table.Steps, web.CycleStep{
				Number: i + 1, Name: sentence(step.Name), Solution: step.Solution, Time: cycleTime(step, process),
				Temp: tempWords(step.TempC, step.LowC, step.HighC), Agitation: step.Agitation, Drain: sentence(step.Drain),
				Source: sourceWords(step.Source), Standing: standingChips[step.Source.Standing], Cautions: step.Cautions,
			})
		}
		tables = append(tables, table)
	}
	return tables
}

// cycleTime writes how long a step takes.
func cycleTime(step chemistry.Step, process chemistry.Process) string {
	switch {
	case step.Develop && process == chemistry.BW:
		return "the batch's own"
	case step.Develop:
		return chemistry.FormatClock(step.Seconds) + " without a push"
	case step.Seconds == 0:
		return "as long as it needs"
	case step.MaxSeconds > 0:
		return chemistry.FormatClock(step.Seconds) + " to " + chemistry.FormatClock(step.MaxSeconds)
	}
	return chemistry.FormatClock(step.Seconds)
}

// timeFields are the rows of a process's developing times, as they were typed.
func timeFields(process chemistry.Process, own []chemistry.PushTime, f typedForm, form testedForm) []web.ColourTimeFields {
	inUse := map[chemistry.Stops]int{}
	if times, err := chemistry.ColourTimes(process, own); err == nil {
		for _, t := range times {
			inUse[t.Push] = t.Seconds
		}
	}
	known := map[chemistry.Stops]bool{}
	for _, level := range levels(process, own) {
		known[level] = true
	}
	var rows []web.ColourTimeFields
	for i, typed := range form.Times {
		name := fmt.Sprintf("times[%d].", i)
		row := web.ColourTimeFields{Index: i, Typed: f.field(web.Text, name+"push", "Push or pull", "")}
		of := "another level"
		if push, err := chemistry.ParseStops(typed.Push); err == nil && known[push] && row.Typed.Error == "" {
			row.Level, row.Push = sentence(pushWords(push)), strings.TrimSpace(typed.Push)
			for _, t := range shipped(process) {
				if t.Push == push {
					row.Shipped, row.Source, row.Standing = chemistry.FormatClock(t.Seconds), sourceWords(t.Source), standingChips[t.Source.Standing]
				}
			}
			row.InUse = chemistry.FormatClock(inUse[push])
			of = pushWords(push)
		}
		row.Own = f.field(web.Text, name+"time", "Time, "+of, "")
		row.Note = f.field(web.Text, name+"source", "Tested by and when, "+of, "")
		rows = append(rows, row)
	}
	return rows
}

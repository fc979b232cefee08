package server

import (
	"fmt"
	"slices"
	"strings"

	"wetside/chemistry"
)

// testedForm is a process's own times as they were typed: one for each level
// that is shipped or tested, and two for levels of one's own.
type testedForm struct {
	Was   string           `form:"was"`
	Times []testedTimeForm `form:"times" most:"40"`
}

type testedTimeForm struct {
	Push   string `form:"push"`
	Time   string `form:"time"`
	Source string `form:"source"`
}

const freeLevels = 2

func testedFormOf(process chemistry.Process, own []chemistry.PushTime) testedForm {
	form := testedForm{Was: timesMark(own)}
	for _, level := range levels(process, own) {
		row := testedTimeForm{Push: level.String()}
		for _, t := range own {
			if t.Push == level {
				row.Time, row.Source = chemistry.FormatClock(t.Seconds), t.Source.Text
			}
		}
		form.Times = append(form.Times, row)
	}
	form.Times = append(form.Times, make([]testedTimeForm, freeLevels)...)
	return form
}

// timesMark sums up the lab's own times, so that a form knows whether they are
// still the ones that it began with.
func timesMark(own []chemistry.PushTime) string {
	var parts []string
	for _, t := range own {
		parts = append(parts, fmt.Sprintf("%d=%d %q", t.Push, t.Seconds, t.Source.Text))
	}
	return strings.Join(parts, "; ")
}

// shipped returns the times of a process without the lab's own; none in black
// and white.
func shipped(process chemistry.Process) []chemistry.PushTime {
	times, err := chemistry.ColourTimes(process, nil)
	if err != nil {
		return nil
	}
	return times
}

// levels lists the push levels that are shipped or tested, in rising order.
func levels(process chemistry.Process, own []chemistry.PushTime) []chemistry.Stops {
	var all []chemistry.Stops
	for _, t := range slices.Concat(shipped(process), own) {
		all = append(all, t.Push)
	}
	slices.Sort(all)
	return slices.Compact(all)
}

// times turns what was typed into times; rows without a time are left out. It
// returns how the form names the fields of the rules.
func (f testedForm) times(wrong *faults) ([]chemistry.PushTime, func(string) string) {
	var times []chemistry.PushTime
	names := map[string]string{}
	for i, row := range f.Times {
		prefix := fmt.Sprintf("times[%d].", i)
		if strings.TrimSpace(row.Time) == "" {
			if strings.TrimSpace(row.Source) != "" {
				wrong.add(prefix+"time", "there is a note, but no time")
			}
			continue
		}
		t := chemistry.PushTime{Source: chemistry.Source{Standing: chemistry.LabsOwn, Text: strings.TrimSpace(row.Source)}}
		var err error
		if t.Push, err = chemistry.ParseStops(row.Push); err != nil {
			wrong.add(prefix+"push", "%v", err)
		}
		if t.Seconds, err = chemistry.ParseClock(row.Time); err != nil {
			wrong.add(prefix+"time", "%v", err)
		}
		names[fmt.Sprintf("times[%d].source", len(times))] = prefix + "source"
		times = append(times, t)
	}
	return times, func(field string) string {
		if name, ok := names[field]; ok {
			return name
		}
		return field
	}
}

// onto lays out what was typed by the levels of a newer form.
func (f testedForm) onto(newer testedForm) testedForm {
	laid := testedForm{Was: newer.Was}
	places := map[chemistry.Stops]int{}
	for _, row := range newer.Times {
		if push, err := chemistry.ParseStops(row.Push); err == nil {
			places[push] = len(laid.Times)
			laid.Times = append(laid.Times, testedTimeForm{Push: row.Push})
		}
	}
	for _, row := range f.Times {
		if row == (testedTimeForm{}) {
			continue
		}
		push, err := chemistry.ParseStops(row.Push)
		if place, ok := places[push]; ok && err == nil {
			laid.Times[place] = row
		} else {
			laid.Times = append(laid.Times, row)
		}
	}
	laid.Times = append(laid.Times, make([]testedTimeForm, freeLevels)...)
	return laid
}

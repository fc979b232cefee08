package jobs

import (
	"fmt"
	"slices"
	"time"

	"wetside/chemistry"
)

// why says in words what brought the rolls of a load together: how many, how
// they are developed, when they are due and how full the line is.
func (p *proposer) why(load Load, ends time.Time) string {
	text := fmt.Sprintf("%s, %s, %s; %s", counted(len(load.Rolls), "roll"), load.levelWords(), p.dueWords(load.Rolls), load.roomWords())
	late := 0
	for _, roll := range load.Rolls {
		if ends.After(roll.Due) {
			late++
		}
	}
	if late > 0 {
		text += fmt.Sprintf("; ends at %s, too late for %d", p.clock(ends), late)
	}
	if !slices.ContainsFunc(load.Rolls, func(r RollView) bool { return !r.Due.After(p.closes) }) {
		text += "; may wait for more"
	}
	return text
}

func counted(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}

// levelWords says how the load is developed: "C-41 push +1", "BW in MQ borax,
// normal to push +1 at 7:40".
func (l Load) levelWords() string {
	words := string(l.Tank.Process)
	if l.Tank.Process == chemistry.BW {
		words += " in " + l.Tank.Developer.Name + ","
	}
	if l.Push != nil {
		return words + " " + pushName(*l.Push)
	}
	low, high := l.Rolls[0].Push, l.Rolls[0].Push
	for _, roll := range l.Rolls {
		low, high = min(low, roll.Push), max(high, roll.Push)
	}
	return fmt.Sprintf("%s %s to %s together at %s", words, pushName(low), pushName(high), chemistry.FormatClock(l.Development.Seconds))
}

func (l Load) roomWords() string {
	if left := l.Tank.Line.Capacity - l.Units; left > 0 {
		return fmt.Sprintf("%d of %d units of %s taken", l.Units, l.Tank.Line.Capacity, l.Tank.Line.Name)
	}
	return l.Tank.Line.Name + " is full"
}

// dueWords says when the rolls are due: together, or from the first to the last.
func (p *proposer) dueWords(rolls []RollView) string {
	byDue := func(a, b RollView) int { return a.Due.Compare(b.Due) }
	first, last := slices.MinFunc(rolls, byDue).Due, slices.MaxFunc(rolls, byDue).Due
	switch {
	case len(rolls) == 1:
		return "due " + p.clock(last)
	case first.Equal(last):
		return "all due " + p.clock(last)
	}
	return fmt.Sprintf("due from %s to %s", p.clock(first), p.clock(last))
}

// clock writes a time as people at the lab say it: the hour alone today, the
// weekday within a week, the date beyond.
func (p *proposer) clock(at time.Time) string {
	local, now := at.In(p.Lab.Zone()), p.now.In(p.Lab.Zone())
	days := int(dayOf(local).Sub(dayOf(now)).Hours() / 24)
	switch {
	case days == 0:
		return local.Format("15:04")
	case days > 0 && days < 7:
		return local.Format("Monday 15:04")
	}
	return local.Format("2 January 15:04")
}

// dayOf is a date as a moment in UTC, where every day has 24 hours.
func dayOf(t time.Time) time.Time {
	return time.Date(t.Year(), t.Month(), t.Day(), 0, 0, 0, 0, time.UTC)
}

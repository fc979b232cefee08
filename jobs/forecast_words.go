package jobs

import (
	"fmt"
	"time"

	"wetside/chemistry"
)

// causeWords say what ends a fill, after "runs out …".
var causeWords = map[RunOutCause]string{
	CapacityUsed:   "when its capacity is used",
	NotReplenished: "because replenisher was not added for film that went through",
}

// ends says when a fill ends, and why; "" where nothing is foretold.
func (f *forecaster) ends(o Outlook) string {
	name := f.fill.name()
	switch o.Cause {
	case "":
		return ""
	case UsedUpNow:
		if f.waits {
			return fmt.Sprintf("%s takes no more film until the %.0f mL of replenisher that are due are poured and confirmed", name, f.dueML)
		}
		return name + " takes no more film"
	case TooOld:
		text := fmt.Sprintf("%s keeps until %s", name, weekday(o.RunsOut.Date))
		if o.RunsOut.Earliest.Before(o.RunsOut.Date) {
			text += fmt.Sprintf("; in busy weeks it runs out from %s on", weekday(o.RunsOut.Earliest))
		}
		return text
	case ReplenisherOut:
		return fmt.Sprintf("The replenisher of %s runs out %s", f.solution.Name, when(o.RunsOut, f.now))
	}
	return fmt.Sprintf("%s runs out %s, %s", name, when(o.RunsOut, f.now), causeWords[o.Cause])
}

// says puts an outlook into a few sentences.
func (f *forecaster) says(o Outlook) string {
	text := f.foretold(o)
	if o.OpenML > 0 {
		text += fmt.Sprintf(" %.0f mL that film of today calls for are not confirmed and count as poured.", o.OpenML)
	}
	return text
}

// foretold is what is foretold, in a sentence or two.
func (f *forecaster) foretold(o Outlook) string {
	switch {
	case f.solution.Use == chemistry.OneShot:
		return f.fill.name() + " is used once and then dumped."
	case o.Ends == "":
		return "Nothing can be foretold of " + f.fill.name() + ": " + f.unknown() + "."
	}
	text := o.Ends + f.mixWords(o) + "."
	if why := f.unlimited(); o.Cause == TooOld && why != "" {
		text += " How much film it still takes cannot be told: " + why + "."
	}
	return text
}

// mixWords says what to have ready, and by when.
func (f *forecaster) mixWords(o Outlook) string {
	switch {
	case o.Mix == nil || o.Mix.ML == 0:
		return ""
	case o.Mix.Ready != 0:
		return fmt.Sprintf(": the %d mL for a fresh fill stand mixed", o.Mix.ML)
	}
	what := f.solution.Name
	if o.Mix.Preparation == ReplenisherMixture {
		what += " replenisher"
	}
	return fmt.Sprintf(": mix %d mL of %s %s", o.Mix.ML, what, doneBy(o.Mix.By, f.now))
}

// unknown says why nothing is foretold.
func (f *forecaster) unknown() string {
	switch why := f.unlimited(); {
	case why != "":
		return why + ", nor does it say how long it keeps"
	case f.solution.Use == chemistry.Replenished && f.solution.Replenisher.MLPerM2 > 0 && f.state.ReplenisherDueML == 0:
		return "it is replenished as it should be, no mix of its replenisher is on record, and the recipe does not say how long it keeps"
	case f.dailyM2 == 0 && f.extraM2 >= f.state.AreaLeftM2:
		return "no whole day with film in it is known yet; what waits now is more than it takes"
	case f.dailyM2 == 0:
		return "no whole day with film in it is known yet"
	}
	return "at the present pace it lasts for more than two years"
}

// unlimited says why no capacity is known; "" where one is.
func (f *forecaster) unlimited() string {
	switch {
	case f.state.CapacityM2 > 0:
		return ""
	case f.solution.Use == chemistry.Replenished && f.solution.Replenisher.MLPerM2 == 0:
		return "the recipe does not say how much replenisher film calls for"
	}
	return "the recipe does not say how much film a litre takes"
}

// when tells a forecast with its range.
func when(f chemistry.Forecast, now time.Time) string {
	const short = "2 Jan"
	switch {
	case f.Earliest.Equal(f.Date) && f.Latest.Equal(f.Date):
		return byDay(f.Date, now)
	case f.Latest.IsZero():
		return fmt.Sprintf("about %s (from %s on)", byDay(f.Date, now), f.Earliest.Format(short))
	}
	return fmt.Sprintf("about %s (%s to %s)", byDay(f.Date, now), f.Earliest.Format(short), f.Latest.Format(short))
}

// weekday writes a day.
func weekday(day time.Time) string { return day.Format("Mon 2 Jan 2006") }

// doneBy says by which day something has to be done.
func doneBy(day, now time.Time) string {
	if day.Equal(dayOf(now)) {
		return "today"
	}
	return "by " + weekday(day)
}

// byDay writes a day, and today as such.
func byDay(day, now time.Time) string {
	if day.Equal(dayOf(now)) {
		return "today"
	}
	return weekday(day)
}

package server

import (
	"fmt"
	"math"
	"strconv"
	"time"

	"wetside/chemistry"
	"wetside/web"
)

// prospectWords says a use and what it comes to, line by line; the lines are the
// same for every use of one solution.
func prospectWords(use chemistry.Supposed, p chemistry.Prospect) []web.Said {
	solution := use.Solution
	rows := []web.Said{
		{Name: "Volume of the tank", Value: amount(use.VolumeML) + " mL"},
		{Name: "Work on a day", Value: amount(math.Round(100*use.RollsPerDay)/100) + " rolls of 80 in²"},
		{Name: "One load holds at most", Value: rollsAtOnceWords(p)},
	}
	mixed := "Mixed"
	if solution.Use == chemistry.Replenished {
		mixed = "Replenisher"
		rows = append(rows,
			web.Said{Name: "Tank turnovers", Value: turnoverWords(p)},
			web.Said{Name: "Steady after", Value: steadyWords(p)},
			web.Said{Name: "Share of the way by then", Value: shareWords(p)})
	}
	if solution.Family.IsDeveloper() {
		rows = append(rows,
			web.Said{Name: "Bromide in the end", Value: bromideEndWords(p)},
			web.Said{Name: "Bromide after " + amount(use.Days) + " days", Value: known(p.BromideKnown, fmt.Sprintf("%.2f g/L as KBr", p.BromideAfterGPerL))})
	}
	rows = append(rows,
		web.Said{Name: "Capacity used up", Value: capacityEndWords(solution, p)},
		web.Said{Name: "Keeps until", Value: dayOrNot(p.KeepingEnds)})
	if solution.Use == chemistry.Replenished {
		rows = append(rows, web.Said{Name: "Replenisher used up", Value: dayOrNot(p.StockEnds)})
	}
	rows = append(rows, web.Said{Name: "First to end", Value: firstToEnd(p)})
	for _, one := range []struct {
		what     string
		ml, cost float64
	}{
		{"for a roll", p.Uses.MLPerRoll, p.Uses.CostPerRoll},
		{"a day", p.Uses.MLPerDay, p.Uses.CostPerDay},
		{fmt.Sprintf("a month of %d days", chemistry.MonthDays), chemistry.PerMonth(p.Uses.MLPerDay), chemistry.PerMonth(p.Uses.CostPerDay)},
	} {
		rows = append(rows,
			web.Said{Name: mixed + " " + one.what, Value: known(p.Uses.Known, amount(one.ml)+" mL")},
			web.Said{Name: "Cost " + one.what, Value: known(p.Uses.Known && p.Uses.CostPerRoll > 0, fmt.Sprintf("%.2f", one.cost))})
	}
	return rows
}

func known(is bool, words string) string {
	if !is {
		return "not known"
	}
	return words
}

// amount writes a figure to four digits.
func amount(value float64) string {
	text := strconv.FormatFloat(value, 'g', 4, 64)
	plain, err := strconv.ParseFloat(text, 64)
	if err != nil {
		return text
	}
	return strconv.FormatFloat(plain, 'f', -1, 64)
}

func rollsAtOnceWords(p chemistry.Prospect) string {
	return known(p.RollsAtOnce >= 0, counted(p.RollsAtOnce, "roll", "rolls")+" of 80 in²")
}

func turnoverWords(p chemistry.Prospect) string {
	const week = 7
	return known(p.TurnoversPerDay > 0, fmt.Sprintf("%.3g a day, %.3g a week", p.TurnoversPerDay, week*p.TurnoversPerDay))
}

func steadyWords(p chemistry.Prospect) string {
	return known(p.DaysToSteady > 0, fmt.Sprintf("about %.0f days, all but 5 %% of the way", p.DaysToSteady))
}

func shareWords(p chemistry.Prospect) string {
	return known(p.TurnoversPerDay > 0, fmt.Sprintf("%.1f %%", 100*p.ShareAfter))
}

func bromideEndWords(p chemistry.Prospect) string {
	if p.BromideKnown && p.BromideSteadyGPerL == 0 {
		return "keeps rising: nothing is replenished"
	}
	return known(p.BromideKnown, fmt.Sprintf("%.2f g/L as KBr", p.BromideSteadyGPerL))
}

// capacityEndWords says when film uses the capacity up.
func capacityEndWords(solution chemistry.Solution, p chemistry.Prospect) string {
	switch {
	case solution.Use == chemistry.OneShot:
		return "with its first load"
	case solution.Use == chemistry.Replenished && solution.Replenisher.MLPerM2 > 0:
		return "not while every roll is replenished"
	}
	return dayOrNot(p.CapacityEnds)
}

func firstToEnd(p chemistry.Prospect) string {
	day := p.RunsOut()
	switch {
	case day.IsZero():
		return "nothing within two years, as far as is known"
	case day.Equal(p.CapacityEnds):
		return dayOrNot(day) + ", its capacity"
	case day.Equal(p.KeepingEnds):
		return dayOrNot(day) + ", its keeping time"
	}
	return dayOrNot(day) + ", the replenisher"
}

func dayOrNot(day time.Time) string { return known(!day.IsZero(), day.Format("Mon 2 Jan 2006")) }

package jobs

import (
	"fmt"
	"strconv"
	"strings"

	"wetside/chemistry"
)

// RecipeLine is one thing that a recipe says, in words.
type RecipeLine struct{ Name, Value string }

// Says is a whole recipe in words, line by line; what it does not say is left
// out.
func (s Solution) Says() []RecipeLine {
	lines := []RecipeLine{
		{"Name", s.Name},
		{"Process", string(s.Process)},
		{"What it does", string(s.Family)},
		{"How it is used", string(s.Use)},
		{"Working temperature", figure(s.TempC, "°C")},
		{"Capacity of a litre", figure(s.CapacityM2PerL, "m²")},
		{"Least for a roll", figure(s.MinimumMLPerRoll, "mL")},
		{"More time for each roll", figure(s.PerRollPercent, "%")},
		{"Temperature coefficient b", figure(s.B, "per °C")},
		{"Push factor", figure(s.PushFactor, "a stop")},
		{"Replenisher", figure(s.Replenisher.MLPerM2, "mL for a m²")},
		{"Replenisher, push factor", figure(s.Replenisher.PushFactor, "a stop")},
		{"Bromide from a roll", figure(s.Bromide.ReleasedMGPerRoll, "mg")},
		{"Bromide in the replenisher", figure(s.Bromide.ReplenisherGPerL, "g/L")},
		{"Bromide at the start", figure(s.Bromide.StartGPerL, "g/L")},
	}
	for _, keeping := range s.Keeping {
		lines = append(lines, RecipeLine{"Keeps " + standing(keeping.Storage), KeepingWords(keeping)})
	}
	for _, preparation := range Preparations {
		lines = append(lines, s.mixedFrom(preparation)...)
	}
	lines = append(lines,
		RecipeLine{"Cost of a litre", figure(s.CostPerL, "")},
		RecipeLine{"Cost of a litre of replenisher", figure(s.ReplenisherCostPerL, "")})
	if !s.Active {
		lines = append(lines, RecipeLine{"Out of use", "yes"})
	}
	said := lines[:0]
	for _, line := range lines {
		if line.Value != "" {
			said = append(said, line)
		}
	}
	return said
}

// mixedFrom says what a preparation is mixed from and, where there are several
// parts, in which order.
func (s Solution) mixedFrom(preparation Preparation) []RecipeLine {
	var lines []RecipeLine
	var order []string
	for _, part := range s.Parts {
		if part.Preparation == preparation {
			amount := figure(part.AmountPerL, string(part.Unit)) + " for a litre"
			if part.Acid {
				amount += ", an acid"
			}
			lines = append(lines, RecipeLine{fmt.Sprintf("%s in the %s mixture", part.Name, preparation), amount})
			order = append(order, part.Name)
		}
	}
	if len(order) > 1 {
		lines = append(lines, RecipeLine{fmt.Sprintf("Order of the %s mixture", preparation), strings.Join(order, ", ")})
	}
	return lines
}

// standing says how something stands.
func standing(storage chemistry.Storage) string {
	switch storage {
	case "":
		return "however it stands"
	case chemistry.OpenTank:
		return "in an " + string(storage)
	}
	return "in a " + string(storage)
}

// KeepingWords says how long something keeps and who says so.
func KeepingWords(k chemistry.Keeping) string {
	var words []string
	if k.Months > 0 {
		words = append(words, counted(k.Months, "month"))
	}
	if k.Days > 0 {
		words = append(words, counted(k.Days, "day"))
	}
	text := strings.Join(words, " ")
	if k.Source.Text != "" {
		text += " (" + k.Source.Text + ")"
	}
	return text
}

// figure writes a number, to six digits, with its unit; 0 is not said.
func figure(value float64, unit string) string {
	if value == 0 {
		return ""
	}
	return strings.TrimSpace(strconv.FormatFloat(value, 'g', 6, 64) + " " + unit)
}

// RecipeChange is one thing that two versions of a recipe say differently; ""
// where one of them says nothing of it.
type RecipeChange struct{ Name, Was, Now string }

// RecipeChanges lists what a recipe says now and did not say so before, and what
// it said before and says no more.
func RecipeChanges(was, now Solution) []RecipeChange {
	before := map[string]string{}
	for _, line := range was.Says() {
		before[line.Name] = line.Value
	}
	var changes []RecipeChange
	for _, line := range now.Says() {
		if before[line.Name] != line.Value {
			changes = append(changes, RecipeChange{line.Name, before[line.Name], line.Value})
		}
		delete(before, line.Name)
	}
	for _, line := range was.Says() {
		if value, gone := before[line.Name]; gone {
			changes = append(changes, RecipeChange{line.Name, value, ""})
		}
	}
	return changes
}

package server

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"

	"wetside/chemistry"
	"wetside/jobs"
)

// partLines writes the parts of a preparation as they are typed, one a line.
func partLines(parts []jobs.Part, preparation jobs.Preparation) string {
	var lines []string
	for _, part := range parts {
		if part.Preparation != preparation {
			continue
		}
		line := fmt.Sprintf("%s = %s %s", part.Name, plainFloat(part.AmountPerL), part.Unit)
		if part.Acid {
			line += ", acid"
		}
		lines = append(lines, line)
	}
	return strings.Join(lines, "\n")
}

// typedParts reads parts as they are typed, one a line. It ends at the first
// line with something wrong: one thing at a time is enough for a field.
func typedParts(text, field string, preparation jobs.Preparation, wrong *faults) []jobs.Part {
	var parts []jobs.Part
	for line := range strings.Lines(text) {
		line = strings.TrimSpace(line)
		if line == "" {
			continue
		}
		if len(parts) == maxRows {
			wrong.add(field, "these are too many parts: at most %d", maxRows)
			return nil
		}
		part, ok := typedPart(line)
		if !ok {
			wrong.add(field, "%q is no part; write one a line, like Part A = 100 mL or Sulfite = 60 g, with “, acid” behind an acid", line)
			return nil
		}
		part.Preparation = preparation
		parts = append(parts, part)
	}
	return parts
}

// typedPart reads one line, such as "Part C = 12.5 mL, acid". A name may hold
// the sign: the last one counts.
func typedPart(line string) (jobs.Part, bool) {
	at := strings.LastIndexByte(line, '=')
	if at < 0 {
		return jobs.Part{}, false
	}
	part := jobs.Part{Name: strings.TrimSpace(line[:at]), Unit: jobs.Grams}
	amount := strings.ToLower(strings.TrimSpace(line[at+1:]))
	if amount, part.Acid = strings.CutSuffix(amount, "acid"); part.Acid {
		amount = strings.TrimSpace(strings.TrimSuffix(strings.TrimSpace(amount), ","))
	}
	number, inGrams := strings.CutSuffix(amount, "g")
	if !inGrams {
		var inML bool
		if number, inML = strings.CutSuffix(amount, "ml"); !inML {
			return part, false
		}
		part.Unit = jobs.Millilitres
	}
	var err error
	part.AmountPerL, err = strconv.ParseFloat(strings.Replace(strings.TrimSpace(number), ",", ".", 1), 64)
	return part, err == nil
}

// keepingText writes how long something keeps as it is typed.
func keepingText(k chemistry.Keeping) string {
	var words []string
	if k.Months != 0 {
		words = append(words, counted(k.Months, "month", "months"))
	}
	if k.Days != 0 {
		words = append(words, counted(k.Days, "day", "days"))
	}
	return strings.Join(words, " ")
}

var spanOfTime = regexp.MustCompile(`^(\d{1,4}) ?(year|month|week|day)s?(?:,| and)? ?`)

// keeping reads how long something keeps, such as "2 months 10 days".
func (row keepingForm) keeping(storage chemistry.Storage, field string, wrong *faults) chemistry.Keeping {
	keeping := chemistry.Keeping{Storage: storage,
		Source: chemistry.Source{Standing: chemistry.LabsOwn, Text: strings.TrimSpace(row.Source)}}
	if strings.TrimSpace(row.For) == "" {
		wrong.add(field, "say how long it keeps, like 2 months or 10 days, or empty the source beside it")
		return keeping
	}
	rest := strings.ToLower(strings.Join(strings.Fields(row.For), " "))
	for rest != "" {
		found := spanOfTime.FindStringSubmatch(rest)
		if found == nil {
			wrong.add(field, "%q is no length of time; write it like 6 weeks, 2 months or 1 month 15 days", row.For)
			return keeping
		}
		n, _ := strconv.Atoi(found[1]) // at most four digits
		switch found[2] {
		case "year":
			keeping.Months += 12 * n
		case "month":
			keeping.Months += n
		case "week":
			keeping.Days += 7 * n
		case "day":
			keeping.Days += n
		}
		rest = rest[len(found[0]):]
	}
	return keeping
}

// recipeNames knows where in the form each part and each entry on keeping of a
// recipe was typed.
type recipeNames struct {
	keeping []int
	parts   []string
}

var listInField = regexp.MustCompile(`^(keeping|parts)(?:\[(\d{1,4})\]\.(.*))?$`)

// field names a field of the rules as the form does.
func (n recipeNames) field(field string) string {
	found := listInField.FindStringSubmatch(field)
	if found == nil {
		return field
	}
	index, _ := strconv.Atoi(found[2]) // at most four digits
	switch {
	case found[1] == "parts" && found[2] != "" && index < len(n.parts):
		return n.parts[index]
	case found[1] == "parts":
		return "working"
	case found[2] != "" && index < len(n.keeping) && found[3] == "source":
		return fmt.Sprintf("keeping[%d].source", n.keeping[index])
	case found[2] != "" && index < len(n.keeping):
		return fmt.Sprintf("keeping[%d].for", n.keeping[index])
	}
	return field
}

package jobs

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"wetside/chemistry"
)

// roll reads the cells of a roll. What they mean together is for [Admit] to
// say.
func (r OrderRow) roll(wrong *cellFaults, c Catalogue) NewRoll {
	fault := func(column, format string, args ...any) { wrong.add(r.Line, column, format, args...) }
	count := func(column string) int {
		n, ok := ReadCount(r.Cells[column])
		if !ok {
			fault(column, "%q is no whole number; write it in digits, or leave it empty", r.Cells[column])
		}
		return n
	}
	yes := func(column string) bool {
		switch strings.ToLower(r.Cells[column]) {
		case "", "yes", "true":
			return true
		case "no", "false":
			return false
		}
		fault(column, "%q is neither yes nor no", r.Cells[column])
		return false
	}
	roll := NewRoll{
		Exposures: count("exposures"), EI: count("ei"),
		Light: chemistry.Light(r.Cells["light"]), Filter: r.Cells["filter"], Note: r.Cells["note"],
		Service: Service{CutAndSleeve: yes("cut_and_sleeve"), Scan: yes("scan"), ReturnNegatives: yes("return_negatives")},
	}
	var err error
	if roll.Stock, err = c.stockNamed(r.Cells["stock"]); err != nil {
		fault("stock", "%v", err)
	}
	if text := r.Cells["format"]; text == "" {
		fault("format", "the format is missing; allowed are %s", someOf(names(chemistry.Formats)))
	} else if roll.Format, err = chemistry.ParseFormat(text); err != nil {
		fault("format", "%v", err)
	}
	if text := r.Cells["developer"]; text != "" {
		if roll.Solution, err = c.developerNamed(text); err != nil {
			fault("developer", "%v", err)
		}
	}
	if text := r.Cells["push"]; text != "" {
		push, err := chemistry.ParseStops(text)
		if err != nil {
			fault("push", "%v", err)
		}
		roll.Push = &push
	}
	return roll
}

// ReadCount reads a whole number as people type it; nothing typed is 0.
func ReadCount(text string) (n int, ok bool) {
	text = strings.TrimSpace(text)
	if text == "" {
		return 0, true
	}
	n, err := strconv.Atoi(text)
	if err != nil || n < 0 {
		return 0, false
	}
	return n, true
}

// stockNamed finds a stock by its name. One that is no longer taken is found
// too: why it is not taken is said elsewhere.
func (c Catalogue) stockNamed(name string) (StockID, error) {
	for _, stock := range sortedStocks(c) {
		if sameName(stock.Name, name) {
			return stock.ID, nil
		}
	}
	if name == "" {
		return 0, fmt.Errorf("the film stock is missing; the lab takes %s", someOf(c.stockNames()))
	}
	return 0, fmt.Errorf("there is no film stock %q here; the lab takes %s", name, someOf(c.stockNames()))
}

// developerNamed finds a developer by its name.
func (c Catalogue) developerNamed(name string) (SolutionID, error) {
	for id, solution := range c.Solutions {
		if sameName(solution.Name, name) {
			return id, nil
		}
	}
	return 0, fmt.Errorf("there is no developer %q here; the lab has %s", name, someOf(c.developerNames()))
}

// sameName compares names as people write them.
func sameName(a, b string) bool { return strings.EqualFold(oneSpaced(a), oneSpaced(b)) }

func oneSpaced(text string) string { return strings.Join(strings.Fields(text), " ") }

// maxNamed is how many names an error lists.
const maxNamed = 12

// someOf lists names, the first ones where there are many.
func someOf(all []string) string {
	if len(all) == 0 {
		return "none"
	}
	if len(all) > maxNamed {
		all = append(slices.Clone(all[:maxNamed]), fmt.Sprintf("and %d more", len(all)-maxNamed))
	}
	return strings.Join(all, "; ")
}

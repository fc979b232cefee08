package jobs

import (
	"encoding/csv"
	"fmt"
	"slices"
	"strings"

	"wetside/chemistry"
)

// OrderColumn is a column of a file of orders.
type OrderColumn struct {
	Name   string
	Needed bool   // it cannot be left out
	Says   string // what may stand in it
}

// orderColumns are all of them, the customer's first. What is allowed in some
// depends on the catalogue.
var orderColumns = []OrderColumn{
	{"reference", false, "Your own word for the order, at most 40 characters. Rows with the same one make one order; without it, rows with the same e-mail address do."},
	{"name", true, "Whose film it is. Name, e-mail, phone and way back are written once in an order; its further rows may leave them empty."},
	{"email", true, "Where questions about the film go, like name@example.org."},
	{"phone", false, "For quicker questions."},
	{"return", false, "collect or post. Empty means collect."},
	{"address", false, "To post to."},
	{"stock", true, ""},
	{"format", true, ""},
	{"exposures", false, "A whole number, for sheets how many there are. Empty means a full roll, or one sheet."},
	{"light", false, ""},
	{"filter", false, ""},
	{"ei", false, "How it was rated, a whole number. Empty means box speed, or as the note says."},
	{"push", false, "Stops, like 1, -1, 1/2 or 1.5; less than 0 is a pull, 0 is normal. Empty means as the note says, or normal."},
	{"developer", false, ""},
	{"note", false, "In the customer’s own words, read like a note on the order form. Text with commas or line breaks stands in quotes."},
	{"cut_and_sleeve", false, "yes or no. Empty means yes."},
	{"scan", false, "yes or no. Empty means yes."},
	{"return_negatives", false, "yes or no; with no, the lab keeps the film. Empty means yes."},
}

func columnNames() []string {
	columns := make([]string, len(orderColumns))
	for i, column := range orderColumns {
		columns[i] = column.Name
	}
	return columns
}

// OrderColumns lists the columns of a file of orders, with what a lab of this
// catalogue takes in each.
func OrderColumns(c Catalogue) []OrderColumn {
	columns := slices.Clone(orderColumns)
	for i := range columns {
		switch column := &columns[i]; column.Name {
		case "stock":
			column.Says = "One of: " + strings.Join(c.stockNames(), "; ") + "."
		case "format":
			column.Says = "One of: " + strings.Join(names(chemistry.Formats), "; ") + "."
		case "light":
			column.Says = "One of: " + strings.Join(names(chemistry.Lights), "; ") + ". Empty means unknown."
		case "filter":
			column.Says = "One of: " + strings.Join(chemistry.FilterNames(), "; ") + ". Empty means none for colour."
		case "developer":
			column.Says = "Black and white only; empty means the usual one of the stock."
			if developers := c.developerNames(); len(developers) > 0 {
				column.Says = "Black and white only, one of: " + strings.Join(developers, "; ") + ". Empty means the usual one of the stock."
			}
		}
	}
	return columns
}

// stockNames lists the stocks that can be ordered.
func (c Catalogue) stockNames() []string {
	var known []string
	for _, stock := range c.Stocks {
		if stock.Active {
			known = append(known, stock.Name)
		}
	}
	slices.Sort(known)
	return known
}

// developerNames lists the developers that can be asked for.
func (c Catalogue) developerNames() []string {
	var known []string
	for id, solution := range c.Solutions {
		used := func(stock Stock) bool { return stock.Active && stock.uses(id) }
		if solution.Active && slices.ContainsFunc(sortedStocks(c), used) {
			known = append(known, solution.Name)
		}
	}
	slices.Sort(known)
	return known
}

// OrderTemplate is a file of orders with no order in it: the names of the
// columns, and a remark on each.
func OrderTemplate(c Catalogue) string {
	var out strings.Builder
	write := csv.NewWriter(&out)
	// Nothing goes wrong while writing into memory.
	_ = write.Write(columnNames())
	for _, column := range OrderColumns(c) {
		needed := ""
		if column.Needed {
			needed = " (needed)"
		}
		_ = write.Write([]string{fmt.Sprintf("# %s%s: %s", column.Name, needed, column.Says)})
	}
	write.Flush()
	return out.String()
}

// OrderFileExample is a file of two orders.
const OrderFileExample = `reference,name,email,stock,format,ei,push,note
A-17,Fern Hollow,fern@example.org,Marl 400,135,,,"shot at 1600, push 2"
A-17,,,Sedge 160,120,,,
A-18,Linden Curlew,linden@example.org,Sedge 640,135,1250,1,
`

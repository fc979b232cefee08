package jobs

import (
	"cmp"
	"errors"
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"
)

// FileOrder is one order of a file.
type FileOrder struct {
	Sent     NewOrder // as the file says
	Lines    []int    // of its rolls in the file
	Admitted Order    // as it is taken in, all but its number and its token
}

// customerColumns are written once in an order.
var customerColumns = []string{"name", "email", "phone", "return", "address"}

// Orders makes orders of a file, and decides whether they are taken in as
// [Admit] does, each behind those before it. Invalid names every cell that is
// wrong, as "lines[3].ei", with its line and column in words; then nothing is
// taken.
func (f OrderFile) Orders(c Catalogue, work Workload, now time.Time) ([]FileOrder, error) {
	wrong := slices.Clone(f.wrong)
	if len(f.Rows) == 0 && len(wrong) == 0 {
		return nil, InvalidField("csv", "the file has no orders: there is nothing below its first line")
	}
	var orders []FileOrder
	for _, group := range f.groups(&wrong) {
		order := group.order(&wrong, c)
		admitted, err := Admit(order.Sent, c, work, now)
		if err != nil {
			wrong.addRefusal(group, err)
			continue
		}
		order.Admitted = admitted
		work = c.behind(work, admitted.Rolls)
		orders = append(orders, order)
	}
	if err := wrong.err(); err != nil {
		return nil, err
	}
	return orders, nil
}

// behind is the work with rolls added that have just been ordered.
func (c Catalogue) behind(work Workload, rolls []Roll) Workload {
	work.Waiting = slices.Clone(work.Waiting)
	for _, roll := range rolls {
		kind := roll.Kind()
		at := slices.IndexFunc(work.Waiting, func(w Waiting) bool { return w.WorkKind == kind })
		if at < 0 {
			at = len(work.Waiting)
			work.Waiting = append(work.Waiting, Waiting{WorkKind: kind})
		}
		work.Waiting[at].Expected++
	}
	work.Waiting = c.Timed(work.Waiting)
	return work
}

// rowGroup is the rows of one order.
type rowGroup struct {
	rows     []OrderRow
	customer map[string]string
	lines    map[string]int // where each cell of the customer stands
}

// groups puts the rows of each order together, in the order of their first
// ones.
func (f OrderFile) groups(wrong *cellFaults) []*rowGroup {
	var groups []*rowGroup
	known := map[string]*rowGroup{}
	for _, row := range f.Rows {
		key := "@" + strings.ToLower(row.Cells["email"])
		if reference := row.Cells["reference"]; reference != "" {
			key = "#" + strings.ToLower(reference)
		}
		group := known[key]
		if group == nil {
			group = &rowGroup{customer: map[string]string{}, lines: map[string]int{}}
			known[key], groups = group, append(groups, group)
		}
		group.add(row, wrong)
	}
	return groups
}

func (g *rowGroup) add(row OrderRow, wrong *cellFaults) {
	g.rows = append(g.rows, row)
	if len(g.rows) > MaxRolls {
		wrong.add(row.Line, "reference", "this is roll %d of its order, which takes at most %d", len(g.rows), MaxRolls)
	}
	for _, column := range customerColumns {
		said, known := row.Cells[column], g.customer[column]
		switch {
		case said == "":
		case known == "":
			g.customer[column], g.lines[column] = said, row.Line
		case !strings.EqualFold(said, known):
			wrong.add(row.Line, column, "%q, while line %d of the same order says %q; give two orders references of their own",
				said, g.lines[column], known)
		}
	}
}

// lineOf is where a cell of the customer stands, or should.
func (g *rowGroup) lineOf(column string) int { return cmp.Or(g.lines[column], g.rows[0].Line) }

// order reads the cells of an order.
func (g *rowGroup) order(wrong *cellFaults, c Catalogue) FileOrder {
	order := FileOrder{Sent: NewOrder{
		Reference: g.rows[0].Cells["reference"],
		Name:      g.customer["name"], Email: g.customer["email"], Phone: g.customer["phone"],
		Return: Return(strings.ToLower(g.customer["return"])),
	}}
	switch {
	case order.Sent.Return == Post:
		order.Sent.Address = g.customer["address"]
	case order.Sent.Return == "":
		order.Sent.Return = Collect
		if g.customer["address"] != "" {
			wrong.add(g.lineOf("address"), "return", "there is an address: say whether it is collect or post")
		}
	}
	for _, row := range g.rows[:min(len(g.rows), MaxRolls)] {
		order.Sent.Rolls = append(order.Sent.Rolls, row.roll(wrong, c))
		order.Lines = append(order.Lines, row.Line)
	}
	return order
}

// cellFault is what is wrong with a cell, or with a line where the column is "".
type cellFault struct {
	line    int
	column  string
	message string
}

// cellFaults are what is wrong with a file.
type cellFaults []cellFault

// maxCellsNamed is how many cells of a file are found fault with at once.
const maxCellsNamed = 100

// add finds fault with a cell, once: what follows from that is not told.
func (w *cellFaults) add(line int, column, format string, args ...any) {
	if !slices.ContainsFunc(*w, func(f cellFault) bool { return f.line == line && f.column == column }) {
		*w = append(*w, cellFault{line, column, fmt.Sprintf(format, args...)})
	}
}

var rollField = regexp.MustCompile(`^rolls\[(\d+)\]\.(.+)$`)

// addRefusal puts what [Admit] says about an order to the cells it is about.
func (w *cellFaults) addRefusal(group *rowGroup, err error) {
	var told *Error
	if !errors.As(err, &told) {
		w.add(group.rows[0].Line, "", "%v", err)
		return
	}
	for _, fault := range told.Fields {
		line, column := group.lineOf(fault.Field), fault.Field
		if found := rollField.FindStringSubmatch(fault.Field); found != nil {
			index, _ := strconv.Atoi(found[1]) // of a roll that was just admitted
			line, column = group.rows[index].Line, found[2]
		}
		if column == "solution" {
			column = "developer"
		}
		w.add(line, column, "%s", fault.Message)
	}
}

// err names every cell that is wrong, in the order of the file.
func (w cellFaults) err() error {
	if len(w) == 0 {
		return nil
	}
	columns := columnNames()
	slices.SortStableFunc(w, func(a, b cellFault) int {
		return cmp.Or(cmp.Compare(a.line, b.line), cmp.Compare(slices.Index(columns, a.column), slices.Index(columns, b.column)))
	})
	var told fieldErrors
	for _, one := range w[:min(len(w), maxCellsNamed)] {
		if one.column == "" {
			told.add(fmt.Sprintf("lines[%d]", one.line), "line %d: %s", one.line, one.message)
			continue
		}
		told.add(fmt.Sprintf("lines[%d].%s", one.line, one.column), "line %d, %s: %s", one.line, one.column, one.message)
	}
	if more := len(w) - maxCellsNamed; more > 0 {
		told.add("csv", "%s more", counted(more, "mistake"))
	}
	return told.err(fmt.Sprintf("there are %d mistakes in the file, and nothing of it was taken in", len(w)))
}

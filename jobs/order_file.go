package jobs

import (
	"crypto/sha256"
	"encoding/csv"
	"encoding/hex"
	"errors"
	"io"
	"slices"
	"strings"
)

// MaxFileRolls is how many rolls a file of orders may bring at once.
const MaxFileRolls = 300

// OrderFile is a file of orders as it was written: its cells, with nothing made
// of them yet.
type OrderFile struct {
	Rows  []OrderRow
	wrong cellFaults // in its shape
}

// OrderRow is the row of one roll.
type OrderRow struct {
	Line  int               // in the file, from 1
	Cells map[string]string // by column, without those that are empty
}

// ParseOrderFile takes a file of orders apart. Its first line names the columns,
// of those that [OrderColumns] lists and in any order; they are parted by
// commas, semicolons or tabs. Each further line is a roll. Empty lines, and
// remarks (# in the first cell and nothing else in the line), are passed over.
// A line that cannot be read is found fault with by [OrderFile.Orders], together
// with the cells.
func ParseOrderFile(text string) (OrderFile, error) {
	rows, header, err := openTable(text)
	if err != nil {
		return OrderFile{}, err
	}
	first, _ := rows.FieldPos(0)
	columns, err := orderColumnsOf(first, header)
	if err != nil {
		return OrderFile{}, err
	}
	var file OrderFile
	for {
		row, err := rows.Read()
		if errors.Is(err, io.EOF) {
			return file, nil
		}
		if err != nil {
			file.wrong.add(lineOf(err), "", "it cannot be read: %v", errors.Unwrap(err))
			return file, nil
		}
		line, _ := rows.FieldPos(0)
		file.addRow(line, row, columns)
		if len(file.Rows) > MaxFileRolls {
			return OrderFile{}, InvalidField("csv", "the file has more than %d rolls; send it in parts", MaxFileRolls)
		}
	}
}

// orderColumnsOf finds what each column holds; "" for one without a name.
func orderColumnsOf(line int, header []string) ([]string, error) {
	known := columnNames()
	columns := make([]string, len(header))
	var wrong fieldErrors
	for i, name := range header {
		columns[i] = strings.NewReplacer(" ", "_", "-", "_").Replace(strings.ToLower(strings.TrimSpace(name)))
		switch {
		case columns[i] == "":
		case !slices.Contains(known, columns[i]):
			wrong.add("csv", "line %d: %q is no column that is known here; they are %s", line, name, strings.Join(known, ", "))
		case slices.Contains(columns[:i], columns[i]):
			wrong.add("csv", "line %d: the column %q stands there twice", line, columns[i])
		}
	}
	for _, column := range orderColumns {
		if column.Needed && !slices.Contains(columns, column.Name) {
			wrong.add("csv", "line %d: the column %q is missing", line, column.Name)
		}
	}
	return columns, wrong.err("the first line of the file has to name the columns")
}

// addRow adds a row, unless nothing is in it or a remark.
func (f *OrderFile) addRow(line int, row, columns []string) {
	cells := map[string]string{}
	written := 0
	for i, text := range row {
		row[i] = strings.TrimSpace(plainBreaks(text))
		if row[i] == "" {
			continue
		}
		written++
		if i < len(columns) && columns[i] != "" {
			cells[columns[i]] = row[i]
		}
	}
	switch {
	case written == 0, written == 1 && strings.HasPrefix(row[0], "#"):
	case len(row) != len(columns):
		f.wrong.add(line, "", "it has %s, the first line names %d; text with a comma in it stands in quotes",
			counted(len(row), "cell"), len(columns))
	case written > len(cells):
		f.wrong.add(line, "", "something stands in a column that has no name in the first line")
	default:
		f.Rows = append(f.Rows, OrderRow{line, cells})
	}
}

// plainBreaks writes every line break in one way, so that a file means the same
// whatever it was saved with.
func plainBreaks(text string) string {
	return strings.NewReplacer("\r\n", "\n", "\r", "\n").Replace(text)
}

// String writes the file anew, with every column.
func (f OrderFile) String() string {
	columns := columnNames()
	var out strings.Builder
	write := csv.NewWriter(&out)
	// Nothing goes wrong while writing into memory.
	_ = write.Write(columns)
	for _, row := range f.Rows {
		cells := make([]string, len(columns))
		for i, column := range columns {
			cells[i] = row.Cells[column]
		}
		_ = write.Write(cells)
	}
	write.Flush()
	return out.String()
}

// Key tells the content of one file from that of another, however it was saved.
func (f OrderFile) Key() string {
	sum := sha256.Sum256([]byte(f.String()))
	return hex.EncodeToString(sum[:])
}

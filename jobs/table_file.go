package jobs

import (
	"encoding/csv"
	"errors"
	"io"
	"strings"
	"unicode/utf8"
)

// MaxFileBytes is the most that a file of strips or of orders may hold.
const MaxFileBytes = 200_000

// openTable begins to read a file whose first line names its columns, parted by
// commas, semicolons or tabs.
func openTable(text string) (rows *csv.Reader, header []string, err error) {
	if len(text) > MaxFileBytes {
		return nil, nil, InvalidField("csv", "the file has %d bytes, at most %d can be read at once", len(text), MaxFileBytes)
	}
	if !utf8.ValidString(text) {
		return nil, nil, InvalidField("csv", "the file is not in UTF-8: save it as that")
	}
	text = strings.TrimPrefix(text, "\ufeff")
	head, _, _ := strings.Cut(strings.TrimLeft(text, "\r\n"), "\n")
	rows = csv.NewReader(strings.NewReader(text))
	rows.Comma, rows.FieldsPerRecord = separator(head), -1
	rows.TrimLeadingSpace = rows.Comma != '\t'
	header, err = rows.Read()
	if errors.Is(err, io.EOF) {
		return nil, nil, InvalidField("csv", "the file is empty")
	}
	if err != nil {
		return nil, nil, InvalidField("csv", "the first line cannot be read: %v", err)
	}
	return rows, header, nil
}

// separator is what parts the columns: what the first line holds most of.
func separator(head string) rune {
	best := ','
	for _, other := range ";\t" {
		if strings.Count(head, string(other)) > strings.Count(head, string(best)) {
			best = other
		}
	}
	return best
}

// lineOf is the line at which a file stopped being readable.
func lineOf(err error) int {
	var parse *csv.ParseError
	if errors.As(err, &parse) {
		return parse.Line
	}
	return 0
}

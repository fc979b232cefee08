package note_test

import (
	"bufio"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"wetside/chemistry"
	"wetside/jobs/note"
)

// written is a note with the reading a person would give it. A cell of "~" is
// not compared: where a note must be asked about, what is read so far matters
// less than the question.
type written struct {
	line    int
	iso     int
	push    string // as in the table, "-" for nil
	ei      string
	confirm bool
	text    string
}

// readTable reads a table of notes from testdata.
func readTable(t *testing.T, name string) []written {
	t.Helper()
	file, err := os.Open(filepath.Join("testdata", name))
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	var notes []written
	lines := bufio.NewScanner(file)
	for number := 1; lines.Scan(); number++ {
		line := lines.Text()
		if line == "" || strings.HasPrefix(line, "#") {
			continue
		}
		cells := strings.SplitN(line, "|", 5)
		if len(cells) != 5 {
			t.Fatalf("%s:%d: not five cells: %q", name, number, line)
		}
		for i := range cells[:4] {
			cells[i] = strings.TrimSpace(cells[i])
		}
		iso, err := strconv.Atoi(cells[0])
		if err != nil || cells[3] != "ask" && cells[3] != "sure" {
			t.Fatalf("%s:%d: cannot be read: %q", name, number, line)
		}
		text := strings.ReplaceAll(strings.TrimSpace(cells[4]), `\n`, "\n")
		notes = append(notes, written{number, iso, cells[1], cells[2], cells[3] == "ask", text})
	}
	if err := lines.Err(); err != nil {
		t.Fatal(err)
	}
	return notes
}

func pushCell(push *chemistry.Stops) string {
	if push == nil {
		return "-"
	}
	data, err := push.MarshalJSON()
	if err != nil {
		return err.Error()
	}
	if *push > 0 {
		return "+" + string(data)
	}
	return string(data)
}

func eiCell(ei *int) string {
	if ei == nil {
		return "-"
	}
	return strconv.Itoa(*ei)
}

func TestReadTables(t *testing.T) {
	t.Parallel()
	for _, name := range tables {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			for _, want := range readTable(t, name) {
				got := note.Read(want.text, want.iso)
				push, ei := pushCell(got.Push), eiCell(got.EI)
				if want.push == "~" {
					push = "~"
				}
				if want.ei == "~" {
					ei = "~"
				}
				saw := fmt.Sprint(push, " EI ", ei, " confirm ", got.Confirm)
				wanted := fmt.Sprint(want.push, " EI ", want.ei, " confirm ", want.confirm)
				if diff := cmp.Diff(wanted, saw); diff != "" {
					t.Errorf("line %d, %q on ISO %d: want %s, got %s: %s", want.line, want.text, want.iso, wanted, saw, got.Because)
				}
			}
		})
	}
}

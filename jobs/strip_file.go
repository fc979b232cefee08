package jobs

import (
	"errors"
	"fmt"
	"io"
	"maps"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"

	"wetside/chemistry"
)

// MaxFileStrips is how many strips a densitometer's file may bring at once.
const MaxFileStrips = 500

// maxLinesNamed is how many lines of a file are found fault with at once.
const maxLinesNamed = 20

// StripLine is one strip of a densitometer's file.
type StripLine struct {
	Number    int // of the line in the file, from 1
	At        time.Time
	Line      string
	Process   chemistry.Process
	Box       string // "" where the file does not say
	Densities Densities
}

// stripColumns are the columns of a file beside the densities.
var stripColumns = []string{"time", "line", "process", "box"}

// ReadStripLines reads the strips of a densitometer's file. Its first line names
// the columns, in any order: time, line and process, box if the box is to be
// checked, and the patches by the names of [Patches]. Columns are parted by
// commas, semicolons or tabs; with the last two, densities may be written with a
// decimal comma. A time is written 2026-03-02 07:40, with seconds if there are
// any, in the lab's time zone, or with a zone of its own as RFC 3339. A patch
// that a strip does not have is left empty. An error names every line that is
// wrong.
func ReadStripLines(text string, zone *time.Location) ([]StripLine, error) {
	rows, header, err := openTable(text)
	if err != nil {
		return nil, err
	}
	columns, err := columnsOf(header)
	if err != nil {
		return nil, err
	}
	var lines []StripLine
	var wrong fileFaults
	for {
		row, err := rows.Read()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			wrong.add(lineOf(err), "it cannot be read: %v", errors.Unwrap(err))
			break
		}
		number, _ := rows.FieldPos(0)
		if line, ok := wrong.line(number, row, columns, zone, rows.Comma != ','); ok {
			lines = append(lines, line)
		}
		if len(lines) > MaxFileStrips {
			return nil, InvalidField("csv", "the file has more than %d strips; send it in parts", MaxFileStrips)
		}
	}
	if err := wrong.err(); err != nil {
		return nil, err
	}
	if len(lines) == 0 {
		return nil, InvalidField("csv", "the file has no strips: there is nothing below its first line")
	}
	return lines, nil
}

// columnsOf finds what each column holds.
func columnsOf(header []string) ([]string, error) {
	known := StripFileColumns()
	columns := make([]string, len(header))
	for i, name := range header {
		columns[i] = strings.ToLower(strings.TrimSpace(name))
		switch {
		case !slices.Contains(known, columns[i]):
			return nil, InvalidField("csv", "line 1: %q is no column that is known here; they are %s", name, strings.Join(known, ", "))
		case slices.Contains(columns[:i], columns[i]):
			return nil, InvalidField("csv", "line 1: the column %q stands there twice", name)
		}
	}
	for _, needed := range stripColumns[:3] {
		if !slices.Contains(columns, needed) {
			return nil, InvalidField("csv", "line 1: the column %q is missing", needed)
		}
	}
	return columns, nil
}

// fileFaults are what is wrong with a file, by line.
type fileFaults map[int][]string

func (f *fileFaults) add(line int, format string, args ...any) {
	if *f == nil {
		*f = fileFaults{}
	}
	(*f)[line] = append((*f)[line], fmt.Sprintf(format, args...))
}

// err names every line that is wrong, the first ones in full.
func (f fileFaults) err() error {
	var wrong fieldErrors
	for _, line := range slices.Sorted(maps.Keys(f)) {
		if len(wrong) == maxLinesNamed {
			wrong.add("csv", "%d more lines are wrong", len(f)-maxLinesNamed)
			break
		}
		wrong.add("csv", "line %d: %s", line, strings.Join(f[line], "; "))
	}
	return wrong.err(fmt.Sprintf("%d lines of the file are wrong, and nothing of it was recorded", len(f)))
}

// line reads one row.
func (f *fileFaults) line(number int, row, columns []string, zone *time.Location, decimalComma bool) (StripLine, bool) {
	line := StripLine{Number: number, Densities: Densities{}}
	if len(row) != len(columns) {
		f.add(number, "it has %s, the first line names %d", counted(len(row), "column"), len(columns))
		return line, false
	}
	before := len((*f)[number])
	for i, column := range columns {
		value := strings.TrimSpace(row[i])
		switch column {
		case "time":
			at, err := stripTime(value, zone)
			if err != nil {
				f.add(number, "%v", err)
			}
			line.At = at
		case "line":
			line.Line = value
		case "box":
			line.Box = value
		case "process":
			line.Process = chemistry.Process(strings.ToUpper(value))
			if !slices.Contains(chemistry.Processes, line.Process) {
				f.add(number, "%q is no process, they are %s", value, strings.Join(names(chemistry.Processes), ", "))
			}
		default:
			if value == "" {
				continue
			}
			density, ok := parseDensity(value, decimalComma)
			if !ok {
				f.add(number, "%s: %q is no density; one is written like 0.85", column, value)
			}
			line.Densities[column] = density
		}
	}
	return line, len((*f)[number]) == before
}

var plainDensity = regexp.MustCompile(`^\d{1,2}(\.\d{1,6})?$`)

// parseDensity reads a density as a densitometer writes it.
func parseDensity(text string, decimalComma bool) (float64, bool) {
	if decimalComma {
		text = strings.Replace(text, ",", ".", 1)
	}
	if !plainDensity.MatchString(text) {
		return 0, false
	}
	density, err := strconv.ParseFloat(text, 64)
	return density, err == nil
}

// stripTime reads when a strip was read, in a year that a clock set wrong does
// not reach.
func stripTime(text string, zone *time.Location) (time.Time, error) {
	for _, layout := range []string{"2006-01-02 15:04", "2006-01-02 15:04:05", time.RFC3339} {
		if at, err := time.ParseInLocation(layout, text, zone); err == nil && at.Year() >= 2000 && at.Year() < 2200 {
			return at.UTC(), nil
		}
	}
	return time.Time{}, fmt.Errorf("time: %q is no time; one is written 2026-03-02 07:40", text)
}

// CheckStripFile decides whether the strips of a file may be recorded, in the
// order of their times, and judges them: Invalid with every line that is wrong.
func (b Bench) CheckStripFile(lines []StripLine, now time.Time) ([]Strip, error) {
	since := maps.Clone(b.Since)
	b.Since = since
	lines = slices.Clone(lines)
	slices.SortStableFunc(lines, func(a, b StripLine) int { return a.At.Compare(b.At) })
	var strips []Strip
	var wrong fileFaults
	for _, line := range lines {
		strip, err := b.checkStripLine(line, now)
		if err != nil {
			wrong.add(line.Number, "%s", plainWords(err))
			continue
		}
		key := ControlKey{strip.Line, strip.Process}
		strip.ID = placeholder(len(strips))
		since[key] = append(slices.Clip(since[key]), strip)
		strips = append(strips, strip)
	}
	return strips, wrong.err()
}

// placeholder is the key that a strip of a file has until it is kept, so that
// one of the same file can confirm it.
func placeholder(index int) StripID { return -StripID(index) - 1 }

// PlaceOf is the place in its file of the strip that another one confirms, and
// false where that one is on record already.
func PlaceOf(confirms StripID) (int, bool) { return int(-confirms) - 1, confirms < 0 }

func (b Bench) checkStripLine(line StripLine, now time.Time) (Strip, error) {
	run := StripRun{Process: line.Process, Densities: line.Densities}
	for _, known := range b.Lines {
		if strings.EqualFold(known.Name, line.Line) {
			run.Line = known.ID
		}
	}
	since := b.Since[ControlKey{run.Line, run.Process}]
	switch box := b.Boxes[line.Process]; {
	case run.Line == 0:
		return Strip{}, Errorf(Invalid, "there is no line %q", line.Line)
	case line.At.After(now):
		return Strip{}, Errorf(Invalid, "%s has not come yet: set the clock of the densitometer right", b.clock(line.At))
	case len(since) > 0 && !line.At.After(since[len(since)-1].At):
		return Strip{}, Errorf(WrongState, "%s is not after the last strip of %s in %s, read at %s: was this file sent before?",
			b.clock(line.At), run.Process, b.Lines[run.Line].Name, b.clock(since[len(since)-1].At))
	case line.Box != "" && box.ID != 0 && !strings.EqualFold(line.Box, box.Number):
		return Strip{}, Errorf(Refused, "box %q is not the one in use for %s, which is %s", line.Box, run.Process, box.Number)
	}
	return b.CheckStrip(run, line.At)
}

// plainWords is an error as one line, its fields in a row.
func plainWords(err error) string {
	var told *Error
	if !errors.As(err, &told) || len(told.Fields) == 0 {
		return err.Error()
	}
	words := make([]string, len(told.Fields))
	for i, field := range told.Fields {
		words[i] = field.Message
	}
	return strings.Join(words, ", ")
}

// StripFileColumns lists the names of every column that a file may have.
func StripFileColumns() []string {
	columns := slices.Clone(stripColumns)
	for _, patch := range slices.Concat(colourPatches, greyPatches) {
		columns = append(columns, patch.Name)
	}
	return columns
}

// StripFileExample is a file of one strip.
const StripFileExample = `time;line;process;d_min_red;d_min_green;d_min_blue;ld_red;ld_green;ld_blue;hd_red;hd_green;hd_blue;d_max_blue;yellow_blue
2026-03-02 07:40;Drum;C-41;0,20;0,60;0,90;0,80;1,20;1,50;1,30;1,90;2,20;2,90;2,80
`

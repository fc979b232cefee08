package jobs

import (
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"wetside/chemistry"
)

const stripHead = "time,line,process,d_min_red,d_min_green,d_min_blue,ld_red,ld_green,ld_blue,hd_red,hd_green,hd_blue,d_max_blue,yellow_blue"

const stripRow = "2026-03-02 07:40,Drum,C-41,0.2,0.6,0.9,0.8,1.2,1.5,1.3,1.9,2.2,2.9,2.8"

var lisbon = time.FixedZone("behind", -3600)

func TestReadStripLines(t *testing.T) {
	t.Parallel()
	swap := strings.NewReplacer
	for name, text := range map[string]string{
		"commas":               stripHead + "\n" + stripRow + "\n",
		"no line at the end":   stripHead + "\n" + stripRow,
		"as Windows writes":    "\ufeff" + stripHead + "\r\n" + stripRow + "\r\n",
		"semicolons":           swap(",", ";").Replace(stripHead + "\n" + stripRow),
		"decimal commas":       swap(",", ";", ".", ",").Replace(stripHead + "\n" + stripRow),
		"tabs, decimal commas": swap(",", "\t", ".", ",").Replace(stripHead + "\n" + stripRow),
		"quoted":               stripHead + "\n\"" + strings.ReplaceAll(stripRow, ",", `","`) + "\"",
		"spaces":               strings.ReplaceAll(stripHead+"\n"+stripRow, ",", " , "),
		"capitals":             strings.ToUpper(stripHead) + "\n" + strings.Replace(stripRow, "C-41", "c-41", 1),
		"empty lines":          "\n" + stripHead + "\n\n" + stripRow + "\n\n",
		"seconds":              stripHead + "\n" + strings.Replace(stripRow, "07:40", "07:40:00", 1),
		"its own zone":         stripHead + "\n" + strings.Replace(stripRow, "2026-03-02 07:40", "2026-03-02T10:40:00+02:00", 1),
		"another order":        "yellow_blue,d_max_blue,line,hd_red,hd_green,hd_blue,process,ld_red,ld_green,ld_blue,time,d_min_red,d_min_green,d_min_blue\n2.8,2.9,Drum,1.3,1.9,2.2,C-41,0.8,1.2,1.5,2026-03-02 07:40,0.2,0.6,0.9",
		"empty columns":        stripHead + ",ld_visual\n" + stripRow + ",",
	} {
		lines, err := ReadStripLines(text, lisbon)
		if err != nil || len(lines) != 1 {
			t.Errorf("%s: %v, %v", name, lines, err)
			continue
		}
		var wrong fieldErrors
		reading := wrong.reading("", lines[0].Process, lines[0].Densities, chemistry.C41StripLimits)
		if reading != stripAim || len(wrong) > 0 || lines[0].Line != "Drum" || !lines[0].At.Equal(time.Date(2026, 3, 2, 8, 40, 0, 0, time.UTC)) {
			t.Errorf("%s: read as %+v", name, lines[0])
		}
	}
}

func TestReadStripLinesRefuses(t *testing.T) {
	t.Parallel()
	row := func(old, new string) string {
		return stripHead + "\n" + stripRow + "\n" + strings.Replace(stripRow, old, new, 1)
	}
	for name, test := range map[string]struct {
		text string
		says []string
	}{
		"nothing":            {"", []string{"the file is empty"}},
		"nothing but a mark": {"\ufeff\n\n", []string{"the file is empty"}},
		"no strips":          {stripHead, []string{"no strips"}},
		"not text":           {"\xff\xfe" + stripHead, []string{"UTF-8"}},
		"too large":          {strings.Repeat("x", MaxFileBytes+1), []string{"bytes"}},
		"too many":           {stripHead + strings.Repeat("\n"+stripRow, MaxFileStrips+1), []string{"more than 500"}},
		"unknown column":     {stripHead + ",operator\n" + stripRow + ",Kit", []string{`line 1: "operator"`, "ld_red"}},
		"column twice":       {stripHead + ",LD_red\n" + stripRow + ",1", []string{"line 1", "twice"}},
		"no line":            {strings.Replace(stripHead, "line,", "", 1) + "\n" + stripRow, []string{"line 1", `"line" is missing`}},
		"too few columns":    {row(",2.8", ""), []string{"line 3: it has 13 columns, the first line names 14"}},
		"decimal comma":      {row("2.8", "2,8"), []string{"line 3: it has 15 columns"}},
		"no time":            {row("2026-03-02 07:40", "this morning"), []string{`line 3: time: "this morning"`}},
		"another century":    {row("2026", "1970"), []string{"line 3: time"}},
		"no process":         {row("C-41", "C-22"), []string{`line 3: "C-22" is no process`}},
		"no number":          {row("0.8", "dark"), []string{`line 3: ld_red: "dark" is no density`}},
		"infinite":           {row("0.8", "Inf"), []string{"ld_red"}},
		"not a number":       {row("0.8", "NaN"), []string{"ld_red"}},
		"hexadecimal":        {row("0.8", "0x1p-2"), []string{"ld_red"}},
		"negative":           {row("0.8", "-0.8"), []string{"ld_red"}},
		"two in one line":    {row("0.8,1.2", "dark,bright"), []string{"line 3: ld_red", "; ld_green"}},
		"every line":         {stripHead + "\n" + strings.Replace(stripRow, "0.8", "a", 1) + "\n" + stripRow + "\n" + strings.Replace(stripRow, "0.8", "b", 1), []string{"2 lines of the file", "line 2: ld_red", "line 4: ld_red", "nothing of it was recorded"}},
		"an open quote":      {row("Drum", `"Drum`), []string{"line 3: it cannot be read"}},
		"many wrong lines":   {stripHead + strings.Repeat("\n"+strings.Replace(stripRow, "0.8", "a", 1), 25), []string{"line 21:", "5 more lines are wrong"}},
	} {
		lines, err := ReadStripLines(test.text, time.UTC)
		if CodeOf(err) != Invalid || lines != nil {
			t.Errorf("%s: %v, %v", name, lines, err)
			continue
		}
		for _, words := range test.says {
			if !strings.Contains(err.Error(), words) {
				t.Errorf("%s: %.300v\ndoes not say %q", name, err, words)
			}
		}
	}
}

// stripFile writes rows of C-41 strips, LD red off by so much.
func stripFile(rows ...string) string {
	text := stripHead
	for _, row := range rows {
		at, line, off := "", "", 0.0
		if _, err := fmt.Sscanf(row, "%s %s %g", &at, &line, &off); err != nil {
			panic(err)
		}
		text += fmt.Sprintf("\n2026-03-02 %s,%s,C-41,0.2,0.6,0.9,%.2f,1.2,1.5,%.2f,1.9,2.2,2.9,2.8", at, line, 0.8+off, 1.3+off)
	}
	return text
}

// The strips of a file are judged in the order of their times: one confirms the
// other as if both had been read by hand.
func TestCheckStripFile(t *testing.T) {
	t.Parallel()
	bench := testBench()
	key := ControlKey{drum, chemistry.C41}
	bench.Since[key] = []Strip{stripOff(t, 5, monday.Add(-2*time.Hour), 0.1, 0)} // 7:00, past the control limit
	lines, err := ReadStripLines(stripFile("08:30 drum 0.1", "08:10 DRUM 0.1", "08:20 Drum 0", "08:40 Drum -0.1"), time.UTC)
	if err != nil {
		t.Fatal(err)
	}
	strips, err := bench.CheckStripFile(lines, monday)
	if err != nil || len(strips) != 4 {
		t.Fatalf("%v, %v", strips, err)
	}
	if strips[0].Confirms != 5 || strips[1].Confirms != 0 || strips[2].Confirms != 0 {
		t.Errorf("confirm %d, %d, %d", strips[0].Confirms, strips[1].Confirms, strips[2].Confirms)
	}
	if place, here := PlaceOf(strips[3].Confirms); !here || place != 2 {
		t.Errorf("the last confirms %d", strips[3].Confirms)
	}
	if _, here := PlaceOf(strips[0].Confirms); here {
		t.Error("a strip on record is taken for one of the file")
	}
	if len(bench.Since[key]) != 1 {
		t.Error("the bench was changed")
	}
}

func TestCheckStripFileRefuses(t *testing.T) {
	t.Parallel()
	for name, test := range map[string]struct {
		text string
		says []string
	}{
		"no such line":     {stripFile("08:10 Drum 0", "08:20 Tub 0"), []string{`line 3: there is no line "Tub"`}},
		"not its process":  {strings.Replace(stripFile("08:10 Drum 0"), "Drum", "Dip and dunk", 1), []string{"line 2: Dip and dunk does not run C-41"}},
		"not yet":          {stripFile("09:01 Drum 0"), []string{"line 2: 2 March 2026, 09:01 has not come yet"}},
		"sent before":      {stripFile("07:00 Drum 0"), []string{"line 2: ", "was this file sent before?"}},
		"the same time":    {stripFile("08:10 Drum 0", "08:10 Drum 0"), []string{"line 3: ", "not after the last strip"}},
		"too dark":         {stripFile("08:10 Drum 4"), []string{"line 2: 5.3 is no density of HD through red"}},
		"a patch left out": {strings.Replace(stripFile("08:10 Drum 0"), ",1.2,", ",,", 1), []string{"line 2: the density of LD through green is missing"}},
		"another box":      {strings.Replace(stripFile("08:10 Drum 0"), "\n", ",box\n", 1) + ",4710", []string{`line 2: box "4710" is not the one in use for C-41, which is 4711`}},
		"every line":       {stripFile("08:10 Tub 0", "08:20 Drum 0", "08:30 Tank 0"), []string{"2 lines", `line 2: there is no line "Tub"`, `line 4: there is no line "Tank"`}},
	} {
		bench := testBench()
		bench.Since[ControlKey{drum, chemistry.C41}] = []Strip{stripOff(t, 5, monday.Add(-2*time.Hour), 0, 0)}
		lines, err := ReadStripLines(test.text, time.UTC)
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		_, err = bench.CheckStripFile(lines, monday)
		for _, words := range test.says {
			if CodeOf(err) != Invalid || !strings.Contains(err.Error(), words) {
				t.Errorf("%s: %v\ndoes not say %q", name, err, words)
			}
		}
	}
	if _, err := testBench().CheckStripFile([]StripLine{{Number: 2, At: monday, Line: "Drum", Process: chemistry.C41, Box: "4711", Densities: DensitiesOf(chemistry.C41, stripAim)}}, monday); err != nil {
		t.Errorf("the box in use: %v", err)
	}
}

// Whatever a file holds, it is read whole or refused with a line that is in it.
func FuzzReadStripLines(f *testing.F) {
	f.Add(stripHead + "\n" + stripRow)
	f.Add(strings.NewReplacer(",", ";", ".", ",").Replace(stripHead + "\n" + stripRow))
	f.Add("\ufefftime\tline\tprocess\tld_visual\r\n2026-03-02T07:40:00Z\t\"Hand\ntanks\"\tBW\t0,6\r\n")
	f.Add(stripHead + "\n\"")
	f.Fuzz(func(t *testing.T, text string) {
		lines, err := ReadStripLines(text, time.UTC)
		if err != nil {
			if CodeOf(err) != Invalid || lines != nil || fieldsOf(err) == "" {
				t.Fatalf("%v with %v", lines, err)
			}
			return
		}
		if len(lines) == 0 || len(lines) > MaxFileStrips {
			t.Fatalf("%d strips", len(lines))
		}
		last := strings.Count(text, "\n") + strings.Count(text, "\r") + 1
		for _, line := range lines {
			if line.Number < 2 || line.Number > last || line.At.IsZero() {
				t.Fatalf("%+v of %d lines", line, last)
			}
			for name, density := range line.Densities {
				if math.IsNaN(density) || density < 0 || density >= 100 {
					t.Fatalf("%s is %g", name, density)
				}
			}
		}
		if _, err := testBench().CheckStripFile(lines, monday); err != nil && CodeOf(err) != Invalid {
			t.Fatal(err)
		}
	})
}

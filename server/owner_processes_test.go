package server_test

import (
	"net/http"
	"net/url"
	"strings"
	"testing"

	"github.com/PuerkitoBio/goquery"

	"wetside/chemistry"
)

// levelRow finds the row of a push level in the table of times.
func levelRow(t *testing.T, page answer, level string) *goquery.Selection {
	t.Helper()
	row := page.page.Find("table.times tr").FilterFunction(func(_ int, row *goquery.Selection) bool {
		return strings.HasPrefix(strings.TrimSpace(row.Find("th").Text()), level)
	})
	if row.Length() != 1 {
		t.Fatalf("%d rows of %s", row.Length(), level)
	}
	return row
}

func TestTheCyclesWithTheirSources(t *testing.T) {
	t.Parallel()
	l := open(t)
	b := browse(t, l.URL).signIn("Wren")
	list := b.get("/processes").status(http.StatusOK)
	// C-41: 3:15 at 37.8 ± 0.15 °C (Kodak Z-131, table 2-1).
	list.says("main", "37.8 ± 0.15 °C")
	list.says("main", "3:15")
	for _, process := range chemistry.Processes {
		page := b.get("/processes/" + string(process)).status(http.StatusOK)
		steps := page.page.Find("table:not(.times) tbody tr")
		var want int
		for _, variant := range chemistry.Variants(process) {
			cycle, err := chemistry.CycleFor(process, variant)
			if err != nil {
				t.Fatal(err)
			}
			want += len(cycle.Steps)
		}
		if steps.Length() != want {
			t.Errorf("%s shows %d steps, want %d", process, steps.Length(), want)
		}
		steps.Each(func(_ int, step *goquery.Selection) {
			if word := strings.TrimSpace(step.Find(".chip").Text()); word == "" {
				t.Errorf("%s: no standing in %q", process, step.Text())
			}
		})
		if times := page.page.Find("table.times").Length(); (times == 0) != (process == chemistry.BW) {
			t.Errorf("%s has %d tables of times", process, times)
		}
	}
	c41 := b.get("/processes/C-41")
	// Push 1 takes 3:45 (Kodak TI-2420, push table).
	if row := levelRow(t, c41, "Push +1").Text(); !strings.Contains(row, "3:45") || !strings.Contains(row, "Published") || !strings.Contains(row, "TI-2420") {
		t.Errorf("push 1: %s", row)
	}
	c41.says("main", "4:20 to 6:30") // bleach (Kodak Z-131, table 2-1)
}

func TestTheLabsOwnTimes(t *testing.T) {
	t.Parallel()
	l := open(t)
	b := browse(t, l.URL).signIn("Wren")
	form := b.get("/processes/C-41").typed("main form")
	form.Set("times[2].time", "230s") // push 1
	form.Set("times[2].source", "Wren, two rolls, February")
	form.Set("times[5].push", "1/2")
	form.Set("times[5].time", "3:32")
	b.post("/processes/C-41", form).status(http.StatusSeeOther)
	page := b.get("/processes/C-41")
	page.says(".notice.done", "2 times of your own for C-41")
	if row := levelRow(t, page, "Push +1"); !strings.Contains(row.Text(), "in use: 3:50") || !strings.Contains(row.Text(), "3:45") {
		t.Errorf("push 1: %s", row.Text())
	}
	if row := levelRow(t, page, "Push +½"); !strings.Contains(row.Text(), "in use: 3:32") {
		t.Errorf("push ½: %s", row.Text())
	}
	tested := l.catalogue(t).Tested
	if len(tested) != 2 || tested[1].Seconds != 230 || tested[1].Source.Text != "Wren, two rolls, February" {
		t.Errorf("stored %+v", tested)
	}
	b.get("/processes").says("main", "2 tested times")

	// Emptied, the shipped times stand again.
	form = page.typed("main form")
	for field := range form {
		if strings.HasSuffix(field, ".time") || strings.HasSuffix(field, ".source") {
			form.Set(field, "")
		}
	}
	b.post("/processes/C-41", form).status(http.StatusSeeOther)
	if tested := l.catalogue(t).Tested; len(tested) != 0 {
		t.Errorf("still stored: %+v", tested)
	}
}

func TestSlipsInTheLabsOwnTimes(t *testing.T) {
	t.Parallel()
	l := open(t)
	b := browse(t, l.URL).signIn("Wren")
	l.trySlips(t, b, "/processes/C-41", []slip{
		{"times[2].time", "a while", "", "write it like 7:30"},
		{"times[2].time", "450", "", "180:00"},
		{"times[2].source", "tested", "times[2].time", "no time"},
	})
	away := b.get("/processes/C-41").typed("main form")
	away.Set("times[2].time", "soon")
	b.post("/processes/C-41", away).status(http.StatusUnprocessableEntity).says("#problems", "Push +1: Not a time")
	level := b.get("/processes/C-41").typed("main form")
	level.Set("times[5].time", "3:30")
	got := b.post("/processes/C-41", level).status(http.StatusUnprocessableEntity)
	if fault := got.faultBeside("times[5].push"); !strings.Contains(fault, "write it like 1") {
		t.Errorf("a time without a level: %q", fault)
	}
	level.Set("times[5].push", "12")
	got = b.post("/processes/C-41", level).status(http.StatusUnprocessableEntity)
	if fault := got.faultBeside("times[5].push"); !strings.Contains(fault, "−10 to +10") {
		t.Errorf("a level far off: %q", fault)
	}
	for name, change := range map[string][2]string{
		"shorter than normal":            {"times[2].time", "3:00"},
		"longer than the shipped push 2": {"times[2].time", "4:20"},
	} {
		form := b.get("/processes/C-41").typed("main form")
		form.Set(change[0], change[1])
		got := b.post("/processes/C-41", form).status(http.StatusUnprocessableEntity)
		got.says("#problems", "more push takes longer")
		got.says("#f-times", "more push takes longer")
		if kept := got.typed("main form").Get(change[0]); kept != change[1] {
			t.Errorf("%s: %q is left of what was typed", name, kept)
		}
	}
	if tested := l.catalogue(t).Tested; len(tested) != 0 {
		t.Errorf("stored %+v", tested)
	}
	b.post("/processes/BW", url.Values{"times[0].push": {"1"}, "times[0].time": {"9:00"}}).status(http.StatusUnprocessableEntity)
}

func TestTimesChangedBySomebodyElse(t *testing.T) {
	t.Parallel()
	l := open(t)
	mine, theirs := browse(t, l.URL).signIn("Wren"), browse(t, l.URL).signIn("Wren")
	form := mine.get("/processes/C-41").typed("main form")
	other := theirs.get("/processes/C-41").typed("main form")
	other.Set("times[5].push", "1/2") // a level more moves the rows below it
	other.Set("times[5].time", "3:32")
	theirs.post("/processes/C-41", other).status(http.StatusSeeOther)
	form.Set("times[2].time", "3:50")
	got := mine.post("/processes/C-41", form).status(http.StatusConflict)
	got.says("#problems", "Somebody else changed these times")
	if row := levelRow(t, got, "Push +1"); row.Find("input[value='3:50']").Length() != 1 {
		t.Errorf("what was typed for push 1 is gone: %s", row.Text())
	}
	if row := levelRow(t, got, "Push +½"); !strings.Contains(row.Text(), "In the records now: 3:32") {
		t.Errorf("what somebody else saved is not shown: %s", row.Text())
	}
	mine.post("/processes/C-41", got.typed("main form")).status(http.StatusSeeOther)
	if tested := l.catalogue(t).Tested; len(tested) != 1 || tested[0].Push != chemistry.Stop || tested[0].Seconds != 230 {
		t.Errorf("stored %+v", tested)
	}
}

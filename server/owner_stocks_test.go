package server_test

import (
	"fmt"
	"net/http"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"wetside/chemistry"
	"wetside/jobs"
)

// pressStock sends the form of a stock with one of its buttons.
func pressStock(b *browser, path, button string, form map[string][]string) answer {
	b.t.Helper()
	form["do"] = []string{button}
	return b.post(path, form)
}

func TestAddABlackAndWhiteStock(t *testing.T) {
	t.Parallel()
	l := open(t)
	b := browse(t, l.URL).signIn("Wren")
	mq := l.solution(t, "MQ borax").ID
	form := b.get("/stocks/new").status(http.StatusOK).typed("#stock")
	for field, value := range map[string]string{
		"name": "Marl 125", "process": "BW", "kind": "black and white", "balance": "panchromatic", "iso_daylight": "125",
		"max_push": "1", "max_pull": "½", "dx": "1756", "unforgiving": "yes", "solution": fmt.Sprint(mq),
		// Times of a core-shell ISO 100 film in MQ borax, with what 24 °C makes of
		// them by b = 0.083 (HARMAN sheet, September 2002, and processing chart).
		"times[0].solution": fmt.Sprint(mq), "times[0].rows": "20 °C = 8:30\n\n68F = 8.5\n24=6:06", "times[0].push_rows": "1 = 10:30", "times[0].source": "own test",
	} {
		form.Set(field, value)
	}
	// 68 °F is 20 °C: the same row twice is a slip.
	got := pressStock(b, "/stocks/new", "save", form).status(http.StatusUnprocessableEntity)
	if fault := got.faultBeside("times[0].rows"); !strings.Contains(fault, "two rows at 20 °C") {
		t.Errorf("a row twice: %q", fault)
	}
	form.Set("times[0].rows", "20 °C = 8:30\n\n24=6:06")
	path := pressStock(b, "/stocks/new", "save", form).status(http.StatusSeeOther).Header.Get("Location")

	var saved jobs.Stock
	for _, stock := range l.catalogue(t).Stocks {
		if stock.Name == "Marl 125" {
			saved = stock
		}
	}
	want := jobs.Stock{
		ID: saved.ID, Version: 1, Name: "Marl 125", DX: "109-12", Solution: mq, Active: true,
		Film: chemistry.Film{Process: chemistry.BW, Kind: chemistry.BlackAndWhite, Remjet: chemistry.RemjetNone,
			Balance: chemistry.Panchromatic, ISODaylight: 125, MaxPush: chemistry.Stop, MaxPull: chemistry.Stop / 2, Unforgiving: true},
		Times: []jobs.StockTimes{{Solution: mq, Source: "own test",
			Rows:     []chemistry.BWRow{{TempC: 20, Seconds: 510}, {TempC: 24, Seconds: 366}},
			PushRows: []chemistry.PushTime{{Push: chemistry.Stop, Seconds: 630, Source: chemistry.Source{Standing: chemistry.LabsOwn, Text: "own test"}}}}},
	}
	if diff := cmp.Diff(want, saved); diff != "" {
		t.Error(diff)
	}
	page := b.get(path).status(http.StatusOK)
	// ln(510/366)/4 = 0.083.
	page.says("[aria-labelledby=worked]", "b = 0.083 per °C, fitted to 2 rows")
	page.says("[aria-labelledby=worked]", "Normal at 20 °C: 8:30")
	page.says("[aria-labelledby=worked]", "Push +1 at 20 °C: 10:30")
	page.says("[aria-labelledby=worked]", "own test")
	// What the form shows can be saved as it stands.
	pressStock(b, path, "save", page.typed("#stock")).status(http.StatusSeeOther)
	want.Version = 2
	if diff := cmp.Diff(want, l.catalogue(t).Stocks[saved.ID]); diff != "" {
		t.Error(diff)
	}
	b.get("/stocks").says("main", "−½ to +1")
}

func TestSlipsInAStock(t *testing.T) {
	t.Parallel()
	l := open(t)
	b := browse(t, l.URL).signIn("Wren")
	bw, colour := "/stocks/"+l.key("Marl 400"), "/stocks/"+l.key("Sedge 160")
	l.trySlips(t, b, colour, []slip{
		{"name", "", "", "missing"},
		{"name", "teal slide 100", "", "already"},
		{"process", "", "", "Choose the process"},
		{"process", "E-6", "kind", "reversal"},
		{"kind", "", "", "Choose the kind of film"},
		{"kind", "reversal", "", "colour negative"},
		{"remjet", "present", "", "any process but ECN-2"},
		{"balance", "", "", "Choose the balance"},
		{"balance", "panchromatic", "", "daylight, tungsten"},
		{"iso_daylight", "", "", "box speed is missing"},
		{"iso_daylight", "fast", "", "whole number"},
		{"iso_daylight", "200000", "", "0 to 102400"},
		{"iso_tungsten", "-5", "", "whole number"},
		{"max_push", "two", "", "0 to 10 stops"},
		{"max_push", "11", "", "0 to 10 stops"},
		{"max_push", "-1", "", "0 to +10"},
		{"max_push", "1.25", "", "halves, thirds"},
		{"max_pull", "-1", "", "without a sign"},
		{"dx", "109-99", "", "DX"},
		{"solution", fmt.Sprint(l.solution(t, "MQ borax").ID), "", "Only black-and-white film"},
	})
	l.trySlips(t, b, bw, []slip{
		{"times[0].solution", "", "", "Choose the developer"},
		{"times[0].solution", fmt.Sprint(l.solution(t, "PQ fine grain 1+4").ID), "times[1].solution", "two sets of times"},
		{"times[0].rows", "", "", "there is none"},
		{"times[0].rows", "20 7:30", "", "20 = 7:30"},
		{"times[0].rows", "warm = 7:30", "", "write it like 20"},
		{"times[0].rows", "68 = 7:30", "", "looks like Fahrenheit"},
		{"times[0].rows", "20 = soon", "", "7:30"},
		{"times[0].rows", "20 = 450", "", "from 1 s to 180:00"},
		{"times[0].rows", "20 = 7:30\n24 = 9:00", "", "warmer takes no longer"},
		{"times[1].rows", "20 = 0", "", "from 1 s"},
		{"times[1].rows", strings.Repeat("20 = 7:30\n", 41), "", "at most 40"},
		{"times[0].push_rows", "1 10:30", "", "1 = 10:30"},
		{"times[0].push_rows", "much = 10:30", "", "write it like 1"},
		{"times[0].push_rows", "1 = 5:00", "times[0].rows", "more push takes longer"},
		{"times[0].source", strings.Repeat("x", 201), "", "too long"},
	})
	tryStale(t, b, browse(t, l.URL).signIn("Wren"), bw, "times[0].rows", "20 = 7:40", "20 = 7:20")
	tryStale(t, b, browse(t, l.URL).signIn("Wren"), colour, "iso_daylight", "125", "200")
}

func TestTimesAreAddedAndRemovedInTheForm(t *testing.T) {
	t.Parallel()
	l := open(t)
	b := browse(t, l.URL).signIn("Wren")
	path := "/stocks/" + l.key("Marl 400")
	before := l.catalogue(t)
	form := b.get(path).typed("#stock")
	form.Set("name", "half typed")
	added := pressStock(b, path, "add-times", form).status(http.StatusOK)
	if n := added.page.Find("fieldset.set").Length(); n != 3 {
		t.Errorf("%d sets of times, want 3", n)
	}
	removed := pressStock(b, path, "remove-times-0", added.typed("#stock")).status(http.StatusOK).typed("#stock")
	if removed.Get("name") != "half typed" || removed.Get("times[0].rows") != form.Get("times[1].rows") || removed.Has("times[2].rows") {
		t.Errorf("after removing the first: %v", removed)
	}
	for _, odd := range []string{"remove-times-9", "remove-times--1", "remove-times-x"} {
		if got := pressStock(b, path, odd, form).status(http.StatusOK); got.page.Find("fieldset.set").Length() != 2 {
			t.Errorf("%s changed the form", odd)
		}
	}
	if diff := cmp.Diff(before, l.catalogue(t)); diff != "" {
		t.Errorf("stored while arranging:\n%s", diff)
	}
	// Of many wrong rows the first is named.
	form = added.typed("#stock")
	form.Set("times[0].rows", "20 7:30\n22 6:30\n24 5:30")
	if n := pressStock(b, path, "save", form).status(http.StatusUnprocessableEntity).page.Find("#problems a[href='#f-times-0-rows']").Length(); n != 1 {
		t.Errorf("%d problems for one field", n)
	}
	// An empty set is left out, and faults stand at the set they are about.
	form = added.typed("#stock")
	form.Set("name", "Marl 400")
	for _, field := range []string{"solution", "rows", "push_rows"} {
		form.Set("times[0]."+field, "")
	}
	form.Set("times[1].rows", "20 = 9:00\n22 = 9:30")
	got := pressStock(b, path, "save", form).status(http.StatusUnprocessableEntity)
	if fault := got.faultBeside("times[1].rows"); !strings.Contains(fault, "warmer takes no longer") {
		t.Errorf("%q beside the second set", fault)
	}
	got.says("#problems", "Times 2: These rows")
}

func TestRemjetIsExplainedWhereItIsChosen(t *testing.T) {
	t.Parallel()
	l := open(t)
	page := browse(t, l.URL).signIn("Wren").get("/stocks/new").status(http.StatusOK)
	page.says("[aria-labelledby=remjet]", "fouls the tank")
	page.says("[aria-labelledby=remjet]", "Only ECN-2 has the prebath")
	page.says("[aria-labelledby=remjet]", "Kept out of C-41 and E-6")
}

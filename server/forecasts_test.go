package server_test

import (
	"context"
	"net/http"
	"net/url"
	"strings"
	"testing"
	"time"

	"github.com/PuerkitoBio/goquery"

	"wetside/jobs"
	"wetside/server"
)

// weeksOfWork pours a litre of MQ borax and runs two rolls through it on five
// days of a week.
func (l *lab) weeksOfWork(t *testing.T) string {
	t.Helper()
	path := l.pour(t, browse(t, l.URL).signIn("Kit"), "MQ borax", "Drum", "1000")
	for range 5 {
		l.runBatch(t, 1, nil)
		l.clock.advance(23 * time.Hour)
	}
	return path
}

func TestTheCourseOfAFill(t *testing.T) {
	t.Parallel()
	l := open(t)
	path := l.weeksOfWork(t)
	b := browse(t, l.URL).signIn("Kit")
	page := b.get(path).status(http.StatusOK)
	page.says("[aria-labelledby=course] .lead", "MQ borax in Drum runs out about ")
	page.says("[aria-labelledby=course] .lead", "mix 1000 mL of MQ borax ")
	if charts := page.page.Find(".chart svg"); charts.Length() != 1 {
		t.Errorf("%d charts; the recipe speaks of the capacity alone", charts.Length())
	}
	for _, part := range []string{".chart-past", ".chart-ahead", ".chart-band", ".chart-limit", ".chart-today"} {
		if page.page.Find(".chart "+part).Length() != 1 {
			t.Errorf("the chart has no %s", part)
		}
	}
	// Five rolls of 80 in² (0.05161 m²) of a capacity of 0.5 m²: 52 %.
	if text := page.text(".course tbody"); !strings.Contains(text, "52 %") || !strings.Contains(text, "runs out about now") || !strings.Contains(text, "filled") {
		t.Errorf("the table says %q", text)
	}
	said := page.text("[aria-labelledby=course] .lead")
	tanks := b.get("/chemistry").status(http.StatusOK)
	if outlook := strings.Join(strings.Fields(card(t, tanks, "MQ borax").Find(".outlook").Text()), " "); outlook != said {
		t.Errorf("the tanks say %q, the fill %q", outlook, said)
	}
	b.post(path+"/dump", url.Values{"reason": {"enough"}}).status(http.StatusSeeOther)
	dumped := b.get(path).status(http.StatusOK)
	if dumped.page.Find(".chart .chart-ahead, .chart-band, .chart-today").Length() != 0 || dumped.page.Find(".chart .chart-past").Length() != 1 {
		t.Error("a dumped fill has a future, or no past")
	}
}

func TestTheCourseOfAFillOfWhichLittleIsKnown(t *testing.T) {
	t.Parallel()
	l := open(t)
	b := browse(t, l.URL).signIn("Kit")
	page := b.get(l.pour(t, b, "MQ borax", "Drum", "1000")).status(http.StatusOK)
	page.says(".course", "no whole day with film in it is known yet")
	if page.page.Find(".chart .chart-past").Length() != 1 || page.page.Find(".chart .chart-ahead").Length() != 0 {
		t.Error("a fill without any film has a future")
	}
	solution := l.solution(t, "MQ borax")
	solution.CapacityM2PerL = 0
	if _, err := l.services.Catalogue.SaveSolution(t.Context(), jobs.Program, solution); err != nil {
		t.Fatal(err)
	}
	unknown := b.get("/fills/1").status(http.StatusOK)
	unknown.says(".course", "does not say how much film a litre takes")
	unknown.says(".course", "There is nothing to draw")
}

func TestTheMorningList(t *testing.T) {
	t.Parallel()
	l := open(t)
	kit := browse(t, l.URL).signIn("Kit")
	kit.get("/today").status(http.StatusOK)
	empty := kit.get("/chemistry/morning").status(http.StatusOK)
	empty.says(".lead", "Nothing to see to")
	path := l.weeksOfWork(t)
	for range 5 {
		l.runBatch(t, 1, nil) // all of it is used
	}
	kit = browse(t, l.URL).signIn("Kit")
	kit.get("/today").says("[aria-labelledby=morning]", "It is not written yet")
	list := kit.get("/chemistry/morning").status(http.StatusOK)
	list.says(".lead", "2 things to see to, 2 of them before the first film")
	list.says("[aria-labelledby=tanks-to-change]", "Change MQ borax, Drum")
	list.says("[aria-labelledby=to-mix]", "Mix 1000 mL of MQ borax today")
	if to, _ := list.page.Find("[aria-labelledby=tanks-to-change] a").Attr("href"); to != path {
		t.Errorf("the tank to change leads to %q", to)
	}
	today := kit.get("/today")
	today.says("[aria-labelledby=morning]", "2 things to see to, 2 before the first film")
	today.says("[aria-labelledby=morning]", "Change MQ borax")
	kit.post(path+"/dump", url.Values{"reason": {"used up"}}).status(http.StatusSeeOther)
	done := kit.get("/chemistry/morning")
	done.says(".lead", "All of it is done")
	if done.page.Find(".ticked").Length() != 2 || done.page.Find(".ticked a").Length() != 0 {
		t.Error("what is done is not ticked off")
	}
	kit.get("/today").says("[aria-labelledby=morning]", "All of it is done")
}

func TestSchedulesAreTheOwners(t *testing.T) {
	t.Parallel()
	l := open(t)
	wren := browse(t, l.URL).signIn("Wren")
	all := wren.get("/chemistry/schedules").status(http.StatusOK)
	if n := all.page.Find(".schedule").Length(); n != len(jobs.WorkNames) {
		t.Errorf("%d schedules", n)
	}
	all.says(".lead", "Europe/Amsterdam")
	all.page.Find(".schedule").Each(func(_ int, work *goquery.Selection) {
		if work.Find("dd time").Length() != 3 {
			t.Errorf("%s shows %d next times", work.Find("h2").Text(), work.Find("dd time").Length())
		}
	})
	const path = "/chemistry/schedules/morning-list"
	form := wren.get(path).status(http.StatusOK)
	form.says(".times-ahead li:first-child", "Tue 3 Mar 2026 06:00") // Amsterdam; it is Monday 11:42 there
	fields := form.typed("main form")
	send := func(cron, do string) answer {
		fields.Set("cron", cron)
		fields.Set("do", do)
		return wren.post(path, fields)
	}
	look := send("30 7 * * 1-5", "look").status(http.StatusOK)
	look.says("[aria-labelledby=when]", "By this schedule it would come Tue 3 Mar 2026 07:30")
	look.says("[aria-labelledby=when]", "Nothing is saved yet")
	if again := wren.get(path).typed("main form").Get("cron"); again != "0 6 * * *" {
		t.Errorf("a look has saved %q", again)
	}
	for cron, says := range map[string]string{
		"": "missing", "whenever": "has 1 fields", "61 7 * * *": "0 to 59", "0 7 30 2 *": "never comes", "*/2 * * * *": "5 and more", "TZ=": "leave the time zone out",
	} {
		for _, do := range []string{"look", "save"} {
			got := send(cron, do).status(http.StatusUnprocessableEntity)
			if fault := got.faultBeside("cron"); !strings.Contains(fault, says) {
				t.Errorf("%s %q: %q, want %q", do, cron, fault, says)
			}
			if kept := got.typed("main form").Get("cron"); kept != cron {
				t.Errorf("%q became %q", cron, kept)
			}
		}
	}
	send("30 7 * * 1-5", "save").status(http.StatusSeeOther)
	saved := wren.get("/chemistry/schedules")
	saved.says(".notice.done", "Next: Tue 3 Mar 2026 07:30")
	stale := send("0 8 * * *", "save").status(http.StatusConflict) // with the version of before
	stale.says("#problems", "Somebody else changed")
	fields = wren.get(path).typed("main form")
	fields.Del("active")
	send("30 7 * * 1-5", "save").status(http.StatusSeeOther)
	wren.get("/chemistry/schedules").says(".notice.done", "It is out of use")
	wren.get("/chemistry/schedules/sleep").status(http.StatusNotFound)
	browse(t, l.URL).signIn("Kit").get(path).status(http.StatusForbidden)
}

// The owner sees why work failed.
func TestAFailedWorkIsShown(t *testing.T) {
	t.Parallel()
	l := open(t, func(services *server.Services, _ *server.Options) {
		services.Schedules = failedWork{services.Schedules}
	})
	browse(t, l.URL).signIn("Wren").get("/chemistry/schedules").status(http.StatusOK).says(".schedule .warn", "the disk is full")
}

// failedWork are schedules of which all have failed.
type failedWork struct{ jobs.ScheduleService }

func (f failedWork) Schedules(ctx context.Context) ([]jobs.ScheduledWork, error) {
	works, err := f.ScheduleService.Schedules(ctx)
	for i := range works {
		works[i].Failure, works[i].FailedAt = "the disk is full", start
	}
	return works, err
}

package server_test

import (
	"fmt"
	"net/http"
	"testing"
	"time"

	"wetside/jobs"
	"wetside/server/api"
)

func TestForecastsThroughTheAPI(t *testing.T) {
	t.Parallel()
	l := open(t)
	path := l.weeksOfWork(t)
	c := l.signedIn(t, "Kit")
	found := ask[api.Forecasts](c, "GET", "/forecasts", "", http.StatusOK).Forecasts
	if len(found) != 1 || found[0].Cause != "capacity" || found[0].RunsOut < found[0].Earliest || found[0].RunsOut > found[0].Latest ||
		found[0].Mix == nil || found[0].Mix.Ml != 1000 || found[0].Mix.By >= found[0].Earliest || found[0].Says == "" {
		t.Fatalf("%+v", found)
	}
	course := ask[api.FillCourse](c, "GET", path+"/course", "", http.StatusOK)
	if len(course.Past) != 6 || len(course.Ahead) == 0 || len(course.Stored) != 0 || course.Forecast.RunsOut != found[0].RunsOut {
		t.Errorf("%+v", course)
	}
	for i, day := range course.Ahead {
		if past := i > 0 && day.Day <= course.Ahead[i-1].Day; past || day.LowUsed > day.Used || day.Used > day.HighUsed {
			t.Errorf("%+v", day)
		}
	}
	ask[api.Forecasts](c, "POST", "/forecasts", "", http.StatusOK)
	l.clock.advance(24 * time.Hour)
	c = l.signedIn(t, "Kit")
	ask[api.Forecasts](c, "POST", "/forecasts", "", http.StatusOK)
	ask[api.Forecasts](c, "POST", "/forecasts", "", http.StatusOK)
	course = ask[api.FillCourse](c, "GET", path+"/course", "", http.StatusOK)
	if len(course.Stored) != 2 || course.Stored[0].Day <= course.Stored[1].Day || course.Stored[1].RunsOut != found[0].RunsOut {
		t.Errorf("stored: %+v", course.Stored)
	}
	c.refused("GET", "/fills/99/course", "", http.StatusNotFound, jobs.NotFound, "", "no such fill")
}

func TestTheMorningListThroughTheAPI(t *testing.T) {
	t.Parallel()
	l := open(t)
	path := l.weeksOfWork(t)
	for range 5 {
		l.runBatch(t, 1, nil)
	}
	c := l.signedIn(t, "Kit")
	list := ask[api.MorningList](c, "GET", "/morning-list", "", http.StatusOK)
	if list.Open != 2 || list.Urgent != 2 || list.Items[0].Fill != 1 || list.Items[1].ToMix == nil || list.Items[1].ToMix.Ml != 1000 || !list.Items[0].DoneAt.IsZero() {
		t.Fatalf("%+v", list)
	}
	today := ask[api.Today](c, "GET", "/today", "", http.StatusOK)
	if today.Morning.Open != 2 || today.Morning.Urgent != 2 {
		t.Errorf("today says %+v", today.Morning)
	}
	ask[api.Fill](c, "POST", path+"/dump", `{"reason":"used up"}`, http.StatusOK)
	list = ask[api.MorningList](c, "GET", "/morning-list", "", http.StatusOK)
	if list.Open != 0 || len(list.Items) != 2 || list.Items[0].DoneAt.IsZero() {
		t.Errorf("after it was dumped: %+v", list)
	}
}

func TestSchedulesThroughTheAPI(t *testing.T) {
	t.Parallel()
	l := open(t)
	c := l.signedIn(t, "Wren")
	all := ask[api.Schedules](c, "GET", "/schedules", "", http.StatusOK)
	if len(all.Schedules) != len(jobs.WorkNames) || all.TimeZone != "Europe/Amsterdam" || len(all.Schedules[0].Coming) != 3 {
		t.Fatalf("%+v", all)
	}
	times := ask[api.ScheduleTimes](c, "POST", "/schedule-readings", `{"cron":"30 7 * * 1-5"}`, http.StatusOK)
	if len(times.Coming) != 3 || !times.Coming[0].Equal(time.Date(2026, 3, 3, 6, 30, 0, 0, time.UTC)) {
		t.Errorf("%+v", times)
	}
	for cron, says := range map[string]string{"0 7 30 2 *": "never comes", "* * * * *": "5 and more", "whenever": "allowed are five", "TZ=": "time zone"} {
		c.refused("POST", "/schedule-readings", fmt.Sprintf(`{"cron":%q}`, cron), refusedInput, jobs.Invalid, "cron", says)
		c.refused("PUT", "/schedules/upkeep", fmt.Sprintf(`{"cron":%q,"version":1,"active":true}`, cron), refusedInput, jobs.Invalid, "cron", says)
	}
	saved := ask[api.Schedule](c, "PUT", "/schedules/morning-list", `{"cron":"30 7 * * 1-5","version":1,"active":true}`, http.StatusOK)
	if saved.Version != 2 || !saved.Coming[0].Equal(times.Coming[0]) {
		t.Errorf("%+v", saved)
	}
	c.refused("PUT", "/schedules/morning-list", `{"cron":"30 7 * * 1-5","version":1,"active":true}`, conflict, jobs.Stale, "", "somebody else")
	c.refused("PUT", "/schedules/sleep", `{"cron":"30 7 * * 1-5","version":1,"active":true}`, http.StatusNotFound, jobs.NotFound, "", "there are morning list")
	off := ask[api.Schedule](c, "PUT", "/schedules/morning-list", `{"cron":"30 7 * * 1-5","version":2,"active":false}`, http.StatusOK)
	if off.Active || len(off.Coming) != 0 {
		t.Errorf("%+v", off)
	}
}

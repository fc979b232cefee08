package server

import (
	"context"
	"maps"
	"slices"
	"strings"
	"time"

	"wetside/jobs"
	"wetside/server/api"
)

// apiDay writes a calendar day; "" where there is none.
func apiDay(day time.Time) string {
	if day.IsZero() {
		return ""
	}
	return day.Format(time.DateOnly)
}

func apiForecast(o jobs.Outlook) api.Forecast {
	forecast := api.Forecast{
		Fill: o.Fill, At: o.At, RunsOut: apiDay(o.RunsOut.Date), Earliest: apiDay(o.RunsOut.Earliest), Latest: apiDay(o.RunsOut.Latest),
		Cause: string(o.Cause), Verdict: string(o.Verdict), DailyM2: o.DailyM2, ExtraM2: o.ExtraM2, Says: o.Says,
	}
	if o.Mix != nil {
		forecast.Mix = apiToMix(*o.Mix)
	}
	return forecast
}

func apiToMix(m jobs.ToMix) *api.ToMix {
	return &api.ToMix{Solution: m.Solution, Preparation: string(m.Preparation), Ml: m.ML, By: apiDay(m.By), Ready: m.Ready}
}

func (a apiCalls) forecasts(ctx context.Context) (api.Forecasts, error) {
	outlooks, err := a.services.Forecasts.Outlooks(ctx)
	list := []api.Forecast{}
	for _, id := range slices.Sorted(maps.Keys(outlooks)) {
		list = append(list, apiForecast(outlooks[id]))
	}
	return api.Forecasts{Forecasts: list}, err
}

// ListForecasts tells what is foretold of every fill in use.
func (a apiCalls) ListForecasts(ctx context.Context, _ api.ListForecastsRequestObject) (api.ListForecastsResponseObject, error) {
	forecasts, err := a.forecasts(ctx)
	return api.ListForecasts200JSONResponse(forecasts), err
}

// RecalculateForecasts stores what is foretold.
func (a apiCalls) RecalculateForecasts(ctx context.Context, _ api.RecalculateForecastsRequestObject) (api.RecalculateForecastsResponseObject, error) {
	if err := a.services.Forecasts.Recalculate(ctx); err != nil {
		return nil, err
	}
	forecasts, err := a.forecasts(ctx)
	return api.RecalculateForecasts200JSONResponse(forecasts), err
}

// GetFillCourse follows a fill.
func (a apiCalls) GetFillCourse(ctx context.Context, request api.GetFillCourseRequestObject) (api.GetFillCourseResponseObject, error) {
	course, err := a.services.Forecasts.Course(ctx, request.Id)
	if err != nil {
		return nil, err
	}
	shown := api.GetFillCourse200JSONResponse{Past: []api.CoursePoint{}, Ahead: []api.CourseAhead{}, Stored: []api.Forecast{}}
	if course.Outlook.Fill != 0 {
		shown.Forecast = apiForecast(course.Outlook)
	}
	for _, p := range course.Past {
		shown.Past = append(shown.Past, api.CoursePoint{At: p.At, AreaM2: p.AreaM2, CapacityUsed: p.CapacityUsed, BromideGPerL: p.BromideGPerL})
	}
	for _, d := range course.Ahead {
		shown.Ahead = append(shown.Ahead, api.CourseAhead{
			Day: apiDay(d.Day), Used: d.Used, LowUsed: d.LowUsed, HighUsed: d.HighUsed,
			BromideGPerL: d.Bromide, LowBromideGPerL: d.LowBromide, HighBromideGPerL: d.HighBromide,
		})
	}
	for _, stored := range course.Stored {
		forecast := apiForecast(stored.Outlook)
		forecast.Day = apiDay(stored.Day)
		shown.Stored = append(shown.Stored, forecast)
	}
	return shown, nil
}

// GetMorningList writes the morning list.
func (a apiCalls) GetMorningList(ctx context.Context, _ api.GetMorningListRequestObject) (api.GetMorningListResponseObject, error) {
	list, err := a.services.Morning.Morning(ctx)
	open, urgent := list.Open()
	return api.GetMorningList200JSONResponse{
		Day: apiDay(list.Day), At: list.At, Open: open, Urgent: urgent, Items: each(list.Items, apiMorningItem),
	}, err
}

func apiMorningItem(i jobs.MorningItem) api.MorningItem {
	item := api.MorningItem{
		Key: i.Key, Group: string(i.Group), What: i.What, Where: i.Where, Why: i.Why, Urgent: i.Urgent, DoneAt: i.Done, Fill: i.Fill,
		Batch: i.Batch, Mix: i.Mix, Lot: i.Lot, Container: i.Container, Line: i.Strips.Line, Process: string(i.Strips.Process), Part: i.Part,
	}
	if i.ToMix.ML > 0 {
		item.ToMix = apiToMix(i.ToMix)
	}
	return item
}

// comingTimes are the next times of a schedule by the lab's clock.
func (a apiCalls) comingTimes(ctx context.Context, cron string) ([]time.Time, error) {
	schedule, err := jobs.ParseSchedule(cron, a.lab.get(ctx).zone)
	if err != nil {
		return nil, err
	}
	return schedule.Coming(a.options.Now(), timesShown), nil
}

func (a apiCalls) apiSchedule(ctx context.Context, work jobs.ScheduledWork) api.Schedule {
	shown := api.Schedule{
		Work: string(work.Name), Cron: work.Cron, Active: work.Active, Version: work.Version, LastDone: work.LastDone,
		FailedAt: work.FailedAt, Failure: work.Failure, Coming: []time.Time{},
	}
	if times, err := a.comingTimes(ctx, work.Cron); err == nil && work.Active {
		shown.Coming = times
	}
	return shown
}

// ListSchedules tells when work is done by itself.
func (a apiCalls) ListSchedules(ctx context.Context, _ api.ListSchedulesRequestObject) (api.ListSchedulesResponseObject, error) {
	works, err := a.services.Schedules.Schedules(ctx)
	return api.ListSchedules200JSONResponse{TimeZone: a.lab.get(ctx).zone.String(), Schedules: each(works, func(w jobs.ScheduledWork) api.Schedule {
		return a.apiSchedule(ctx, w)
	})}, err
}

// ChangeSchedule changes when work is done.
func (a apiCalls) ChangeSchedule(ctx context.Context, request api.ChangeScheduleRequestObject) (api.ChangeScheduleResponseObject, error) {
	saved, err := a.services.Schedules.SaveSchedule(ctx, by(ctx), jobs.ScheduledWork{
		Name: jobs.WorkName(strings.ReplaceAll(request.Work, "-", " ")), Cron: request.Body.Cron, Active: request.Body.Active, Version: request.Body.Version,
	})
	return api.ChangeSchedule200JSONResponse(a.apiSchedule(ctx, saved)), err
}

// ReadSchedule tells when a schedule would come.
func (a apiCalls) ReadSchedule(ctx context.Context, request api.ReadScheduleRequestObject) (api.ReadScheduleResponseObject, error) {
	times, err := a.comingTimes(ctx, request.Body.Cron)
	return api.ReadSchedule200JSONResponse{Coming: times}, err
}

// apiMorningShort sums up the list of the day; zero where none is written.
func apiMorningShort(list jobs.MorningList) api.MorningShort {
	open, urgent := list.Open()
	return api.MorningShort{At: list.At, Open: open, Urgent: urgent}
}

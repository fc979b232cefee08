package server

import (
	"context"

	"wetside/chemistry"
	"wetside/jobs"
	"wetside/server/api"
)

func apiSignal(s chemistry.StripSignal) api.StripSignal {
	return api.StripSignal{
		Parameter: jobs.LimitNames[s.Parameter], Layer: s.Layer, Deviation: s.Deviation, Limit: s.Limit,
		Verdict: string(s.Verdict), Text: s.String(),
	}
}

func apiStrip(s jobs.Strip) api.Strip {
	strip := api.Strip{
		Id: s.ID, Line: s.Line, LineName: s.LineName, Process: s.Process, Box: s.Box, BoxNumber: s.BoxNumber, At: s.At, By: s.By,
		Densities: jobs.DensitiesOf(s.Process, s.Reading), Aim: jobs.DensitiesOf(s.Process, s.Aim),
		Deviations: jobs.DensitiesOf(s.Process, s.Result.Deviations), Verdict: s.Result.Verdict,
		Signals: each(s.Result.Signals, apiSignal),
		Suspects: each(s.Result.Suspects, func(s chemistry.Suspect) api.StripSuspect {
			return api.StripSuspect{Cause: s.Cause, CheckFirst: s.CheckFirst, Source: s.Source.String()}
		}),
		Next:             each(s.Result.Next, func(step string) string { return step }),
		ReplaceDeveloper: len(s.Result.Suspects) > 0 && s.Result.ReplaceDeveloper(),
		LimitsSource:     s.Result.Source.String(), Confirms: s.Confirms,
	}
	if !s.Release.At.IsZero() {
		strip.Release = &api.StripRelease{At: s.Release.At, By: s.Release.By, Reason: s.Release.Reason}
	}
	return strip
}

// ListStrips lists strips, the last read first.
func (a apiCalls) ListStrips(ctx context.Context, request api.ListStripsRequestObject) (api.ListStripsResponseObject, error) {
	strips, err := a.services.Strips.Strips(ctx, jobs.StripQuery{
		Line: request.Params.Line, Process: request.Params.Process, Before: request.Params.Before, Limit: pageSize(request.Params.Limit),
	})
	return api.ListStrips200JSONResponse{Strips: each(strips, apiStrip)}, err
}

// GetStrip shows one strip.
func (a apiCalls) GetStrip(ctx context.Context, request api.GetStripRequestObject) (api.GetStripResponseObject, error) {
	strip, err := a.services.Strips.Strip(ctx, request.Id)
	return api.GetStrip200JSONResponse(apiStrip(strip)), err
}

// ReadStrip records and judges a strip.
func (a apiCalls) ReadStrip(ctx context.Context, request api.ReadStripRequestObject) (api.ReadStripResponseObject, error) {
	strip, err := a.services.Strips.ReadStrip(ctx, by(ctx), jobs.StripRun{
		Line: request.Body.Line, Process: request.Body.Process, Densities: request.Body.Densities,
	})
	return api.ReadStrip201JSONResponse(apiStrip(strip)), err
}

// ReadStripFile records and judges the strips of a file.
func (a apiCalls) ReadStripFile(ctx context.Context, request api.ReadStripFileRequestObject) (api.ReadStripFileResponseObject, error) {
	strips, err := a.services.Strips.ReadStripFile(ctx, by(ctx), request.Body.Csv)
	return api.ReadStripFile201JSONResponse{Strips: each(strips, apiStrip)}, err
}

// ReleaseLine lets a line run whose last strip says no.
func (a apiCalls) ReleaseLine(ctx context.Context, request api.ReleaseLineRequestObject) (api.ReleaseLineResponseObject, error) {
	strip, err := a.services.Strips.ReleaseLine(ctx, by(ctx), request.Id, request.Body.Reason)
	return api.ReleaseLine200JSONResponse(apiStrip(strip)), err
}

// ListStripLines tells how every watched line stands.
func (a apiCalls) ListStripLines(ctx context.Context, _ api.ListStripLinesRequestObject) (api.ListStripLinesResponseObject, error) {
	watched, err := a.services.Strips.WatchedLines(ctx)
	now := a.options.Now().In(a.lab.get(ctx).zone)
	perProcess := linesOf(watched)
	return api.ListStripLines200JSONResponse{Lines: each(watched, func(w jobs.WatchedLine) api.StripLine {
		line := api.StripLine{
			Line: w.Line, LineName: w.LineName, Process: w.Process, Box: w.Box.ID, BoxNumber: w.Box.Number,
			Standing: w.State.Standing, MayRun: w.State.MayRun(), Objection: w.Objection(), Last: w.State.Last.ID, First: w.State.First.ID,
			FirstSuspect: w.State.FirstSuspect(), Again: each(w.State.Again, apiSignal),
			CrossOverDue: w.Box.CrossOverDue(perProcess[w.Process]), BoxExpired: w.Box.Expired(now),
		}
		if left, counted := w.Box.Left(); counted {
			line.StripsLeft = &left
		}
		return line
	})}, err
}

// linesOf counts the lines that are watched in each process.
func linesOf(watched []jobs.WatchedLine) map[chemistry.Process]int {
	count := map[chemistry.Process]int{}
	for _, line := range watched {
		count[line.Process]++
	}
	return count
}

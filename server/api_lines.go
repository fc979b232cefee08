package server

import (
	"cmp"
	"context"
	"maps"
	"slices"

	"wetside/chemistry"
	"wetside/jobs"
	"wetside/server/api"
)

// ListLines lists the lines by name.
func (a apiCalls) ListLines(ctx context.Context, _ api.ListLinesRequestObject) (api.ListLinesResponseObject, error) {
	catalogue, err := a.services.Catalogue.Catalogue(ctx)
	if err != nil {
		return nil, err
	}
	lines := slices.SortedFunc(maps.Values(catalogue.Lines), func(a, b jobs.Line) int { return cmp.Compare(a.Name, b.Name) })
	return api.ListLines200JSONResponse{Lines: each(lines, apiLine)}, nil
}

func apiLine(l jobs.Line) api.Line {
	takes := map[string]int{}
	for format, units := range l.Takes {
		takes[string(format)] = units
	}
	return api.Line{
		Id: l.ID, Name: l.Name, Capacity: l.Capacity, Takes: takes, TurnaroundS: l.Turnaround, Rotary: l.Rotary,
		Tanks: apiTanks(l.Tanks), Active: l.Active, Version: l.Version,
		Runs: each(l.Runs, func(r jobs.LineProcess) api.LineProcess {
			return api.LineProcess{Process: r.Process, Variant: r.Variant}
		}),
	}
}

// AddLine adds a line.
func (a apiCalls) AddLine(ctx context.Context, request api.AddLineRequestObject) (api.AddLineResponseObject, error) {
	saved, err := a.saveLine(ctx, 0, *request.Body)
	return api.AddLine201JSONResponse(apiLine(saved)), err
}

// ChangeLine changes one.
func (a apiCalls) ChangeLine(ctx context.Context, request api.ChangeLineRequestObject) (api.ChangeLineResponseObject, error) {
	saved, err := a.saveLine(ctx, request.Id, *request.Body)
	return api.ChangeLine200JSONResponse(apiLine(saved)), err
}

func (a apiCalls) saveLine(ctx context.Context, id jobs.LineID, sent api.LineInput) (jobs.Line, error) {
	var wrong faults
	wrong.seen(int64(id), sent.Version)
	if err := wrong.err(); err != nil {
		return jobs.Line{}, err
	}
	catalogue, err := a.services.Catalogue.Catalogue(ctx)
	if err != nil {
		return jobs.Line{}, err
	}
	if _, err := entry(catalogue.Lines, id, "line"); err != nil {
		return jobs.Line{}, err
	}
	line := jobs.Line{
		ID: id, Name: sent.Name, Capacity: sent.Capacity, Takes: map[chemistry.Format]int{}, Turnaround: sent.TurnaroundS,
		Rotary: sent.Rotary, Active: or(sent.Active, true), Version: sent.Version,
		Tanks: takeTanks(catalogue.Lines[id].Tanks, sent.Tanks, &wrong),
		Runs: each(sent.Runs, func(r api.LineProcess) jobs.LineProcess {
			return jobs.LineProcess{Process: r.Process, Variant: r.Variant}
		}),
	}
	for format, units := range sent.Takes {
		line.Takes[chemistry.Format(format)] = units
	}
	if err := wrong.err(); err != nil {
		return jobs.Line{}, err
	}
	return a.services.Catalogue.SaveLine(ctx, by(ctx), line)
}

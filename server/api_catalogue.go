package server

import (
	"cmp"
	"context"
	"fmt"
	"maps"
	"slices"

	"wetside/chemistry"
	"wetside/jobs"
	"wetside/server/api"
)

// entry finds an entry of the catalogue that is to be changed; the key 0 is a
// new one.
func entry[K ~int64, V any](entries map[K]V, id K, what string) (K, error) {
	if _, ok := entries[id]; !ok && id != 0 {
		return 0, jobs.Errorf(jobs.NotFound, "There is no %s with the key %d.", what, id)
	}
	return id, nil
}

// seen checks that a change, and nothing else, says which version it is of.
func (f *faults) seen(id int64, version int) {
	switch {
	case id != 0 && version == 0:
		f.add("version", "the version is missing: a change says which version was seen")
	case id == 0 && version != 0:
		f.add("version", "something new has no version yet")
	}
}

// sortedByProcess lists stocks or solutions by process and name.
func sortedByProcess[K comparable, V jobs.Stock | jobs.Solution](entries map[K]V) []V {
	return slices.SortedFunc(maps.Values(entries), func(a, b V) int {
		processA, nameA := processAndName(a)
		processB, nameB := processAndName(b)
		return cmp.Or(
			cmp.Compare(slices.Index(chemistry.Processes, processA), slices.Index(chemistry.Processes, processB)),
			cmp.Compare(nameA, nameB))
	})
}

func processAndName(entry any) (chemistry.Process, string) {
	switch e := entry.(type) {
	case jobs.Stock:
		return e.Film.Process, e.Name
	case jobs.Solution:
		return e.Process, e.Name
	}
	return "", ""
}

// ListTestedTimes lists the lab's own colour times.
func (a apiCalls) ListTestedTimes(ctx context.Context, _ api.ListTestedTimesRequestObject) (api.ListTestedTimesResponseObject, error) {
	catalogue, err := a.services.Catalogue.Catalogue(ctx)
	if err != nil {
		return nil, err
	}
	return api.ListTestedTimes200JSONResponse{TestedTimes: each(catalogue.Tested, func(t jobs.TestedTime) api.TestedTime {
		return api.TestedTime{Process: t.Process, Push: t.Push, DevelopS: t.Seconds, Source: t.Source.Text}
	})}, nil
}

// ChangeTestedTimes replaces those of a process.
func (a apiCalls) ChangeTestedTimes(ctx context.Context, request api.ChangeTestedTimesRequestObject) (api.ChangeTestedTimesResponseObject, error) {
	var wrong faults
	times := make([]chemistry.PushTime, len(request.Body.Times))
	for i, sent := range request.Body.Times {
		push := wrong.stops(fmt.Sprintf("times[%d].push", i), &sent.Push)
		times[i] = chemistry.PushTime{Push: or(push, 0), Seconds: sent.DevelopS,
			Source: chemistry.Source{Standing: chemistry.LabsOwn, Text: sent.Source}}
	}
	if err := wrong.err(); err != nil {
		return nil, err
	}
	return api.ChangeTestedTimes204Response{}, a.services.Catalogue.SaveTested(ctx, by(ctx), request.Process, times)
}

func apiLab(l jobs.Lab) api.Lab {
	return api.Lab{
		Name: l.Name, ReadyHours: l.ReadyHours, CombineBw: l.CombineBW, TolerancePercent: l.TolerancePercent,
		OpensAt: l.OpensAt, ClosesAt: l.ClosesAt, OpenOn: weekdayKeys(l.ClosedOn), TimeZone: l.TimeZone,
		ReturnAddress: l.ReturnAddress, Version: l.Version,
	}
}

// GetLab tells what the lab says about itself.
func (a apiCalls) GetLab(ctx context.Context, _ api.GetLabRequestObject) (api.GetLabResponseObject, error) {
	catalogue, err := a.services.Catalogue.Catalogue(ctx)
	return api.GetLab200JSONResponse(apiLab(catalogue.Lab)), err
}

// ChangeLab changes what the lab says about itself.
func (a apiCalls) ChangeLab(ctx context.Context, request api.ChangeLabRequestObject) (api.ChangeLabResponseObject, error) {
	sent := request.Body
	saved, err := a.services.Catalogue.SaveLab(ctx, by(ctx), jobs.Lab{
		Name: sent.Name, ReadyHours: sent.ReadyHours, CombineBW: sent.CombineBw, TolerancePercent: sent.TolerancePercent,
		OpensAt: sent.OpensAt, ClosesAt: sent.ClosesAt, ClosedOn: closedBut(sent.OpenOn), TimeZone: sent.TimeZone,
		ReturnAddress: sent.ReturnAddress, Version: sent.Version,
	})
	a.lab.forget()
	return api.ChangeLab200JSONResponse(apiLab(saved)), err
}

package server

import (
	"cmp"
	"context"
	"maps"
	"slices"
	"time"

	"wetside/chemistry"
	"wetside/jobs"
	"wetside/server/api"
)

func apiContainer(c jobs.Container) api.Container {
	return api.Container{Id: c.ID, Name: c.Name, Kind: c.Kind, VolumeMl: c.VolumeML, Active: c.Active, HoldsMl: c.HoldsML, Version: c.Version}
}

// sortedContainers lists containers by kind and name, those out of use last.
func sortedContainers(all jobs.Containers) []jobs.Container {
	return slices.SortedFunc(maps.Values(all), func(a, b jobs.Container) int {
		if a.Active != b.Active {
			if a.Active {
				return -1
			}
			return 1
		}
		return cmp.Or(cmp.Compare(slices.Index(chemistry.WasteKinds, a.Kind), slices.Index(chemistry.WasteKinds, b.Kind)), cmp.Compare(a.Name, b.Name))
	})
}

// ListContainers lists the containers.
func (a apiCalls) ListContainers(ctx context.Context, _ api.ListContainersRequestObject) (api.ListContainersResponseObject, error) {
	all, err := a.services.Waste.Containers(ctx)
	return api.ListContainers200JSONResponse{Containers: each(sortedContainers(all), apiContainer)}, err
}

// AddContainer adds a container.
func (a apiCalls) AddContainer(ctx context.Context, request api.AddContainerRequestObject) (api.AddContainerResponseObject, error) {
	saved, err := a.saveContainer(ctx, 0, *request.Body)
	return api.AddContainer201JSONResponse(apiContainer(saved)), err
}

// ChangeContainer changes one.
func (a apiCalls) ChangeContainer(ctx context.Context, request api.ChangeContainerRequestObject) (api.ChangeContainerResponseObject, error) {
	saved, err := a.saveContainer(ctx, request.Id, *request.Body)
	return api.ChangeContainer200JSONResponse(apiContainer(saved)), err
}

func (a apiCalls) saveContainer(ctx context.Context, id jobs.ContainerID, sent api.ContainerInput) (jobs.Container, error) {
	var wrong faults
	wrong.seen(int64(id), sent.Version)
	if err := wrong.err(); err != nil {
		return jobs.Container{}, err
	}
	return a.services.Waste.SaveContainer(ctx, by(ctx), jobs.Container{
		ID: id, Name: sent.Name, Kind: sent.Kind, VolumeML: sent.VolumeMl, Active: or(sent.Active, true), Version: sent.Version})
}

// wasteQuery reads which part of the log is asked for: a kind, and days of the
// lab, the last one with it.
func (s *site) wasteQuery(kind, from, to string, zone *time.Location, wrong *faults) jobs.WasteQuery {
	query := jobs.WasteQuery{Kind: chemistry.WasteKind(kind)}
	if kind != "" && !slices.Contains(chemistry.WasteKinds, query.Kind) {
		wrong.add("kind", "%q is no kind of waste, there are %s", kind, listWords(wordsOf(chemistry.WasteKinds)))
	}
	first, last := calendarDay(from, "from", wrong), calendarDay(to, "to", wrong)
	if !first.IsZero() {
		query.From = time.Date(first.Year(), first.Month(), first.Day(), 0, 0, 0, 0, zone)
	}
	if !last.IsZero() {
		query.Before = time.Date(last.Year(), last.Month(), last.Day()+1, 0, 0, 0, 0, zone)
	}
	if !first.IsZero() && !last.IsZero() && last.Before(first) {
		wrong.add("to", "%s is before %s: the log would be empty", to, from)
	}
	return query
}

// wordsOf returns named values as plain text.
func wordsOf[T ~string](values []T) []string {
	return each(values, func(v T) string { return string(v) })
}

// GetWasteLog shows what went into containers and out of them.
func (a apiCalls) GetWasteLog(ctx context.Context, request api.GetWasteLogRequestObject) (api.GetWasteLogResponseObject, error) {
	var wrong faults
	sent := request.Params
	query := a.wasteQuery(string(sent.Kind), sent.From, sent.To, a.desk(callOf(ctx)).zone, &wrong)
	if err := wrong.err(); err != nil {
		return nil, err
	}
	log, err := a.services.Waste.WasteLog(ctx, query)
	if err != nil {
		return nil, err
	}
	silver, err := a.services.Waste.SilverSince(ctx)
	if err != nil {
		return nil, err
	}
	estimate, err := silver.Estimate()
	return api.GetWasteLog200JSONResponse{
		Entries: each(log, apiWasteEntry),
		Totals: each(jobs.WasteTotals(log), func(t jobs.WasteTotal) api.WasteTotal {
			return api.WasteTotal{Kind: t.Kind, InMl: t.In, OutMl: t.Out}
		}),
		Silver: api.Silver{Since: silver.Collected, ColourM2: silver.ColourM2, BlackAndWhiteM2: silver.BlackWhite,
			LowG: estimate.LowG, HighG: estimate.HighG, Words: estimate.String(), Source: estimate.Source.String()},
		Cautions: each(chemistry.HandlingCautions(chemistry.Dumping, ""), func(c string) string { return c }),
	}, err
}

func apiWasteEntry(e jobs.WasteEntry) api.WasteEntry {
	return api.WasteEntry{
		Id: e.ID, Move: e.Move, At: e.At, By: e.By, Kind: string(e.Kind), Container: e.Container, ContainerName: e.ContainerName,
		WasteKind: e.WasteKind, AmountMl: e.Amount, Source: e.SourceName, Why: e.Why,
	}
}

func apiCollection(c jobs.Collection) api.Collection {
	return api.Collection{Id: c.ID, Container: c.Container, ContainerName: c.ContainerName, Kind: c.Kind, At: c.At, By: c.By,
		Hauler: c.Hauler, Document: c.Document, VolumeMl: c.VolumeML}
}

// ListCollections lists what haulers took away.
func (a apiCalls) ListCollections(ctx context.Context, _ api.ListCollectionsRequestObject) (api.ListCollectionsResponseObject, error) {
	collections, err := a.services.Waste.Collections(ctx)
	return api.ListCollections200JSONResponse{Collections: each(collections, apiCollection)}, err
}

// CollectWaste records what a hauler took away.
func (a apiCalls) CollectWaste(ctx context.Context, request api.CollectWasteRequestObject) (api.CollectWasteResponseObject, error) {
	sent := request.Body
	kept, err := a.services.Waste.Collect(ctx, by(ctx), jobs.NewCollection{
		Container: sent.Container, VolumeML: sent.VolumeMl, Hauler: sent.Hauler, Document: sent.Document})
	return api.CollectWaste201JSONResponse(apiCollection(kept)), err
}

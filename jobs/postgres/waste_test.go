package postgres

import (
	"context"
	"math"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"wetside/chemistry"
	"wetside/jobs"
)

func TestContainersAreKept(t *testing.T) {
	t.Parallel()
	s, ctx := newStockRoom(newLab(t)), context.Background()
	added, err := s.waste.SaveContainer(ctx, ada, jobs.Container{Name: "Silver drum 2", Kind: chemistry.SilverWaste, VolumeML: 20_000, Active: true})
	s.must(err)
	if added.ID == 0 || added.Version != 1 {
		t.Errorf("added: %+v", added)
	}
	renamed := added
	renamed.Name, renamed.VolumeML = "Silver drum B", 0
	renamed, err = s.waste.SaveContainer(ctx, ada, renamed)
	s.must(err)
	all, err := s.waste.Containers(ctx)
	s.must(err)
	if diff := cmp.Diff(renamed, all[added.ID]); diff != "" || renamed.Version != 2 || len(all) != 6 {
		t.Errorf("%d containers\n%s", len(all), diff)
	}
	for _, test := range []struct {
		container jobs.Container
		want      jobs.Code
	}{
		{added, jobs.Stale},
		{jobs.Container{Name: "silver DRUM b", Kind: chemistry.OtherWaste}, jobs.Duplicate},
		{jobs.Container{ID: 99, Name: "Bin", Kind: chemistry.OtherWaste}, jobs.NotFound},
		{jobs.Container{Name: "Bin", Kind: "paper"}, jobs.Invalid},
	} {
		_, err := s.waste.SaveContainer(ctx, ada, test.container)
		wantCode(t, err, test.want)
	}
}

func TestTheWasteLog(t *testing.T) {
	t.Parallel()
	s, ctx := newStockRoom(newLab(t)), context.Background()
	drum1 := s.containerOf(chemistry.DeveloperWaste)
	lot := s.received("Part A", "4411", jobs.Millilitres, 100, nextYear)
	mix := s.mixed(5000, jobs.LotUse{Lot: lot.ID, Amount: 50})
	fill, err := s.fills.PourFill(ctx, ada, jobs.Pour{Solution: c41Developer, Line: drum, VolumeML: 3000, Mix: mix.ID})
	s.must(err)
	s.clock.advance(time.Hour)
	_, err = s.fills.DumpFill(ctx, ada, fill.ID, jobs.Dump{Reason: "tired"})
	s.must(err)
	s.clock.advance(24 * time.Hour)
	noon := s.clock.now()
	_, err = s.mixes.LoseMix(ctx, ada, mix.ID, jobs.Loss{Reason: "too old"})
	s.must(err)
	_, err = s.lots.LoseLot(ctx, ada, lot.ID, jobs.Loss{Reason: "expired", Container: s.containerOf(chemistry.OtherWaste).ID})
	s.must(err)
	collected, err := s.waste.Collect(ctx, ada, jobs.NewCollection{Container: drum1.ID, VolumeML: 4500, Hauler: "Tern Haulage", Document: "77/12"})
	s.must(err)
	for _, test := range []struct {
		collection jobs.NewCollection
		want       jobs.Code
	}{
		{jobs.NewCollection{Container: drum1.ID, VolumeML: 501, Hauler: "Tern Haulage", Document: "77/13"}, jobs.Refused},
		{jobs.NewCollection{Container: drum1.ID, VolumeML: 1, Hauler: "Tern Haulage"}, jobs.Invalid},
	} {
		_, err := s.waste.Collect(ctx, ada, test.collection)
		wantCode(t, err, test.want)
	}
	if left := s.containerOf(chemistry.DeveloperWaste).HoldsML; left != 500 {
		t.Errorf("%g mL are left in the container", left)
	}
	type line struct {
		Container, Source string
		Amount            float64
	}
	read := func(q jobs.WasteQuery) (lines []line) {
		log, err := s.waste.WasteLog(ctx, q)
		s.must(err)
		for _, e := range log {
			lines = append(lines, line{e.ContainerName, e.SourceName, e.Amount})
		}
		return lines
	}
	whole := []line{
		{"Developer waste", "", -4500}, {"Other waste", "Part A, lot 4411", 50}, {"Developer waste", "C-41 developer, a mix", 2000},
		{"Developer waste", "C-41 developer in Drum", 3000},
	}
	for _, test := range []struct {
		name  string
		query jobs.WasteQuery
		want  []line
	}{
		{"all", jobs.WasteQuery{}, whole},
		{"the last two", jobs.WasteQuery{Limit: 2}, whole[:2]},
		{"from", jobs.WasteQuery{From: noon}, whole[:3]},
		{"before", jobs.WasteQuery{Before: noon}, whole[3:]},
		{"by kind", jobs.WasteQuery{Kind: chemistry.OtherWaste}, whole[1:2]},
		{"by container", jobs.WasteQuery{Container: drum1.ID, From: noon}, []line{whole[0], whole[2]}},
		{"none", jobs.WasteQuery{Kind: chemistry.SilverWaste}, nil},
	} {
		if diff := cmp.Diff(test.want, read(test.query)); diff != "" {
			t.Errorf("%s:\n%s", test.name, diff)
		}
	}
	kept, err := s.waste.Collections(ctx)
	s.must(err)
	if diff := cmp.Diff([]jobs.Collection{collected}, kept); diff != "" || collected.ContainerName != "Developer waste" {
		t.Error(diff)
	}
}

// Film that passes bleach and fixer in one batch leaves its silver once.
func TestTheFilmSinceTheLastCollection(t *testing.T) {
	t.Parallel()
	s, ctx := newStockRoom(newLab(t)), context.Background()
	pour := func(family chemistry.SolutionFamily) jobs.Fill {
		solution, err := s.catalogue.SaveSolution(ctx, ada, jobs.Solution{Name: "C-41 " + string(family), Process: chemistry.C41, Family: family,
			Use: chemistry.Replenished, TempC: 38, Active: true})
		s.must(err)
		return s.poured(solution.ID, drum, 1000)
	}
	pour(chemistry.Bleach)
	fixer := pour(chemistry.Fixer)
	run := func() {
		b := s.started(s.colourBatch(2))
		_, err := s.batches.Finish(ctx, ada, b.ID, 0, nil)
		s.must(err)
	}
	film := func() jobs.SilverSince {
		since, err := s.waste.SilverSince(ctx)
		s.must(err)
		return since
	}
	// A 135-36 is 80 in², 0.05161 m² (Kodak J-86).
	run()
	if got := film(); math.Abs(got.ColourM2-2*0.05161) > 1e-9 || got.BlackWhite != 0 || !got.Collected.IsZero() {
		t.Errorf("after the first batch: %+v", got)
	}
	_, err := s.fills.DumpFill(ctx, ada, fixer.ID, jobs.Dump{Reason: "tired"})
	s.must(err)
	s.clock.advance(time.Hour)
	_, err = s.waste.Collect(ctx, ada, jobs.NewCollection{Container: s.containerOf(chemistry.SilverWaste).ID, VolumeML: 1000, Hauler: "Tern Haulage", Document: "1"})
	s.must(err)
	at := s.clock.now()
	if got := film(); got.ColourM2 != 0 || !got.Collected.Equal(at) {
		t.Errorf("after the collection: %+v", got)
	}
	s.clock.advance(time.Hour)
	run()
	if got := film(); math.Abs(got.ColourM2-2*0.05161) > 1e-9 {
		t.Errorf("after the second batch: %+v", got)
	}
}

package postgres

import (
	"context"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"wetside/chemistry"
	"wetside/jobs"
)

var nextYear = time.Date(2027, 3, 1, 0, 0, 0, 0, time.UTC)

func TestLotsComeAndGo(t *testing.T) {
	t.Parallel()
	s, ctx := newStockRoom(newLab(t)), context.Background()
	lot := s.received("Part A", "4411", jobs.Millilitres, 1000, nextYear)
	want := jobs.Lot{ID: lot.ID, Part: "Part A", Number: "4411", Unit: jobs.Millilitres, ExpiresOn: nextYear, ReceivedAt: fixtureStart, Received: 1000, Left: 1000}
	if diff := cmp.Diff(want, lot); diff != "" {
		t.Error(diff)
	}
	s.clock.advance(time.Hour)
	more := s.received("part a", "4411", jobs.Millilitres, 500.25, nextYear)
	if more.ID != lot.ID || more.Left != 1500.25 || !more.ReceivedAt.Equal(fixtureStart) {
		t.Errorf("more of it: %+v", more)
	}
	for _, test := range []struct {
		receipt jobs.Receipt
		want    jobs.Code
	}{
		{jobs.Receipt{Part: "Part A", Number: "4411", Unit: jobs.Millilitres, Amount: 1, ExpiresOn: nextYear.AddDate(0, 0, 1)}, jobs.Refused},
		{jobs.Receipt{Part: "Part A", Number: "4411", Unit: jobs.Millilitres, Amount: 1}, jobs.Refused},
		{jobs.Receipt{Part: "Part A", Number: "4411", Unit: jobs.Grams, Amount: 1, ExpiresOn: nextYear}, jobs.Refused},
		{jobs.Receipt{Part: "Part A", Number: "4411", Unit: jobs.Millilitres, Amount: -1, ExpiresOn: nextYear}, jobs.Invalid},
	} {
		_, err := s.lots.Receive(ctx, ada, test.receipt)
		wantCode(t, err, test.want)
	}
	spilt := 0.25
	lot, err := s.lots.LoseLot(ctx, ada, lot.ID, jobs.Loss{Amount: &spilt, Reason: "dropped", Spilled: true})
	s.must(err)
	if lot.Left != 1500 {
		t.Errorf("%g mL are left", lot.Left)
	}
	lot, err = s.lots.LoseLot(ctx, ada, lot.ID, jobs.Loss{Reason: "not needed"})
	s.must(err)
	if drum := s.containerOf(chemistry.DeveloperWaste); lot.Left != 0 || drum.HoldsML != 1500 {
		t.Errorf("%g mL are left, %g in the container", lot.Left, drum.HoldsML)
	}
	_, err = s.lots.LoseLot(ctx, ada, lot.ID, jobs.Loss{Reason: "again"})
	wantCode(t, err, jobs.WrongState)
	_, err = s.lots.LoseLot(ctx, ada, 99, jobs.Loss{Reason: "again"})
	wantCode(t, err, jobs.NotFound)
	_, ledger, err := s.lots.Lot(ctx, lot.ID)
	s.must(err)
	var kinds []jobs.EntryKind
	for _, entry := range ledger {
		if entry.Lot == lot.ID {
			kinds = append(kinds, entry.Kind)
		}
	}
	if last := ledger[len(ledger)-1]; last.Container == 0 || last.Amount != 1500 {
		t.Errorf("the last act ends with %+v", last)
	}
	if diff := cmp.Diff([]jobs.EntryKind{jobs.EntryReceived, jobs.EntryReceived, jobs.EntrySpilled, jobs.EntryDumped}, kinds); diff != "" {
		t.Error(diff)
	}
	_, _, err = s.lots.Lot(ctx, 99)
	wantCode(t, err, jobs.NotFound)
	s.clock.advance(29 * 24 * time.Hour)
	if found, err := s.lots.Lots(ctx); err != nil || len(found) != 1 {
		t.Errorf("after 29 days: %+v, %v", found, err)
	}
	s.clock.advance(2 * 24 * time.Hour)
	if found, err := s.lots.Lots(ctx); err != nil || len(found) != 0 {
		t.Errorf("after 31 days: %+v, %v", found, err)
	}
}

func TestAMixKnowsWhereItCameFromAndWent(t *testing.T) {
	t.Parallel()
	s, ctx := newStockRoom(newLab(t)), context.Background()
	a, b := s.received("Part A", "4411", jobs.Millilitres, 1000, nextYear), s.received("Part B", "7", jobs.Grams, 100, time.Time{})
	sheet, err := s.mixes.MixingSheet(ctx, jobs.MixRequest{Solution: c41Developer, Preparation: jobs.Working, VolumeML: 5000})
	s.must(err)
	if len(sheet.Parts) != 2 || !cmp.Equal(sheet.Parts[0].Lots, []jobs.LotUse{{Lot: a.ID, Amount: 300}}) || sheet.Parts[1].Missing != 0 {
		t.Errorf("sheet: %+v", sheet.Parts)
	}
	mix := s.mixed(5000, jobs.LotUse{Lot: a.ID, Amount: 310}, jobs.LotUse{Lot: b.ID, Amount: 25})
	if mix.LeftML != 5000 || mix.Recipe != 2 || mix.By != "Ada" || !mix.MixedAt.Equal(fixtureStart) {
		t.Errorf("mix: %+v", mix)
	}
	s.clock.advance(time.Hour)
	fill, err := s.fills.PourFill(ctx, ada, jobs.Pour{Solution: c41Developer, Line: drum, VolumeML: 3000, Mix: mix.ID})
	s.must(err)
	if fill.Mix != mix.ID || !fill.MixedAt.Equal(mix.MixedAt) || fill.Recipe != mix.Recipe {
		t.Errorf("fill: %+v", fill)
	}
	_, err = s.fills.PourFill(ctx, ada, jobs.Pour{Solution: c41Developer, Line: dipAndDunk, VolumeML: 2001, Mix: mix.ID})
	wantCode(t, err, jobs.Refused)
	// A recipe that changes later leaves the mix as it was.
	changed := s.readCatalogue().Solutions[c41Developer]
	changed.Parts = nil
	_, err = s.catalogue.SaveSolution(ctx, ada, changed)
	s.must(err)
	mix, err = s.mixes.LoseMix(ctx, ada, mix.ID, jobs.Loss{Reason: "too old"})
	s.must(err)
	record, err := s.mixes.Mix(ctx, mix.ID)
	s.must(err)
	want := []jobs.PartUse{
		{Name: "Part A", Unit: jobs.Millilitres, Asked: 300, Used: 310, Lots: []jobs.LotUse{{Lot: a.ID, Amount: 310}}},
		{Name: "Part B", Unit: jobs.Grams, Asked: 25, Used: 25, Lots: []jobs.LotUse{{Lot: b.ID, Amount: 25}}},
	}
	if diff := cmp.Diff(want, record.Uses()); diff != "" {
		t.Error(diff)
	}
	if record.LeftML != 0 || record.Fills[fill.ID].LineName != "Drum" || record.Lots[a.ID].Left != 690 || len(record.Moves) != 7 {
		t.Errorf("record: %+v", record)
	}
	_, err = s.mixes.Mix(ctx, 99)
	wantCode(t, err, jobs.NotFound)
	for _, id := range []jobs.MixID{0, 99} {
		_, err = s.mixes.LoseMix(ctx, ada, id, jobs.Loss{Reason: "too old"})
		wantCode(t, err, jobs.NotFound)
	}
}

func TestAMixThatIsTooOldIsPouredOnlyWithAReason(t *testing.T) {
	t.Parallel()
	s, ctx := newStockRoom(newLab(t)), context.Background()
	mix := s.mixed(5000)
	s.clock.advance(70 * 24 * time.Hour)
	pour := jobs.Pour{Solution: c41Developer, Line: drum, VolumeML: 3000, Mix: mix.ID}
	_, err := s.fills.PourFill(ctx, ada, pour)
	wantCode(t, err, jobs.Refused)
	pour.Override = " a strip was good "
	fill, err := s.fills.PourFill(ctx, ada, pour)
	s.must(err)
	if n := s.count("SELECT count(*) FROM ledger WHERE kind = 'filled' AND why = 'a strip was good' AND (fill_id = $1 OR mix_id = $2)", int64(fill.ID), int64(mix.ID)); n != 2 {
		t.Errorf("%d entries say why", n)
	}
	if n := s.count("SELECT count(*) FROM events WHERE fill_id = $1 AND why LIKE '%although the mix was too old: a strip was good'", int64(fill.ID)); n != 1 {
		t.Error("the record does not say why")
	}
}

// What a call refuses leaves nothing behind.
func TestAMixIsRecordedWholeOrNotAtAll(t *testing.T) {
	t.Parallel()
	s, ctx := newStockRoom(newLab(t)), context.Background()
	a, b := s.received("Part A", "4411", jobs.Millilitres, 1000, nextYear), s.received("Part B", "7", jobs.Grams, 10, time.Time{})
	before := s.count("SELECT count(*) FROM ledger")
	for _, uses := range [][]jobs.LotUse{
		{{Lot: a.ID, Amount: 60}, {Lot: b.ID, Amount: 10.001}},
		{{Lot: a.ID, Amount: 60}, {Lot: 99, Amount: 5}},
		{{Lot: a.ID, Amount: 60}},
	} {
		_, err := s.mixes.RecordMix(ctx, ada, jobs.NewMix{MixRequest: jobs.MixRequest{Solution: c41Developer, Preparation: jobs.Working, VolumeML: 1000}, Lots: uses})
		if code := jobs.CodeOf(err); code != jobs.Refused && code != jobs.Invalid {
			t.Errorf("%v: %v", uses, err)
		}
	}
	if n := s.count("SELECT count(*) FROM ledger") + s.count("SELECT count(*) FROM mixes"); n != before {
		t.Errorf("%d entries and mixes, want %d", n, before)
	}
}

func TestAClockThatWasSetBack(t *testing.T) {
	t.Parallel()
	s, ctx := newStockRoom(newLab(t)), context.Background()
	s.clock.advance(time.Hour)
	lot := s.received("Part A", "4411", jobs.Millilitres, 1000, nextYear)
	s.clock.advance(-30 * time.Second) // as one server's clock differs from another's
	s.received("Part A", "4411", jobs.Millilitres, 1, nextYear)
	s.clock.advance(-time.Hour)
	_, err := s.lots.Receive(ctx, ada, jobs.Receipt{Part: "Part A", Number: "4411", Unit: jobs.Millilitres, Amount: 1, ExpiresOn: nextYear})
	wantCode(t, err, jobs.WrongState)
	_, err = s.mixes.RecordMix(ctx, ada, jobs.NewMix{Note: "no B left", Lots: []jobs.LotUse{{Lot: lot.ID, Amount: 60}},
		MixRequest: jobs.MixRequest{Solution: c41Developer, Preparation: jobs.Working, VolumeML: 1000}})
	wantCode(t, err, jobs.WrongState)
	if n := s.count(`SELECT count(*) FROM (SELECT at < lag(at) OVER (PARTITION BY lot_id ORDER BY id) AS back FROM ledger) e WHERE back`); n != 0 {
		t.Errorf("%d entries run backwards", n)
	}
}

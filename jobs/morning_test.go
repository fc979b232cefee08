package jobs

import (
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"wetside/chemistry"
)

// bench is the lab of the forecasts on a Monday, with nothing else to see to.
func bench(now time.Time) (*foretold, BenchView) {
	f := forecastLab(now)
	view := BenchView{
		Catalogue: f.Catalogue, Fills: []Fill{f.fill}, Ledgers: map[FillID][]Entry{f.fill.ID: f.ledger}, Containers: Containers{},
	}
	view.Outlooks = f.Outlooks(view.Fills, view.Ledgers, f.demand, now)
	return f, view
}

func watchedLine(standing Standing) WatchedLine {
	return WatchedLine{Line: drum, LineName: "Drum", Process: chemistry.C41, Box: StripBox{ID: 2, Process: chemistry.C41, Number: "77"}, State: StripState{Standing: standing}}
}

func TestMorningListNamesWhatThereIsToDo(t *testing.T) {
	t.Parallel()
	now := monday
	replenisher := Mix{ID: 9, Solution: mqBorax, SolutionName: "MQ borax", Preparation: ReplenisherMixture, VolumeML: 5000, LeftML: 300, MixedAt: now.AddDate(0, 0, -30)}
	for name, test := range map[string]struct {
		change func(*foretold, *BenchView)
		group  MorningGroup
		what   string
		where  string
		why    string
		urgent bool
	}{
		"strip due": {func(_ *foretold, v *BenchView) { v.Watched = []WatchedLine{watchedLine(StripDue)} },
			StripsToRun, "Run a C-41 control strip", "Drum", "no control strip of C-41 has been read in Drum today", true},
		"second strip": {func(_ *foretold, v *BenchView) { v.Watched = []WatchedLine{watchedLine(SecondWanted)} },
			StoppedLines, "Run a second C-41 control strip", "Drum", "line stopped", true},
		"line stopped": {func(_ *foretold, v *BenchView) { v.Watched = []WatchedLine{watchedLine(LineStopped)} },
			StoppedLines, "Put C-41 right", "Drum", "line stopped", true},
		"pours of Saturday": {func(_ *foretold, v *BenchView) {
			dose := Dose{ID: 1, Batch: 31, LineName: "Drum", CalledML: 45, At: now.AddDate(0, 0, -2)}
			given, gone, today := dose, dose, dose
			given.Given, gone.DumpedAt, today.At = &Poured{}, now, now.Add(-time.Hour)
			v.Doses = []Dose{dose, dose, given, gone, today}
		}, PoursToConfirm, "Confirm what was poured for batch 31", "Drum", "2 doses, 90 mL in all, not confirmed since Sat 28 Feb 2026", false},
		"exhausted": {func(f *foretold, _ *BenchView) { f.change(func(s *Solution) { s.CapacityM2PerL = roll }) },
			TanksToChange, "Change MQ borax", "Hand tanks", "of its capacity used", true},
		"nearly used up": {func(f *foretold, _ *BenchView) { f.change(func(s *Solution) { s.CapacityM2PerL = 12 * roll }) },
			TanksToChange, "Change MQ borax soon", "Hand tanks", "MQ borax in Hand tanks runs out", false},
		"busy days ahead": {func(f *foretold, _ *BenchView) {
			f.demand.Waiting = []WaitingFilm{{Line: handTanks, Process: chemistry.BW, Solution: mqBorax, AreaM2: 40 * roll}}
		}, TanksToChange, "Change MQ borax soon", "Hand tanks", "runs out", false},
		"one-shot used": {func(f *foretold, _ *BenchView) { f.change(func(s *Solution) { s.Use = chemistry.OneShot }) },
			TanksToChange, "Dump MQ borax", "Hand tanks", "used once", false},
		"idle over the weekend": {func(f *foretold, v *BenchView) {
			f.change(func(s *Solution) { s.Use, s.Replenisher.MLPerM2 = chemistry.Replenished, 900 })
			v.Ledgers[f.fill.ID] = v.Ledgers[f.fill.ID][:1] // the last film went through a week ago
		}, IdleTopUps, "Add 90 mL of replenisher to MQ borax", "Hand tanks", "US Army SS0514", true},
		"too old soon": {func(f *foretold, _ *BenchView) {
			f.change(func(s *Solution) { s.CapacityM2PerL, s.Keeping = 0, []chemistry.Keeping{{Days: 28}} })
			f.fill.MixedAt = now.AddDate(0, 0, -22)
		}, KeepingDates, "MQ borax will be too old", "Hand tanks", "It keeps until Sun 8 Mar 2026", false},
		"a mix within the week": {func(f *foretold, v *BenchView) {
			f.change(func(s *Solution) {
				s.CapacityM2PerL = 21 * roll
				s.Parts = []Part{{Preparation: Working, Name: "Borax part A", AmountPerL: 500, Unit: Millilitres}}
			})
			v.Lots = []Lot{{Part: "borax PART a", Number: "1", Unit: Millilitres, Left: 200}}
		}, MixesToMake, "Mix 1000 mL of MQ borax by Wed 4 Mar 2026", "Hand tanks", "Of Borax part A, 500 mL are needed and 200 are left.", false},
		"a replenisher at its end": {func(f *foretold, _ *BenchView) {
			f.change(func(s *Solution) { s.Use, s.Replenisher.MLPerM2 = chemistry.Replenished, 900 })
			left := replenisher
			left.LeftML = 0
			f.demand.Mixes = []Mix{left}
		}, MixesToMake, "Mix 5000 mL of MQ borax replenisher today", "all lines", "The replenisher of MQ borax runs out", true},
		"a mix too old soon": {func(f *foretold, v *BenchView) {
			f.change(func(s *Solution) { s.Keeping = []chemistry.Keeping{{Days: 35}} })
			v.Mixes = []Mix{replenisher}
		}, KeepingDates, "MQ borax replenisher, mixed 31 Jan 2026, will be too old", "", "300 mL keep until Sat 7 Mar 2026", false},
		"a mix too old": {func(f *foretold, v *BenchView) {
			f.change(func(s *Solution) { s.Keeping = []chemistry.Keeping{{Days: 30}} })
			v.Mixes = []Mix{replenisher}
		}, KeepingDates, "Dump MQ borax replenisher, mixed 31 Jan 2026", "", "300 mL kept until Mon 2 Mar 2026", false},
		"a lot expires": {func(_ *foretold, v *BenchView) {
			v.Lots = []Lot{{ID: 4, Part: "Fix", Number: "12", Unit: Grams, Left: 250, ExpiresOn: dayOf(now).AddDate(0, 0, 14)}}
		}, KeepingDates, "Fix, lot 12, expires", "", "250 g may be used until Mon 16 Mar 2026", false},
		"a lot expired": {func(_ *foretold, v *BenchView) {
			v.Lots = []Lot{{ID: 4, Part: "Fix", Number: "12", Unit: Grams, Left: 250, ExpiresOn: dayOf(now).AddDate(0, 0, -1)}}
		}, KeepingDates, "Put Fix, lot 12 away", "", "expired on Sun 1 Mar 2026", false},
		"a part runs low": {func(_ *foretold, v *BenchView) {
			v.Lots = []Lot{{Part: "Fix", Number: "12", Unit: Millilitres, Left: 99, UsedLately: 200}}
		}, StockLow, "Order Fix", "", "99 mL are left that may be used; 200 went into mixes in four weeks", false},
		"strips expire": {func(_ *foretold, v *BenchView) {
			line := watchedLine(LineInControl)
			line.Box.ExpiresOn = dayOf(now)
			v.Watched = []WatchedLine{line}
		}, KeepingDates, "C-41 control strips, box 77", "", "cross the next box over", false},
		"strips run low": {func(_ *foretold, v *BenchView) {
			line := watchedLine(LineInControl)
			line.Box.Active, line.Box.Strips, line.Box.Read = true, 50, 45
			v.Watched = []WatchedLine{line}
		}, StockLow, "C-41 control strips, box 77", "", "5 strips left", false},
		"a container fills": {func(_ *foretold, v *BenchView) {
			v.Containers[3] = Container{ID: 3, Name: "Silver", VolumeML: 10000, HoldsML: 8000}
		}, WasteNearFull, "Have Silver collected", "", "It holds 8000 of 10000 mL, 80 %", false},
		"a container is full": {func(_ *foretold, v *BenchView) {
			v.Containers[3] = Container{ID: 3, Name: "Silver", VolumeML: 10000, HoldsML: 9500}
		}, WasteNearFull, "Have Silver collected", "", "95 %", true},
	} {
		f, v := bench(now)
		test.change(f, &v)
		v.Fills = []Fill{f.fill}
		v.Outlooks = f.Outlooks(v.Fills, v.Ledgers, f.demand, now)
		list := v.MorningList(now)
		at := slices.IndexFunc(list.Items, func(i MorningItem) bool { return i.Group == test.group && i.What == test.what })
		if at < 0 {
			t.Errorf("%s: %q is not on the list: %+v", name, test.what, list.Items)
			continue
		}
		item := list.Items[at]
		if item.Where != test.where || !strings.Contains(item.Why, test.why) || item.Urgent != test.urgent || !item.Done.IsZero() {
			t.Errorf("%s: %+v", name, item)
		}
	}
}

// A tank that takes no more film only because nobody has confirmed what was
// poured is not to be changed: the list asks for the pours of earlier days.
func TestMorningListAsksForPoursNotForAFreshFill(t *testing.T) {
	t.Parallel()
	now := monday
	f, v := bench(now)
	f.change(func(s *Solution) {
		s.Use, s.Replenisher.MLPerM2, s.CapacityM2PerL = chemistry.Replenished, 900, 10*roll
	})
	yesterday := now.AddDate(0, 0, -1)
	v.Ledgers[f.fill.ID] = []Entry{{ID: 1, Kind: EntryFilm, At: yesterday, Batch: 3, AreaM2: 12 * roll, CalledML: 12 * roll * 900}}
	v.Doses = []Dose{{ID: 1, Batch: 3, LineName: "Hand tanks", CalledML: 12 * roll * 900, At: yesterday}}
	v.Fills = []Fill{f.fill}
	v.Outlooks = f.Outlooks(v.Fills, v.Ledgers, f.demand, now)
	groups := map[MorningGroup]int{}
	for _, item := range v.MorningList(now).Items {
		groups[item.Group]++
	}
	if groups[PoursToConfirm] != 1 || groups[TanksToChange] != 0 || groups[MixesToMake] != 0 {
		t.Errorf("%v", groups)
	}
	// Somebody wrote that nothing was poured: now the fill is used up.
	v.Ledgers[f.fill.ID] = append(v.Ledgers[f.fill.ID], Entry{ID: 2, Kind: EntryReplenished, Answers: 1, At: now})
	v.Outlooks = f.Outlooks(v.Fills, v.Ledgers, f.demand, now)
	if list := v.MorningList(now); !slices.ContainsFunc(list.Items, func(i MorningItem) bool { return i.What == "Change MQ borax" && i.Urgent }) {
		t.Errorf("%+v", list.Items)
	}
}

// The page of the day ticks off what it sees to be done, and leaves the rest.
func TestMorningListSeesWhatWasDone(t *testing.T) {
	t.Parallel()
	key := ControlKey{drum, chemistry.C41}
	list := MorningList{At: monday, Items: []MorningItem{
		{Key: "a", Group: StripsToRun, Strips: key}, {Key: "b", Group: TanksToChange, Fill: 7}, {Key: "c", Group: WasteNearFull, Container: 1},
	}}
	w := WetSide{Fills: []Fill{{ID: 7}}, Controls: map[ControlKey]Control{key: {Required: true, Objection: "run a control strip first"}}}
	for _, step := range []struct {
		do   func()
		open int
	}{
		{func() {}, 3},
		{func() { w.Controls[key] = Control{Required: true} }, 2},
		{func() { w.Fills = []Fill{{ID: 8}} }, 1},
	} {
		step.do()
		if open, _ := list.Seen(w, monday.Add(time.Hour)).Open(); open != step.open {
			t.Errorf("%d are open, want %d", open, step.open)
		}
	}
	if open, _ := list.Open(); open != 3 {
		t.Error("the list itself was changed")
	}
}

// A lab where all is well has an empty list.
func TestMorningListOfAQuietLab(t *testing.T) {
	t.Parallel()
	now := monday
	_, v := bench(now)
	v.Watched = []WatchedLine{watchedLine(LineInControl), watchedLine(LineReleased), watchedLine(LinePastAction)}
	v.Mixes = []Mix{{ID: 1, Solution: mqBorax, MixedAt: now, LeftML: 500}}
	v.Lots = []Lot{{Part: "Fix", Left: 100, UsedLately: 100, ExpiresOn: dayOf(now).AddDate(0, 0, 15)}, {Part: "Stop", ExpiresOn: dayOf(now)}}
	v.Containers = Containers{1: {ID: 1, VolumeML: 10000, HoldsML: 7999}, 2: {ID: 2, HoldsML: 99999}}
	v.Doses = []Dose{{Batch: 1, CalledML: 45, At: now.Add(-time.Hour)}}
	if list := v.MorningList(now); len(list.Items) != 0 {
		t.Errorf("%+v", list.Items)
	}
}

func TestMorningListIsInTheOrderOfTheMorning(t *testing.T) {
	t.Parallel()
	now := monday
	f, v := bench(now)
	f.change(func(s *Solution) { s.CapacityM2PerL = roll })
	v.Outlooks = f.Outlooks(v.Fills, v.Ledgers, f.demand, now)
	v.Containers[3] = Container{ID: 3, Name: "Silver", VolumeML: 10, HoldsML: 8}
	v.Containers[4] = Container{ID: 4, Name: "Wash", VolumeML: 10, HoldsML: 10}
	v.Watched = []WatchedLine{watchedLine(StripDue), watchedLine(LineStopped)}
	var got []string
	for _, item := range v.MorningList(now).Items {
		got = append(got, item.What)
	}
	want := []string{"Put C-41 right", "Run a C-41 control strip", "Change MQ borax", "Mix 1000 mL of MQ borax today", "Have Wash collected", "Have Silver collected"}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
}

// What is no longer true is ticked off, comes back when it is true again, and is
// forgotten the next day.
func TestMorningListTicksOff(t *testing.T) {
	t.Parallel()
	now := monday
	_, v := bench(now)
	v.Watched = []WatchedLine{watchedLine(StripDue)}
	v.Containers[3] = Container{ID: 3, Name: "Silver", VolumeML: 10, HoldsML: 8}
	six := v.MorningList(now)
	if open, urgent := six.Open(); open != 2 || urgent != 1 {
		t.Errorf("%d open, %d urgent", open, urgent)
	}
	v.Watched = nil
	seven := v.MorningList(now.Add(time.Hour)).Since(six)
	if open, urgent := seven.Open(); open != 1 || urgent != 0 || len(seven.Items) != 2 || !seven.Items[0].Done.Equal(now.Add(time.Hour)) {
		t.Errorf("%+v", seven)
	}
	eight := v.MorningList(now.Add(2 * time.Hour)).Since(seven)
	if diff := cmp.Diff(seven.Items, eight.Items); diff != "" {
		t.Errorf("an hour later:\n%s", diff)
	}
	v.Watched = []WatchedLine{watchedLine(StripDue)}
	if open, _ := v.MorningList(now.Add(3 * time.Hour)).Since(eight).Open(); open != 2 {
		t.Errorf("%d are open after it came back", open)
	}
	v.Watched = nil
	if tomorrow := v.MorningList(now.AddDate(0, 0, 1)).Since(six); len(tomorrow.Items) != 1 {
		t.Errorf("the next day: %+v", tomorrow.Items)
	}
}

package jobs

import (
	"strings"
	"testing"
	"time"

	"wetside/chemistry"
)

// batchInTanks is a colour batch on the drum, which holds a developer and a
// bleach with everything that limits them set.
func batchInTanks(t *testing.T, rolls int) (WetSide, Batch) {
	t.Helper()
	w := testLab()
	developer := w.Solutions[colourDeveloper]
	developer.MinimumMLPerRoll, developer.Keeping = 100, []chemistry.Keeping{{Days: 10}}
	w.Solutions[colourDeveloper] = developer
	w.Fills = []Fill{
		{ID: 1, Solution: colourDeveloper, SolutionName: "C-41 developer", Line: drum, LineName: "Drum", VolumeML: 1000, NowML: 1000, FilledAt: monday},
		{ID: 2, Solution: colourBleach, SolutionName: "C-41 bleach", Line: drum, LineName: "Drum", VolumeML: 1000, NowML: 1000, FilledAt: monday},
	}
	w.Ledgers = map[FillID][]Entry{}
	var views []RollView
	for i := range rolls {
		views = append(views, w.roll(RollID(i+1), sedge160))
	}
	b, err := assemble(w, drum, views...)
	if err != nil {
		t.Fatal(err)
	}
	return w, b
}

// hold puts tanks of solutions into a line.
func (w WetSide) hold(id LineID, solutions ...SolutionID) {
	line := w.Lines[id]
	line.Tanks = map[SolutionID]LineTank{}
	for _, solution := range solutions {
		line.Tanks[solution] = LineTank{VolumeML: 1000}
	}
	w.Lines[id] = line
}

// Every tank that the batch goes through is looked at, and everything is said
// at once. 37.8 ± 0.15 °C: Kodak Z-131 table 2-1.
func TestWhatSpeaksAgainstAStart(t *testing.T) {
	t.Parallel()
	for _, test := range []struct {
		name   string
		change func(w *WetSide, now *time.Time)
		tempC  float64
		want   []string // one for each objection, in order
	}{
		{"nothing", func(*WetSide, *time.Time) {}, 37.8, nil},
		{"too warm", func(*WetSide, *time.Time) {}, 38.5, []string{"cool it"}},
		{"too little for two rolls of 100 mL each", func(w *WetSide, _ *time.Time) { w.Fills[0].NowML = 199 }, 37.8, []string{"C-41 developer in Drum is too little: this film needs 200 mL, there are 199 mL"}},
		{"just enough", func(w *WetSide, _ *time.Time) { w.Fills[0].NowML = 200 }, 37.8, nil},
		{"the last day it keeps", func(_ *WetSide, now *time.Time) { *now = monday.AddDate(0, 0, 10).Add(-time.Hour) }, 37.8, nil},
		{"kept too long", func(_ *WetSide, now *time.Time) { *now = monday.AddDate(0, 0, 10) }, 37.8, []string{"C-41 developer in Drum takes no more film: 100 % of its keeping time used"}},
		{"all of it was spilled, and nobody has said how much a roll needs", func(w *WetSide, _ *time.Time) { w.Fills[1].NowML = 0 }, 37.8,
			[]string{"nothing is left in C-41 bleach in Drum: top it up, or dump it and pour a fresh fill"}},
		{"a tank stands empty", func(w *WetSide, _ *time.Time) { w.hold(drum, colourDeveloper, colourBleach); w.Fills = w.Fills[1:] }, 37.8,
			[]string{"there is no C-41 developer in Drum: pour a fill and record it before film goes in"}},
		{"no tank is on record", func(w *WetSide, _ *time.Time) { w.Fills = nil }, 37.8, nil},
		{"another developer stands in the line", func(w *WetSide, _ *time.Time) {
			other := w.Solutions[colourDeveloper]
			other.ID, other.Name = 99, "C-41 developer, low rate"
			w.Solutions[99] = other
			w.hold(drum, colourDeveloper, 99, colourBleach)
		}, 37.8, nil},
		{"a tank of something that is out of use", func(w *WetSide, _ *time.Time) {
			old := w.Solutions[colourBleach]
			old.Active = false
			w.Solutions[colourBleach] = old
			w.hold(drum, colourBleach)
			w.Fills = w.Fills[:1]
		}, 37.8, nil},
		{"a tank of another process", func(w *WetSide, _ *time.Time) { w.hold(drum, bwFixer) }, 37.8, nil},
		{"what is due was not confirmed", func(w *WetSide, _ *time.Time) {
			bleach := w.Solutions[colourBleach]
			bleach.CapacityM2PerL, bleach.Replenisher.MLPerM2 = 0.5, 1000
			w.Solutions[colourBleach] = bleach
			w.Ledgers[2] = []Entry{{ID: 1, Kind: EntryFilm, At: monday, AreaM2: 0.6, CalledML: 600}}
		}, 37.8, []string{"120 % of what it takes without replenisher used, 0.5 m²; 600 mL of replenisher are due: pour them and confirm it"}},
		{"fouled bleach", func(w *WetSide, _ *time.Time) {
			w.Ledgers[2] = []Entry{{ID: 1, Kind: EntryFouled, At: monday, Why: "developer carried over"}}
		}, 37.8, []string{"C-41 bleach in Drum takes no more film: fouled: developer carried over"}},
		{"the strips", func(w *WetSide, _ *time.Time) {
			w.Controls = map[ControlKey]Control{{drum, chemistry.C41}: {Required: true, Objection: "no strip of today"}}
		}, 37.8, []string{"no strip of today"}},
		{"the strips of another process", func(w *WetSide, _ *time.Time) {
			w.Controls = map[ControlKey]Control{{drum, chemistry.E6}: {Required: true, Objection: "no strip of today"}}
		}, 37.8, nil},
		{"a fill of another line", func(w *WetSide, _ *time.Time) { w.Fills[0].Line, w.Fills[0].NowML = dipAndDunk, 0 }, 37.8, nil},
		{"the clock was set back", func(_ *WetSide, now *time.Time) { *now = monday.Add(-time.Hour) }, 37.8,
			[]string{"how C-41 developer in Drum stands cannot be told", "how C-41 bleach in Drum stands cannot be told"}},
		{"several", func(w *WetSide, now *time.Time) {
			w.Fills[0].NowML, *now = 100, monday.AddDate(0, 0, 20)
			w.Controls = map[ControlKey]Control{{drum, chemistry.C41}: {Objection: "the line is stopped"}}
		}, 30, []string{"keeping time", "too little", "the line is stopped", "warm it"}},
	} {
		w, b := batchInTanks(t, 2)
		now := monday
		test.change(&w, &now)
		_, _, err := w.Start(b, BatchStart{DeveloperC: test.tempC}, now)
		if len(test.want) == 0 {
			if err != nil {
				t.Errorf("%s: %v", test.name, err)
			}
			continue
		}
		refused, ok := err.(*Error)
		if !ok || refused.Code != Refused || len(refused.Fields) != len(test.want) {
			t.Errorf("%s: %v, want Refused for %d things", test.name, err, len(test.want))
			continue
		}
		for i, want := range test.want {
			if !strings.Contains(refused.Fields[i].Message, want) || !strings.Contains(refused.Message, want) {
				t.Errorf("%s: %q does not say %q", test.name, refused.Message, want)
			}
		}
		started, sheet, err := w.Start(b, BatchStart{DeveloperC: test.tempC, Override: " the wedding is tomorrow "}, now)
		if err != nil || started.Override != "the wedding is tomorrow" || started.Develop != 195 || len(sheet.Against) != len(test.want) {
			t.Errorf("%s, overridden: %+v, %q, %v", test.name, started, sheet.Against, err)
		}
		if told := sheet.Overridden(); !strings.Contains(told, "the wedding is tomorrow") || !strings.Contains(told, test.want[0]) {
			t.Errorf("%s: the record tells %q", test.name, told)
		}
	}
}

func TestAnOverrideIsAReason(t *testing.T) {
	t.Parallel()
	w, b := batchInTanks(t, 1)
	for _, reason := range []string{" ", strings.Repeat("x", MaxReason+1), "two\nlines"} {
		_, _, err := w.Start(b, BatchStart{DeveloperC: 30, Override: reason}, monday)
		if CodeOf(err) != Invalid || !strings.Contains(err.Error(), "override") {
			t.Errorf("%.10q: %v", reason, err)
		}
	}
	if _, _, err := w.Start(b, BatchStart{DeveloperC: 30, Override: strings.Repeat("x", MaxReason)}, monday); err != nil {
		t.Error(err)
	}
	started, sheet, err := w.Start(b, BatchStart{DeveloperC: 37.8, Override: "to be safe"}, monday)
	if err != nil || started.Override != "" || sheet.Overridden() != "" {
		t.Errorf("nothing was to be overridden, but the record says %q (%v)", started.Override, err)
	}
}

// A reason never makes up for a missing developer, nor lets film into what it
// would foul.
func TestWhatNobodyOverrides(t *testing.T) {
	t.Parallel()
	w := testLab()
	missing, _ := assemble(w, handTanks, w.roll(1, marl400))
	colour, _ := assemble(w, drum, w.roll(1, sedge160))
	colour.Rolls[0].Remjet = chemistry.RemjetUnknown
	large, _ := assemble(w, drum, w.roll(1, sedge160))
	large.Rolls[0].Format = chemistry.Format4x5
	for name, b := range map[string]Batch{"no developer": missing, "remjet": colour, "format": large} {
		if _, _, err := w.Start(b, BatchStart{DeveloperC: 37.8, Override: "let it"}, monday); CodeOf(err) != Refused {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// The sheet of a batch that waits says what speaks against it and what it
// calls for.
func TestTheSheetSaysWhatSpeaksAgainstAStart(t *testing.T) {
	t.Parallel()
	w, b := batchInTanks(t, 2)
	w.Fills[0].NowML = 50
	sheet, err := w.RunSheet(b, monday)
	if err != nil || len(sheet.Against) != 1 || !strings.Contains(sheet.Against[0], "too little") {
		t.Errorf("%q, %v", sheet.Against, err)
	}
}

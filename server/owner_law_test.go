package server_test

import (
	"math"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"pgregory.net/rapid"

	"wetside/chemistry"
	"wetside/jobs"
	"wetside/server"
)

// hundredth draws a number that a thermometer or a sheet could give.
func hundredth(low, high float64) *rapid.Generator[float64] {
	return rapid.Map(rapid.IntRange(int(low*100), int(high*100)), func(n int) float64 { return float64(n) / 100 })
}

// Opening a form and saving it as it stands changes nothing.
func TestFormsLoseNothing(t *testing.T) {
	t.Parallel()
	name := rapid.StringMatching(`[A-Za-z][A-Za-z0-9 ,+]{0,20}[a-z]`)
	version := rapid.IntRange(1, 99)
	times := rapid.Custom(func(t *rapid.T) jobs.StockTimes {
		set := jobs.StockTimes{Solution: jobs.SolutionID(rapid.Int64Range(1, 99).Draw(t, "solution")), Source: rapid.SampledFrom([]string{"", "own test"}).Draw(t, "source")}
		for range rapid.IntRange(1, 4).Draw(t, "rows") {
			set.Rows = append(set.Rows, chemistry.BWRow{TempC: hundredth(0, 50).Draw(t, "°C"), Seconds: rapid.IntRange(1, chemistry.MaxClockSeconds).Draw(t, "s")})
		}
		for range rapid.IntRange(0, 4).Draw(t, "push rows") {
			set.PushRows = append(set.PushRows, chemistry.PushTime{Push: chemistry.Stops(rapid.IntRange(-60, 60).Draw(t, "push")),
				Seconds: rapid.IntRange(1, chemistry.MaxClockSeconds).Draw(t, "s"), Source: chemistry.Source{Standing: chemistry.LabsOwn, Text: set.Source}})
		}
		return set
	})
	keeping := rapid.Custom(func(t *rapid.T) []chemistry.Keeping {
		var entries []chemistry.Keeping
		for _, storage := range append(slices.Clone(chemistry.Storages), "") {
			if months, days := rapid.IntRange(0, 120).Draw(t, "months"), rapid.IntRange(0, 3660).Draw(t, "days"); months+days > 0 {
				entries = append(entries, chemistry.Keeping{Storage: storage, Months: months, Days: days,
					Source: chemistry.Source{Standing: chemistry.LabsOwn, Text: rapid.SampledFrom([]string{"", "own test"}).Draw(t, "source")}})
			}
		}
		return entries
	})
	part := rapid.Custom(func(t *rapid.T) jobs.Part {
		return jobs.Part{Preparation: jobs.Working, Name: rapid.StringMatching(`[A-Za-z=][A-Za-z0-9 ,=]{0,20}[a-z=]`).Draw(t, "part"),
			AmountPerL: rapid.Float64Range(1e-9, 1000).Draw(t, "amount"), Unit: rapid.SampledFrom(jobs.Units).Draw(t, "unit"), Acid: rapid.Bool().Draw(t, "acid")}
	})
	parts := rapid.Custom(func(t *rapid.T) []jobs.Part {
		all := rapid.SliceOfN(part, 0, 6).Draw(t, "parts")
		for i := rapid.IntRange(0, len(all)).Draw(t, "for film"); i < len(all); i++ {
			all[i].Preparation = jobs.ReplenisherMixture
		}
		return all
	})
	solutions := map[jobs.SolutionID]jobs.Solution{1: {ID: 1, Name: "B", Active: true}, 2: {ID: 2, Name: "A"}, 3: {ID: 3, Name: "C", Process: chemistry.C41, Active: true}}
	tank := rapid.Custom(func(t *rapid.T) jobs.LineTank {
		return jobs.LineTank{VolumeML: rapid.IntRange(1, jobs.MaxVolumeML).Draw(t, "mL"),
			Storage: rapid.SampledFrom(append(slices.Clone(chemistry.Storages), "")).Draw(t, "storage")}
	})
	rapid.Check(t, func(t *rapid.T) {
		stock := jobs.Stock{
			ID: 7, Version: version.Draw(t, "version"), Name: name.Draw(t, "name"), DX: rapid.SampledFrom([]string{"", "109-12"}).Draw(t, "dx"),
			Solution: jobs.SolutionID(rapid.Int64Range(0, 99).Draw(t, "developer")), Active: rapid.Bool().Draw(t, "active"),
			Film: chemistry.Film{
				Process: rapid.SampledFrom(chemistry.Processes).Draw(t, "process"), Kind: chemistry.BlackAndWhite, Remjet: chemistry.RemjetNone,
				Balance: chemistry.Panchromatic, ISODaylight: rapid.IntRange(0, 102400).Draw(t, "daylight"), ISOTungsten: rapid.IntRange(0, 102400).Draw(t, "tungsten"),
				MaxPush: chemistry.Stops(rapid.IntRange(0, 60).Draw(t, "push")), MaxPull: chemistry.Stops(rapid.IntRange(0, 60).Draw(t, "pull")),
				Unforgiving: rapid.Bool().Draw(t, "unforgiving"),
			},
			Times: rapid.SliceOfN(times, 0, 3).Draw(t, "times"),
		}
		back, err := server.StockThroughForm(stock)
		if diff := cmp.Diff(stock, back, cmpopts.EquateEmpty()); diff != "" || err != nil {
			t.Errorf("a stock: %v\n%s", err, diff)
		}

		solution := jobs.Solution{
			ID: 3, Version: version.Draw(t, "version"), Name: name.Draw(t, "name"), Process: rapid.SampledFrom(chemistry.Processes).Draw(t, "process"),
			Family: rapid.SampledFrom(chemistry.SolutionFamilies).Draw(t, "family"), Use: rapid.SampledFrom(chemistry.UseModes).Draw(t, "use"),
			TempC: hundredth(5, 50).Draw(t, "°C"), PerRollPercent: rapid.Float64Range(0, 50).Draw(t, "per roll"),
			CapacityM2PerL: rapid.Float64Range(0, 100).Draw(t, "capacity"), B: rapid.Float64Range(0, 0.3).Draw(t, "b"),
			PushFactor: rapid.Float64Range(1, 3).Draw(t, "push factor"), Active: rapid.Bool().Draw(t, "active"),
			MinimumMLPerRoll: rapid.Float64Range(0, 1e5).Draw(t, "minimum"),
			Replenisher:      chemistry.ReplenishRate{MLPerM2: rapid.Float64Range(0, 1e5).Draw(t, "rate"), PushFactor: rapid.Float64Range(0.5, 2).Draw(t, "for a stop")},
			Bromide: chemistry.BromideFigures{ReleasedMGPerRoll: rapid.Float64Range(0, 1000).Draw(t, "mg"),
				ReplenisherGPerL: rapid.Float64Range(0, 100).Draw(t, "added"), StartGPerL: rapid.Float64Range(0, 100).Draw(t, "at the start")},
			Keeping: keeping.Draw(t, "keeping"), Parts: parts.Draw(t, "parts"),
			CostPerL: rapid.Float64Range(0, 1e5).Draw(t, "cost"), ReplenisherCostPerL: hundredth(0, 100).Draw(t, "replenisher's cost"),
		}
		same, err := server.SolutionThroughForm(solution)
		if diff := cmp.Diff(solution, same, cmpopts.EquateEmpty()); diff != "" || err != nil {
			t.Errorf("a solution: %v\n%s", err, diff)
		}

		line := jobs.Line{ID: 5, Version: version.Draw(t, "version"), Name: name.Draw(t, "name"), Capacity: rapid.IntRange(1, 10000).Draw(t, "capacity"),
			Turnaround: rapid.IntRange(0, 86400).Draw(t, "turnaround"), Rotary: rapid.Bool().Draw(t, "rotary"), Active: rapid.Bool().Draw(t, "active"),
			Takes: rapid.MapOf(rapid.SampledFrom(chemistry.Formats), rapid.IntRange(1, 99)).Draw(t, "takes"),
			Tanks: rapid.MapOf(rapid.SampledFrom([]jobs.SolutionID{1, 2, 3}), tank).Draw(t, "tanks")}
		for _, process := range chemistry.Processes {
			if rapid.Bool().Draw(t, "runs") {
				line.Runs = append(line.Runs, jobs.LineProcess{Process: process, Variant: rapid.SampledFrom(chemistry.Variants(process)).Draw(t, "variant")})
			}
		}
		again, err := server.LineThroughForm(line, solutions)
		if diff := cmp.Diff(line, again, cmpopts.EquateEmpty()); diff != "" || err != nil {
			t.Errorf("a line: %v\n%s", err, diff)
		}
	})
}

// Whatever is typed as rows, what is read from it can be written and read
// again.
func FuzzRowsOfTimes(f *testing.F) {
	for _, seed := range [][2]string{
		{"20 = 7:30\n68F=7½", "1 = 10:30\n-1 = 6:15"}, {"20 °C = 450s\r\n\n24=6.5 min", "+1⅓ = 9m30s"},
		{"=", "= 5"}, {"20 == 5", "1=2=3"}, {"75F = 0:01", "−½ = 180:00"}, {"", ""},
	} {
		f.Add(seed[0], seed[1])
	}
	f.Fuzz(func(t *testing.T, rows, pushRows string) {
		times, err := server.ReadTimes(rows, pushRows)
		if err != nil {
			if jobs.CodeOf(err) != jobs.Invalid {
				t.Fatalf("%v is no input error", err)
			}
			return
		}
		for _, row := range times.Rows {
			if !(row.TempC >= chemistry.MinBathC && row.TempC <= chemistry.MaxBathC) || row.Seconds < 1 || row.Seconds > chemistry.MaxClockSeconds || math.IsNaN(row.TempC) {
				t.Fatalf("read %+v from %q", row, rows)
			}
		}
		again, err := server.ReadTimes(server.WriteTimes(times))
		if err != nil || !slices.Equal(times.Rows, again.Rows) || !slices.Equal(times.PushRows, again.PushRows) {
			t.Fatalf("%q, %q read as %+v, written and read again %+v, %v", rows, pushRows, times, again, err)
		}
	})
}

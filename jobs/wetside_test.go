package jobs

import (
	"fmt"
	"time"

	"wetside/chemistry"
)

// The keys of the lab that the tests of batches work in.
const (
	marl400 StockID = iota + 1
	marl125
	sedge160
	reedmaceWithRemjet
	reedmaceRemoved
	tealSlide
)

const (
	mqBorax SolutionID = iota + 1
	pqFineGrain
	bwFixer
	colourDeveloper
	colourBleach
)

const (
	drum LineID = iota + 1
	handTanks
	dipAndDunk
	blackDrum
)

// monday is a working day of the lab, an hour after it opens.
var monday = time.Date(2026, 3, 2, 9, 0, 0, 0, time.UTC)

// testLab is a small lab. Black-and-white times are those of an ISO 400
// conventional film in MQ borax (HARMAN sheet, July 2004, p. 3) and of an ISO
// 100 core-shell film in the same (HARMAN sheet, Sept 2002, p. 3).
func testLab() WetSide {
	minutes := func(m float64) int { return int(m * 60) }
	push := func(stops chemistry.Stops, m float64) chemistry.PushTime {
		return chemistry.PushTime{Push: stops * chemistry.Stop, Seconds: minutes(m)}
	}
	row := func(m float64) []chemistry.BWRow { return []chemistry.BWRow{{TempC: 20, Seconds: minutes(m)}} }
	c := Catalogue{
		Lab:       Lab{CombineBW: true, TolerancePercent: 5, OpensAt: 8, ClosesAt: 18, TimeZone: "UTC"},
		Stocks:    map[StockID]Stock{},
		Solutions: map[SolutionID]Solution{},
		Lines:     map[LineID]Line{},
	}
	for _, s := range []Stock{
		{ID: marl400, Name: "Marl 400", Film: chemistry.Film{Process: chemistry.BW, Remjet: chemistry.RemjetNone},
			Times: []StockTimes{{Solution: mqBorax, Rows: row(7.5), PushRows: []chemistry.PushTime{push(1, 10.5), push(2, 14)}}}},
		{ID: marl125, Name: "Marl 125", Film: chemistry.Film{Process: chemistry.BW, Remjet: chemistry.RemjetNone},
			Times: []StockTimes{
				{Solution: mqBorax, Rows: row(8.5), PushRows: []chemistry.PushTime{push(-1, 7), push(1, 10.5)}},
				{Solution: pqFineGrain, Rows: row(6.5)},
			}},
		{ID: sedge160, Name: "Sedge 160", Film: chemistry.Film{Process: chemistry.C41, Remjet: chemistry.RemjetNone}},
		{ID: reedmaceWithRemjet, Name: "Reedmace 320T", Film: chemistry.Film{Process: chemistry.ECN2, Remjet: chemistry.RemjetPresent}},
		{ID: reedmaceRemoved, Name: "Reedmace 320T, backing removed", Film: chemistry.Film{Process: chemistry.C41, Remjet: chemistry.RemjetRemoved}},
		{ID: tealSlide, Name: "Teal Slide 100", Film: chemistry.Film{Process: chemistry.E6, Remjet: chemistry.RemjetNone}},
	} {
		c.Stocks[s.ID] = s
	}
	for _, s := range []Solution{
		{ID: mqBorax, Name: "MQ borax", Process: chemistry.BW, Family: chemistry.BWDeveloper, Use: chemistry.Reused, TempC: 20, PerRollPercent: 10},
		{ID: pqFineGrain, Name: "PQ fine grain", Process: chemistry.BW, Family: chemistry.BWDeveloper, Use: chemistry.OneShot, TempC: 20},
		{ID: bwFixer, Name: "rapid fixer", Process: chemistry.BW, Family: chemistry.Fixer, Use: chemistry.Reused, TempC: 20},
		{ID: colourDeveloper, Name: "C-41 developer", Process: chemistry.C41, Family: chemistry.ColourDeveloper, Use: chemistry.Replenished, TempC: 37.8},
		{ID: colourBleach, Name: "C-41 bleach", Process: chemistry.C41, Family: chemistry.Bleach, Use: chemistry.Replenished, TempC: 38},
	} {
		s.Active = true
		c.Solutions[s.ID] = s
	}
	rolls := map[chemistry.Format]int{chemistry.Format135: 3, chemistry.Format120: 5, chemistry.Format220: 10}
	for _, l := range []Line{
		{ID: drum, Name: "Drum", Capacity: 15, Takes: rolls, Turnaround: 1500, Rotary: true,
			Runs: []LineProcess{{chemistry.C41, ""}, {chemistry.E6, ""}}},
		{ID: handTanks, Name: "Hand tanks", Capacity: 15, Takes: rolls, Turnaround: 1800, Runs: []LineProcess{{chemistry.BW, ""}}},
		{ID: dipAndDunk, Name: "Dip and dunk", Capacity: 30, Takes: rolls, Turnaround: 2400,
			Runs: []LineProcess{{chemistry.ECN2, ""}}},
		{ID: blackDrum, Name: "Black drum", Capacity: 9, Takes: map[chemistry.Format]int{chemistry.Format135: 3}, Turnaround: 1200, Rotary: true,
			Runs: []LineProcess{{chemistry.BW, ""}}},
	} {
		l.Active = true
		c.Lines[l.ID] = l
	}
	return WetSide{Catalogue: c}
}

// roll is a queued 135 roll of a stock, due on the day itself.
func (w WetSide) roll(id RollID, stock StockID, change ...func(*RollView)) RollView {
	film := w.Stocks[stock].Film
	roll := RollView{Roll: Roll{
		ID: id, Order: 1001, Position: int(id), TwinCheck: fmt.Sprint(100000 + id), Stock: stock, Process: film.Process,
		Remjet: film.Remjet, Format: chemistry.Format135, Exposures: 36, State: Queued, Version: 1,
		Due: monday.Add(8 * time.Hour),
	}, StockName: w.Stocks[stock].Name, CustomerName: "somebody"}
	if film.Process == chemistry.BW {
		roll.Solution = mqBorax
	}
	for _, c := range change {
		c(&roll)
	}
	return roll
}

func pushed(stops chemistry.Stops) func(*RollView) {
	return func(r *RollView) { r.Push = stops * chemistry.Stop }
}

func in(format chemistry.Format) func(*RollView) {
	return func(r *RollView) { r.Format = format }
}

func due(at time.Time) func(*RollView) {
	return func(r *RollView) { r.Due = at }
}

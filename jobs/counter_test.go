package jobs

import (
	"errors"
	"testing"

	"github.com/google/go-cmp/cmp"

	"wetside/chemistry"
)

// Stocks beside those of testLab.
const (
	reedmaceUnsorted StockID = iota + 101 // remjet unknown
	marlUntimed                           // no developing time
	greySedge                             // chromogenic
	marlRetired                           // no longer taken
)

// counter is the catalogue of testLab with everything that taking orders needs.
func counter() Catalogue {
	c := testLab().Catalogue
	c.Lab.ReadyHours = 72
	stops := func(n chemistry.Stops) chemistry.Stops { return n * chemistry.Stop }
	put := func(id StockID, name string, solution SolutionID, film chemistry.Film) {
		stock := c.Stocks[id]
		film.MaxPull = stops(1)
		stock.ID, stock.Name, stock.Solution, stock.Film, stock.Active = id, name, solution, film, id != marlRetired
		c.Stocks[id] = stock
	}
	grey := func(iso int) chemistry.Film {
		return chemistry.Film{Kind: chemistry.BlackAndWhite, Process: chemistry.BW, Remjet: chemistry.RemjetNone,
			Balance: chemistry.Panchromatic, ISODaylight: iso, ISOTungsten: iso, MaxPush: stops(3)}
	}
	colour := func(process chemistry.Process, kind chemistry.Kind, remjet chemistry.Remjet, daylight, tungsten int) chemistry.Film {
		film := chemistry.Film{Kind: kind, Process: process, Remjet: remjet, Balance: chemistry.Daylight,
			ISODaylight: daylight, ISOTungsten: tungsten, MaxPush: stops(2)}
		if tungsten > daylight {
			film.Balance = chemistry.Tungsten
		}
		return film
	}
	put(marl400, "Marl 400", mqBorax, grey(400))
	put(marl125, "Marl 125", mqBorax, grey(125))
	put(marlRetired, "Marl 50", mqBorax, grey(50))
	put(marlUntimed, "Marl 3200", 0, grey(3200))
	put(sedge160, "Sedge 160", 0, colour(chemistry.C41, chemistry.ColourNegative, chemistry.RemjetNone, 160, 0))
	put(greySedge, "Sedge Grey 400", 0, chemistry.Film{Kind: chemistry.Chromogenic, Process: chemistry.C41,
		Remjet: chemistry.RemjetNone, Balance: chemistry.Panchromatic, ISODaylight: 400, MaxPush: stops(2)})
	put(tealSlide, "Teal Slide 100", 0, colour(chemistry.E6, chemistry.Reversal, chemistry.RemjetNone, 100, 0))
	put(reedmaceWithRemjet, "Reedmace 320T", 0, colour(chemistry.ECN2, chemistry.ColourNegative, chemistry.RemjetPresent, 200, 320))
	put(reedmaceRemoved, "Reedmace 320T bare", 0, colour(chemistry.C41, chemistry.ColourNegative, chemistry.RemjetRemoved, 200, 320))
	put(reedmaceUnsorted, "Reedmace 320T unsorted", 0, colour(chemistry.C41, chemistry.ColourNegative, chemistry.RemjetUnknown, 200, 320))
	return c
}

// described is a roll of 135 as its owner describes it, box speed and normal
// unless changed.
func described(stock StockID, change ...func(*NewRoll)) NewRoll {
	roll := NewRoll{Stock: stock, Format: chemistry.Format135, Exposures: 36}
	for _, c := range change {
		c(&roll)
	}
	return roll
}

func asks(stops chemistry.Stops) func(*NewRoll) { return func(r *NewRoll) { r.Push = &stops } }
func rated(ei int) func(*NewRoll)               { return func(r *NewRoll) { r.EI = ei } }
func says(note string) func(*NewRoll)           { return func(r *NewRoll) { r.Note = note } }

// sent is an order to collect.
func sent(rolls ...NewRoll) NewOrder {
	return NewOrder{Name: "Wren Alder", Email: "wren@example.org", Return: Collect, Rolls: rolls}
}

// ordered is a roll of an order that was taken, with its keys.
func ordered(t *testing.T, c Catalogue, in NewRoll) Roll {
	t.Helper()
	order, err := Admit(sent(in), c, Workload{}, monday)
	if err != nil {
		t.Fatal(err)
	}
	roll := order.Rolls[0]
	roll.ID, roll.Order, roll.Version = 7, 1001, 1
	return roll
}

// wantFields fails the test unless an error names exactly these fields.
func wantFields(t *testing.T, err error, fields ...string) {
	t.Helper()
	var got []string
	var e *Error
	if errors.As(err, &e) {
		for _, f := range e.Fields {
			got = append(got, f.Field)
		}
	}
	if diff := cmp.Diff(fields, got); diff != "" || e == nil || e.Code != Invalid {
		t.Errorf("%v\nfields that are wrong:\n%s", err, diff)
	}
}

func wantCode(t *testing.T, err error, code Code) {
	t.Helper()
	if CodeOf(err) != code {
		t.Errorf("got %v, want an error of the kind %q", err, code)
	}
}

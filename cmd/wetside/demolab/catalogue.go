package demolab

import (
	"context"

	"wetside/chemistry"
	"wetside/jobs"
)

// The demo's solutions by name.
const (
	mqBorax     = "MQ borax, stock"
	pqFineGrain = "PQ fine grain, 1+4"
)

// invented marks the developing times of stocks that do not exist.
const invented = "Sallow Quay, invented for the demo"

// lines are the demo's machines: a rotary drum, hand tanks and a dip-and-dunk
// line.
var lines = []jobs.Line{
	{
		Name: "Rotary drum", Capacity: 15, Turnaround: 25 * 60, Rotary: true,
		Runs:  []jobs.LineProcess{{Process: chemistry.C41}, {Process: chemistry.E6}, {Process: chemistry.BW}},
		Takes: map[chemistry.Format]int{chemistry.Format135: 3, chemistry.Format120: 5, chemistry.Format220: 10, chemistry.Format4x5: 5},
	},
	{
		Name: "Hand tanks", Capacity: 8, Turnaround: 30 * 60,
		Runs:  []jobs.LineProcess{{Process: chemistry.BW}, {Process: chemistry.ECN2}},
		Takes: map[chemistry.Format]int{chemistry.Format135: 1, chemistry.Format120: 2, chemistry.Format220: 4, chemistry.Format4x5: 4},
	},
	{
		Name: "Dip-and-dunk", Capacity: 24, Turnaround: 40 * 60,
		Runs:  []jobs.LineProcess{{Process: chemistry.C41}},
		Takes: map[chemistry.Format]int{chemistry.Format135: 1, chemistry.Format120: 1, chemistry.Format220: 2},
	},
}

// film is a stock without its key, with its black-and-white times by solution.
type film struct {
	name  string
	dx    string
	film  chemistry.Film
	times map[string]times
}

// times are minutes and seconds by °C and by push at 20 °C, all in seconds.
type times struct {
	rows []chemistry.BWRow
	push map[chemistry.Stops]int
}

func bw(iso int, unforgiving bool) chemistry.Film {
	return chemistry.Film{
		Kind: chemistry.BlackAndWhite, Process: chemistry.BW, Remjet: chemistry.RemjetNone, Balance: chemistry.Panchromatic,
		ISODaylight: iso, MaxPush: 3 * chemistry.Stop, MaxPull: chemistry.Stop, Unforgiving: unforgiving,
	}
}

func colour(process chemistry.Process, kind chemistry.Kind, iso int, push chemistry.Stops) chemistry.Film {
	return chemistry.Film{
		Kind: kind, Process: process, Remjet: chemistry.RemjetNone, Balance: chemistry.Daylight,
		ISODaylight: iso, MaxPush: push, MaxPull: chemistry.Stop,
	}
}

func motionPicture(process chemistry.Process, remjet chemistry.Remjet) chemistry.Film {
	return chemistry.Film{
		Kind: chemistry.ColourNegative, Process: process, Remjet: remjet, Balance: chemistry.Tungsten,
		ISODaylight: 200, ISOTungsten: 320, MaxPush: chemistry.Stop, MaxPull: chemistry.Stop,
	}
}

// films are the demo's stocks, all invented; so are their DX numbers, at the
// end of the scale.
var films = []film{
	{name: "Marl 125", dx: "9984", film: bw(125, true), times: map[string]times{
		mqBorax:     {[]chemistry.BWRow{{TempC: 20, Seconds: 480}, {TempC: 24, Seconds: 345}}, map[chemistry.Stops]int{-chemistry.Stop: 390, chemistry.Stop: 615}},
		pqFineGrain: {[]chemistry.BWRow{{TempC: 20, Seconds: 420}}, nil},
	}},
	{name: "Marl 400", dx: "9985", film: bw(400, false), times: map[string]times{
		mqBorax: {
			[]chemistry.BWRow{{TempC: 20, Seconds: 510}, {TempC: 22, Seconds: 440}, {TempC: 24, Seconds: 380}},
			map[chemistry.Stops]int{-chemistry.Stop: 405, chemistry.Stop: 660, 2 * chemistry.Stop: 870},
		},
		pqFineGrain: {[]chemistry.BWRow{{TempC: 20, Seconds: 450}}, map[chemistry.Stops]int{chemistry.Stop: 585, 2 * chemistry.Stop: 765}},
	}},
	{name: "Sedge 160", dx: "9986", film: colour(chemistry.C41, chemistry.ColourNegative, 160, chemistry.Stop)},
	{name: "Sedge 640", dx: "9987", film: colour(chemistry.C41, chemistry.ColourNegative, 640, 2*chemistry.Stop)},
	{name: "Reedmace 320T, remjet on", film: motionPicture(chemistry.ECN2, chemistry.RemjetPresent)},
	{name: "Reedmace 320T, remjet removed", film: motionPicture(chemistry.C41, chemistry.RemjetRemoved)},
	{name: "Teal Slide 100", dx: "9988", film: colour(chemistry.E6, chemistry.Reversal, 100, 2*chemistry.Stop)},
}

// stockUp saves the catalogue and fills the tanks.
func (l *lab) stockUp(ctx context.Context) error {
	if err := l.nameLab(ctx); err != nil {
		return err
	}
	known := map[string]jobs.Solution{}
	for _, s := range solutions {
		s.Active = true
		saved, err := l.Catalogue.SaveSolution(ctx, jobs.Program, s)
		if err != nil {
			return err
		}
		known[s.Name] = saved
	}
	for _, f := range films {
		saved, err := l.Catalogue.SaveStock(ctx, jobs.Program, f.stock(known))
		if err != nil {
			return err
		}
		l.stocks[f.name] = saved
	}
	for _, line := range lines {
		line.Active, line.Tanks = true, tanks(line, known)
		saved, err := l.Catalogue.SaveLine(ctx, jobs.Program, line)
		if err != nil {
			return err
		}
		if err := l.fillTanks(ctx, saved, known); err != nil {
			return err
		}
	}
	return nil
}

func (l *lab) nameLab(ctx context.Context) error {
	catalogue, err := l.Catalogue.Catalogue(ctx)
	if err != nil {
		return err
	}
	about := catalogue.Lab
	about.Name, about.TimeZone, about.ReadyHours = "Sallow Quay Film Lab", "Europe/London", 72
	about.ReturnAddress = "Sallow Quay Film Lab, 3 Ropewalk Steps, Sallow Quay"
	if _, err = l.Catalogue.SaveLab(ctx, jobs.Program, about); err != nil {
		return err
	}
	// It is open on all weekdays, so that every day is one to try the demo on.
	first := about.Today(l.now).AddDate(0, 0, closedIn)
	_, err = l.Catalogue.AddClosure(ctx, jobs.Program, jobs.Closure{From: first, To: first.AddDate(0, 0, 1), Name: "Stocktaking"})
	return err
}

// closedIn is in how many days the demo lab takes stock.
const closedIn = 20

// stock is the film as the catalogue keeps it.
func (f film) stock(known map[string]jobs.Solution) jobs.Stock {
	stock := jobs.Stock{Name: f.name, Film: f.film, DX: f.dx, Active: true}
	if f.film.Process != chemistry.BW {
		return stock
	}
	stock.Solution = known[mqBorax].ID
	for _, name := range []string{mqBorax, pqFineGrain} {
		set := jobs.StockTimes{Solution: known[name].ID, Rows: f.times[name].rows, Source: invented}
		for _, push := range []chemistry.Stops{-chemistry.Stop, chemistry.Stop, 2 * chemistry.Stop} {
			if seconds, ok := f.times[name].push[push]; ok {
				set.PushRows = append(set.PushRows, chemistry.PushTime{
					Push: push, Seconds: seconds, Source: chemistry.Source{Standing: chemistry.LabsOwn, Text: invented},
				})
			}
		}
		stock.Times = append(stock.Times, set)
	}
	return stock
}

// fillTanks fills the tanks of a line.
func (l *lab) fillTanks(ctx context.Context, line jobs.Line, known map[string]jobs.Solution) error {
	for _, s := range solutions {
		tank, has := line.Tanks[known[s.Name].ID]
		if !has {
			continue
		}
		mix, err := l.mixFor(ctx, known[s.Name].ID, jobs.Working, tank.VolumeML)
		if err != nil {
			return err
		}
		if _, err := l.Fills.PourFill(ctx, l.staff, jobs.Pour{Solution: known[s.Name].ID, Line: line.ID, VolumeML: tank.VolumeML, Mix: mix}); err != nil {
			return err
		}
	}
	return nil
}

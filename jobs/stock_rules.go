package jobs

import (
	"errors"
	"fmt"
	"strings"

	"wetside/chemistry"
)

// kindsOf says which kinds of film a process develops.
var kindsOf = map[chemistry.Process][]chemistry.Kind{
	chemistry.C41:  {chemistry.ColourNegative, chemistry.Chromogenic},
	chemistry.E6:   {chemistry.Reversal},
	chemistry.ECN2: {chemistry.ColourNegative},
	chemistry.BW:   {chemistry.BlackAndWhite},
}

// remjets and balances list what a stock may say of itself.
var (
	remjets  = []chemistry.Remjet{chemistry.RemjetNone, chemistry.RemjetPresent, chemistry.RemjetRemoved, chemistry.RemjetUnknown}
	colours  = []chemistry.Balance{chemistry.Daylight, chemistry.Tungsten}
	greyOnly = []chemistry.Balance{chemistry.Panchromatic, chemistry.Orthochromatic}
)

// CheckStock checks a film stock and returns it as it is kept. A stock that
// carries remjet can only be saved for ECN-2: no other process may ever take
// it, so an entry that says otherwise could only lead to rolls that nobody can
// develop. Once the layer has been taken off it is a stock of its own, saved
// with remjet removed.
func CheckStock(s Stock, c Catalogue) (Stock, error) {
	var wrong fieldErrors
	s.Name = strings.TrimSpace(s.Name)
	wrong.name("name", s.Name)
	wrong.film(s.Film)
	if s.DX = strings.TrimSpace(s.DX); s.DX != "" {
		if number, err := chemistry.ParseDXNumber(s.DX); err != nil {
			wrong.add("dx", "%v", err)
		} else {
			s.DX = number.String()
		}
	}
	if s.Film.Process != chemistry.BW {
		if s.Solution != 0 {
			wrong.add("solution", "only black-and-white film has a developer of its own")
		}
		if len(s.Times) > 0 {
			wrong.add("times", "only black-and-white film has times of its own; colour film has those of its process")
		}
		return s, wrong.err("this stock cannot be saved")
	}
	if s.Solution != 0 {
		wrong.developer("solution", s.Solution, c)
	}
	seen := map[SolutionID]bool{}
	for i, times := range s.Times {
		field := fmt.Sprintf("times[%d]", i)
		if seen[times.Solution] {
			wrong.add(field+".solution", "there are two sets of times for one solution")
		}
		seen[times.Solution] = true
		wrong.stockTimes(field, s, times, c)
	}
	return s, wrong.err("this stock cannot be saved")
}

func (f *fieldErrors) film(film chemistry.Film) {
	f.oneOf("process", string(film.Process), names(chemistry.Processes))
	if kinds := kindsOf[film.Process]; kinds != nil {
		f.oneOf("kind", string(film.Kind), names(kinds))
	}
	f.oneOf("remjet", string(film.Remjet), names(remjets))
	if film.Remjet == chemistry.RemjetPresent && film.Process != chemistry.ECN2 {
		f.add("remjet", "film with remjet fouls the tank of any process but ECN-2: save it for ECN-2, or with remjet removed if it has been taken off")
	}
	balances := colours
	if film.Kind == chemistry.BlackAndWhite || film.Kind == chemistry.Chromogenic {
		balances = greyOnly
	}
	f.oneOf("balance", string(film.Balance), names(balances))
	f.within("iso_daylight", float64(film.ISODaylight), 0, chemistry.MaxSpeed)
	f.within("iso_tungsten", float64(film.ISOTungsten), 0, chemistry.MaxSpeed)
	if film.ISODaylight == 0 && film.ISOTungsten == 0 {
		f.add("iso_daylight", "the box speed is missing: it is needed for one light at least")
	}
	if film.MaxPush < 0 || film.MaxPush > chemistry.MaxStops {
		f.add("max_push", "%s is outside what is allowed, 0 to %s", film.MaxPush, chemistry.MaxStops)
	}
	if film.MaxPull < 0 || film.MaxPull > chemistry.MaxStops {
		f.add("max_pull", "%s is outside what is allowed, 0 to %s stops, without a sign", film.MaxPull, chemistry.MaxStops)
	}
}

// developer checks that a solution can develop black-and-white film.
func (f *fieldErrors) developer(field string, id SolutionID, c Catalogue) {
	solution, ok := c.Solutions[id]
	switch {
	case !ok:
		f.add(field, "there is no such solution")
	case solution.Process != chemistry.BW || solution.Family != chemistry.BWDeveloper:
		f.add(field, "%s is not a black-and-white developer", solution.Name)
	}
}

// stockTimes checks the times of a stock in one solution by working one out.
func (f *fieldErrors) stockTimes(field string, s Stock, times StockTimes, c Catalogue) {
	before := len(*f)
	f.developer(field+".solution", times.Solution, c)
	f.line(field+".source", times.Source, maxSource)
	if len(*f) > before {
		return
	}
	only := s
	only.Times = []StockTimes{times}
	roll := Roll{Stock: s.ID, Process: chemistry.BW, Solution: times.Solution}
	if _, err := c.withStock(only).UsualTime(roll); err != nil {
		f.add(field, "%v", errors.Unwrap(err))
	}
}

package jobs

import (
	"errors"
	"fmt"
	"strings"

	"wetside/chemistry"
)

// Understanding is what the lab reads in a roll before it is ordered, for the
// customer to see at once.
type Understanding struct {
	Request chemistry.Request // speed, stops rated, asked and left, advice
	Reading string            // in words
	Confirm bool              // somebody will ask before it is developed
	// Develop is the developing time in seconds for the push, fresh and by
	// hand; 0 where none is known.
	Develop int
	Roll    Roll // as it would be taken in, without number or due time
}

// ReadRoll tells what the lab reads in a roll. Invalid names the fields that
// are wrong, as "ei"; what could be read is returned all the same.
func ReadRoll(roll NewRoll, c Catalogue) (Understanding, error) {
	read, faults := readRoll(roll, c)
	read.Roll = read.roll
	return read.Understanding, faults.err("this roll cannot be taken as it is")
}

// readingOf is an understanding with the roll that it leads to.
type readingOf struct {
	Understanding
	roll Roll
}

// maxRated is the most stops, either way, that anybody rates a film away from
// its speed on purpose.
const maxRated = 6 * chemistry.Stop

// readRoll reads a roll and gathers what is wrong with it.
func readRoll(in NewRoll, c Catalogue) (read readingOf, wrong fieldErrors) {
	stock, ok := c.Stocks[in.Stock]
	if !ok || !stock.Active {
		wrong.add("stock", "the lab does not take this film stock; choose one from the list")
	}
	roll := Roll{
		Stock: in.Stock, Process: stock.Film.Process, Remjet: stock.Film.Remjet, Solution: stock.Solution,
		Format: in.Format, Exposures: in.Exposures, Note: strings.TrimSpace(in.Note), Service: in.Service,
	}
	wrong.format("format", "exposures", in.Format, in.Exposures)
	wrong.lighting(&roll, in)
	wrong.paragraph("note", roll.Note, MaxNote)
	if len(wrong) > 0 {
		return readingOf{roll: roll}, wrong
	}
	if in.Solution != 0 {
		roll.Solution = wrong.chosenDeveloper("solution", in.Solution, stock, c)
	}
	asked := wrong.asked(&roll, in, stock)
	if len(wrong) > 0 {
		return readingOf{roll: roll}, wrong
	}
	read.roll = roll
	read.Request = c.request(roll)
	wrong.possible(&read, asked, stock, c)
	read.roll.Confirm = asked.doubtful || asked.unclear(read.Request)
	read.roll.Reading = strings.TrimSpace(c.readAs(read.roll) + ". " + asked.because)
	read.Reading, read.Confirm = read.roll.Reading, read.roll.Confirm
	return read, wrong
}

// lighting checks light and filter and keeps them as they are known.
func (f *fieldErrors) lighting(roll *Roll, in NewRoll) {
	var err error
	if roll.Light, err = chemistry.ParseLight(string(in.Light)); err != nil {
		f.add("light", "%v", err)
	}
	if strings.TrimSpace(in.Filter) == "" {
		return
	}
	if roll.Filter, err = chemistry.ParseFilter(in.Filter); err != nil {
		f.add("filter", "%v", err)
	}
}

// chosenDeveloper checks a developer that somebody chose for a stock.
func (f *fieldErrors) chosenDeveloper(field string, id SolutionID, stock Stock, c Catalogue) SolutionID {
	if stock.Film.Process != chemistry.BW {
		f.add(field, "the developer is only chosen for black-and-white film; %s goes through %s", stock.Name, stock.Film.Process)
		return 0
	}
	before := len(*f)
	f.developer(field, id, c)
	if len(*f) > before {
		return 0
	}
	if !c.Solutions[id].Active {
		f.add(field, "%s is not in use at present", c.Solutions[id].Name)
	} else if !stock.uses(id) {
		f.add(field, "there is no developing time for %s in %s", stock.Name, c.Solutions[id].Name)
	}
	return id
}

// ei checks how a film was rated and returns it, the box speed where nothing
// was said.
func (f *fieldErrors) ei(field string, ei int, light chemistry.Light, film chemistry.Film) int {
	iso, err := film.SpeedIn(light)
	if err != nil {
		return ei // the stock is wrong, which was said already
	}
	if ei == 0 {
		return iso
	}
	rated, err := chemistry.SpeedStops(iso, ei)
	switch {
	case err != nil:
		f.add(field, "%v", err)
	case rated > maxRated || rated < -maxRated:
		f.add(field, "EI %d on film of ISO %d is %s stops away; that is no rating, at most %d stops are", ei, iso, rated, maxRated/chemistry.Stop)
	}
	return ei
}

// push checks that an amount is one that can be written down.
func (f *fieldErrors) push(field string, push chemistry.Stops) {
	if push > chemistry.MaxStops || push < -chemistry.MaxStops {
		f.add(field, "a push of %s is outside what is allowed, %s to %s", push, -chemistry.MaxStops, chemistry.MaxStops)
	}
}

// possible refuses a push that the process or the stock cannot take, and works
// out the developing time of any other. A push that the note may or may not ask
// for is not refused: a person reads it first.
func (f *fieldErrors) possible(read *readingOf, asked asking, stock Stock, c Catalogue) {
	field := "push"
	if asked.inNote {
		field = "note"
	}
	push := read.roll.Push
	development, err := c.UsualTime(read.roll)
	switch {
	case asked.inNote && asked.doubtful:
	case push > stock.Film.MaxPush || push < -stock.Film.MaxPull:
		f.add(field, "%s cannot be pushed by %s: this stock takes %s to %s", stock.Name, push, -stock.Film.MaxPull, stock.Film.MaxPush)
	case errors.Is(err, chemistry.ErrPush):
		f.add(field, "%s: %v", stock.Name, errors.Unwrap(err))
	}
	read.Develop = development.Seconds
}

// request is what exposure and push of a roll mean together.
func (c Catalogue) request(roll Roll) chemistry.Request {
	exposure := chemistry.Exposure{Light: roll.Light, EI: roll.EI, Push: roll.Push, Filter: roll.Filter}
	request, err := chemistry.ReadExposure(c.Stocks[roll.Stock].Film, exposure, c.adviceLimits())
	if err != nil {
		// Every part of it was checked before.
		panic(fmt.Sprintf("roll %s: %v", roll.Label(), err))
	}
	return request
}

// adviceLimits are the usual ones with the pushes that the lab has times for.
// Black and white has none: there it depends on the stock and the developer.
func (c Catalogue) adviceLimits() chemistry.AdviceLimits {
	limits := chemistry.DefaultAdviceLimits()
	delete(limits.Push, chemistry.BW)
	for process := range limits.Push {
		low, high := chemistry.PushRange(process, WetSide{Catalogue: c}.testedTimes(process))
		limits.Push[process] = chemistry.PushLimits{Min: low, Max: high}
	}
	return limits
}

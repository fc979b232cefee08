package chemistry

import "fmt"

// Severity says how much a piece of advice weighs.
type Severity string

// The severities.
const (
	Note   Severity = "note"   // worth knowing, nothing to do
	Warn   Severity = "warn"   // the picture may suffer; tell the customer
	Refuse Severity = "refuse" // cannot be done as asked
)

// Advice is one thing to tell about a request. Code is stable, for programs;
// Text is a sentence for people.
type Advice struct {
	Code     string
	Severity Severity
	Text     string
}

// The codes of advice.
const (
	AdviceLeftUnder     = "left-under"
	AdviceLeftOver      = "left-over"
	AdviceUnforgiving   = "unforgiving"
	AdviceBeyondStock   = "beyond-stock"
	AdviceBeyondProcess = "beyond-process"
	AdviceLittleSpeed   = "little-speed"
	AdviceChromogenic   = "chromogenic"
	AdviceHalation      = "halation"
	AdviceBalance       = "balance"
	AdviceMixedLight    = "mixed-light"
	AdviceSpeedAssumed  = "speed-assumed"
)

// Latitude is how much misexposure, left over after the push, is worth no more
// than a note; both are positive amounts.
type Latitude struct{ Under, Over Stops }

// PushLimits is the range of pushes that a process can be given.
type PushLimits struct{ Min, Max Stops }

// AdviceLimits is what the lab thinks worth a word. All of it can be edited.
type AdviceLimits struct {
	Latitude    map[Kind]Latitude
	Unforgiving Latitude // for stocks that overexposure punishes
	Push        map[Process]PushLimits
	Mired       Mired // a smaller mismatch of light and film is not worth a note
}

// DefaultAdviceLimits returns the limits of common practice: colour negative
// takes two stops of overexposure well and underexposure badly, reversal takes
// neither. A third of a stop is within what shutters and meters do. The pushes
// are those for which [PushRange] knows a time.
func DefaultAdviceLimits() AdviceLimits {
	const third = Stop / 3
	limits := AdviceLimits{
		Latitude: map[Kind]Latitude{
			ColourNegative: {Under: third, Over: 2 * Stop},
			Chromogenic:    {Under: third, Over: 2 * Stop},
			Reversal:       {Under: third, Over: third},
			BlackAndWhite:  {Under: third, Over: 2 * Stop},
		},
		Unforgiving: Latitude{Under: third, Over: third},
		Push:        map[Process]PushLimits{},
		Mired:       10,
	}
	for _, process := range Processes {
		low, high := PushRange(process, nil)
		limits.Push[process] = PushLimits{low, high}
	}
	return limits
}

// adviser gathers advice on one request.
type adviser struct{ advice []Advice }

func (a *adviser) add(code string, severity Severity, format string, args ...any) {
	a.advice = append(a.advice, Advice{code, severity, fmt.Sprintf(format, args...)})
}

// adviceOn collects everything worth saying, what matters most first.
func adviceOn(film Film, exposure Exposure, request Request, limits AdviceLimits) []Advice {
	var a adviser
	a.onPush(film, request, limits)
	a.onLeft(film, request, limits)
	a.onLight(film, exposure, request, limits)
	if film.Remjet == RemjetRemoved {
		a.add(AdviceHalation, Note, "the remjet of this film was removed before it was sold: bright points will glow; "+
			"that is how the film is, not a fault of the lab")
	}
	return a.advice
}

// onPush advises on the push itself.
func (a *adviser) onPush(film Film, request Request, limits AdviceLimits) {
	push := request.Asked
	if allowed, ok := limits.Push[film.Process]; ok && (push < allowed.Min || push > allowed.Max) {
		a.add(AdviceBeyondProcess, Refuse, "no time is known for %s in %s: %s can be done", push, film.Process, pushSpan(allowed.Min, allowed.Max))
	}
	if push > film.MaxPush {
		a.add(AdviceBeyondStock, Warn, "a push of %s is more than this stock takes: %s", push, film.MaxPush)
	}
	if push < -film.MaxPull {
		a.add(AdviceBeyondStock, Warn, "a pull of %s is more than this stock takes: %s", push, -film.MaxPull)
	}
	switch {
	case push > 0 && film.Kind == Chromogenic:
		a.add(AdviceChromogenic, Warn, "this black-and-white film is developed as colour negative: a push gives it no practical speed")
	case push > 0 && film.Process == C41:
		a.add(AdviceLittleSpeed, Note, "a push lifts contrast and grain and gives only about half a stop of real shadow speed")
	}
}

// onLeft advises on what the push does not make good.
func (a *adviser) onLeft(film Film, request Request, limits AdviceLimits) {
	latitude, code := limits.Latitude[film.Kind], AdviceLeftOver
	if film.Unforgiving {
		latitude, code = limits.Unforgiving, AdviceUnforgiving
	}
	left := request.Left
	switch {
	case left > latitude.Under:
		a.add(AdviceLeftUnder, Warn, "left underexposed by %s: %s", stopsPlain(left), underexposed[film.Kind])
	case left > 0:
		a.add(AdviceLeftUnder, Note, "left underexposed by %s, little enough to pass", stopsPlain(left))
	case -left > latitude.Over && film.Unforgiving:
		a.add(code, Warn, "left overexposed by %s, and this stock is unforgiving of overexposure", stopsPlain(-left))
	case -left > latitude.Over:
		a.add(code, Warn, "left overexposed by %s: %s", stopsPlain(-left), overexposed[film.Kind])
	case left < 0:
		a.add(AdviceLeftOver, Note, "left overexposed by %s, which this film takes well", stopsPlain(-left))
	}
}

// What misexposure does, by kind of film (common practice).
var (
	underexposed = map[Kind]string{
		ColourNegative: "expect weak shadows and coarse grain",
		Chromogenic:    "expect weak shadows and coarse grain",
		Reversal:       "the slides will be dark",
		BlackAndWhite:  "expect empty shadows",
	}
	overexposed = map[Kind]string{
		ColourNegative: "expect dense negatives and flat highlights",
		Chromogenic:    "expect dense negatives and flat highlights",
		Reversal:       "the highlights will be washed out",
		BlackAndWhite:  "expect dense negatives and blocked highlights",
	}
)

// onLight advises on speed and colour in the light that was used.
func (a *adviser) onLight(film Film, exposure Exposure, request Request, limits AdviceLimits) {
	unsure := exposure.Light == LightMixed || exposure.Light == LightUnknown
	if unsure && film.ISODaylight != 0 && film.ISOTungsten != 0 && film.ISODaylight != film.ISOTungsten {
		a.add(AdviceSpeedAssumed, Note, "this stock is ISO %d in daylight and ISO %d in tungsten light; ISO %d was assumed",
			film.ISODaylight, film.ISOTungsten, request.ISO)
	}
	if exposure.Light == LightMixed && (film.Balance == Daylight || film.Balance == Tungsten) {
		a.add(AdviceMixedLight, Note, "mixed light: no one correction will suit the whole picture")
	}
	shift, known := ColourMismatch(film.Balance, exposure.Light, exposure.Filter)
	if !known || shift <= limits.Mired && shift >= -limits.Mired {
		return
	}
	severity := Note
	if film.Kind == Reversal {
		severity = Warn // the slide itself carries the cast; only a scan can be mended
	}
	a.add(AdviceBalance, severity, "%s", scanNote(shift))
}

// stopsPlain writes an amount without its sign, with its unit.
func stopsPlain(stops Stops) string {
	text := stops.String()[1:]
	if stops > Stop {
		return text + " stops"
	}
	if stops == Stop {
		return text + " stop"
	}
	return text + " of a stop"
}

// pushSpan writes a range of pushes.
func pushSpan(low, high Stops) string { return low.String() + " to " + high.String() }

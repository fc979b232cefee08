package chemistry

import (
	"errors"
	"fmt"
	"math"
	"strconv"
)

// Film is a stock as chemistry sees it. A speed of 0 means that the stock is
// not rated for that light; at least one is set. MaxPush and MaxPull are what
// the stock takes, both as positive amounts.
type Film struct {
	Kind                     Kind
	Process                  Process
	Remjet                   Remjet
	Balance                  Balance
	ISODaylight, ISOTungsten int
	MaxPush, MaxPull         Stops
	Unforgiving              bool // punished by overexposure
}

// Exposure is how the customer used the roll. EI 0 means that nothing was said,
// so box speed. Filter "" means none; otherwise it is a key of [Filters].
type Exposure struct {
	Light  Light
	EI     int
	Push   Stops
	Filter string
}

// Request is what a roll's exposure and push mean together. Left is Rated less
// Asked: above 0 the film is left underexposed, below 0 left overexposed.
type Request struct {
	ISO, EI            int
	Rated, Asked, Left Stops
	Advice             []Advice
}

// ErrSpeed is wrapped by errors about numbers that are no film speed.
var ErrSpeed = errors.New("not a film speed")

// MinSpeed and MaxSpeed bound film speeds, ISO and EI.
const (
	MinSpeed = 1
	MaxSpeed = 102400
)

// SpeedStops returns by how many stops a film was rated away from its speed:
// +1 for ISO 400 used at EI 800. Nominal speeds are steps of the degree scale
// (10·log10 S + 1, rounded; ISO 5800), a third of a stop each, so the answer is
// exact in thirds; any other speed is taken as the nominal speed nearest to it.
func SpeedStops(iso, ei int) (Stops, error) {
	if err := checkSpeed("ISO", iso); err != nil {
		return 0, err
	}
	if err := checkSpeed("EI", ei); err != nil {
		return 0, err
	}
	return Stops(speedDegrees(ei)-speedDegrees(iso)) * Stop / 3, nil
}

func checkSpeed(scale string, speed int) error {
	if speed < MinSpeed || speed > MaxSpeed {
		return &RangeError{ErrSpeed, scale + " " + strconv.Itoa(speed), fmt.Sprintf("%d to %d", MinSpeed, MaxSpeed)}
	}
	return nil
}

// speedDegrees is the speed on the logarithmic scale, as in 100/21°.
func speedDegrees(speed int) int {
	return int(math.Round(10*math.Log10(float64(speed)) + 1))
}

// SpeedIn returns the speed that the stock has in a light. Where the light is
// mixed or unknown, or the stock is not rated for it, it is the speed for the
// light the stock is balanced for, or the only one it has.
func (f Film) SpeedIn(light Light) (int, error) {
	first, second := f.ISODaylight, f.ISOTungsten
	if light == LightTungsten || light != LightDaylight && f.Balance == Tungsten {
		first, second = second, first
	}
	if first == 0 {
		first = second
	}
	return first, checkSpeed("ISO", first)
}

// ReadExposure works out what a roll's exposure and push mean and advises on
// them. Limits are what the lab thinks worth a word; see [DefaultAdviceLimits].
func ReadExposure(film Film, exposure Exposure, limits AdviceLimits) (Request, error) {
	light, err := ParseLight(string(exposure.Light))
	if err != nil {
		return Request{}, err
	}
	exposure.Light = light
	iso, err := film.SpeedIn(light)
	if err != nil {
		return Request{}, err
	}
	if exposure.Filter != "" {
		if exposure.Filter, err = ParseFilter(exposure.Filter); err != nil {
			return Request{}, err
		}
	}
	if exposure.Push > MaxStops || exposure.Push < -MaxStops {
		return Request{}, &RangeError{ErrStops, exposure.Push.String(), "−10 to +10"}
	}
	request := Request{ISO: iso, EI: exposure.EI, Asked: exposure.Push}
	if request.EI == 0 {
		request.EI = iso
	}
	if request.Rated, err = SpeedStops(iso, request.EI); err != nil {
		return Request{}, err
	}
	request.Left = request.Rated - request.Asked
	request.Advice = adviceOn(film, exposure, request, limits)
	return request, nil
}

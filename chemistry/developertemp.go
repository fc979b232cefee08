package chemistry

import (
	"fmt"
	"math"
)

// developerAim is the temperature of the developer that decides, in °C.
type developerAim struct{ temp, tolerance float64 }

// developerAims of the colour processes (Kodak Z-131 table 2-1; US Army SS0514
// and, for its tolerance, memory; Kodak H-24 module 7).
var developerAims = map[Process]developerAim{
	C41:  {37.8, 0.15},
	E6:   {38.0, 0.3},
	ECN2: {41.1, 0.1},
}

// OutOfTolerance is a colour developer that is not at its temperature. There is
// no corrected time for it: no published slope supports one.
type OutOfTolerance struct {
	Process               Process
	MeasuredC, AimC, TolC float64
}

// Error says what to do.
func (e *OutOfTolerance) Error() string {
	direction := "warm"
	if e.MeasuredC > e.AimC {
		direction = "cool"
	}
	return fmt.Sprintf("the %s developer is at %s °C, allowed are %s ± %s °C: %s it, measure again, and start no film before; "+
		"a colour time is never corrected for temperature",
		e.Process, plainNumber(math.Round(e.MeasuredC*100)/100), plainNumber(e.AimC), plainNumber(e.TolC), direction)
}

// DeveloperTemp returns the temperature of a process's developer and its
// tolerance in °C. For black and white that is the usual 20 °C; there is no
// tolerance, because the time is fitted to the temperature.
func DeveloperTemp(process Process) (celsius, tolerance float64, err error) {
	if process == BW {
		return bwUsualC, 0, nil
	}
	aim, ok := developerAims[process]
	if !ok {
		return 0, 0, fmt.Errorf("%w: %q", ErrProcess, string(process))
	}
	return aim.temp, aim.tolerance, nil
}

// CheckDeveloperTemp refuses a measured developer temperature, in °C, at which
// customers' film must not start: [OutOfTolerance] for a colour process, an
// impossible temperature for any.
func CheckDeveloperTemp(process Process, measuredC float64) error {
	if err := CheckTemperature(measuredC); err != nil {
		return err
	}
	aim, tolerance, err := DeveloperTemp(process)
	if err != nil || process == BW {
		return err
	}
	const slack = 1e-9 // 37.95 − 37.8 is a hair over 0.15 in binary
	if math.Abs(measuredC-aim) > tolerance+slack {
		return &OutOfTolerance{process, measuredC, aim, tolerance}
	}
	return nil
}

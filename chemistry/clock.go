package chemistry

import (
	"errors"
	"fmt"
	"math"
	"strings"
)

// ErrClock is wrapped by errors about text that is no time in the dark.
var ErrClock = errors.New("not a time")

// MaxClockSeconds is the longest time a step can take: three hours, enough for
// any stand development. A bare 450 is refused by it instead of being taken
// for minutes.
const MaxClockSeconds = 3 * 60 * 60

const clockForms = "write it like 7:30, 7.5, 7½ (minutes) or 450s; from 1 s to 180:00"

// ParseClock reads a time as people type it and returns whole seconds: "7:30",
// "7.5" and "7½" minutes, "7 min", "450s", "7m30s". A bare number is minutes.
func ParseClock(text string) (int, error) {
	seconds, ok := clockValue(strings.ToLower(strings.TrimSpace(text)))
	whole := math.Round(seconds)
	if !ok || whole < 1 || whole > MaxClockSeconds {
		return 0, fmt.Errorf("%w: %q, %s", ErrClock, text, clockForms)
	}
	return int(whole), nil
}

// clockUnits shortens the units to m and s, the longest spelling first.
var clockUnits = strings.NewReplacer("minutes", "m", "minute", "m", "mins", "m", "min", "m", "′", "m", "'", "m",
	"seconds", "s", "second", "s", "secs", "s", "sec", "s", "″", "s", "\"", "s")

// clockValue reads the forms of [ParseClock] in seconds.
func clockValue(text string) (float64, bool) {
	if minutes, seconds, ok := strings.Cut(text, ":"); ok {
		return clockPair(minutes, seconds, true)
	}
	text, isSeconds := cutUnit(clockUnits.Replace(text), "s")
	minutes, seconds, isMinutes := strings.Cut(text, "m")
	minutes, seconds = strings.TrimSpace(minutes), strings.TrimSpace(seconds)
	switch {
	case seconds != "":
		return clockPair(minutes, seconds, false)
	case isSeconds && isMinutes:
		return 0, false
	}
	value, ok := mixedNumber(minutes)
	if !isSeconds {
		value *= 60
	}
	return value, ok
}

// clockPair reads minutes and seconds apart; a colon wants two digits of
// seconds, because 7:5 could be 7:05 or 7:50.
func clockPair(minutes, seconds string, colon bool) (float64, bool) {
	if colon && len(seconds) != 2 {
		return 0, false
	}
	m, ok1 := digits(minutes, 3)
	s, ok2 := digits(seconds, 2)
	return float64(m*60 + s), ok1 && ok2 && s < 60
}

// FormatClock writes seconds as minutes and seconds, as in "3:45"; minutes go
// on past the hour, as a darkroom clock shows them.
func FormatClock(seconds int) string {
	sign := ""
	if seconds < 0 {
		sign, seconds = "−", -seconds
	}
	return fmt.Sprintf("%s%d:%02d", sign, seconds/60, seconds%60)
}

package chemistry

import (
	"errors"
	"fmt"
	"math"
	"strconv"
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

// clockValue reads the forms of [ParseClock] in seconds.
func clockValue(text string) (float64, bool) {
	if minutes, seconds, ok := strings.Cut(text, ":"); ok {
		return clockPair(minutes, seconds, true)
	}
	text, isSeconds := cutUnit(text, "seconds", "second", "secs", "sec", "s", "″", "\"")
	for _, unit := range []string{"minutes", "minute", "mins", "min", "m", "′", "'"} {
		minutes, seconds, ok := strings.Cut(text, unit)
		if !ok {
			continue
		}
		if seconds = strings.TrimSpace(seconds); seconds != "" {
			return clockPair(strings.TrimSpace(minutes), seconds, false)
		}
		value, ok := mixedNumber(strings.TrimSpace(minutes))
		return value * 60, ok && !isSeconds && minutes != ""
	}
	value, ok := mixedNumber(text)
	if isSeconds {
		return value, ok && text != ""
	}
	return value * 60, ok && text != ""
}

// clockPair reads minutes and seconds apart; a colon wants two digits of
// seconds, because 7:5 could be 7:05 or 7:50.
func clockPair(minutes, seconds string, colon bool) (float64, bool) {
	if len(seconds) > 2 || colon && len(seconds) != 2 {
		return 0, false
	}
	m, err1 := strconv.ParseUint(minutes, 10, 16)
	s, err2 := strconv.ParseUint(seconds, 10, 16)
	return float64(m)*60 + float64(s), err1 == nil && err2 == nil && s < 60
}

// cutUnit cuts the first of the units that the text ends with.
func cutUnit(text string, units ...string) (string, bool) {
	for _, unit := range units {
		if number, ok := strings.CutSuffix(text, unit); ok {
			return strings.TrimSpace(number), true
		}
	}
	return text, false
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

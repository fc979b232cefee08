package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"
	"time"

	"wetside/chemistry"
)

// fieldReader turns fields into values and keeps the first fault it meets.
type fieldReader struct{ fault error }

func (r *fieldReader) fail(format string, args ...any) {
	if r.fault == nil {
		r.fault = fmt.Errorf(format, args...)
	}
}

// number returns a number within low to high, or 0 where it was left out.
func (r *fieldReader) number(field string, value *float64, low, high float64) float64 {
	if value == nil {
		return 0
	}
	if *value < low || *value > high {
		r.fail("%s is %v, allowed are %s to %s", field, *value, decimalText(low), decimalText(high))
	}
	return *value
}

func decimalText(value float64) string { return strconv.FormatFloat(value, 'f', -1, 64) }

// needed is number for a field that must be given.
func (r *fieldReader) needed(field string, value *float64, low, high float64) float64 {
	if value == nil {
		r.fail("%s is missing, allowed are %s to %s", field, decimalText(low), decimalText(high))
	}
	return r.number(field, value, low, high)
}

// time reads an RFC 3339 time; an empty text is the zero time where it may be
// left out.
func (r *fieldReader) time(field, text string, optional bool) time.Time {
	if text == "" && optional {
		return time.Time{}
	}
	value, err := time.Parse(time.RFC3339, text)
	if err != nil || value.Year() < 1900 {
		r.fail("%s is %q, a time like 2026-03-02T08:00:00Z is wanted, of 1900 or later", field, text)
	}
	return value
}

// oneOf finds the named value that a text means, in any case, with hyphens or
// spaces or without.
func oneOf[T ~string](r *fieldReader, field, text string, allowed []T) T {
	names := make([]string, len(allowed))
	for i, name := range allowed {
		if bare(text) == bare(string(name)) {
			return name
		}
		names[i] = string(name)
	}
	r.fail("%s is %q, allowed are %s", field, text, strings.Join(names, ", "))
	return ""
}

func bare(text string) string {
	return strings.ToLower(strings.NewReplacer("-", "", " ", "").Replace(text))
}

// stops reads a push; left out, it is none.
func (r *fieldReader) stops(field string, value *float64) chemistry.Stops {
	if value == nil {
		return 0
	}
	stops, err := chemistry.StopsOf(*value)
	if err != nil {
		r.fail("%s: %w", field, err)
	}
	return stops
}

// choice is one way among several to give a quantity.
type choice struct {
	name      string
	value     *float64
	low, high float64
	toOurs    func(float64) float64
}

// exactlyOne reads a quantity that may be given in one of several units.
func (r *fieldReader) exactlyOne(field string, choices []choice) float64 {
	var given []choice
	var names []string
	for _, c := range choices {
		names = append(names, c.name)
		if c.value != nil {
			given = append(given, c)
		}
	}
	if len(given) != 1 {
		r.fail("%s has %d of its units, exactly one is allowed of %s", field, len(given), strings.Join(names, ", "))
		return 0
	}
	c := given[0]
	return c.toOurs(r.number(field+"."+c.name, c.value, c.low, c.high))
}

// maxRolls bounds every count of rolls.
const maxRolls = 1e5

// film reads an area from rolls or area_m2. It tells whether either was there.
func (r *fieldReader) film(field string, in filmJSON) (areaM2 float64, found bool) {
	switch {
	case given(in.Rolls) && in.AreaM2 != nil:
		r.fail("%s has rolls and area_m2, only one of them is allowed", field)
	case in.AreaM2 != nil:
		return r.number(field+".area_m2", in.AreaM2, 0, 1e4), true
	case given(in.Rolls):
		return r.rolls(field+".rolls", in.Rolls), true
	}
	return 0, false
}

// given tells whether a raw field was there and was not null.
func given(raw json.RawMessage) bool { return raw != nil && string(raw) != "null" }

// rolls reads a number of rolls of 80 in², or counts by format.
func (r *fieldReader) rolls(field string, raw json.RawMessage) float64 {
	var count float64
	if json.Unmarshal(raw, &count) == nil {
		return chemistry.FilmUnitArea * r.number(field, &count, 0, maxRolls)
	}
	var counts map[string]float64
	if err := json.Unmarshal(raw, &counts); err != nil {
		r.fail("%s is neither a number of rolls nor an object such as {\"135\": 10, \"120\": 2}", field)
	}
	area := 0.0
	for _, name := range slices.Sorted(maps.Keys(counts)) {
		count := counts[name]
		one, err := rollArea(name)
		if err != nil {
			r.fail("%s.%s: %w", field, name, err)
		}
		area += one * r.number(field+"."+name, &count, 0, maxRolls)
	}
	return area
}

// rollArea is the area of a format that may carry its exposures, as in 135-24.
func rollArea(name string) (float64, error) {
	format, length, hasLength := strings.Cut(name, "-")
	exposures := 0
	if hasLength {
		var err error
		if exposures, err = strconv.Atoi(length); err != nil || exposures < 1 {
			return 0, errors.New("after the hyphen the exposures are wanted, as in 135-24")
		}
	}
	parsed, err := chemistry.ParseFormat(format)
	if err != nil {
		return 0, err
	}
	return parsed.Area(exposures)
}

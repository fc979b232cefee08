package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"maps"
	"reflect"
	"slices"
	"strings"
)

// bathJSON is the input of wetside bath, field by field as bathHelp documents
// it. A pointer tells what was left out from what was given as zero.
type bathJSON struct {
	Solution solutionJSON  `json:"solution"`
	Fill     fillJSON      `json:"fill"`
	Through  []throughJSON `json:"through"`
	Recent   []recentJSON  `json:"recent"`
	Next     *nextJSON     `json:"next"`
	Now      string        `json:"now"` // RFC 3339
}

type solutionJSON struct {
	Name               string           `json:"name"`
	Family             string           `json:"family"`
	Use                string           `json:"use"`
	Capacity           *capacityJSON    `json:"capacity"`
	TimePercentPerRoll *float64         `json:"time_percent_per_roll"`
	Replenisher        *replenisherJSON `json:"replenisher"`
	Bromide            *bromideJSON     `json:"bromide"`
	Keeps              []keepsJSON      `json:"keeps"`
	MinimumMLPerRoll   *float64         `json:"minimum_ml_per_roll"`
}

// capacityJSON gives the film that a litre takes, or the whole fill.
type capacityJSON struct {
	M2PerL    *float64 `json:"m2_per_l"`
	RollsPerL *float64 `json:"rolls_per_l"`
	M2        *float64 `json:"m2"`
	Rolls     *float64 `json:"rolls"`
}

type replenisherJSON struct {
	MLPerM2    *float64 `json:"ml_per_m2"`
	MLPerFt2   *float64 `json:"ml_per_ft2"`
	MLPerRoll  *float64 `json:"ml_per_roll"`
	M2PerL     *float64 `json:"m2_per_l"`
	PushFactor *float64 `json:"push_factor"`
}

type bromideJSON struct {
	ReleasedMGPerRoll *float64 `json:"released_mg_per_roll"`
	ReplenisherGPerL  *float64 `json:"replenisher_g_per_l"`
	StartGPerL        *float64 `json:"start_g_per_l"`
}

type keepsJSON struct {
	Storage string `json:"storage"`
	Months  int    `json:"months"`
	Days    int    `json:"days"`
}

type fillJSON struct {
	VolumeML *float64      `json:"volume_ml"`
	Filled   string        `json:"filled"` // RFC 3339
	Mixed    string        `json:"mixed"`  // RFC 3339
	Storage  string        `json:"storage"`
	Clearing *clearingJSON `json:"clearing"`
	TwoBath  bool          `json:"two_bath"`
}

type clearingJSON struct {
	FreshS *float64 `json:"fresh_s"`
	NowS   *float64 `json:"now_s"`
}

// filmJSON is film as rolls, a number or counts by format, or as an area.
type filmJSON struct {
	Rolls  json.RawMessage `json:"rolls"`
	AreaM2 *float64        `json:"area_m2"`
}

type throughJSON struct {
	filmJSON
	At            string   `json:"at"` // RFC 3339
	Push          *float64 `json:"push"`
	ReplenisherML *float64 `json:"replenisher_ml"`
}

type recentJSON struct {
	filmJSON
	Day string `json:"day"` // 2026-03-02
}

type nextJSON struct {
	filmJSON
	Push *float64 `json:"push"`
}

// decodeBath reads exactly one JSON object of known fields, each given once.
func decodeBath(text []byte) (bathJSON, error) {
	var bath bathJSON
	// Grammar and depth first, so that the walk below meets sound JSON only.
	if err := json.Unmarshal(text, new(json.RawMessage)); err != nil {
		return bath, fmt.Errorf("not one JSON object: %w", err)
	}
	decoder := json.NewDecoder(bytes.NewReader(text))
	decoder.UseNumber() // the size of numbers is judged below
	if err := checkShape(decoder, "", reflect.TypeFor[bathJSON]()); err != nil {
		return bath, err
	}
	err := json.Unmarshal(text, &bath)
	if wrong := new(json.UnmarshalTypeError); errors.As(err, &wrong) {
		field := wrong.Field
		if field == "" {
			field = "the whole input"
		}
		return bath, fmt.Errorf("%s is not right: found %s, %s is wanted", field, wrong.Value, wanted(wrong.Type))
	}
	return bath, err
}

// wanted names a type of the input for the person who wrote it.
func wanted(t reflect.Type) string {
	switch t.Kind() {
	case reflect.Bool:
		return "true or false"
	case reflect.String:
		return "a text"
	case reflect.Int:
		return "a whole number"
	case reflect.Float64:
		return "a number of sensible size"
	case reflect.Slice:
		return "a list"
	}
	return "an object"
}

// checkShape walks one sound JSON value and refuses fields that the type does
// not know and fields given twice.
func checkShape(decoder *json.Decoder, path string, want reflect.Type) error {
	token, err := decoder.Token()
	if err != nil {
		return err
	}
	switch token {
	case json.Delim('{'):
		err = checkFields(decoder, path, fieldsOf(want))
	case json.Delim('['):
		for i := 0; err == nil && decoder.More(); i++ {
			err = checkShape(decoder, fmt.Sprintf("%s[%d]", path, i), elementOf(want))
		}
	default:
		return nil
	}
	if err == nil {
		_, err = decoder.Token() // the closing bracket
	}
	return err
}

// checkFields walks the fields of an object; no fields at all allow any.
func checkFields(decoder *json.Decoder, path string, fields map[string]reflect.Type) error {
	seen := map[string]bool{}
	for decoder.More() {
		token, err := decoder.Token()
		if err != nil {
			return err
		}
		name := fmt.Sprint(token)
		inside := strings.TrimPrefix(path+"."+name, ".")
		want, known := fields[name]
		switch {
		case seen[name]:
			return fmt.Errorf("%s is given twice", inside)
		case !known && len(fields) > 0:
			return fmt.Errorf("%s is not a field, allowed are %s", inside, strings.Join(slices.Sorted(maps.Keys(fields)), ", "))
		}
		seen[name] = true
		if err := checkShape(decoder, inside, want); err != nil {
			return err
		}
	}
	return nil
}

// fieldsOf returns the fields of a struct by their names in JSON, embedded ones
// included; none where the type is no struct.
func fieldsOf(t reflect.Type) map[string]reflect.Type {
	if t != nil && t.Kind() == reflect.Pointer {
		t = t.Elem()
	}
	if t == nil || t.Kind() != reflect.Struct {
		return nil
	}
	fields := map[string]reflect.Type{}
	for _, field := range reflect.VisibleFields(t) {
		if !field.Anonymous {
			fields[field.Tag.Get("json")] = field.Type
		}
	}
	return fields
}

// elementOf returns the type of a list's elements, or nil where it is no list.
func elementOf(t reflect.Type) reflect.Type {
	if t == nil || t.Kind() != reflect.Slice {
		return nil
	}
	return t.Elem()
}

package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"reflect"
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
	decoder := json.NewDecoder(bytes.NewReader(text))
	if err := checkShape(decoder, "", reflect.TypeFor[bathJSON]()); err != nil {
		return bath, err
	}
	if _, err := decoder.Token(); err != io.EOF {
		return bath, errors.New("something follows the JSON object; one object is wanted")
	}
	err := json.Unmarshal(text, &bath)
	if wrong := new(json.UnmarshalTypeError); errors.As(err, &wrong) {
		field := wrong.Field
		if field == "" {
			field = "the whole input"
		}
		return bath, fmt.Errorf("%s is a %s, %s is wanted", field, wrong.Value, wanted(wrong.Type))
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

// checkShape walks one JSON value and refuses fields that the type does not
// know and fields given twice. A nil type knows any field.
func checkShape(decoder *json.Decoder, path string, want reflect.Type) error {
	for want != nil && want.Kind() == reflect.Pointer {
		want = want.Elem()
	}
	token, err := decoder.Token()
	if err != nil {
		return fmt.Errorf("not JSON%s: %w", at(path), unexpected(err))
	}
	switch token {
	case json.Delim('{'):
		err = checkFields(decoder, path, fieldsOf(want))
	case json.Delim('['):
		var element reflect.Type
		if want != nil && want.Kind() == reflect.Slice && want != reflect.TypeFor[json.RawMessage]() {
			element = want.Elem()
		}
		for i := 0; err == nil && decoder.More(); i++ {
			err = checkShape(decoder, fmt.Sprintf("%s[%d]", path, i), element)
		}
	default:
		return nil
	}
	if err != nil {
		return err
	}
	if _, err = decoder.Token(); err != nil {
		return fmt.Errorf("not JSON%s: %w", at(path), unexpected(err))
	}
	return nil
}

// checkFields walks the fields of an object; nil fields allow any.
func checkFields(decoder *json.Decoder, path string, fields []reflect.StructField) error {
	seen := map[string]bool{}
	for decoder.More() {
		token, err := decoder.Token()
		if err != nil {
			return fmt.Errorf("not JSON%s: %w", at(path), unexpected(err))
		}
		name := token.(string) // the key of an object is always a string
		inside := strings.TrimPrefix(path+"."+name, ".")
		if seen[name] {
			return fmt.Errorf("%s is given twice", inside)
		}
		seen[name] = true
		var want reflect.Type
		var names []string
		for _, field := range fields {
			names = append(names, field.Tag.Get("json"))
			if field.Tag.Get("json") == name {
				want = field.Type
			}
		}
		if want == nil && fields != nil {
			return fmt.Errorf("%s is not a field, allowed are %s", inside, strings.Join(names, ", "))
		}
		if err := checkShape(decoder, inside, want); err != nil {
			return err
		}
	}
	return nil
}

// fieldsOf lists the tagged fields of a struct, embedded ones included.
func fieldsOf(t reflect.Type) []reflect.StructField {
	if t == nil || t.Kind() != reflect.Struct {
		return nil
	}
	var fields []reflect.StructField
	for _, field := range reflect.VisibleFields(t) {
		if !field.Anonymous {
			fields = append(fields, field)
		}
	}
	return fields
}

func at(path string) string {
	if path == "" {
		return ""
	}
	return " at " + path
}

// unexpected says that a text broke off where the decoder says only EOF.
func unexpected(err error) error {
	if errors.Is(err, io.EOF) {
		return errors.New("the text breaks off")
	}
	return err
}

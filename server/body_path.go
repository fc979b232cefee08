package server

import (
	"bytes"
	"encoding/json"
	"strconv"
)

// level is one object or list that is open at a place in JSON.
type level struct {
	list  bool
	index int    // of the present element of a list
	name  string // of the present field of an object
	named bool   // the name was read, its value comes next
}

// pathAt names the value whose first token ends at an offset of a JSON text,
// as in "rolls[1].ei"; the whole text is "".
func pathAt(text []byte, offset int64) string {
	decoder := json.NewDecoder(bytes.NewReader(text))
	decoder.UseNumber() // one that is too large still has a place
	var open []level
	for {
		token, err := decoder.Token()
		if err != nil {
			return ""
		}
		if token == json.Delim('}') || token == json.Delim(']') {
			open = open[:len(open)-1]
			continue
		}
		if n := len(open); n > 0 {
			now := &open[n-1]
			switch {
			case now.list:
				now.index++
			case !now.named:
				now.name, now.named = token.(string), true
				continue
			default:
				now.named = false
			}
		}
		if decoder.InputOffset() >= offset {
			return pathOf(open)
		}
		if token == json.Delim('{') || token == json.Delim('[') {
			open = append(open, level{list: token == json.Delim('['), index: -1})
		}
	}
}

func pathOf(open []level) string {
	path := ""
	for _, one := range open {
		switch {
		case one.list:
			path += "[" + strconv.Itoa(one.index) + "]"
		case path == "":
			path = one.name
		default:
			path += "." + one.name
		}
	}
	return path
}

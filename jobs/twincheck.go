package jobs

import (
	"regexp"
	"strconv"
	"strings"
)

// twinCheckShape is what can be printed on a pair and scanned again.
var twinCheckShape = regexp.MustCompile(`^[A-Z0-9-]{3,16}$`)

// PlainTwinCheck is a twin-check number as it is kept, however it was typed.
func PlainTwinCheck(text string) string { return strings.ToUpper(strings.TrimSpace(text)) }

// ParseTwinCheck reads a twin-check number as it was typed or scanned.
func ParseTwinCheck(text string) (string, error) {
	var wrong fieldErrors
	number := wrong.twinCheck("twin_check", text)
	return number, wrong.err("this is no twin-check number")
}

// twinCheck checks a number and returns it as it is kept.
func (f *fieldErrors) twinCheck(field, text string) string {
	number := PlainTwinCheck(text)
	if !twinCheckShape.MatchString(number) {
		f.add(field, "%q is no twin-check number: 3 to 16 letters A to Z, digits and hyphens", text)
	}
	return number
}

// CheckSearch returns what to look for, or refuses what is no line of text.
func CheckSearch(text string) (string, error) {
	var wrong fieldErrors
	wrong.line("search", text, MaxName)
	return strings.TrimSpace(text), wrong.err("this cannot be searched for")
}

// ParseLabel reads "1001" as an order's number and "1001/2" as that of a roll
// in it; the position is 0 where only the order is named.
func ParseLabel(text string) (order OrderID, position int, ok bool) {
	number, place, both := strings.Cut(strings.TrimSpace(text), "/")
	n, err := strconv.ParseInt(number, 10, 64)
	if err != nil || n < 1 {
		return 0, 0, false
	}
	if both {
		if position, err = strconv.Atoi(place); err != nil || position < 1 || position > MaxRolls {
			return 0, 0, false
		}
	}
	return OrderID(n), position, true
}

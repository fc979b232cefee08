package chemistry

import (
	"math"
	"strconv"
	"strings"
)

// vulgar holds the fractions that have a sign of their own.
var vulgar = map[string]float64{
	"¼": 1.0 / 4, "½": 1.0 / 2, "¾": 3.0 / 4,
	"⅓": 1.0 / 3, "⅔": 2.0 / 3, "⅙": 1.0 / 6, "⅚": 5.0 / 6,
}

// mixedNumber reads an unsigned whole number, decimal or fraction, or a whole
// number followed by a fraction: 7, 7.5, 1/2, 7 1/2, 7½.
func mixedNumber(text string) (float64, bool) {
	for sign, value := range vulgar {
		if before, ok := strings.CutSuffix(text, sign); ok {
			whole, ok := wholeOrNone(strings.TrimSpace(before))
			return whole + value, ok
		}
	}
	above, below, isFraction := strings.Cut(text, "/")
	if !isFraction {
		return decimal(text)
	}
	before := ""
	if i := strings.LastIndexByte(above, ' '); i >= 0 {
		before, above = strings.TrimSpace(above[:i]), above[i+1:]
	}
	whole, ok1 := wholeOrNone(before)
	numerator, ok2 := digits(above, 3)
	denominator, ok3 := digits(below, 3)
	if !ok1 || !ok2 || !ok3 || denominator == 0 || before != "" && numerator >= denominator {
		return 0, false
	}
	return whole + float64(numerator)/float64(denominator), true
}

// wholeOrNone reads the whole number before a fraction; none is 0.
func wholeOrNone(text string) (float64, bool) {
	if text == "" {
		return 0, true
	}
	number, ok := digits(text, 6)
	return float64(number), ok
}

// decimal reads digits with at most one point or comma among them.
func decimal(text string) (float64, bool) {
	if len(text) > 12 || strings.Trim(text, "0123456789.,") != "" {
		return 0, false
	}
	value, err := strconv.ParseFloat(strings.Replace(text, ",", ".", 1), 64)
	return value, err == nil
}

// digits reads a number of one to so many digits and nothing else.
func digits(text string, most int) (int, bool) {
	if text == "" || len(text) > most || strings.Trim(text, "0123456789") != "" {
		return 0, false
	}
	number, err := strconv.Atoi(text)
	return number, err == nil
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

// plainNumber writes a number as short as it goes.
func plainNumber(value float64) string { return strconv.FormatFloat(value, 'g', -1, 64) }

// FormatAmount writes an amount to four figures and never with an exponent:
// 12350, not 1.235e+04.
func FormatAmount(value float64) string {
	rounded, _ := strconv.ParseFloat(strconv.FormatFloat(value, 'g', 4, 64), 64) // just written
	return plain(rounded)
}

// degrees writes a temperature to a tenth of a degree.
func degrees(celsius float64) string {
	return plainNumber(math.Round(celsius*10)/10) + " °C"
}

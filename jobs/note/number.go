package note

// numberWords are the number words below a hundred.
var numberWords = map[string]int{
	"one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7, "eight": 8, "nine": 9, "ten": 10,
	"eleven": 11, "twelve": 12, "thirteen": 13, "fourteen": 14, "fifteen": 15, "sixteen": 16, "seventeen": 17,
	"eighteen": 18, "nineteen": 19, "twenty": 20, "thirty": 30, "forty": 40, "fourty": 40, "fifty": 50, "sixty": 60,
	"seventy": 70, "eighty": 80, "ninety": 90,
}

// fractionWords are the parts of a stop that have a name.
var fractionWords = map[string]float64{
	"half": 1.0 / 2, "third": 1.0 / 3, "thirds": 1.0 / 3, "quarter": 1.0 / 4, "quarters": 1.0 / 4, "halves": 1.0 / 2,
}

// figures reads numbers from tokens: 1.5, 1 1/2, 1-1/2, 1½, one and a half,
// two thirds, sixteen hundred, 3.2k. It returns the number of tokens used, 0
// where there is no number.
type figures []token

func (f figures) word(i int) string {
	if i < 0 || i >= len(f) || f[i].kind != wordToken {
		return ""
	}
	return f[i].text
}

func (f figures) mark(i int, text string) bool { return i >= 0 && i < len(f) && f[i].isMark(text) }

// number reads a number at token i.
func (f figures) number(i int) (value float64, used int) {
	if value, used = f.fraction(i); used > 0 {
		return value, used
	}
	whole, used := f.whole(i)
	if used == 0 {
		return 0, 0
	}
	if whole != float64(int(whole)) || whole > 12 {
		return whole, used
	}
	for _, link := range [][]string{{}, {"and"}, {"and", "a"}, {"a"}, {"n", "a"}, {"n"}} {
		if !f.words(i+used, link) {
			continue
		}
		if part, more := f.fraction(i + used + len(link)); more > 0 && part < 1 {
			return whole + part, used + len(link) + more
		}
	}
	if f.mark(i+used, "-") || f.mark(i+used, "&") || f.mark(i+used, "+") {
		if part, more := f.fraction(i + used + 1); more > 0 && part < 1 {
			return whole + part, used + 1 + more
		}
	}
	return whole, used
}

func (f figures) words(i int, wanted []string) bool {
	for j, word := range wanted {
		if f.word(i+j) != word {
			return false
		}
	}
	return true
}

// fraction reads a sign such as ½, figures such as 1/2, or words: half, a half,
// a third, two thirds. A half of the roll or a third roll is no number.
func (f figures) fraction(i int) (value float64, used int) {
	if i >= len(f) {
		return 0, 0
	}
	if f[i].fraction {
		return f[i].value, 1
	}
	if f[i].kind == numberToken && f.mark(i+1, "/") && i+2 < len(f) && f[i+2].kind == numberToken && f[i+1].glued {
		above, below := f[i].value, f[i+2].value
		isPart := (below == 2 || below == 3 || below == 4 || below == 6) && above >= 1 && above <= 9 && !f.mark(i+3, "/")
		if isPart && above != below && f[i].digits == 1 {
			if ending := f.word(i + 3); (ending == "rds" || ending == "rd" || ending == "ths" || ending == "th") && f[i+3].glued {
				return above / below, 4
			}
			return above / below, 3
		}
		return 0, 0
	}
	return f.fractionInWords(i)
}

func (f figures) fractionInWords(i int) (value float64, used int) {
	times, at := 1.0, i
	switch count := numberWords[f.word(i)]; {
	case f.word(i) == "a" && fractionWords[f.word(i+1)] != 0:
		at = i + 1
	case count > 0 && count < 4 && fractionWords[f.word(i+1)] != 0:
		times, at = float64(count), i+1
	case f[i].kind == numberToken && f[i].value >= 1 && f[i].value < 4 && fractionWords[f.word(i+1)] != 0:
		times, at = f[i].value, i+1
	}
	part := fractionWords[f.word(at)]
	if part == 0 || at == i && f.word(at) != "half" {
		return 0, 0
	}
	switch f.word(at + 1) {
	case "the", "my", "this", "roll", "film", "way", "frame", "frames", "it", "was", "at", "were":
		return 0, 0
	case "of":
		if f.word(at+2) != "a" && f.word(at+2) != "one" {
			return 0, 0
		}
	}
	return times * part, at + 1 - i
}

// whole reads figures or number words without a fraction.
func (f figures) whole(i int) (value float64, used int) {
	if i >= len(f) {
		return 0, 0
	}
	if f[i].kind != numberToken {
		return f.inWords(i)
	}
	value = f[i].value
	if f.word(i+1) == "k" && f[i+1].glued && value < 103 && f[i].text != "" {
		return value * 1000, 2
	}
	if f.word(i+1) == "point" && i+2 < len(f) && numberWords[f.word(i+2)] > 0 {
		return value + float64(numberWords[f.word(i+2)])/10, 3
	}
	return value, 1
}

// inWords reads number words up to thousands: "two", "thirty two hundred", "one
// sixty", "two point five".
func (f figures) inWords(i int) (value float64, used int) {
	total, group := 0, 0
	for at := i; at < len(f); at++ {
		word := f.word(at)
		number, isNumber := numberWords[word]
		switch {
		case word == "hundred" && group > 0:
			group *= 100
		case word == "thousand" && group > 0:
			total, group = total+group*1000, 0
		case isNumber && group == 0:
			group = number
		case isNumber && group%100 == 0, isNumber && group >= 20 && group < 100 && group%10 == 0 && number < 10:
			group += number
		case isNumber && group < 10 && number >= 10 && number%10 == 0: // one sixty
			group = group*100 + number
		default:
			if word == "point" && numberWords[f.word(at+1)] > 0 && total+group > 0 {
				return float64(total+group) + float64(numberWords[f.word(at+1)])/10, at + 2 - i
			}
			return float64(total + group), at - i
		}
		used = at + 1 - i
	}
	return float64(total + group), used
}

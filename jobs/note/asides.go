package note

import "strings"

// codes marks the tokens of written forms that are never an exposure: dates,
// times, ratios, sizes, shutter speeds, telephone numbers with hyphens, and
// words with figures in them, such as "MQ-70".
func codes(tokens []token) []bool {
	marked := make([]bool, len(tokens))
	for start := 0; start < len(tokens); {
		end := start + 1
		for end < len(tokens) && tokens[end].glued && inChunk(tokens[end]) && inChunk(tokens[end-1]) && !isFieldStroke(tokens, end) {
			end++
		}
		from, to := start, end
		for from < to && tokens[from].kind == markToken {
			from++
		}
		for from < to && tokens[to-1].kind == markToken {
			to--
		}
		if isCode(tokens[from:to]) {
			for i := from; i < to; i++ {
				marked[i] = true
			}
		}
		start = end
	}
	return marked
}

func inChunk(t token) bool {
	return t.kind != markToken || strings.Contains("+-/.:,°", t.text)
}

// isFieldStroke finds the stroke of "EI1600/push2", between two fields.
func isFieldStroke(tokens []token, i int) bool {
	return tokens[i].isMark("/") && tokens[i-1].kind == numberToken && i+1 < len(tokens) && tokens[i+1].kind == wordToken
}

// isCode decides by the outline of a chunk, in which 9 stands for a number and
// a for a word.
func isCode(chunk []token) bool {
	var outline strings.Builder
	digits, words, numbers := 0, []string{}, []token{}
	for _, t := range chunk {
		switch t.kind {
		case wordToken:
			outline.WriteByte('a')
			words = append(words, t.text)
		case numberToken:
			outline.WriteByte('9')
			digits += t.digits
			numbers = append(numbers, t)
		default:
			outline.WriteString(t.text)
		}
	}
	if len(numbers) == 0 {
		return false
	}
	switch outline.String() {
	case "9/9/9", "9-9-9", "9.9.9", "9.9", "9:9", "9:9:9", "9+9", "9+9+9", "9-9-9-9", "9.9.9.9":
		return true
	case "9-9":
		return digits >= 7
	case "9/9", "9/9a":
		isTime := len(words) == 0 || words[0] == "s" || words[0] == "sec" || words[0] == "th"
		return isTime && isShutterOrDate(numbers[0], numbers[1])
	case "9a9", "9a9a":
		if words[0] == "x" {
			return true
		}
	}
	for _, word := range words {
		if !joinsFigures(mend(word)) {
			return true
		}
	}
	return false
}

// isShutterOrDate tells 1/125, 12/05 and 03/04 from a fraction and a pair of
// speeds.
func isShutterOrDate(first, second token) bool {
	above, below := first.value, second.value
	isFraction := below <= 6 && above <= 9 && below != 5 && first.text[0] != '0' && second.text[0] != '0'
	isSpeeds := above >= 25 && below >= 25
	return !isFraction && !isSpeeds
}

// joinsFigures reports whether a word is written against figures when it is
// about exposure: "ei800", "push2", "2stops", "N-1". Measures are let through
// here and put aside by their unit.
func joinsFigures(word string) bool {
	var all class
	for _, entry := range lexicon[word] {
		if len(entry.rest) == 0 {
			all |= entry.class
		}
	}
	return all&(push|pull|unit|index|shot|roughly|develop|zone|brief|toward|measure|counted|under|over|box) != 0 && word != "f"
}

// putAside finds the numbers that are about something else from the words
// around them.
func putAside(items []item) {
	for i := range items {
		if items[i].kind != numberToken || items[i].aside {
			continue
		}
		items[i].aside = isMeasured(items, i) || isLabelled(items, i) || isListed(items, i) || isEnumerated(items, i) || isPriced(items, i) || isDated(items, i) ||
			isAddress(items, i) || isSize(items, i)
	}
	telephones(items)
}

func at(items []item, i int) item {
	if i < 0 || i >= len(items) {
		return item{kind: markToken, text: "\n"}
	}
	return items[i]
}

// isMeasured finds a unit or a counted thing after the number, or a count sign.
func isMeasured(items []item, i int) bool {
	next, after := at(items, i+1), at(items, i+2)
	switch {
	case items[i].digits > 0 && next.glued && (next.text == "st" || next.is(ordinal)) && items[i].value == 1:
		return true // 1st
	case next.glued && (next.text == "nd" || next.text == "rd" || next.text == "th"):
		return true
	case next.mark("%"), next.mark("°"), (next.mark("\"") || next.mark("'")) && next.glued && !isQuoted(items, i, next.text):
		return true
	case next.is(unit), next.is(index), next.text == "st" && !next.glued:
		return false
	case items[i].value == 0.5 && next.is(article) && after.is(measure) && len(after.text) > 1:
		return true // half an inch
	case at(items, i-1).text == "all" && items[i].isWhole() && items[i].value <= 36:
		return true // all 4 at 1600
	case items[i].digits == 1 && (next.text == "me" || next.text == "us" || next.text == "u" || next.text == "you" || next.text == "ur"):
		return true // 4 me, thanks
	case next.text == "x" && (next.glued || after.kind == numberToken && !isAsked(items, i) || after.is(counted|push|pull)):
		return true
	case next.is(measure) && len(next.text) == 1:
		return next.glued || (next.text == "c" || next.text == "f") && after.kind != numberToken && !after.mark("/")
	case next.is(measure):
		return true
	}
	if prev := at(items, i-1); prev.text == "x" && (prev.glued && at(items, i-2).kind == numberToken ||
		items[i].glued && !at(items, i-2).is(push|pull) || at(items, i-2).is(unit)) {
		return true
	}
	return countsThings(items, i)
}

// isQuoted tells a closing quotation mark from the sign of inches or feet.
func isQuoted(items []item, i int, quote string) bool {
	open := false
	for _, t := range items[:i] {
		open = open != t.mark(quote)
	}
	return open
}

// countsThings looks past two words that say nothing for what is counted: "2
// rolls", "2 more rolls", "2 35mm rolls".
func countsThings(items []item, i int) bool {
	if !items[i].isWhole() || isSpeed(items[i].value) && items[i].value > 36 && (!at(items, i+1).is(counted) || at(items, i+1).is(film)) {
		return false
	}
	for ahead := 1; ahead <= 3; ahead++ {
		next := at(items, i+ahead)
		isBetween := next.isUnknown() || next.is(more|measure) || next.kind == numberToken && ahead > 1 || next.is(aside)
		switch {
		case next.text == "exposure" && isAsked(items, i) && !at(items, i-1).is(push|pull):
			return false // -1 exposure
		case next.text == "of" && at(items, i+ahead+2).is(unit):
			return false // half of a stop
		case next.is(counted):
			return true
		case !isBetween:
			return next.kind == numberToken && at(items, i+ahead+1).is(measure|counted)
		}
	}
	return false
}

// isLabelled finds "roll 2", "order no. 1042", "#12", "f/8".
func isLabelled(items []item, i int) bool {
	prev := i - 1
	if at(items, prev).mark("#") {
		return true
	}
	if at(items, prev).mark(":") && at(items, prev-1).is(counted|label) && !at(items, prev-1).is(unit|shot) {
		return true // Rolls: 2
	}
	for prev > i-4 && prev > 0 && introducesNumber(items, prev) && items[prev-1].is(label|telephone|not) {
		prev--
	}
	if at(items, prev).mark("/") && at(items, prev-1).is(aperture) || at(items, prev).is(aperture) {
		return true
	}
	noun := at(items, prev)
	if !noun.is(label) {
		return false
	}
	if at(items, i+1).is(unit) {
		return false
	}
	if prev < i-1 {
		return true // roll no. 2
	}
	if noun.is(film) {
		isThis := at(items, prev-1).is(film | whole | filler | ordinal | other)
		return !isThis && items[i].value < 25
	}
	return noun.text != "order" && noun.text != "unit" || items[i].value > 10
}

// introducesNumber finds what stands between a noun and its number: "no", "no."
// and ":".
func introducesNumber(items []item, i int) bool {
	isShort := func(t item) bool { return t.text == "no" || t.text == "nr" || t.text == "ref" }
	return items[i].mark(":") || items[i].text == "number" || isShort(items[i]) || items[i].mark(".") && isShort(items[i-1])
}

// isAsked reports whether a number stands where a push's amount does.
func isAsked(items []item, i int) bool {
	prev := at(items, i-1)
	return prev.is(push|pull|plus|minus) || prev.mark("+") || prev.mark("-")
}

// isEnumerated finds the later numbers of "frames 3, 4 and 5" and "2 of 3".
func isEnumerated(items []item, i int) bool {
	joint, before := at(items, i-1), at(items, i-2)
	if before.kind != numberToken || !before.aside || items[i].value > 40 || !items[i].isWhole() || at(items, i+1).is(unit) {
		return false
	}
	if joint.text == "of" {
		return true
	}
	isList := joint.mark(",") || joint.mark("&") || joint.text == "and" || joint.mark("-")
	for j := i - 3; isList && j >= 0 && j > i-40; j-- {
		switch t := items[j]; {
		case t.is(counted) && t.is(label|elsewhere), t.text == "of":
			return true
		case t.kind == numberToken && t.aside, t.kind == markToken, t.text == "and":
		default:
			return false
		}
	}
	return false
}

// isListed finds "1." and "2)" at the beginning of a line or sentence.
func isListed(items []item, i int) bool {
	next := at(items, i+1)
	return items[i].value <= 20 && (i == 0 || items[i-1].endsSentence()) && (next.mark(".") || next.mark(")")) && next.glued && !at(items, i+2).glued &&
		at(items, i+2).kind == wordToken
}

func isPriced(items []item, i int) bool {
	prev := at(items, i-1)
	next := at(items, i+1)
	return prev.mark("£") || prev.mark("$") || prev.mark("€") || next.mark("£") || next.mark("€") || next.mark("$")
}

// isDated finds days beside a month and years.
func isDated(items []item, i int) bool {
	prev, next, value := at(items, i-1), at(items, i+1), items[i].value
	if strings.Contains(items[i].text, "/") && (isDue(prev) || isDue(at(items, i-2))) {
		return true
	}
	if value <= 31 && (next.is(month) && next.text != "may" || prev.is(month) && prev.text != "may") {
		return true
	}
	if value <= 31 && (next.text == "may" && !at(items, i+2).is(filler|vague) || prev.text == "may") {
		return true
	}
	isYear := items[i].digits == 4 && value >= 1900 && value < 2100
	return isYear && (value != 2000 || prev.is(year|month) || prev.text == "of" || prev.isPunctuation() && prev.mark("(")) &&
		!at(items, i+1).is(index)
}

// isDue reports whether a date is to be expected, so that 3/4 is one.
func isDue(t item) bool {
	return t.text == "due" || t.text == "date" || t.text == "dated" || t.text == "on" || t.text == "before" || t.text == "until"
}

// isAddress finds a number, one to three names, and a street.
func isAddress(items []item, i int) bool {
	if !items[i].isWhole() {
		return false
	}
	for ahead := 1; ahead <= 4; ahead++ {
		next := at(items, i+ahead)
		if ahead > 1 && (next.is(street) || next.is(place) && next.capital) {
			return true
		}
		isRequest := next.is(push | pull | unit | shot | index | develop)
		named := at(items, i+ahead+1)
		isOnMap := next.is(push|pull) && named.is(street) && named.text != "st" // Push Lane
		isName := next.kind == wordToken && (next.isUnknown() || next.capital && !isRequest || isOnMap)
		if !isName {
			return false
		}
	}
	return false
}

// isSize finds "8 x 10", "6 by 4".
func isSize(items []item, i int) bool {
	joint := func(j int) bool {
		t := at(items, j)
		return t.text == "x" || t.text == "by" || t.mark("*")
	}
	ends := func(j int) bool {
		return at(items, j).kind == numberToken && at(items, j).value <= 40 && !at(items, j+1).is(unit)
	}
	isFirst := ends(i) && !isAsked(items, i) && joint(i+1) && ends(i+2) && !at(items, i-1).is(label)
	isSecond := ends(i) && joint(i-1) && ends(i-2) && !at(items, i-3).is(label)
	return isFirst || isSecond
}

// telephones puts aside runs of figures that add up to a telephone number.
func telephones(items []item) {
	for start := 0; start < len(items); start++ {
		if items[start].kind != numberToken {
			continue
		}
		end, digits, groups := start, 0, 0
		for ; end < len(items) && (items[end].kind == numberToken && items[end].digits > 0 || isPhoneMark(items, end)); end++ {
			digits += items[end].digits
			if items[end].kind == numberToken {
				groups++
			}
		}
		prev := at(items, start-1)
		isLong := digits >= 7 && (groups == 1 || strings.HasPrefix(items[start].text, "0") || prev.mark("+"))
		isCalled := digits >= 3 && (prev.is(telephone) || at(items, start-2).is(telephone))
		if isLong || isCalled && !items[start].aside {
			for i := start; i < end; i++ {
				items[i].aside = true
			}
		}
		start = max(start, end-1)
	}
}

func isPhoneMark(items []item, i int) bool {
	return strings.Contains("-()", items[i].text) && items[i].kind == markToken && at(items, i+1).kind == numberToken
}

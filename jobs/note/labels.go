package note

import "strings"

// compareLabels doubts a note that names two rolls, unless it asks the same for
// each.
func (r *reader) compareLabels() {
	if len(r.findings) == 0 {
		return
	}
	labels := map[string]bool{}
	for i := range r.items {
		for _, name := range r.rollNames(i) {
			labels[name] = true
		}
	}
	if len(labels) > 1 && !r.asksAlike(len(labels)) || len(labels) == 1 && r.hasRequest() && r.namesOneRoll() || r.hasRequest() && !r.asksForAll() && r.setsApart() {
		r.void("it speaks of more than one roll", 0, len(r.items))
	}
}

// namesOneRoll reports whether a clause begins with the number, letter or place
// of a roll and a request: "roll 2 push 1", "push the last roll 2 stops". Which
// roll that is a note cannot say; "roll 2 of 5" is its own.
func (r *reader) namesOneRoll() bool {
	for i := range r.items {
		names := r.rollNames(i)
		if len(names) == 0 || strings.Contains(names[0], "/") || !r.beginsClause(i) {
			continue
		}
		end := i + 1
		for r.at(end).is(film|counted) && r.at(end).text != "of" || r.at(end).kind == numberToken || isOrdinalEnding(r.at(end)) {
			end++
		}
		if r.at(end).text != "of" && (r.clauseAsks(i) || r.introduces(i)) {
			return true
		}
	}
	return false
}

// beginsClause reports whether nothing but small words and the request itself
// stand before item i in its clause.
func (r *reader) beginsClause(i int) bool {
	before := i - 1
	for r.at(before).is(filler|article|polite|push|pull) && !r.at(before).is(joins) && r.at(before).clause == r.items[i].clause {
		before--
	}
	return before < 0 || r.at(before).isPunctuation() || r.at(before).is(joins) || r.at(before).clause != r.items[i].clause
}

// rollNames returns what the words at item i call a roll: "the second roll",
// "roll 2", "roll B".
func (r *reader) rollNames(i int) []string {
	t, next := r.at(i), r.at(i+1)
	isNumber := next.kind == numberToken && next.aside && formatOf(next, r.at(i+2)) == ""
	isThing := func(x item) bool { return x.text == "roll" || x.text == "film" || x.text == "canister" }
	switch {
	case t.text == "rolls" && isNumber:
		return []string{next.text, "other"}
	case t.kind == numberToken && isOrdinalEnding(next) && (isThing(r.at(i+2)) || r.at(i-1).text == "the"):
		return []string{t.text}
	case t.is(ordinal) && (isThing(next) || next.text == "one"):
		return []string{t.text}
	case isThing(t) && isNumber, isThing(t) && next.kind == wordToken && len(next.text) == 1 && !next.is(article|filler):
		return []string{next.text}
	case t.text == "a" && isThing(r.at(i-1)):
		return []string{t.text}
	}
	return nil
}

// isOrdinalEnding finds the end of "2nd".
func isOrdinalEnding(t item) bool {
	return t.glued && (t.text == "st" || t.text == "nd" || t.text == "rd" || t.text == "th")
}

// setsApart reports whether the note sets one roll against another: "1 roll …,
// 1 roll …", "one …, one …", "A: …, B: …", "35mm …, 120 …".
func (r *reader) setsApart() bool {
	shares := map[int]int{} // by sentence
	letters, formats, looks := map[string]bool{}, map[string]bool{}, map[string]bool{}
	for i, t := range r.items {
		next := r.at(i + 1)
		startsClause := i == 0 || r.at(i-1).isPunctuation() || r.at(i-1).is(joins)
		isRolls := next.text == "roll" || next.text == "rolls" || next.text == "film" || next.text == "films"
		switch format := formatOf(t, next); {
		case r.clauseHas(i, topic):
		case format != "" && !r.at(i+1).endsSentence() && !r.at(i+2).endsSentence():
			formats[format] = true
		case startsClause && t.kind == numberToken && t.value < 25 && (isRolls || t.text == "one" && r.unitAfter(i+1) == 0):
			shares[t.sentence]++
		case startsClause && t.isUnknown() && (isRolls || next.text == "canister"):
			looks[t.text] = true
		case startsClause && len(t.text) == 1 && t.kind == wordToken && next.mark(":"):
			letters[t.text] = true
		}
		if shares[t.sentence] > 1 {
			return true
		}
	}
	return len(letters) > 1 || len(formats) > 1 || len(looks) > 1
}

// formatOf names the film format that a number and its unit say.
func formatOf(t, next item) string {
	switch {
	case t.kind != numberToken:
		return ""
	case t.text == "120", t.text == "220":
		return "medium"
	case t.text == "135", t.text == "35" && next.text == "mm":
		return "small"
	}
	return ""
}

// asksForAll reports whether the request says that it is for every roll.
func (r *reader) asksForAll() bool {
	for _, f := range r.findings {
		if (f.kind == asked || f.kind == target) && r.sentenceHas(f.from, whole) {
			return true
		}
	}
	return false
}

// asksAlike reports whether the same is asked at least so many times.
func (r *reader) asksAlike(times int) bool {
	requests := 0
	for _, f := range r.findings {
		if f.kind != asked {
			continue
		}
		if f.stops != r.findings[0].stops {
			return false
		}
		requests++
	}
	return requests >= times
}

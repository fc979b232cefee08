package note

import (
	"slices"

	"wetside/chemistry"
)

// zoneSystem reads N-1, N + 1/2 and N plus one, and N alone.
func (r *reader) zoneSystem(i int) bool {
	if !r.at(i).is(zone) {
		return false
	}
	sign := r.at(i + 1)
	direction := 0
	switch {
	case sign.mark("+"), sign.is(plus):
		direction = 1
	case sign.mark("-"), sign.mark("–"), sign.is(minus):
		direction = -1
	case sign.mark("±"):
		return r.doubt("it says both plus and minus", i, i+2)
	}
	if direction == 0 {
		isAlone := (i == 0 || r.at(i-1).isPunctuation() || r.at(i-1).is(develop)) && (sign.is(develop|polite) || sign.isPunctuation())
		return isAlone && r.find(finding{kind: asNormal, from: i, to: i + 1})
	}
	a, ok := r.amountAt(i + 2)
	if !ok || a.sign != 0 {
		return false
	}
	return r.findAmount(a, direction, i, a.to)
}

// briefPush reads P1, P+1; P-1 could be either.
func (r *reader) briefPush(i int) bool {
	next := r.at(i + 1)
	if !r.at(i).is(brief) || !next.glued && !next.mark("+") {
		return false
	}
	if next.mark("-") {
		return r.doubt("P-1 may be a push or a pull", i, i+3)
	}
	a, ok := r.amountAt(i + 1)
	if !ok {
		return false
	}
	return r.findAmount(a, 1, i, a.to)
}

// developFor reads a development that aims at a speed: "develop at 1600",
// "process as ISO 800", "dev at box speed".
func (r *reader) developFor(i int) bool {
	if !r.at(i).is(develop) {
		return false
	}
	for j := i + 1; j < min(i+9, len(r.items)); j++ {
		t := r.items[j]
		if t.used || t.isPunctuation() && !t.mark(":") || t.is(shot|push|pull|topic|joins|not|reject) && !t.is(toward) {
			return false
		}
		if t.is(box) {
			return r.find(finding{kind: asNormal, from: i, to: j + 1})
		}
		if ei, to := r.towardSpeed(j); to > 0 {
			return r.developAt(ei, i, to)
		}
	}
	return false
}

func (r *reader) developAt(ei, from, to int) bool {
	if end := r.speedRange(to); end > 0 {
		return r.doubt("it gives a range of speeds", from, end)
	}
	r.guess(from, to)
	r.checkNominal(ei, from, to)
	if ei == r.iso {
		return r.find(finding{kind: asNormal, from: from, to: to})
	}
	return r.find(finding{kind: target, ei: ei, from: from, to: to})
}

// developMoreOrLess reads a change of development in words: "increase
// development by one stop", "develop a bit longer".
func (r *reader) developMoreOrLess(i int) bool {
	if !r.at(i).is(develop) {
		return false
	}
	j, ok := r.changeNear(i)
	if !ok {
		return false
	}
	direction := 1
	if r.at(j).is(less) {
		direction = -1
	}
	from, to := min(i, j), max(i, j)+1
	for k := max(from-4, 0); k < min(to+5, len(r.items)); k++ {
		a, ok := r.amountAt(k)
		isExact := !r.at(k).is(vague|relative) || r.isOneMore(k)
		if ok && a.hasUnit && isExact && r.at(k).sentence == r.at(i).sentence && !r.at(k).used {
			if r.isOneMore(k) {
				a.stops = 1
			}
			a.doubt = ""
			return r.findAmount(a, direction, min(from, a.from), max(to, a.to))
		}
	}
	return r.find(finding{kind: open, direction: direction, from: from, to: to})
}

// isOneMore finds "extra stop", which beside development is one stop. Half an
// extra stop, or some, is not.
func (r *reader) isOneMore(k int) bool {
	prev := r.at(k - 1)
	if prev.is(article) {
		prev = r.at(k - 2)
	}
	isAmount := prev.isNumber() || prev.is(vague|roughly|relative) || prev.text == "of"
	unit := r.at(k + 1).text
	return r.at(k).is(relative) && (unit == "stop" || unit == "stp") && !isAmount
}

// changeNear finds the more or less that goes with a development at item i.
func (r *reader) changeNear(i int) (int, bool) {
	for _, step := range []int{-1, 1} {
		for j := i + step; j >= 0 && j < len(r.items) && j >= i-6 && j <= i+5; j += step {
			t := r.items[j]
			if t.used || t.isPunctuation() || t.is(topic) && !t.is(less) || t.is(joins|push|pull|shot) {
				break
			}
			isVerb := t.text == "cut" || t.text == "add" || t.text == "raise"
			if t.is(more|less) && !t.is(plus|minus) && (step < 0 || !isVerb) && !r.at(j-1).is(not) {
				return j, true
			}
		}
	}
	return 0, false
}

// asUsual reads "develop as normal", "standard dev", "normal", "box speed",
// "nothing special". Normal scans and normal post are no development.
func (r *reader) asUsual(i int) bool {
	t := r.at(i)
	if t.is(box) && r.at(i+1).is(develop) && !r.at(i+1).is(topic) && !r.at(i-1).is(not) {
		return r.find(finding{kind: asNormal, from: i, to: i + 2}) // box speed development
	}
	if t.is(box) || r.isBoxAlone(i) {
		if r.clauseHas(i, topic) && !r.clauseHas(i, shot) {
			r.use(i, i+1)
			return true
		}
		return r.boxSpeed(i, i)
	}
	if !t.is(normal) || r.at(i-1).is(not) || r.at(i-1).is(other) || r.at(i-1).text == "else" {
		return false
	}
	next := r.at(i + 1)
	if next.is(develop|process) && !next.is(topic) {
		if next.is(process) || r.namesService(i+1) {
			return r.find(finding{kind: service, from: i, to: i + 2})
		}
		return r.find(finding{kind: asNormal, from: i, to: i + 2})
	}
	if next.isUnknown() || next.aside || next.is(topic|counted|index|elsewhere|box|measure|push|pull|shot) && !next.is(filler|polite) {
		return false
	}
	if r.followsRating(i) {
		return r.find(finding{kind: asNormal, from: i, to: i + 1}) // rated 320 normal
	}
	if j, ok := r.wordBefore(i, develop|process|topic|shot); ok {
		if r.at(j).is(topic) && !r.developsWith(j) {
			return false
		}
		if r.at(j).is(shot) {
			return r.isPlainBetween(j, i) && r.find(finding{kind: atBox, from: j, to: i + 1})
		}
		return r.find(finding{kind: asNormal, from: j, to: i + 1})
	}
	if r.developsWith(i) || r.isBare(i) {
		return r.find(finding{kind: asNormal, from: i, to: i + 1})
	}
	return false
}

// followsRating reports whether a rating ends just before item i.
func (r *reader) followsRating(i int) bool {
	return slices.ContainsFunc(r.findings, func(f finding) bool { return f.kind == rated && f.to == i })
}

// isBoxAlone finds a clause of nothing but "box".
func (r *reader) isBoxAlone(i int) bool {
	prev, next := r.at(i-1), r.at(i+1)
	isStock := next.mark(":") && r.at(i+2).isNumber()
	return r.at(i).text == "box" && prev.isPunctuation() && !isStock && (next.isPunctuation() || next.is(polite))
}

// namesService reports whether scans or prints come with the development at
// item i, as labs name what they sell: "standard dev and scan".
func (r *reader) namesService(i int) bool {
	for r.at(i + 1).is(develop | process) {
		i++
	}
	joint := r.at(i + 1)
	isJoint := joint.text == "and" || joint.text == "n" || joint.mark("&") || joint.mark("+") || joint.mark("/")
	return isJoint && r.at(i+2).is(topic)
}

// isPlainBetween reports whether nothing but small words stands between.
func (r *reader) isPlainBetween(from, to int) bool {
	for j := from + 1; j < to; j++ {
		if !r.items[j].is(filler | film | toward | article) {
			return false
		}
	}
	return true
}

// developsWith reports whether a topic is paired with development: "dev and
// scan as normal", "dev + scan", "develop, scan and print".
func (r *reader) developsWith(i int) bool {
	for j := i - 1; j >= max(i-6, 0) && !r.at(j).endsSentence(); j-- {
		t := r.at(j)
		if t.is(develop | process) {
			return !t.used
		}
		if !t.is(topic|joins|filler) && !t.mark(",") && !t.mark("+") && !t.mark("&") && !t.mark("/") {
			return false
		}
	}
	return false
}

// isBare reports whether the clause of item i says nothing but item i.
func (r *reader) isBare(i int) bool {
	for j, t := range r.items {
		if t.clause != r.items[i].clause || j == i || t.kind == markToken {
			continue
		}
		if !t.is(filler|polite|film|develop|process|article|toward|normal|whole|joins) || t.is(shot|push|pull) {
			return false
		}
	}
	return true
}

// suit reads a wish for development to suit the exposure.
func (r *reader) suit(i int) bool {
	isLast := i+1 == len(r.items) || r.endsDenial(i+1)
	if r.at(i).text == "compensation" && r.at(i-1).is(not|zero) && !r.clauseHas(i, topic) && isLast {
		return r.find(finding{kind: refused, from: i - 1, to: i + 1})
	}
	if !r.at(i).is(match) || r.clauseHas(i, topic) && !r.clauseHas(i, develop) {
		return false
	}
	if r.at(i - 1).is(not) {
		return r.find(finding{kind: refused, from: i - 1, to: i + 1})
	}
	return r.find(finding{kind: suited, from: i, to: i + 1})
}

// signed reads an amount with a sign and no other word: "+1", "dev +2", "EI
// 800, +1".
func (r *reader) signed(i int) bool {
	a, ok := r.amountAt(i)
	if !ok || a.sign == 0 || r.leadsPush(a.to) {
		return false
	}
	if r.clauseHas(i, tone) && r.sentenceHas(i, topic) && !r.sentenceHas(i, develop) {
		r.use(i, a.to)
		return true // contrast +1, saturation -1 in the scans
	}
	if r.clauseHas(i, topic) {
		if r.sentenceHas(i, develop) && (r.clauseHas(i, develop) || !r.isToldBefore(i) && !r.isToldAfter(i)) {
			return r.doubt("it may be about development or about something else", i, a.to)
		}
		r.use(i, a.to)
		return true
	}
	if j, ok := r.wordBefore(i, shot|inCamera); ok && !r.hasSpeedBetween(j, i) || r.at(a.to).is(inCamera) {
		return r.doubt("it may be a rating or a push", i, a.to)
	}
	prev := r.at(i - 1)
	if unit := r.at(a.to - 1).text; (unit == "ev" || unit == "evs") && !r.clauseHas(i, develop) {
		return r.doubt("EV may be exposure or development", i, a.to)
	}
	if r.isVote(a) {
		return r.doubt("it does not say what is plus or minus", i, a.to)
	}
	isRequest := a.hasUnit || r.clauseHas(i, develop) || r.isBareAmount(a) || prev.kind == numberToken && isSpeed(prev.value) || prev.is(index)
	if !isRequest {
		return r.doubt("it does not say what is plus or minus", i, a.to)
	}
	return r.findAmount(a, a.sign, i, a.to)
}

// isVote reports whether something that is no film follows: "+1 for the website".
func (r *reader) isVote(a amount) bool {
	if a.hasUnit || r.at(a.to).text != "for" {
		return false
	}
	for j := a.to + 1; j < len(r.items); j++ {
		if t := r.items[j]; !t.is(filler | article) {
			return t.isUnknown() && !r.at(j+1).isNumber()
		}
	}
	return false
}

// isToldBefore reports whether the sentence has said what development is wanted
// before item i: "dev normal, scan +1".
func (r *reader) isToldBefore(i int) bool {
	return slices.ContainsFunc(r.findings, func(f finding) bool {
		isTold := f.kind == asked || f.kind == refused || f.kind == asNormal
		return isTold && f.to <= i && r.items[f.from].sentence == r.items[i].sentence
	})
}

// isToldAfter reports whether a later clause of the sentence says what
// development is wanted: "scan +1, dev push 1".
func (r *reader) isToldAfter(i int) bool {
	for j := i + 1; j < len(r.items) && r.items[j].sentence == r.items[i].sentence; j++ {
		_, isAmount := r.amountAt(j)
		if isAmount && r.items[j].clause != r.items[i].clause && r.clauseHas(j, develop|push|pull) && !r.clauseHas(j, topic) {
			return true
		}
	}
	return false
}

func (r *reader) leadsPush(i int) bool {
	if r.at(i).text == "of" || r.at(i).text == "in" {
		i++
	}
	return r.at(i).is(push | pull)
}

func (r *reader) hasSpeedBetween(from, to int) bool {
	for j := from; j < to; j++ {
		if r.items[j].kind == numberToken && isSpeed(r.items[j].value) {
			return true
		}
	}
	return false
}

// isBareAmount reports whether the clause holds nothing but the amount.
func (r *reader) isBareAmount(a amount) bool {
	const small = filler | polite | film | develop | process | article | toward | whole | joins | zone | hedge |
		leave | condition | normal | measure | inCamera
	for j, t := range r.items {
		if t.clause != r.items[a.from].clause || j >= a.from && j < a.to || t.kind == markToken {
			continue
		}
		isLength := (t.text == "exp" || t.text == "exps" || t.text == "exposures") && r.at(j-1).kind == numberToken
		isStock := t.kind == numberToken && int(t.value) == r.iso || t.isUnknown() && j != a.to || isLength
		if !t.is(small) && !t.aside && !isStock && !t.used {
			return false
		}
	}
	return true
}

// upOrDown is the direction of "up one stop in development".
var upOrDown = map[string]int{"up": 1, "down": -1}

// looseAmount keeps stops that no phrase has taken, to complete a push or to
// be asked about. A bare "0" is no push.
func (r *reader) looseAmount(i int) bool {
	a, ok := r.amountAt(i)
	if !ok || r.leadsPush(a.to) || r.at(i).is(zero|vague) && !a.hasUnit {
		return false
	}
	if a.stops == 0 && a.doubt == "" && r.isBareAmount(a) {
		return r.find(finding{kind: refused, from: i, to: a.to})
	}
	if !a.hasUnit || r.at(a.to).is(topic) {
		return false
	}
	if next := r.at(a.to).text; next == "nd" || next == "filter" || next == "grad" || next == "vnd" {
		r.use(i, a.to+1)
		return true
	}
	if up, isUp := upOrDown[r.at(i-1).text]; isUp && r.clauseHas(i, develop) && !r.clauseHas(i, topic) {
		return r.findAmount(a, up, i-1, a.to)
	}
	if stops, ok := a.exact(); ok && a.doubt == "" && !r.clauseHas(i, topic) {
		return r.find(finding{kind: loose, stops: chemistry.Stops(stops), from: i, to: a.to})
	}
	if r.clauseHas(i, topic) && !r.sentenceHas(i, develop|push|pull) {
		r.use(i, a.to)
		return true
	}
	return r.doubt("it does not say what the stops are for", i, a.to)
}

package note

import (
	"slices"

	"wetside/chemistry"
)

// shotAt reads how the film was used: "shot this roll at 1600", "rated 800",
// "meter set to ISO 200", "shot at box speed".
func (r *reader) shotAt(i int) bool {
	if !r.at(i).is(shot) {
		return false
	}
	isFar := isLoose(r.at(i).text)
	for j := i + 1; j < min(i+16, len(r.items)); j++ {
		t := r.items[j]
		if t.used || t.endsSentence() || t.is(push|pull|develop|topic|shot|joins|under|over) && !t.is(film|filler) || t.is(develop) {
			return false
		}
		if t.is(box) {
			return r.boxSpeed(i, j)
		}
		if after := r.at(j + 1); t.is(normal) && !isFar && !after.isUnknown() && !after.aside && !after.is(develop|process|counted) {
			return r.rating(finding{kind: atBox, from: i, to: j + 1})
		}
		ei, to := r.towardSpeed(j)
		if t.text == "on" && isInstrument(r.at(i).text) {
			ei, to = r.speedFrom(j + 1)
		}
		if to == 0 && r.at(j+1).is(index) && !isStock(r, j) {
			ei, to = r.speedFrom(j)
		}
		if to == 0 && !isFar && !isStock(r, j) && t.isNumber() && (isSpeed(t.value) || r.at(i).is(shot) && t.value >= 50) {
			ei, to = r.speedFrom(j)
		}
		if to > 0 && !(t.is(index) && ei == r.iso && r.followedBySpeed(to)) {
			return r.rating(finding{kind: rated, ei: ei, from: i, to: to})
		}
		if a, ok := r.amountAt(j); ok && a.hasUnit {
			return false
		}
		isFar = isFar || t.isUnknown() || t.mark(",") || t.text == "on" && r.at(i).text == "shot"
	}
	return false
}

// boxSpeed records box speed, half of it, or twice it. Any other amount before
// it is asked about.
func (r *reader) boxSpeed(from, i int) bool {
	start, before := from, r.at(i-1)
	if before.is(filler|article) && before.text != "at" {
		before = r.at(i - 2)
	}
	start = min(start, i)
	switch {
	case before.isNumber() && before.value == 0.5 && !before.used:
		return r.misexposedBy(amount{stops: 1}, -1, min(start, i-1), i+1)
	case before.text == "twice" || before.text == "double" || before.text == "doubled":
		return r.misexposedBy(amount{stops: 1}, 1, min(start, i-1), i+1)
	case before.is(under|over|faster|slower|more|less|roughly|not) || before.isNumber() && !before.used && int(before.value) != r.iso && before.text != "one":
		return r.doubt("it is near box speed, not at it", min(start, i-1), i+1)
	}
	return r.rating(finding{kind: atBox, from: start, to: i + 1})
}

// isLoose are verbs that take any number: only "at" or "ISO" makes it a speed.
func isLoose(verb string) bool {
	return verb == "used" || verb == "took" || verb == "taken" || verb == "photographed" || verb == "set" || isInstrument(verb)
}

// isInstrument are the things that a speed is set on.
func isInstrument(noun string) bool {
	return noun == "camera" || noun == "meter" || noun == "dial" || noun == "set" || noun == "lightmeter" || noun == "light meter"
}

// isStock tells the ISO in a stock's name from a rating: box speed after a name
// or before "film", or with a rating still to come.
func isStock(r *reader, j int) bool {
	t := r.at(j)
	if !t.isNumber() {
		return false
	}
	after := r.at(j + 1)
	if after.is(index) {
		after = r.at(j + 2)
	}
	return r.at(j-1).isUnknown() || after.is(film) && after.text != "speed" || int(t.value) == r.iso && r.followedBySpeed(j+1)
}

// followedBySpeed reports whether "at 1600" or the like follows.
func (r *reader) followedBySpeed(j int) bool {
	for k := j; k < min(j+4, len(r.items)); k++ {
		if r.items[k].isPunctuation() {
			return false
		}
		if _, to := r.towardSpeed(k); to > 0 {
			return true
		}
	}
	return false
}

// rating records a rating with what casts doubt on it.
func (r *reader) rating(f finding) bool {
	if end := r.speedRange(f.to); f.kind == rated && end > 0 {
		return r.doubt("it gives a range of speeds", f.from, end)
	}
	if f.kind == rated {
		r.checkNominal(f.ei, f.from, f.to)
		r.guess(f.from, f.to)
	}
	if prev := r.at(f.from - 1); prev.is(not) && prev.text != "no" || prev.is(filler) && r.at(f.from-2).is(not) && r.at(f.from-2).text != "no" {
		return r.doubt("it says how the film was not used", f.from-1, f.to)
	}
	return r.find(f)
}

// indexed reads "EI 1600", "ISO: 800", "1600 asa". The box speed with ISO before
// it is the stock's name.
func (r *reader) indexed(i int) bool {
	t := r.at(i)
	isBefore := t.is(index)
	if !isBefore && !(t.isNumber() && r.at(i+1).is(index)) {
		return false
	}
	from := i
	if isBefore {
		from++
	}
	ei, to := r.speedFrom(from)
	if to == 0 {
		return false
	}
	named := t.text
	if !isBefore {
		named = r.at(i + 1).text
	}
	isName := ei == r.iso && (named == "iso" || named == "asa" || named == "film speed")
	if isName || r.at(to).is(film) && r.at(to).text != "speed" {
		if ei != r.iso {
			r.remark("the film it names has another speed", i, to)
		}
		r.use(i, to)
		return true
	}
	return r.rating(finding{kind: rated, ei: ei, from: i, to: to})
}

// atSpeed reads "@1600" and "at 1600" without a verb, unless the clause is
// about scans or a time to call.
func (r *reader) atSpeed(i int) bool {
	t := r.at(i)
	isArrow := t.mark("→") || t.mark(">") || t.text == "to" && r.at(i-1).isNumber() && int(r.at(i-1).value) == r.iso
	if !t.mark("@") && t.text != "at" && !isArrow {
		return false
	}
	ei, to := r.speedFrom(i + 1)
	if to == 0 || !isSpeed(float64(ei)) {
		return false
	}
	if r.clauseHas(i, topic) {
		r.use(i, to)
		return true
	}
	if isArrow && !r.hasPush() {
		r.remark("two speeds do not say whether a push is wanted", i-1, to)
	}
	return r.rating(finding{kind: rated, ei: ei, from: i, to: to})
}

// hasPush reports whether the note has a push or pull anywhere, by word or sign.
func (r *reader) hasPush() bool {
	for i, t := range r.items {
		if a, ok := r.amountAt(i); t.is(push|pull) || ok && a.sign != 0 && !r.clauseHas(i, topic) {
			return true
		}
	}
	return false
}

// bareSpeed reads a film speed that stands alone: "1600, push 2".
func (r *reader) bareSpeed(i int) bool {
	t := r.at(i)
	if !t.isNumber() || !isSpeed(t.value) || t.value < 25 || int(t.value) == r.iso || r.at(i-1).isUnknown() {
		return false
	}
	if stopsApart(stopsUp(r.iso, int(t.value)), 0) > 5*chemistry.Stop || r.at(i+1).is(film) {
		return false
	}
	isFirst := true
	for j := i - 1; j >= 0 && r.items[j].clause == t.clause; j-- {
		prev := r.items[j]
		isFirst = isFirst && (prev.isPunctuation() || prev.is(filler|polite|film|hedge) && !prev.is(toward))
	}
	next := r.at(i + 1)
	isLast := next.isPunctuation() || next.clause != t.clause || next.is(push|pull|polite|either|inCamera) || next.mark("+") || next.mark("-") || next.mark("→") || next.mark("/")
	if !isFirst || !isLast {
		return false
	}
	return r.rating(finding{kind: rated, ei: int(t.value), from: i, to: i + 1})
}

// agreedSpeed reads the one speed of a note that begins a clause and has no
// word to say what it is, where the push asked for comes to it: "1600 all night.
// Push 2."
func (r *reader) agreedSpeed(i int) bool {
	t, next := r.at(i), r.at(i+1)
	isPlaced := (i == 0 || r.at(i-1).isPunctuation()) && next.is(whole|toward) && !next.is(film)
	if !t.isNumber() || !isSpeed(t.value) || t.value < 100 || !isPlaced || r.isElsewhere(i) {
		return false
	}
	isOther := func(u item) bool { return u.isNumber() && isSpeed(u.value) && u.value >= 25 && u.start != t.start }
	if slices.ContainsFunc(r.items, isOther) {
		return false
	}
	agrees := func(f finding) bool { return f.kind == asked && stopsUp(r.iso, int(t.value)) == f.stops }
	return len(r.findings) == 1 && agrees(r.findings[0]) && r.find(finding{kind: rated, ei: int(t.value), from: i, to: i + 1})
}

// offset reads exposure in stops: "2 stops under", "one stop overexposed",
// "rated a stop faster".
func (r *reader) offset(i int) bool {
	a, ok := r.amountAt(i)
	if !ok {
		return false
	}
	direction := r.offsetDirection(a.to)
	isExposure := func(t item) bool { return t.text == "compensation" || t.text == "comp" || t.text == "exposure" }
	isCompensation := direction == 0 && a.sign != 0 && (isExposure(r.at(a.to)) || isExposure(r.at(i-1)) && r.at(i-1).text != "exposure")
	if direction == 0 && !isCompensation {
		return false
	}
	end := a.to + 1
	switch sense := a.sign * direction; {
	case r.clauseHas(i, topic):
		r.use(i, end)
		return true
	case isCompensation:
		return r.misexposedBy(a, -a.sign, i, a.to)
	case sense > 0 && r.at(a.to).is(under|over):
		return r.doubt("the sign and the word disagree", i, end)
	}
	if isBoxNext := r.at(end).is(box) || r.at(end).is(filler|article) && r.at(end+1).is(box); isBoxNext {
		return r.offsetFromBox(a, i)
	}
	if r.clauseHas(i, develop) && !r.clauseHas(i, shot|exposed) {
		return r.findAmount(a, -direction*sameSense(r.at(a.to)), i, end)
	}
	return r.misexposedBy(a, direction, i, end)
}

// sameSense turns "develop one stop over" round: over is more development,
// while for exposure it is less speed.
func sameSense(t item) int {
	if t.is(faster | slower) {
		return -1
	}
	return 1
}

// offsetDirection returns +1 where the word at item i says that the film got
// less light, or was rated faster; −1 for more; 0 for neither.
func (r *reader) offsetDirection(i int) int {
	switch t := r.at(i); {
	case t.is(under | faster):
		return 1
	case t.is(over | slower):
		return -1
	}
	return 0
}

// offsetFromBox reads "one stop above box speed", where above is a higher EI.
func (r *reader) offsetFromBox(a amount, i int) bool {
	end := a.to + 1
	for !r.at(end).is(box) {
		end++
	}
	word := r.at(a.to).text
	switch {
	case word == "above", r.at(a.to).is(faster):
		return r.misexposedBy(a, 1, i, end+1)
	case word == "below", r.at(a.to).is(slower):
		return r.misexposedBy(a, -1, i, end+1)
	}
	return r.doubt("over box speed may be more light or a higher speed", i, end+1)
}

// misexposedBy records the EI that an amount under or over amounts to.
func (r *reader) misexposedBy(a amount, direction, from, to int) bool {
	if a.doubt != "" && r.at(a.from).is(vague) {
		return r.find(finding{kind: misexposed, direction: direction, from: from, to: to})
	}
	stops, ok := a.exact()
	if !ok || a.doubt != "" {
		return r.doubt("it does not say exactly by how much", from, to)
	}
	up := stops * chemistry.Stops(direction)
	ei := speedAt(r.iso, up)
	if ei == 0 {
		return r.doubt("that is no film speed", from, to)
	}
	return r.find(finding{kind: rated, ei: ei, stops: up, from: from, to: to})
}

// misexposure reads "underexposed by 2" and "overexposed", the word first.
func (r *reader) misexposure(i int) bool {
	t := r.at(i)
	direction := r.offsetDirection(i)
	if direction == 0 || !t.is(exposed) && !t.is(under|over) {
		return false
	}
	if t.is(exposed) && r.at(i-1).is(not) {
		r.use(i-1, i+1)
		return true
	}
	if r.clauseHas(i, topic) && !r.clauseHas(i, shot|develop|film) {
		r.use(i, i+1)
		return true
	}
	for j := i + 1; j < min(i+7, len(r.items)); j++ {
		a, ok := r.amountAt(j)
		if ok && !r.at(j).is(zero|vague) && (t.is(exposed) || a.hasUnit || r.at(j-1).text == "by") && !r.leadsPush(a.to) {
			return r.misexposedBy(a, direction, i, a.to)
		}
		if u := r.items[j]; u.used || !u.is(filler|film|toward|whole|roughly|counted) || u.isPunctuation() {
			break
		}
	}
	if !t.is(exposed) {
		return false
	}
	return r.find(finding{kind: misexposed, direction: direction, from: i, to: i + 1})
}

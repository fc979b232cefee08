package note

import "slices"

// isNegated reports whether a push or pull at item i is refused by words before
// it: "do not push", "no need for a push", "cancel the push", "no push or pull".
func (r *reader) isNegated(i int) bool {
	for j := i - 1; j >= max(i-9, 0) && r.items[j].sentence == r.items[i].sentence; j-- {
		t := r.items[j]
		switch {
		case t.is(not | cancel), t.is(zero) && j == i-1:
			return t.text != "no" || r.at(j+1).text != "just" // no, just push 1
		case t.is(push|pull) && r.wasRefused(j):
			return true
		case t.is(joins) && !r.joinsRefusal(j), t.isPunctuation():
			return false
		case t.is(filler | film | article | polite | develop | whole | either | relative), t.mark("/"), t.mark("&"), r.isAmountWord(j):
		default:
			return false
		}
	}
	return false
}

// isAmountWord lets "no 2 stop push" be refused across its amount.
func (r *reader) isAmountWord(j int) bool {
	t := r.at(j)
	return !t.used && (t.isNumber() && t.value <= most || t.is(unit) || t.mark("+"))
}

// joinsRefusal reports whether and, or, / before item j+1 follow a refusal.
func (r *reader) joinsRefusal(j int) bool { return r.wasRefused(j - 1) }

// wasRefused reports whether item j belongs to a refusal already read.
func (r *reader) wasRefused(j int) bool {
	for _, f := range r.findings {
		if (f.kind == refused || f.kind == rejected) && f.from <= j && j < f.to {
			return true
		}
	}
	return false
}

// isToldStory reports whether the clause of item i only tells what was done to
// other film, beside a clause that says what is wanted for this one: "do not
// push, last time it was pushed by mistake", "last time you pushed two stops,
// push one this time".
func (r *reader) isToldStory(i int) bool {
	if r.told[r.items[i].clause] {
		return true
	}
	wantsSame := slices.ContainsFunc(r.items, func(t item) bool { return t.text == "same" || t.text == "again" || t.is(leave) })
	if wantsSame || !r.clauseHas(i, past) || r.clauseHas(i, polite|not|normal|hedge) || r.clauseFound(i) {
		return false
	}
	isSaid := slices.ContainsFunc(r.findings, func(f finding) bool { return f.kind == refused || f.kind == asNormal })
	return isSaid && !r.hasRequest() || r.isAnsweredLater(i)
}

// isAnsweredLater reports whether a later clause has a push or pull of its own
// that is not told of too.
func (r *reader) isAnsweredLater(i int) bool {
	for j := i + 1; j < len(r.items); j++ {
		t := r.items[j]
		if t.clause != r.items[i].clause && t.is(push|pull) && !isToldForm(t) && !r.clauseHas(j, past|topic) {
			return true
		}
	}
	return false
}

func isToldForm(t item) bool { return t.text == "pushed" || t.text == "pulled" }

// tellsOfBefore reports whether the "pushed" at item i is part of such a story.
func (r *reader) tellsOfBefore(i int) bool { return isToldForm(r.at(i)) && r.isToldStory(i) }

// toldTo returns the end of the amount that a story tells of.
func (r *reader) toldTo(i int) int {
	for j := i; j < min(i+4, len(r.items)) && r.items[j].clause == r.at(i-1).clause; j++ {
		if a, ok := r.amountAt(j); ok {
			return a.to
		}
		if _, to := r.towardSpeed(j); to > 0 {
			return to
		}
	}
	return i
}

// danglingNegation doubts "do not, whatever happens, push".
func (r *reader) danglingNegation(i int) {
	for j := i - 1; j >= 0 && r.items[j].sentence == r.items[i].sentence; j-- {
		t := r.items[j]
		if t.is(not) && !t.used && t.text != "no" && t.text != "nope" && (r.at(j+1).mark(",") || r.at(j+1).mark("(")) {
			r.remark("it may say not to", j, i+1)
			return
		}
	}
}

// negatedRequest records a refusal, or the amount that is not wanted.
func (r *reader) negatedRequest(i, end, direction int) bool {
	if a, ok := r.amountBefore(i); ok {
		return r.reject(a, direction, a.from, end)
	}
	if next := r.at(end).text; next == "before" || next == "yet" || r.at(end).is(film) && r.at(end+1).text == "before" {
		r.otherSense(i, end+1) // a first time, not a refusal
		return true
	}
	for j := end; j < min(end+5, len(r.items)); j++ {
		if a, ok := r.amountAt(j); ok && !r.at(j).is(zero) {
			return r.reject(a, direction, i, a.to)
		}
		if ei, to := r.towardSpeed(j); to > 0 && ei != r.iso {
			return r.find(finding{kind: rejected, stops: stopsUp(r.iso, ei), from: i, to: to})
		}
		if t := r.items[j]; t.is(more|vague|roughly) || t.text == "too" || t.text == "beyond" || t.text == "past" || t.is(under|over) {
			return r.doubt("it sets a limit, not an amount", i, j+1)
		}
		if t := r.items[j]; t.used || !t.is(filler|film|whole|more|roughly|article) && r.at(j).text != "by" {
			break
		}
	}
	return r.find(finding{kind: refused, direction: direction, from: i, to: end})
}

func (r *reader) reject(a amount, direction, from, to int) bool {
	stops, ok := a.exact()
	if !ok || a.doubt != "" {
		return r.doubt("it says what not to do, not what to do", from, to)
	}
	if direction < 0 || a.sign < 0 {
		stops = -stops
	}
	return r.find(finding{kind: rejected, stops: stops, from: from, to: to})
}

// rejection reads a number that is only named to be ruled out: "not 2",
// "instead of 400", "not at box speed".
func (r *reader) rejection(i int) bool {
	if !r.at(i).is(not|reject) || r.at(i).text == "no" {
		return false
	}
	for j := i + 1; j < min(i+5, len(r.items)); j++ {
		t := r.items[j]
		if t.is(box | normal) {
			r.use(i, j+1)
			return true
		}
		if a, ok := r.amountAt(j); ok && !t.is(zero|vague|relative) && !r.at(a.to).is(push|pull) {
			return r.reject(a, a.sign, i, a.to)
		}
		if t.isNumber() && isSpeed(t.value) {
			r.use(i, j+1)
			return true
		}
		if !t.is(filler|toward|index|article|film|shot) && !t.mark("@") {
			return false
		}
	}
	return false
}

// isDenied reports whether "none", "no" or "not needed" follows at item i.
func (r *reader) isDenied(i int) bool { return r.deniedTo(i) > 0 }

func (r *reader) deniedTo(i int) int {
	for j := i; j < min(i+5, len(r.items)); j++ {
		t := r.items[j]
		_, isAmount := r.amountAt(j + 1)
		switch {
		case t.is(not|zero) && !isAmount && !r.at(j+1).is(push|pull) && !r.at(j+1).is(roughly) && (!t.is(not) || t.is(zero) || r.endsDenial(j+1)):
			return j + 1
		case t.is(filler) && !t.is(joins), t.is(film), t.mark(":"), t.mark("="), t.mark("-"), t.mark("?"):
		default:
			return 0
		}
	}
	return 0
}

// endsDenial accepts "push: no" and "push is not needed", but not "push, no
// matter what".
func (r *reader) endsDenial(j int) bool {
	t := r.at(j)
	return t.isPunctuation() || t.is(filler|polite) || t.kind == markToken
}

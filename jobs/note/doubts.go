package note

import (
	"slices"

	"wetside/chemistry"
)

// exposure are the words by which a clause is about exposure or development.
const exposure = push | pull | unit | index | shot | develop | box | exposed | zone

// lookForDoubts goes through the note once more, after the grammar, for what
// makes a reading unsure: hedges, conditions, questions, parts of a roll, other
// rolls, and numbers that nothing explains.
func (r *reader) lookForDoubts() {
	for i, t := range r.items {
		switch {
		case t.is(leave) && !r.clauseHas(i, topic):
			r.suspect("it leaves the choice to the lab", i)
		case t.is(hedge) && r.concerns(i):
			r.suspect("the writer is not sure", i)
		case t.is(condition) && r.concerns(i):
			r.suspect("it depends on something", i)
		case t.is(past) && r.concerns(i):
			r.suspect("it speaks of other film too", i)
		case t.is(correction) && r.takesBack(i):
			r.void("it takes something back", i, i+1)
		case t.is(partly|other) && r.concerns(i), r.isPartOfRoll(i):
			r.void("it speaks of a part only", i, i+1)
		case r.isUnread(i):
			r.void("it may take the request back", i, i+1)
		case t.mark("?") && r.isRealQuestion(i):
			r.suspect("it is a question", i)
		case r.isUnexplained(i):
			r.void("nothing says what this number is", i, i+1)
		}
	}
	r.compareLabels()
}

// void doubts a note whose request could be for something else.
func (r *reader) void(reason string, from, to int) {
	r.doubts = append(r.doubts, doubt{reason, from, to, true})
}

func (r *reader) suspect(reason string, i int) {
	r.remark(reason, i, i+1)
}

// concerns reports whether the clause of item i is about exposure, or says
// nothing of its own and so belongs to what is.
func (r *reader) concerns(i int) bool {
	if r.clauseFound(i) {
		return true
	}
	isEmpty := true
	for j, t := range r.items {
		if t.clause != r.items[i].clause || j == i || t.kind == markToken {
			continue
		}
		if t.is(exposure|normal) && !t.is(topic) || r.isUnexplained(j) {
			return true
		}
		isKnown := t.is(filler|polite|film|hedge|ordinal|counted|toward|article|condition|whole|leave|more|less|joins) && !t.is(topic)
		isEmpty = isEmpty && isKnown
	}
	return isEmpty && len(r.findings) > 0
}

// clauseFound reports whether a finding lies in the clause of item i.
func (r *reader) clauseFound(i int) bool {
	for _, f := range r.findings {
		if r.items[f.from].clause <= r.items[i].clause && r.items[i].clause <= r.items[f.to-1].clause {
			return true
		}
	}
	return false
}

func (r *reader) sentenceFound(i int) bool {
	for _, f := range r.findings {
		if r.items[f.from].sentence <= r.items[i].sentence && r.items[i].sentence <= r.items[f.to-1].sentence {
			return true
		}
	}
	return false
}

// takesBack reports whether a correction after a finding is followed by a no,
// a number or another request in its clause.
func (r *reader) takesBack(i int) bool {
	if len(r.findings) == 0 || r.findings[0].from > i {
		return false
	}
	for j := i + 1; j < len(r.items) && r.items[j].sentence == r.items[i].sentence; j++ {
		if r.items[j].is(not|normal|box) || r.items[j].isNumber() {
			return true
		}
	}
	return false
}

// isUnread finds a no or a normal that no phrase has taken, beside a request:
// "push 2. No, normal".
func (r *reader) isUnread(i int) bool {
	t := r.at(i)
	if t.used || !t.is(not|normal) || r.at(i-1).text == "else" || r.clauseHas(i, topic) {
		return false
	}
	isRequest := func(f finding) bool { return f.kind == asked || f.kind == target || f.kind == open }
	return slices.ContainsFunc(r.findings, isRequest) && r.isBare(i)
}

// isPartOfRoll finds "the last 10 frames" and "frames 1-12" in a clause about
// exposure.
func (r *reader) isPartOfRoll(i int) bool {
	switch r.at(i).text {
	case "frame", "frames", "shots", "exposures", "pics", "photos", "pictures", "images":
	default:
		return false
	}
	if !r.clauseFound(i) {
		return false
	}
	for j := max(i-3, 0); j < i; j++ {
		if r.items[j].is(ordinal|vague) && r.items[j].clause == r.items[i].clause {
			return true
		}
	}
	return r.at(i+1).kind == numberToken
}

// isRealQuestion tells "push 1?" from "could you push this one stop?".
func (r *reader) isRealQuestion(i int) bool {
	if i == 0 || !r.sentenceFound(i) || !r.concerns(i-1) {
		return false
	}
	for j := i - 1; j > 0 && r.items[j].sentence == r.items[i].sentence; j-- {
		if r.items[j-1].text == "should" && (r.items[j].text == "i" || r.items[j].text == "we" || r.items[j].text == "this" || r.items[j].text == "it") {
			return true
		}
	}
	return !r.sentenceHas(i, polite)
}

// isUnexplained reports whether item i is a number that could be stops or a
// speed and that no phrase has taken.
func (r *reader) isUnexplained(i int) bool {
	t := r.at(i)
	if !t.isNumber() || t.used || t.text == "one" || int(t.value) == r.iso || r.clauseHas(i, topic) || r.at(i-1).isUnknown() {
		return false
	}
	isStops := t.value <= 6 && t.value > 0
	isEI := isSpeed(t.value) && t.value >= 25 && stopsApart(stopsUp(r.iso, int(t.value)), 0) <= 5*chemistry.Stop
	return (isStops || isEI) && (isEI && t.value >= 100 || r.sentenceFound(i) || r.isBareAmount(amount{from: i, to: i + 1}) || r.sentenceHas(i, exposure))
}

// compareLabels doubts a note that names two rolls, unless it asks the same for
// each.
func (r *reader) compareLabels() {
	labels := map[string]int{}
	for i, t := range r.items {
		next := r.at(i + 1)
		isThing := func(x item) bool { return x.text == "roll" || x.text == "film" || x.text == "canister" }
		switch {
		case t.is(ordinal) && (isThing(next) || next.text == "one"):
			labels[t.text] = i
		case isThing(t) && next.kind == numberToken && next.aside, isThing(t) && next.kind == wordToken && len(next.text) == 1 && !next.is(article|filler):
			labels[next.text] = i
		case t.text == "a" && isThing(r.at(i-1)):
			labels[t.text] = i
		}
	}
	if len(labels) < 2 || len(r.findings) == 0 || r.asksAlike(len(labels)) {
		return
	}
	r.void("it speaks of more than one roll", 0, len(r.items))
}

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

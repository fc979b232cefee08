package note

import (
	"slices"
	"strings"

	"wetside/chemistry"
)

// exposure are the words by which a clause is about exposure or development.
const exposure = push | pull | unit | index | shot | develop | box | exposed | zone

// lookForDoubts goes through the note once more, after the grammar, for what
// makes a reading unsure: hedges, conditions, questions, parts of a roll, other
// rolls, and numbers that nothing explains.
func (r *reader) lookForDoubts() {
	r.concerned = map[int]bool{}
	for _, check := range []struct {
		reason string
		voids  bool
		holds  func(i int) bool
	}{
		{"it takes something back", true, r.takesBack},
		{"it takes something back", true, r.dropsRequest},
		{inPart, true, func(i int) bool { return r.isPartly(i) || r.isPartOfRoll(i) }},
		{"it may take the request back", true, r.isUnread},
		{"nothing says what this number is", true, r.isUnexplained},
		{"it leaves the choice to the lab", false, func(i int) bool { return r.at(i).is(leave) && !r.isElsewhere(i) }},
		{"the writer is not sure", false, func(i int) bool { return r.at(i).is(hedge) && r.concerns(i) && !r.isOnlyMisexposed(i) }},
		{"it depends on something", false, func(i int) bool { return r.at(i).is(condition) && r.concerns(i) }},
		{"it depends on something", false, r.isWhenThen},
		{"it is a question", false, r.isRealQuestion},
		{"it is a question", false, r.isUnmarkedQuestion},
		{"it tells what somebody else says", true, r.isReported},
		{"it speaks of other film too", true, func(i int) bool { return r.isPast(i) && (r.clauseAsks(i) || r.headsRequest(i)) }},
		{"it speaks of other film too", false, r.isPast},
		{"it changes the development, not in stops", false, r.isTimeChange},
		{"it has a push in a word of its own", false, r.hidesPush},
	} {
		for i := range r.items {
			if check.holds(i) { // the first is enough
				r.doubts = append(r.doubts, doubt{check.reason, i, i + 1, check.voids})
				break
			}
		}
	}
	r.compareLabels()
}

// hidesPush finds words run together, such as "stoppush".
func (r *reader) hidesPush(i int) bool {
	t := r.at(i)
	return (t.isUnknown() || t.is(aside)) && !t.used && strings.Contains(t.text, "push")
}

// void doubts a note whose request could be for something else.
func (r *reader) void(reason string, from, to int) {
	r.doubts = append(r.doubts, doubt{reason, from, to, true})
}

// isElsewhere reports whether item i is about scans, prints or post.
func (r *reader) isElsewhere(i int) bool {
	return r.clauseHas(i, topic) || r.sentenceHas(i, topic) && !r.sentenceHas(i, exposure) && !r.sentenceFound(i)
}

// concerns reports whether the clause of item i is about exposure, or says
// nothing of its own and so belongs to what is.
func (r *reader) concerns(i int) bool {
	clause := r.items[i].clause
	if _, known := r.concerned[clause]; !known {
		r.concerned[clause] = r.clauseFound(i) || r.clauseConcerns(clause)
	}
	return r.concerned[clause]
}

func (r *reader) clauseConcerns(clause int) bool {
	const empty = filler | polite | film | hedge | ordinal | counted | toward | article | condition | whole | leave | more | less |
		joins | past | partly | other
	isEmpty := true
	for i, t := range r.items {
		if t.clause != clause || t.kind == markToken {
			continue
		}
		isAboutUse := t.is(shot) && (r.at(i-1).text == "what" || r.at(i-2).text == "what" || r.at(i-2).text == "which" || r.at(i-2).text == "how")
		if (t.is((exposure|normal)&^shot) || isAboutUse) && !t.is(topic) && !r.isElsewhere(i) || r.isUnexplained(i) {
			return true
		}
		isEmpty = isEmpty && t.is(empty) && !t.is(topic)
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

// clauseAsks reports whether an amount or target that was asked for lies in the
// clause of item i.
func (r *reader) clauseAsks(i int) bool {
	return slices.ContainsFunc(r.findings, func(f finding) bool {
		isWhole := r.items[f.from].clause == r.items[f.to-1].clause
		return isWhole && (f.kind == asked || f.kind == target) && r.items[f.from].clause == r.items[i].clause
	})
}

// isPast reports whether item i speaks of other film, in a clause about exposure
// that is not told only to explain.
func (r *reader) isPast(i int) bool {
	return r.at(i).is(past) && (r.headsRequest(i) || r.concerns(i) && !r.isToldStory(i))
}

// headsRequest reports whether the clause of item i only names what the request
// after its colon is for: "previous order: push 2".
func (r *reader) headsRequest(i int) bool {
	hasStory := slices.ContainsFunc(r.items, func(t item) bool { return t.clause == r.items[i].clause && t.isUnknown() })
	return r.introduces(i) && !hasStory
}

// isReported reports whether item i begins what somebody else says, in a clause
// that asks for something. What the writer said, or was told to ask for, is the
// writer's own.
func (r *reader) isReported(i int) bool {
	prev := r.at(i - 1).text
	isOwn := prev == "i" || prev == "we" || r.at(i-2).text == "i" && prev == "was"
	return r.at(i).is(reported) && !isOwn && r.clauseAsks(i) && !r.clauseHas(i, polite)
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
	if !r.at(i).is(correction) || len(r.findings) == 0 || r.findings[0].from > i {
		return false
	}
	for j := i + 1; j < len(r.items) && r.items[j].sentence == r.items[i].sentence; j++ {
		if r.items[j].is(not|normal|box) || r.items[j].isNumber() {
			return true
		}
	}
	return false
}

// dropsRequest reports whether the sentence of item i, or the one before it, asks
// for something that item i then drops: "was going to say push 2, changed my
// mind". A plain "ignore" must stand at the end.
func (r *reader) dropsRequest(i int) bool {
	t := r.at(i)
	isPlain := t.is(cancel) && !t.used && r.at(i+1).isPunctuation()
	if !t.is(takeback) && !isPlain || r.clauseHas(i, topic) {
		return false
	}
	return slices.ContainsFunc(r.findings, func(f finding) bool {
		isRequest := f.kind == asked || f.kind == target || f.kind == open
		return isRequest && f.to <= i && r.items[f.from].sentence >= t.sentence-1
	})
}

// isUnread finds a no or a normal that no phrase has taken, beside a request:
// "push 2. No, normal".
func (r *reader) isUnread(i int) bool {
	t, next := r.at(i), r.at(i+1)
	if t.used || r.at(i-1).text == "else" || r.clauseHas(i, topic) || !r.hasRequest() {
		return false
	}
	switch {
	case t.is(not) && t.text != "non" && r.at(i+1).endsSentence() && i > 0 && !r.at(i-1).isPunctuation() && r.sentenceFound(i):
		return true // push 1 haha no
	case t.text == "usual", t.text == "usually", t.text == "normally", next.is(plus | minus), next.mark("+"), next.mark("-"):
		return false
	case t.is(zero) && t.kind == wordToken:
		return next.text == "on" || next.text == "for" || next.text == "with"
	case t.is(normal):
		return !next.isUnknown() && !next.is(counted|elsewhere|measure) // not a normal lens
	case t.text == "not" && (r.at(i-1).isPunctuation() || r.at(i-1).is(joins)):
		return next.is(whole|film|other|partly|ordinal) || isThe(next) || next.text == "on" || next.text == "for" || r.isBare(i)
	}
	return t.is(not|normal) && r.isBare(i)
}

func isThe(t item) bool { return t.text == "the" || t.text == "my" || t.text == "our" }

func (r *reader) hasRequest() bool {
	return slices.ContainsFunc(r.findings, func(f finding) bool { return f.kind == asked || f.kind == target || f.kind == open })
}

// isPartly finds words that give a part of the roll or order something else,
// unless all they say is that a part came out thin.
func (r *reader) isPartly(i int) bool {
	t := r.at(i)
	if t.text == "only" && r.at(i-1).isUnknown() && isThe(r.at(i-2)) {
		return r.hasRequest() // the Marl only
	}
	if r.isShare(i) {
		return r.concerns(i)
	}
	if !t.is(partly | other) {
		return false
	}
	if t.text == "leave" || t.text == "leaving" {
		return !r.clauseHas(i, topic|elsewhere) && r.hasRequest()
	}
	return (r.concerns(i) || r.introduces(i)) && !r.isOnlyMisexposed(i)
}

// introduces reports whether a colon after the clause of item i leads to what is
// asked for: "the one with tape: push 1".
func (r *reader) introduces(i int) bool {
	for j := i + 1; j < len(r.items); j++ {
		if r.items[j].clause != r.items[i].clause {
			return r.items[j].mark(":") && r.clauseFound(j)
		}
	}
	return false
}

// isShare finds "2 of the rolls", "two of them", "a third of the roll", "2 of 3".
func (r *reader) isShare(i int) bool {
	t, next := r.at(i+1), r.at(i+2)
	isPart := r.at(i).kind == numberToken && r.at(i).isWhole() || r.at(i).is(ordinal)
	isOfSome := isThe(next) || next.text == "these" || next.text == "them" || next.text == "those" || next.kind == numberToken
	return isPart && t.text == "of" && isOfSome && !r.at(i-1).is(label) && !r.at(i-1).mark("#")
}

// isOnlyMisexposed reports whether the clause says no more than over or under,
// in a note that asks for something.
func (r *reader) isOnlyMisexposed(i int) bool {
	seen := false
	for _, f := range r.findings {
		if r.items[f.from].clause != r.items[i].clause {
			continue
		}
		if f.kind != misexposed {
			return false
		}
		seen = true
	}
	return seen && r.hasRequest()
}

// isTimeChange finds a change of development in per cent or time.
func (r *reader) isTimeChange(i int) bool {
	t, next := r.at(i), r.at(i+1)
	switch {
	case r.clauseHas(i, topic):
		return false
	case t.text == "double", t.text == "doubled", t.text == "twice":
		return !t.used && r.clauseHas(i, develop)
	case t.kind != numberToken:
		return false
	}
	return next.mark("%") && r.clauseHas(i, develop|more|less) || next.is(counted|measure) && r.at(i+2).is(more|less) && !r.at(i+2).is(joins) &&
		!next.is(film)
}

// isPartOfRoll finds "the last 10 frames" and "frames 1-12" in a clause about
// exposure.
func (r *reader) isPartOfRoll(i int) bool {
	switch r.at(i).text {
	case "frame", "frames", "shots", "exposures", "pics", "photos", "pictures", "images":
	default:
		return false
	}
	if !r.clauseFound(i) || r.isOnlyMisexposed(i) {
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
	if !r.at(i).mark("?") || i == 0 || !r.sentenceFound(i) || !r.concerns(i) {
		return false
	}
	for j := i - 1; j > 0 && r.items[j].sentence == r.items[i].sentence; j-- {
		if r.items[j-1].text == "should" && (r.items[j].text == "i" || r.items[j].text == "we" || r.items[j].text == "this" || r.items[j].text == "it") {
			return true
		}
	}
	return !r.sentenceHas(i, polite) && !r.asksPassively(i) && !r.isAnswered(i)
}

// isUnmarkedQuestion finds a question by its first word where the mark was left
// out: "does pushing 2 stops cost extra".
func (r *reader) isUnmarkedQuestion(i int) bool {
	if i > 0 && r.items[i-1].sentence == r.items[i].sentence || !r.sentenceFound(i) || r.sentenceHas(i, polite) || r.isMarked(i) {
		return false
	}
	next := r.at(i + 1).text
	switch r.at(i).text {
	case "does", "is", "are", "why", "which", "should", "how":
		return true
	case "what":
		return next != "i"
	case "do":
		return next == "you" || next == "i"
	}
	return false
}

// isMarked reports whether the sentence of item i ends with a question mark.
func (r *reader) isMarked(i int) bool {
	return slices.ContainsFunc(r.items, func(t item) bool { return t.mark("?") && t.sentence == r.items[i].sentence })
}

// isWhenThen finds "when the strip is thin, then push one".
func (r *reader) isWhenThen(i int) bool {
	isThen := func(t item) bool { return t.text == "then" && t.sentence == r.items[i].sentence }
	return r.at(i).text == "when" && r.sentenceFound(i) && slices.ContainsFunc(r.items[i:], isThen)
}

// asksPassively finds a request about the film itself: "could this be pushed a
// stop?". "Can it be?" asks whether it is possible.
func (r *reader) asksPassively(i int) bool {
	isThanked := slices.ContainsFunc(r.items, func(t item) bool { return t.text == "thanks" || t.text == "thank you" || t.text == "cheers" })
	for j := 0; j < i; j++ {
		if t := r.items[j]; t.sentence != r.items[i].sentence || t.text != "could" && !(t.text == "can" && isThanked) {
			continue
		}
		for k := j + 1; k < min(j+5, i) && r.at(k).is(film|filler); k++ {
			switch r.at(k).text {
			case "be", "have", "get", "go":
				return r.at(k+1).text != "been"
			}
		}
	}
	return false
}

// isAnswered reports whether the writer answers a question mark, as on a form:
// "Push? Yes, 2 stops".
func (r *reader) isAnswered(i int) bool {
	_, isAmount := r.amountAt(i + 1)
	next := r.at(i + 1)
	return isAmount || next.used || next.is(not|zero) || next.text == "yes" || next.text == "yep"
}

// isUnexplained reports whether item i is a number that could be stops or a
// speed and that no phrase has taken.
func (r *reader) isUnexplained(i int) bool {
	t := r.at(i)
	if !t.isNumber() || t.used || t.text == "one" || r.at(i-1).isUnknown() || r.repeatsAmount(i) {
		return false
	}
	_, isExact := amount{stops: t.value}.exact()
	isStops := t.value <= 6 && t.value > 0 && isExact
	isEI := isSpeed(t.value) && t.value >= 25 && stopsApart(stopsUp(r.iso, int(t.value)), 0) <= 5*chemistry.Stop
	if !isStops && !isEI || int(t.value) == r.iso && !r.isSecondSpeed(i) || r.isElsewhere(i) {
		return false
	}
	return r.isCurt(i) || isEI && t.value >= 100 || r.sentenceFound(i) || r.sentenceHas(i, exposure) ||
		r.isBareAmount(amount{from: i, to: i + 1})
}

// isCurt reports whether the sentence of item i is no more than a few words, so
// that a number in it is likely to matter: "up 1".
func (r *reader) isCurt(i int) bool {
	words := 0
	for _, t := range r.items {
		if t.sentence == r.items[i].sentence && t.kind != markToken {
			words++
		}
	}
	return words < 3
}

// isSecondSpeed tells "rated 800 indoors and 400 outdoors" from the stock's name.
func (r *reader) isSecondSpeed(i int) bool {
	prev := r.at(i - 1)
	isListed := prev.text == "and" || prev.is(either) || prev.mark("&") || prev.mark("/")
	return isListed && !r.at(i+1).is(film) && slices.ContainsFunc(r.findings, func(f finding) bool { return f.kind == rated && f.ei != r.iso })
}

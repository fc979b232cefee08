package note

import "wetside/chemistry"

// request reads a phrase around the word push or pull: "push 2", "2 stop push",
// "push to 1600", "do not push", "push: none".
func (r *reader) request(i int) bool {
	if !r.at(i).is(push | pull) {
		return false
	}
	direction, end := r.direction(i)
	if r.at(i-1).aside && r.at(end).is(street) && r.at(end).text != "st" {
		r.otherSense(i, end) // 1 Push Lane
		return true
	}
	if r.isName(i) {
		if a, ok := r.amountAt(end); ok {
			end = a.to
		}
		return r.doubt("it may be a name", i, end)
	}
	if r.tellsOfBefore(i) {
		r.told[r.at(i).clause] = true
		r.otherSense(i, r.toldTo(end))
		return true
	}
	if r.isNegated(i) {
		return r.negatedRequest(i, end, direction)
	}
	r.danglingNegation(i)
	before, hasBefore := r.amountBefore(i)
	if !hasBefore && r.isDenied(end) {
		return r.find(finding{kind: refused, direction: direction, from: i, to: r.deniedTo(end)})
	}
	if hasBefore {
		r.give(before, direction, before.from, end)
	}
	if r.complement(end, direction, i) || hasBefore {
		return true
	}
	return r.withoutAmount(i, end, direction)
}

// isName reports whether the push or pull at item i is what something is called.
func (r *reader) isName(i int) bool {
	before := i - 1
	for r.at(before).mark("\"") || r.at(before).mark("'") || r.at(before).mark("“") || r.at(before).mark(":") {
		before--
	}
	switch r.at(before).text {
	case "called", "named", "titled", "entitled":
		return true
	}
	return false
}

// direction reads "push", "pull", "push/pull" and "push or pull"; 0 is either.
func (r *reader) direction(i int) (direction, end int) {
	found, end := r.at(i).class&(push|pull), i+1
	for {
		joint := r.at(end)
		isJoint := joint.mark("/") || joint.mark("&") || joint.is(either) || joint.text == "and"
		next := r.at(end + 1)
		if !isJoint || !next.is(push|pull) || next.class&(push|pull) == found {
			break
		}
		if _, ok := r.amountAt(end + 2); ok && !joint.mark("/") {
			break // push and pull 1
		}
		found |= next.class & (push | pull)
		end += 2
	}
	switch found {
	case push:
		return 1, end
	case pull:
		return -1, end
	}
	return 0, end
}

// give records an amount with the direction that the word and the sign agree on.
func (r *reader) give(a amount, direction, from, to int) {
	switch {
	case a.stops == 0 && a.doubt == "":
		r.find(finding{kind: refused, direction: direction, from: from, to: to})
		return
	case a.sign == 0 && direction == 0:
		r.doubt("it says push or pull, not which", from, to)
		return
	case direction == 0:
		direction = a.sign
	case direction > 0 && a.sign < 0:
		r.doubt("a push with a minus may be a pull", from, to)
		direction = -1
	case direction < 0 && a.sign > 0:
		r.doubt("it says pull with a plus", from, to)
		return
	}
	if r.at(to).is(inScan) {
		if r.at(to+2).is(develop) && r.at(to+2).sentence == r.at(to).sentence {
			r.doubt("it may be about development or about something else", from, to+3)
			return
		}
		r.otherSense(from, to+1)
		return
	}
	r.findAmount(a, direction, from, to)
	r.inCamera(from, to)
}

// inCamera turns a push that was made with the meter into a rating.
func (r *reader) inCamera(from, to int) {
	if !r.at(to).is(inCamera) && !r.at(from-1).is(inCamera) || len(r.findings) == 0 {
		return
	}
	last := &r.findings[len(r.findings)-1]
	if last.kind == asked {
		last.kind, last.ei = rated, speedAt(r.iso, last.stops)
	} else if last.kind == target {
		last.kind = rated
	}
}

// complement reads what follows push or pull: an amount, a target, or both.
func (r *reader) complement(from, direction, start int) bool {
	found, isFar := false, false
	for j := from; j < len(r.items) && j < from+14; j++ {
		t := r.items[j]
		if t.is(tone) && !found && !r.at(j+1).is(film) && r.at(j-1).text != "for" && r.at(j-2).text != "for" {
			return r.pushesTones(start, j)
		}
		if t.used || t.endsSentence() || t.is(push|pull|shot|topic|not|under|over|faster|slower|box|normal|inCamera|reject|condition) && !t.is(film) {
			return found
		}
		if ei, to := r.towardSpeed(j); to > 0 {
			if r.isForThose(j, to) {
				r.void("it may be about other film", j, to+1)
			}
			return r.aimAt(ei, direction, start, j, to)
		}
		if ei, to := r.directSpeed(j, from, found); to > 0 {
			return r.aimAt(ei, direction, start, j, to)
		}
		if a, ok := r.amountAt(j); ok && !found && r.belongs(a, j, from, isFar) {
			if r.at(j-1).text == "x" && a.doubt == "" && !a.hasUnit {
				a.doubt, a.isGuess = "x may be stops or a count", true
			}
			isThing := (direction < 0 || r.at(j-1).text == "by" && r.at(start).text == "pushed") && a.sign == 0 && !a.hasUnit && a.doubt == "" && r.at(a.to).isUnknown()
			if isThing {
				a.doubt = "it may be so many of something" // pull 3 favourites
			}
			r.give(a, direction, start, a.to)
			found, j = true, a.to-1
			continue
		}
		if found && !t.is(film|filler|toward|polite|whole|article) && !t.mark("(") {
			return found
		}
		isFar = isFar || t.isUnknown() || t.mark(",") || t.is(joins|elsewhere) && !t.is(film|filler)
	}
	return found
}

// pushesTones takes "push the shadows +1", which is about the scan. Where
// nothing speaks of scans it may be about the film all the same.
func (r *reader) pushesTones(start, j int) bool {
	for end := j + 1; end < min(j+4, len(r.items)); end++ {
		if a, ok := r.amountAt(end); ok {
			if r.sentenceHas(start, topic) && !r.clauseHas(start, develop) {
				r.otherSense(start, a.to)
				return true
			}
			return r.doubt("it may be about the picture or about the development", start, a.to)
		}
	}
	return false
}

// isForThose finds "for the 1600 rolls" between items j and to, which may not be
// this one.
func (r *reader) isForThose(j, to int) bool {
	return r.at(j).text == "for" && isThe(r.at(j+1)) && r.at(to).is(film)
}

// belongs reports whether an amount can be the push's own: without a unit or
// sign it must follow closely.
func (r *reader) belongs(a amount, j, from int, isFar bool) bool {
	if a.hasUnit || a.sign != 0 {
		return !(a.hasUnit && r.offsetDirection(a.to) != 0 && isFar)
	}
	if r.at(a.from).is(zero) {
		return j == from || r.at(j-1).mark(":") || r.at(j-1).mark("=")
	}
	return !isFar
}

// towardSpeed reads "to 1600", "@ EI 800", "-> 1600" at item j; to is 0 where
// that is not what stands there.
func (r *reader) towardSpeed(j int) (ei, to int) {
	t := r.at(j)
	if !t.is(toward) && !t.mark("@") && !t.mark("=") && !t.mark("→") && !t.mark(">") && !t.is(index) {
		return 0, 0
	}
	return r.speedFrom(j + 1)
}

// speedFrom reads a film speed with "ISO" or "EI" before or after it.
func (r *reader) speedFrom(j int) (ei, to int) {
	for skipped := 0; skipped < 4; skipped++ {
		t := r.at(j)
		isPassed := t.is(index|article|roughly|filler|toward) || t.text == "it" || t.mark(":") || t.mark("=") || t.mark("@")
		if t.used || !isPassed {
			break
		}
		j++
	}
	t := r.at(j)
	if !t.isNumber() || t.used || !t.isWhole() || t.value < 6 || t.value > chemistry.MaxSpeed {
		return 0, 0
	}
	isNamed := r.at(j-1).is(index) || r.at(j+1).is(index)
	if !isSpeed(t.value) && (!isNamed && t.value < 50 || r.unitAfter(j+1) > 0) {
		return 0, 0
	}
	if up := stopsUp(r.iso, int(t.value)); !isNamed && stopsApart(up, 0) > 6*chemistry.Stop {
		return 0, 0
	}
	to = j + 1
	for r.at(to).is(index) || r.at(to).text == "speed" {
		to++
	}
	return int(t.value), to
}

// directSpeed reads "push 1600": a speed right after the word. Box speed and a
// number after a name are the stock.
func (r *reader) directSpeed(j, from int, found bool) (ei, to int) {
	t := r.at(j)
	if !t.isNumber() || found || !isSpeed(t.value) || t.value <= most || int(t.value) == r.iso {
		return 0, 0
	}
	if r.at(j-1).isUnknown() || r.at(j+1).is(film) && !r.at(j+1).is(index) {
		return 0, 0
	}
	return r.speedFrom(j)
}

// aimAt records a development target and, where two speeds are given, checks
// the first.
func (r *reader) aimAt(ei, direction, start, j, to int) bool {
	prev := r.at(j - 1)
	if prev.text == "from" && prev.kind == wordToken || r.at(j).text == "from" {
		if int(ei) != r.iso {
			r.doubt("it starts from another speed than the film's", start, to)
		}
	}
	if next, end := r.towardSpeed(to); end > 0 && !r.at(to).is(index) {
		if ei != r.iso {
			r.doubt("it starts from another speed than the film's", start, end)
		}
		ei, to = next, end
	}
	if end := r.speedRange(to); end > 0 {
		return r.doubt("it gives a range of speeds", start, end)
	}
	r.checkNominal(ei, start, to)
	r.guess(start, to)
	r.find(finding{kind: target, ei: ei, direction: direction, from: start, to: to})
	r.inCamera(start, to)
	return true
}

// guess doubts a number with "about" or "up to" before it.
func (r *reader) guess(from, to int) {
	for j := from; j <= min(to, len(r.items)-1); j++ {
		if r.items[j].is(roughly) && !r.items[j].is(relative) && (j < to || !r.at(j+1).isNumber()) || r.items[j].mark("~") {
			r.remark("the number is a guess", from, to)
			return
		}
	}
}

func (r *reader) checkNominal(ei, from, to int) {
	if !isSpeed(float64(ei)) {
		r.remark("film is not marked with that speed", from, to)
	}
}

// speedRange finds a second speed: "800-1600", "800 or 1600", "800/1600".
func (r *reader) speedRange(j int) int {
	t := r.at(j)
	if !t.mark("-") && !t.mark("–") && !t.mark("/") && !t.is(either) && !t.mark("~") && t.text != "to" && t.text != "and" {
		return 0
	}
	for r.at(j + 1).is(hedge) {
		j++
	}
	if next := r.at(j + 1); next.isNumber() && isSpeed(next.value) && next.value >= 25 && !next.used {
		return j + 2
	}
	return 0
}

// withoutAmount decides on a push or pull that has neither amount nor target: it
// may be another sense of the word, a label, or a request to be completed.
func (r *reader) withoutAmount(i, end, direction int) bool {
	for j := end; j < min(end+4, len(r.items)); j++ {
		t := r.items[j]
		if t.is(elsewhere) || t.text == "from" && direction < 0 {
			if r.at(j+1).isNumber() && !r.at(j+1).used && !t.is(topic) {
				break // pull it back 1
			}
			r.otherSense(i, end)
			return true
		}
		isKind := t.isUnknown() && r.at(j+1).is(elsewhere) // the wrong button
		if !t.is(filler|film|article) && !isKind && !(t.aside && isToldForm(r.at(i))) || t.endsSentence() {
			break
		}
	}
	next := r.at(end)
	for next.mark(":") || next.mark("-") || next.mark("=") || next.mark("?") {
		end++
		next = r.at(end)
	}
	if isLabel := end > i+1 && r.at(end-1).kind == markToken && !r.at(end-1).mark("?"); isLabel && next.is(normal|box|push|pull|shot) ||
		direction == 0 && next.is(push|pull) {
		r.use(i, end)
		return true
	}
	r.find(finding{kind: open, direction: direction, from: i, to: end})
	r.inCameraOpen(i, end)
	return true
}

// otherSense takes words that have nothing to do with development here.
func (r *reader) otherSense(from, to int) {
	r.use(from, to)
	for i := from; i < to; i++ {
		r.items[i].class = aside
	}
}

// inCameraOpen drops an open push that was made with the camera.
func (r *reader) inCameraOpen(from, to int) {
	if r.at(to).is(inCamera) {
		r.remark("a push in the camera may or may not want one in the tank", from, to+1)
	}
}

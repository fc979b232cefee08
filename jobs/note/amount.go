package note

import "wetside/chemistry"

// amount is a number of stops as written. Sign is 0 where none was written.
// Doubt says in words why it cannot be taken as it stands; a guess is doubtful
// but still the best reading.
type amount struct {
	stops    float64
	sign     int
	hasUnit  bool
	doubt    string
	isGuess  bool
	from, to int // items
}

// exact returns the amount in sixths; halves and thirds are what developing
// can be asked for.
func (a amount) exact() (chemistry.Stops, bool) {
	stops, err := chemistry.StopsOf(a.stops)
	return stops, err == nil && (stops%2 == 0 || stops%3 == 0)
}

// most is the largest number that is taken for stops without the word.
const most = 12

// amountAt reads an amount that begins at item i: +1, 1½ stops, a stop and a
// half, two thirds of a stop, 1-2, about 2, a bit.
func (r *reader) amountAt(i int) (amount, bool) {
	a := amount{from: i, to: i}
	a.readSign(r)
	switch t := r.at(a.to); {
	case t.isNumber() && !t.used && t.value <= most:
		a.stops = t.value
		a.to++
	case t.is(zero) && a.sign == 0:
		return amount{from: i, to: i + 1}, true
	case (t.is(article) || t.text == "single") && r.unitAfter(a.to+1) > 0:
		a.stops = 1
		a.to++
	case t.is(vague|relative) && !t.is(plus):
		return r.vagueAmount(i)
	case t.is(unit) && r.isWordAnd(a.to+1) && r.isPart(a.to+2):
		a.stops = 1
	default:
		return amount{}, false
	}
	a.readUnit(r)
	a.readRange(r)
	if a.doubt == "" && (r.at(i-1).is(roughly) && !r.at(i-1).used || r.at(i-1).mark("~") || r.at(a.to).is(roughly) && !r.at(a.to).is(relative)) {
		a.doubt, a.isGuess = "the amount is a guess", true
	}
	return a, true
}

func (a *amount) readSign(r *reader) {
	t, next := r.at(a.to), r.at(a.to+1)
	isBefore := next.isNumber() || next.is(article) && r.unitAfter(a.to+2) > 0
	switch {
	case !isBefore:
		return
	case t.mark("±"):
		a.doubt = "it says both plus and minus"
	case t.mark("+"), t.is(plus):
		a.sign = 1
	case t.mark("-") && next.glued && !(t.glued && r.at(a.to-1).kind == numberToken), t.is(minus):
		a.sign = -1
	default:
		return
	}
	a.to++
}

// unitAfter returns the item after a unit at i, with "full" before it or not; 0
// where there is none.
func (r *reader) unitAfter(i int) int {
	switch r.at(i).text {
	case "full", "whole", "single", "clean", "-":
		i++
	}
	if t := r.at(i); t.is(unit) || t.text == "st" && r.at(i-1).isNumber() {
		return i + 1
	}
	return 0
}

// readUnit reads "stops", "of a stop" and "and a half".
func (a *amount) readUnit(r *reader) {
	after := r.unitAfter(a.to)
	if after == 0 && a.stops < 1 && r.at(a.to).is(article) {
		after = r.unitAfter(a.to + 1) // half a stop
	}
	if after == 0 && r.at(a.to).text == "of" && (r.at(a.to+1).is(article) || r.at(a.to+1).value == 1) {
		after = r.unitAfter(a.to + 2)
	}
	if after == 0 && r.at(a.to).mark("(") && r.at(a.to+1).isNumber() && r.at(a.to+2).mark(")") && r.at(a.to+1).value == a.stops {
		a.to += 3 // 2 (two) stops
		after = r.unitAfter(a.to)
	}
	if after == 0 && r.at(a.to).is(relative) && r.unitAfter(a.to+1) > 0 {
		after, a.doubt = r.unitAfter(a.to+1), "it says one more, not from where"
	}
	if after == 0 {
		return
	}
	a.hasUnit, a.to = true, after
	if r.isWordAnd(a.to) && r.isPart(a.to+1) {
		a.stops += r.at(a.to + 1).value
		a.to += 2
	} else if r.isPart(a.to) && a.stops >= 1 {
		a.stops += r.at(a.to).value
		a.to++
	}
}

func (r *reader) isWordAnd(i int) bool {
	t := r.at(i)
	return t.text == "and" || t.text == "n" || t.mark("&")
}

func (r *reader) isPart(i int) bool {
	t := r.at(i)
	return t.isNumber() && !t.used && t.value > 0 && t.value < 1
}

// readRange reads what follows when the amount is one of two.
func (a *amount) readRange(r *reader) {
	t, at := r.at(a.to), a.to+1
	isRange := t.mark("-") || t.mark("–") || t.mark("/") || t.text == "to" || t.is(either) || t.mark("~") ||
		t.text == "and" && r.at(a.from-1).text == "between" || t.text == "vs" || t.is(hedge)
	if t.mark("+") && t.glued && !r.at(at).isNumber() {
		a.doubt, a.to = "the amount is open at the top", at
		return
	}
	if !isRange {
		return
	}
	for r.at(at).is(hedge) || r.at(at).is(roughly) || r.at(at).mark("+") || r.at(at).is(push|pull) && t.is(either) {
		at++
	}
	next := r.at(at)
	if next.isNumber() && next.value <= most && !next.used {
		a.doubt, a.to = "it gives a range", at+1
		if after := r.unitAfter(a.to); after > 0 {
			a.hasUnit, a.to = true, after
		}
	}
}

// vagueAmount reads "a bit", "a couple of stops", "another stop".
func (r *reader) vagueAmount(i int) (amount, bool) {
	a := amount{from: i, to: i + 1, doubt: "it gives no exact amount"}
	if r.at(a.to).text == "of" {
		a.to++
	}
	after := r.unitAfter(a.to)
	if after == 0 && r.at(a.to).isNumber() && r.at(i).is(relative) {
		if more, ok := r.amountAt(a.to); ok && more.hasUnit {
			after = more.to
		}
	}
	if after > 0 {
		a.hasUnit, a.to = true, after
	}
	return a, r.at(i).is(vague) || after > 0
}

// amountBefore finds an amount that ends just before item i, as in "2 stop
// push" and "two stops of push".
func (r *reader) amountBefore(i int) (amount, bool) {
	end := i
	if t := r.at(end - 1); t.text == "of" || t.text == "in" || t.mark("-") && !t.glued {
		end--
	}
	for from := max(end-8, 0); from < end; from++ {
		if r.items[from].used || r.items[from].sentence != r.items[i].sentence {
			continue
		}
		a, ok := r.amountAt(from)
		isPlain := a.doubt != "" || a.hasUnit || a.sign != 0 || end == i
		if ok && a.to == end && isPlain && !r.at(from).is(zero) {
			return a, true
		}
	}
	return amount{}, false
}

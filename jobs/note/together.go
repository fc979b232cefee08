package note

import "wetside/chemistry"

// speaksOfOneFilm reports whether two findings that seem at odds can only be
// about the same film: their sentences name nothing else that one of them could
// be for. Clauses about scans and post are passed over.
func (r *reader) speaksOfOneFilm(a, b *finding) bool {
	first, last := r.items[min(a.from, b.from)].sentence, r.items[max(a.to, b.to)-1].sentence
	for i, t := range r.items {
		if t.sentence < first || t.sentence > last || t.used && t.text != "one" || t.kind == markToken {
			continue
		}
		isAside := r.clauseHas(i, topic) && !t.is(either|condition|hedge|partly|other|ordinal)
		if !r.isSmallTalk(i) && !isAside {
			return false
		}
	}
	return true
}

// isSmallTalk finds words that name no film: small words, the stock itself, a
// reason ("for contrast"), and where or what was shot.
func (r *reader) isSmallTalk(i int) bool {
	const small = filler | polite | film | shot | develop | process | article | toward | whole | joins | index | unit | normal |
		exposed
	t, prev := r.at(i), r.at(i-1)
	switch {
	case t.text == "one":
		return prev.text == "this" || prev.text == "that" || prev.text == "by" || prev.is(push|pull) || r.unitAfter(i+1) > 0
	case t.kind == numberToken:
		return int(t.value) == r.iso
	case t.is(small):
		return true
	case t.is(elsewhere), t.isUnknown():
		return prev.text == "for" || r.clauseHas(i, shot) && !r.clauseHas(i, push|pull)
	}
	return false
}

// pushesAnyway reports whether the writer knows that the rating asks for no
// push: "shot at 400 but push one stop for grain". Without the "but" one of the
// two figures may be a slip.
func (r *reader) pushesAnyway(v *verdict) bool {
	if r.ratedUp(v) != 0 || !r.speaksOfOneFilm(v.ratedBy, v.pushBy) {
		return false
	}
	for i := v.ratedBy.to; i < v.pushBy.to; i++ {
		if text := r.items[i].text; text == "but" || text == "though" || text == "still" {
			return true
		}
	}
	return false
}

// wantedStops returns the rating's stops where the note names the same amount
// as what the film wants: "shot at 1600, needs two stops".
func (r *reader) wantedStops(v *verdict) (stops chemistry.Stops, by *finding) {
	if v.pushBy != nil || v.ei == nil || v.ratedBy.kind != rated {
		return 0, nil
	}
	up := r.ratedUp(v)
	amount, ok := r.onlyLoose()
	if !ok || up <= 0 || stopsApart(amount, up) > agree || !r.speaksOfOneFilm(v.ratedBy, v.ratedBy) {
		return 0, nil
	}
	for i := range r.findings {
		f := &r.findings[i]
		if f.kind == loose && r.isWanted(f.from) {
			return amount, f
		}
	}
	return 0, nil
}

// isWanted reports whether "needs", "so" or a please goes with the amount at item
// i.
func (r *reader) isWanted(i int) bool {
	before := i - 1
	for r.at(before).is(film) {
		before--
	}
	switch r.at(before).text {
	case "need", "needs", "needed", "want", "wants", "require", "requires", "so", "give":
		return true
	}
	end := r.unitAfter(i + 1)
	return end > 0 && (r.at(end).text == "please" || r.at(end).text == "pls" || r.at(end).text == "needed" || r.at(end).text == "required")
}

// repeatsAmount reports whether the number at item i only says an amount again,
// alone in its clause: "three stops push, yes, three".
func (r *reader) repeatsAmount(i int) bool {
	if !r.isBareAmount(amount{from: i, to: i + 1}) {
		return false
	}
	requests := 0
	for _, f := range r.findings {
		if f.kind != asked {
			continue
		}
		if stops, ok := (amount{stops: r.at(i).value}).exact(); !ok || stopsApart(f.stops, 0) != stops || f.from > i {
			return false
		}
		requests++
	}
	return requests == 1
}

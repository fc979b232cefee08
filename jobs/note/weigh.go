package note

import (
	"slices"

	"wetside/chemistry"
)

// agree is how far a rating and a push may be apart: speeds are printed in
// thirds of a stop, and a push of two on a film of ISO 160 is called 800.
const agree = chemistry.Stop / 3

// customary is how far a rating may be from the box speed before a person asks
// what is meant by it.
const customary = chemistry.Stop / 2

// limit is the largest push or pull that is not asked about.
const limit = 3 * chemistry.Stop

// verdict is what the findings come to, and which of them decided it.
type verdict struct {
	push            *chemistry.Stops
	ei              *int
	pushBy, ratedBy *finding
}

// weigh sets the findings against each other and adds what they leave in doubt.
func (r *reader) weigh() verdict {
	var v verdict
	r.weighRatings(&v)
	r.weighRequests(&v)
	r.weighZeros(&v)
	if stops, by := r.wantedStops(&v); by != nil {
		v.push, v.pushBy = &stops, by
	}
	r.complete(&v)
	r.weighRejections(&v)
	r.weighLeftovers(&v)
	r.compare(&v)
	if slices.ContainsFunc(r.doubts, func(d doubt) bool { return d.voids }) {
		v.push, v.ei = nil, nil
	}
	return v
}

func (r *reader) weighRatings(v *verdict) {
	for i := range r.findings {
		f := &r.findings[i]
		ei := f.ei
		switch f.kind {
		case atBox:
			ei = r.iso
		case rated, target:
		default:
			continue
		}
		switch {
		case v.ei == nil, v.ratedBy.kind == rated && v.ratedBy.stops != 0 && f.kind == rated && f.stops == 0 && r.near(*v.ei, ei):
			v.ei, v.ratedBy = &ei, f
		case !r.near(*v.ei, ei):
			r.disagree("two ratings disagree", v.ratedBy, f)
			if f.kind != target && v.ratedBy.kind != target {
				v.ei = nil
				return
			}
		}
	}
}

func (r *reader) near(a, b int) bool {
	return stopsApart(stopsUp(r.iso, a), stopsUp(r.iso, b)) <= agree
}

func (r *reader) disagree(reason string, a, b *finding) {
	r.remark(reason, min(a.from, b.from), max(a.to, b.to))
}

func (r *reader) suspectFinding(reason string, f *finding) {
	r.remark(reason, f.from, f.to)
}

// weighRequests takes the amounts asked for first, then the targets.
func (r *reader) weighRequests(v *verdict) {
	clash := false
	for _, kind := range []findingKind{asked, target} {
		for i := range r.findings {
			f := &r.findings[i]
			if f.kind != kind {
				continue
			}
			stops := f.stops
			if kind == target {
				stops = stopsUp(r.iso, f.ei)
				if f.direction != 0 && stops*chemistry.Stops(f.direction) <= 0 {
					r.suspectFinding("that speed lies the other way", f)
				}
			}
			if v.push == nil {
				v.push, v.pushBy = &stops, f
			} else if stopsApart(*v.push, stops) > agree {
				r.disagree(disagreeing, v.pushBy, f)
				clash = true
			}
		}
	}
	if clash {
		v.push = nil
	}
}

// weighZeros takes normal development and refusals, which a push contradicts.
// Box speed and the name of a service only say what the push is added to.
func (r *reader) weighZeros(v *verdict) {
	for i := range r.findings {
		f := &r.findings[i]
		if f.kind != refused && f.kind != asNormal && f.kind != service && f.kind != atBox {
			continue
		}
		none := chemistry.Stops(0)
		switch {
		case v.pushBy == nil:
			v.push, v.pushBy = &none, f
		case v.push == nil || *v.push == 0:
		case f.kind == refused && f.direction != 0 && *v.push*chemistry.Stops(f.direction) < 0:
			// no push, pull one: the refusal is of the other direction
		case (f.kind == atBox || f.kind == service) && r.speaksOfOneFilm(f, v.pushBy):
			// shot at box speed, push one: the push is wanted all the same
		default:
			r.disagree("a push and no push are both asked for", v.pushBy, f)
			if f.kind != atBox {
				v.push = nil
				return
			}
		}
	}
}

// complete gives an amount to a push or pull that has none, from loose stops or
// from the rating.
func (r *reader) complete(v *verdict) {
	for i := range r.findings {
		f := &r.findings[i]
		if f.kind != open && f.kind != suited {
			continue
		}
		if v.pushBy != nil {
			isSame := v.push != nil && (*v.push*chemistry.Stops(f.direction) > 0 || f.direction == 0)
			if !isSame {
				r.disagree(disagreeing, v.pushBy, f)
				v.push = nil
			}
			continue
		}
		stops, ok := r.derived(v, f)
		if !ok {
			r.suspectFinding("it does not say by how much", f)
			continue
		}
		v.push, v.pushBy = &stops, f
	}
}

func (r *reader) derived(v *verdict, f *finding) (chemistry.Stops, bool) {
	var stops chemistry.Stops
	if v.ei != nil {
		stops = r.ratedUp(v)
	}
	if amount, ok := r.onlyLoose(); ok && f.direction != 0 && (v.ei == nil || stops == 0) {
		stops = amount * chemistry.Stops(f.direction)
	}
	isRight := f.direction == 0 && f.kind == suited || stops*chemistry.Stops(f.direction) > 0
	return stops, stops != 0 && isRight
}

// ratedUp is how far above box speed the film was rated: as written in stops, or
// from the EI.
func (r *reader) ratedUp(v *verdict) chemistry.Stops {
	if v.ratedBy.stops != 0 {
		return v.ratedBy.stops
	}
	return stopsUp(r.iso, *v.ei)
}

// onlyLoose returns the loose amount where all that there are say the same.
func (r *reader) onlyLoose() (chemistry.Stops, bool) {
	var found chemistry.Stops
	for _, f := range r.findings {
		if f.kind == loose && found != 0 && f.stops != found {
			return 0, false
		}
		if f.kind == loose {
			found = f.stops
		}
	}
	return found, found != 0
}

// weighRejections doubts an amount that is also ruled out, and a note that only
// rules out.
func (r *reader) weighRejections(v *verdict) {
	for i := range r.findings {
		f := &r.findings[i]
		if f.kind != rejected {
			continue
		}
		if v.pushBy == nil && v.ei == nil || v.push != nil && *v.push == f.stops {
			r.suspectFinding("it says what not to do, not what to do", f)
		}
	}
}

// weighLeftovers doubts loose stops that nothing explains, and an over- or
// underexposure that no request answers.
func (r *reader) weighLeftovers(v *verdict) {
	for i := range r.findings {
		f := &r.findings[i]
		switch f.kind {
		case loose:
			isPush := v.push != nil && stopsApart(*v.push, 0) == f.stops
			isRating := v.ei != nil && stopsApart(stopsApart(stopsUp(r.iso, *v.ei), 0), f.stops) <= agree
			if !isPush && !isRating {
				r.suspectFinding("it does not say what the stops are for", f)
			}
		case misexposed:
			switch {
			case v.push == nil && v.ei == nil && v.pushBy == nil:
				r.suspectFinding("it does not say by how much, or what to do about it", f)
			case v.push != nil && *v.push*chemistry.Stops(f.direction) < 0:
				r.suspectFinding("the exposure and the request pull apart", f)
			}
		}
	}
}

// compare checks the rating against the push and the push against its limit.
func (r *reader) compare(v *verdict) {
	switch {
	case v.push == nil && v.ei != nil && v.pushBy == nil:
		if stopsApart(r.ratedUp(v), 0) > customary {
			r.suspectFinding("it is rated away from box speed and asks for no push or pull", v.ratedBy)
		}
	case v.push != nil && v.ei != nil && *v.push != 0 && v.ratedBy.kind != target && v.ratedBy.kind != atBox:
		if stopsApart(r.ratedUp(v), *v.push) > agree && !r.pushesAnyway(v) {
			r.disagree("the rating and the push do not match", v.ratedBy, v.pushBy)
		}
	}
	if v.push != nil && stopsApart(*v.push, 0) > limit {
		r.suspectFinding("it is more than three stops", v.pushBy)
	}
}

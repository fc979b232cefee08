package note

import (
	"strings"

	"wetside/chemistry"
)

type findingKind int

const (
	asked      findingKind = iota // this much push, or pull below 0
	target                        // develop for this EI
	open                          // push or pull, with no amount
	refused                       // no push, or no pull, or neither
	rejected                      // not this amount
	asNormal                      // develop as normal
	service                       // the usual service by its name, such as "standard dev and scan"
	rated                         // the film was used at this EI
	atBox                         // the film was used at box speed
	suited                        // develop to suit the exposure
	misexposed                    // over or under, with no amount
	loose                         // stops, with no word on what they are
)

// finding is one thing that a phrase says.
type finding struct {
	kind      findingKind
	stops     chemistry.Stops
	ei        int
	direction int // +1 push, −1 pull, 0 either
	from, to  int // items
}

// doubt is a reason to ask, with the items it comes from. One that voids leaves
// no push that could be relied on.
type doubt struct {
	reason   string
	from, to int
	voids    bool
}

// The reasons by which a note asks for more than one development.
const (
	disagreeing = "two requests disagree"
	inPart      = "it speaks of a part only"
)

// reader goes through the items of a note once, from left to right.
type reader struct {
	text     string
	iso      int
	items    []item
	findings []finding
	doubts   []doubt

	concerned map[int]bool // clauses about exposure, as far as asked
	told      map[int]bool // clauses that tell of other film
}

func (r *reader) at(i int) item { return at(r.items, i) }

// read tries the phrases in turn at every item, and takes the amounts that are
// left at the end.
func (r *reader) read() {
	r.pass(
		r.request, r.zoneSystem, r.briefPush, r.developMoreOrLess, r.developFor, r.shotAt, r.indexed, r.atSpeed,
		r.misexposure, r.offset, r.rejection, r.asUsual, r.suit, r.signed, r.bareSpeed,
	)
	r.pass(r.looseAmount, r.agreedSpeed)
}

func (r *reader) pass(phrases ...func(int) bool) {
	for i := range r.items {
		for _, phrase := range phrases {
			if r.items[i].used || phrase(i) {
				break
			}
		}
	}
}

func (r *reader) use(from, to int) {
	for i := max(from, 0); i < min(to, len(r.items)); i++ {
		r.items[i].used = true
	}
}

func (r *reader) find(f finding) bool {
	r.use(f.from, f.to)
	r.findings = append(r.findings, f)
	return true
}

// doubt takes items that cannot be read; remark doubts a reading that stands.
func (r *reader) doubt(reason string, from, to int) bool {
	r.use(from, to)
	r.remark(reason, from, to)
	return true
}

func (r *reader) remark(reason string, from, to int) {
	r.doubts = append(r.doubts, doubt{reason: reason, from: from, to: to})
}

// findAmount records an amount that was asked for, or the doubt about it.
func (r *reader) findAmount(a amount, direction, from, to int) bool {
	stops, ok := a.exact()
	if a.doubt == "" && !ok {
		a.doubt = "that is no amount a lab can push by"
	}
	if a.doubt != "" {
		r.doubt(a.doubt, from, to)
		if !a.isGuess {
			return true
		}
	}
	return r.find(finding{kind: asked, stops: stops * chemistry.Stops(direction), from: from, to: to})
}

// quote returns the words of the note that items come from.
func (r *reader) quote(from, to int) string {
	from, to = max(from, 0), min(to, len(r.items))
	if from >= to {
		return ""
	}
	words := []rune(strings.Join(strings.Fields(r.text[r.items[from].start:r.items[to-1].end]), " "))
	if len(words) > 60 {
		words = append(words[:59], '…')
	}
	return string(words)
}

// clauseHas reports whether the clause of item i has a word of the class.
func (r *reader) clauseHas(i int, wanted class) bool {
	for j := range r.items {
		if r.items[j].clause == r.items[i].clause && r.items[j].is(wanted) {
			return true
		}
	}
	return false
}

// sentenceHas reports whether the sentence of item i has a word of the class.
func (r *reader) sentenceHas(i int, wanted class) bool {
	for j := range r.items {
		if r.items[j].sentence == r.items[i].sentence && r.items[j].is(wanted) {
			return true
		}
	}
	return false
}

// wordBefore looks back in the clause for the nearest word of the class.
func (r *reader) wordBefore(i int, wanted class) (int, bool) {
	for j := i - 1; j >= 0 && r.items[j].clause == r.items[i].clause; j-- {
		if r.items[j].is(wanted) {
			return j, true
		}
	}
	return 0, false
}

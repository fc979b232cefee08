package note

import (
	"slices"
	"strings"
)

// item is a word, phrase, number or mark of the note with the part it can play.
type item struct {
	kind             tokenKind
	class            class
	text             string
	start, end       int // bytes of the note
	value            float64
	digits           int
	glued, capital   bool
	aside            bool // a number about something else
	used             bool // read by the grammar
	sentence, clause int
}

func (t item) is(c class) bool    { return t.class&c != 0 }
func (t item) isNumber() bool     { return t.kind == numberToken && !t.aside }
func (t item) mark(s string) bool { return t.kind == markToken && t.text == s }
func (t item) isWhole() bool      { return t.value == float64(int(t.value)) }
func (t item) isUnknown() bool    { return t.kind == wordToken && t.class == 0 }
func (t item) endsSentence() bool { return t.kind == markToken && strings.Contains(".;!?\n", t.text) }
func (t item) breaksClause() bool {
	return t.kind == markToken && strings.Contains(",()[]–:|", t.text)
}
func (t item) isPunctuation() bool { return t.endsSentence() || t.breaksClause() }

// fold makes items of tokens: hyphens between words go, words are mended,
// phrases and numbers become one item each.
func fold(tokens []token) []item {
	tokens = unhyphen(tokens)
	unreadable := codes(tokens)
	for i := range tokens {
		if tokens[i].kind == wordToken {
			tokens[i].text = mend(tokens[i].text)
		}
	}
	var items []item
	for i := 0; i < len(tokens); {
		next, used := foldAt(tokens, i)
		next.glued = tokens[i].glued
		next.capital = tokens[i].capital
		next.start, next.end = tokens[i].start, tokens[i+used-1].end
		if next.kind == numberToken && slices.Contains(unreadable[i:i+used], true) {
			next.aside = true
		}
		if next.class&process == 0 && unreadable[i] && next.kind == wordToken {
			next.class = aside
		}
		items = append(items, next)
		i += used
	}
	divide(items)
	return items
}

func foldAt(tokens []token, i int) (item, int) {
	if name, class, used := writtenName(tokens, i); used > 0 {
		return item{kind: wordToken, class: class, text: name}, used
	}
	if class, used := phrase(tokens, i); used > 1 {
		return item{kind: wordToken, class: class, text: joined(tokens[i : i+used])}, used
	}
	if !isPronoun(tokens, i) {
		if value, used := figures(tokens).number(i); used > 0 {
			return item{kind: numberToken, text: joined(tokens[i : i+used]), value: value, digits: tokens[i].digits}, used
		}
	}
	if tokens[i].kind == markToken {
		return item{kind: markToken, text: tokens[i].text}, 1
	}
	class, _ := phrase(tokens, i)
	return item{kind: wordToken, class: class, text: tokens[i].text}, 1
}

// phrase finds the longest phrase of the lexicon at token i.
func phrase(tokens []token, i int) (found class, used int) {
	if tokens[i].kind != wordToken {
		return 0, 0
	}
	for _, entry := range lexicon[tokens[i].text] {
		if len(entry.rest) >= used && figures(tokens).words(i+1, entry.rest) {
			found, used = entry.class, len(entry.rest)+1
		}
	}
	return found, used
}

// writtenName reads names with signs in them: C-41, E6, ECN-2, B&W, n/a.
func writtenName(tokens []token, i int) (string, class, int) {
	for used := 3; used >= 2; used-- {
		if i+used > len(tokens) || tokens[i].kind != wordToken || tokens[i+used-1].kind == markToken {
			continue
		}
		switch name := strings.ReplaceAll(joined(tokens[i:i+used]), " ", ""); strings.ReplaceAll(name, "-", "") {
		case "c41", "e6", "ecn2":
			return strings.ReplaceAll(name, "-", ""), process, used
		case "b&w", "b/w":
			return "bw", process, used
		case "n/a":
			return "none", zero, used
		case "w/o":
			return "without", not, used
		}
	}
	return "", 0, 0
}

// isPronoun tells "this one" and "the first one" from the number.
func isPronoun(tokens []token, i int) bool {
	if tokens[i].kind != wordToken || tokens[i].text != "one" || i == 0 || tokens[i-1].kind != wordToken {
		return false
	}
	switch tokens[i-1].text {
	case "this", "that", "the", "each", "every", "which", "first", "second", "third", "other", "last", "next", "another", "no":
		next := figures(tokens).word(i + 1)
		return !slices.ContainsFunc(lexicon[next], func(e entry) bool { return e.class&unit != 0 })
	}
	return false
}

func joined(tokens []token) string {
	texts := make([]string, len(tokens))
	for i, t := range tokens {
		texts[i] = t.text
	}
	return strings.Join(texts, " ")
}

// unhyphen drops the hyphen in "two-stop" and "2-stop", but not in "N-1".
func unhyphen(tokens []token) []token {
	kept := tokens[:0:0]
	for i, t := range tokens {
		isJoint := t.isMark("-") && t.glued && i > 0 && tokens[i-1].kind != markToken &&
			i+1 < len(tokens) && tokens[i+1].glued && tokens[i+1].kind == wordToken
		if isJoint {
			continue
		}
		if i > 0 && len(kept) > 0 && tokens[i-1].isMark("-") && kept[len(kept)-1].end != tokens[i-1].end {
			t.glued = false
		}
		kept = append(kept, t)
	}
	return kept
}

// divide numbers the sentences and clauses.
func divide(items []item) {
	sentence, clause := 0, 0
	for i := range items {
		isBreak := items[i].breaksClause() && !namesTopic(items, i)
		if items[i].is(joins) || isBreak || isDash(items, i) || isNextField(items, i) {
			clause++
		}
		items[i].sentence, items[i].clause = sentence, clause
		if items[i].endsSentence() {
			sentence, clause = sentence+1, clause+1
		}
	}
}

// namesTopic finds the colon of "scan: +1" and "copies: +1": what follows is
// about them.
func namesTopic(items []item, i int) bool {
	return items[i].mark(":") && at(items, i-1).is(topic|counted) && !at(items, i-1).is(develop|film)
}

// isNextField finds the stroke before a field of a form: "dev: +2 / scan: normal".
func isNextField(items []item, i int) bool {
	return items[i].mark("/") && !items[i].glued && at(items, i+1).kind == wordToken && at(items, i+2).mark(":")
}

// isDash reports whether a hyphen stands alone between words, as a dash.
func isDash(items []item, i int) bool {
	return items[i].mark("-") && !items[i].glued && i+1 < len(items) && !items[i+1].glued
}

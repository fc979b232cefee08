package note

import "strings"

// class says what part a word can play; a word may have several.
type class uint64

const (
	push       class = 1 << iota // more development
	pull                         // less development
	unit                         // stop, EV
	shot                         // the film was exposed
	index                        // ISO, EI
	develop                      // development, as noun or verb
	process                      // the name of a process
	normal                       // as usual
	box                          // box speed
	not                          // negations
	cancel                       // takes a request back
	under                        // less exposure than the film wants
	over                         // more exposure
	exposed                      // with under and over: nothing but exposure
	faster                       // a higher EI
	slower                       // a lower EI
	more                         // more of something; "longer"
	less                         // less of something; "shorter"
	match                        // development to suit the exposure
	vague                        // an amount that is none
	hedge                        // the writer is not sure
	leave                        // the writer leaves it to the lab
	polite                       // makes a question a request
	inCamera                     // a push that is only a rating
	reject                       // the number after it is not meant
	roughly                      // the number after it is a guess
	relative                     // another, extra: more than what?
	correction                   // takes back what stands before it
	takeback                     // drops what stands before it
	past                         // speaks of other film
	partly                       // speaks of a part of the roll or order
	other                        // the rest, which gets something else
	whole                        // speaks of the whole roll or order
	ordinal                      // first, second
	counted                      // things that are counted
	label                        // nouns that a number names
	measure                      // units of something else
	street                       // ends an address
	place                        // ends an address when written with a capital
	month                        // month and day names
	year                         // stands before a year
	telephone                    // stands before a telephone number
	topic                        // scans, prints, post: not development
	elsewhere                    // what else is pushed or pulled
	tone                         // what is pushed in a picture
	inScan                       // a push made in the scan or print
	film                         // the thing itself: roll, film, it
	filler                       // words that carry nothing here
	joins                        // and, but: begins a new clause
	either                       // or
	toward                       // to, at, as, for: before a speed
	zero                         // none
	plus                         // a sign in words
	minus                        // the same
	condition                    // if, unless
	zone                         // N, the zone system's normal
	brief                        // P, short for push
	article                      // a, an
	aside                        // a number about something else
	aperture                     // f
	reported                     // what somebody else says
)

// entry is one phrase of the lexicon.
type entry struct {
	rest  []string // the words after the first
	class class
}

// lexicon finds the phrases that begin with a word.
var lexicon = func() map[string][]entry {
	words := map[string][]entry{}
	for _, group := range vocabulary {
		for phrase := range strings.SplitSeq(group.words, ",") {
			parts := strings.Fields(phrase)
			words[parts[0]] = addEntry(words[parts[0]], parts[1:], group.class)
		}
	}
	return words
}()

func addEntry(entries []entry, rest []string, class class) []entry {
	for i := range entries {
		if strings.Join(entries[i].rest, " ") == strings.Join(rest, " ") {
			entries[i].class |= class
			return entries
		}
	}
	return append(entries, entry{rest, class})
}

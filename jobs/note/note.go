package note

import (
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"wetside/chemistry"
)

// MaxLength is how much of a note is read, in bytes. A longer one is read to
// there and asked about.
const MaxLength = 2000

// Reading is what a note asks for. Push and EI are nil where nothing is said
// about them, or nothing that can be relied on. Because is one sentence for the
// person who has to trust or confirm it, with the words it was read from. Two
// says that the note asks for two developments of one roll, which no tank can
// give; whoever wrote it can say at once which one is meant.
type Reading struct {
	Push    *chemistry.Stops `json:"push"`
	EI      *int             `json:"ei"`
	Confirm bool             `json:"confirm"`
	Because string           `json:"because"`
	Two     bool             `json:"-"`
}

// Read reads the note of a roll of this box speed. It takes any text; a box
// speed outside [chemistry.MinSpeed] to [chemistry.MaxSpeed] gives a reading to
// confirm. The same note always gives the same reading.
func Read(text string, iso int) Reading {
	if iso < chemistry.MinSpeed || iso > chemistry.MaxSpeed {
		return Reading{Confirm: true, Because: "Please confirm: without the film's speed the note cannot be read."}
	}
	kept := shortened(text)
	plain := plainWidth(kept)
	r := &reader{text: plain, iso: iso, items: fold(scan(plain)), told: map[int]bool{}}
	putAside(r.items)
	r.read()
	r.lookForDoubts()
	v := r.weigh()
	if len(kept) < len(text) {
		r.doubts = append(r.doubts, doubt{reason: "the note is too long to be read whole"})
	}
	return Reading{Push: v.push, EI: v.ei, Confirm: len(r.doubts) > 0, Because: r.because(v), Two: r.asksTwice()}
}

// asksTwice reports whether two requests disagree, or one is for a part of the
// roll.
func (r *reader) asksTwice() bool {
	return slices.ContainsFunc(r.doubts, func(d doubt) bool {
		return d.reason == disagreeing || d.reason == inPart && len(r.findings) > 0
	})
}

// shortened cuts a long note between two characters.
func shortened(text string) string {
	if len(text) <= MaxLength {
		return text
	}
	text = text[:MaxLength]
	for len(text) > 0 {
		if r, width := utf8.DecodeLastRuneInString(text); r != utf8.RuneError || width > 1 {
			break
		}
		text = text[:len(text)-1]
	}
	return text
}

// because says in one sentence what was read from which words, and why a person
// must look at it where one must.
func (r *reader) because(v verdict) string {
	var said []string
	if v.push != nil {
		said = append(said, pushInWords(*v.push)+" from “"+r.quote(v.pushBy.from, v.pushBy.to)+"”")
	}
	if v.ei != nil {
		said = append(said, "EI "+strconv.Itoa(*v.ei)+" from “"+r.quote(v.ratedBy.from, v.ratedBy.to)+"”")
	}
	reading := strings.Join(said, ", ")
	switch {
	case len(r.doubts) > 0:
		asked := "Please confirm: " + r.doubts[0].reason
		if words := r.quote(r.doubts[0].from, r.doubts[0].to); words != "" {
			asked += " (“" + words + "”)"
		}
		if reading != "" {
			asked += "; read so far: " + reading
		}
		return asked + "."
	case reading == "":
		return "The note says nothing about push, pull or rating."
	}
	return "Read as " + reading + "."
}

func pushInWords(stops chemistry.Stops) string {
	switch {
	case stops > 0:
		return "push " + strings.TrimPrefix(stops.String(), "+")
	case stops < 0:
		return "pull " + strings.TrimPrefix((-stops).String(), "+")
	}
	return "no push"
}

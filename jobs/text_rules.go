package jobs

import (
	"strings"
	"unicode"
	"unicode/utf8"
)

// name checks a name that must be there, on one line.
func (f *fieldErrors) name(field, value string) {
	if strings.TrimSpace(value) == "" {
		f.add(field, "a name is missing")
		return
	}
	f.line(field, value, MaxName)
}

// line checks text of one line: not too long, nothing but characters that can
// be read.
func (f *fieldErrors) line(field, value string, most int) {
	f.text(field, value, most, "")
}

// paragraph checks text that may have line breaks.
func (f *fieldErrors) paragraph(field, value string, most int) {
	f.text(field, value, most, "\n\r\t")
}

func (f *fieldErrors) text(field, value string, most int, allowed string) {
	if !utf8.ValidString(value) {
		f.add(field, "this is not valid text")
		return
	}
	if n := utf8.RuneCountInString(value); n > most {
		f.add(field, "the text is too long: %d characters, at most %d", n, most)
		return
	}
	for _, r := range value {
		if (unicode.IsControl(r) || turnsText(r)) && !strings.ContainsRune(allowed, r) {
			f.add(field, "the text holds a character that cannot be seen (U+%04X); type it again", r)
			return
		}
	}
}

// turnsText reports whether a character embeds or overrides the direction of
// writing, so that a label would read differently from what it says.
func turnsText(r rune) bool { return r >= 0x202A && r <= 0x202E || r >= 0x2066 && r <= 0x2069 }

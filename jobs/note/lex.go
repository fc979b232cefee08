package note

import (
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"
)

type tokenKind int

const (
	wordToken   tokenKind = iota // letters; apostrophes are dropped
	numberToken                  // digits, with a decimal part or thousands
	markToken                    // anything else that is visible, and "\n"
)

// token is a piece of the note. Glued means that it follows the one before
// without a space.
type token struct {
	kind       tokenKind
	text       string // lower case, dashes and quotes made plain
	start, end int    // bytes of the note
	glued      bool
	value      float64 // of a number
	digits     int     // how many digits a number was written with
	fraction   bool    // a single sign such as ½
	capital    bool    // a word written with a capital
}

func (t token) isMark(text string) bool { return t.kind == markToken && t.text == text }

// vulgar are the fractions that have a sign of their own.
var vulgar = map[rune]float64{
	'½': 1.0 / 2, '⅓': 1.0 / 3, '⅔': 2.0 / 3, '¼': 1.0 / 4, '¾': 3.0 / 4, '⅙': 1.0 / 6, '⅚': 5.0 / 6,
}

// plainRune maps the many dashes, quotes and signs to one of each.
func plainRune(r rune) rune {
	switch r {
	case '’', '‘', '`', '´', 'ʼ':
		return '\''
	case '−', '‐', '‑', '﹣':
		return '-'
	case '—', '―':
		return '–'
	case '×':
		return 'x'
	case '⁄', '∕':
		return '/'
	case '➔', '➝', '➜', '⇒':
		return '→'
	}
	return unicode.ToLower(r)
}

// plainWidth turns the wide letters, figures and signs of East Asian keyboards
// into the usual ones.
func plainWidth(text string) string {
	const first, last, apart = '！', '～', '！' - '!'
	return strings.Map(func(r rune) rune {
		if r >= first && r <= last {
			return r - apart
		}
		return r
	}, text)
}

// scan cuts a note into tokens.
func scan(text string) []token {
	var tokens []token
	glued := false
	for at := 0; at < len(text); {
		r, width := utf8.DecodeRuneInString(text[at:])
		if unicode.IsSpace(r) && r != '\n' || unicode.Is(unicode.Mn, r) {
			glued, at = false, at+width
			continue
		}
		next := scanToken(text, at)
		next.glued = glued
		tokens = append(tokens, next)
		glued, at = true, next.end
	}
	return tokens
}

func scanToken(text string, at int) token {
	r, width := utf8.DecodeRuneInString(text[at:])
	if value, ok := vulgar[r]; ok {
		return token{kind: numberToken, text: string(r), start: at, end: at + width, value: value, fraction: true}
	}
	switch plain := plainRune(r); {
	case unicode.IsLetter(plain):
		return scanWord(text, at)
	case isDigit(r), plain == '.' && startsDecimal(text, at):
		return scanNumber(text, at)
	default:
		return scanMark(text, at)
	}
}

func isDigit(r rune) bool { return r >= '0' && r <= '9' }

// startsDecimal reports whether the point at this byte begins a number such as
// ".5", which it does not inside or after a word or another number.
func startsDecimal(text string, at int) bool {
	before, _ := utf8.DecodeLastRuneInString(text[:at])
	isInside := at > 0 && (unicode.IsLetter(before) || unicode.IsDigit(before) || before == '.')
	return !isInside && at+1 < len(text) && isDigit(rune(text[at+1]))
}

func scanWord(text string, at int) token {
	var word strings.Builder
	end := at
	for end < len(text) {
		r, width := utf8.DecodeRuneInString(text[end:])
		r = plainRune(r)
		if r == '\'' {
			after, _ := utf8.DecodeRuneInString(text[end+width:])
			if !unicode.IsLetter(after) {
				break
			}
		} else if !unicode.IsLetter(r) {
			break
		} else {
			word.WriteRune(r)
		}
		end += width
	}
	first, _ := utf8.DecodeRuneInString(text[at:])
	return token{kind: wordToken, text: word.String(), start: at, end: end, capital: unicode.IsUpper(first)}
}

// scanNumber reads digits with a decimal point, a decimal comma ("1,5") or
// commas between thousands ("1,600").
func scanNumber(text string, at int) token {
	end := at + digitRun(text, at)
	plain := text[at:end]
	for end < len(text) && (text[end] == '.' || text[end] == ',') {
		run := digitRun(text, end+1)
		isThousands := text[end] == ',' && run == 3 && len(plain) <= 6 && len(plain) > 0 && !strings.Contains(plain, ".")
		isDecimal := run > 0 && !strings.Contains(plain, ".") && (text[end] == '.' || run <= 2 && len(plain) == 1)
		if !isThousands && !isDecimal {
			break
		}
		if isDecimal && !isThousands {
			plain += "."
		}
		plain += text[end+1 : end+1+run]
		end += 1 + run
	}
	value, err := strconv.ParseFloat(plain, 64)
	if err != nil {
		value = 0 // more digits than a number can hold: nothing we read
	}
	digits := len(strings.ReplaceAll(plain, ".", ""))
	return token{kind: numberToken, text: plain, start: at, end: end, value: value, digits: digits}
}

func digitRun(text string, at int) int {
	end := at
	for end < len(text) && isDigit(rune(text[end])) {
		end++
	}
	return end - at
}

// scanMark reads one sign, or an arrow or dots made of several.
func scanMark(text string, at int) token {
	for _, long := range []struct{ written, meant string }{
		{"-->", "→"}, {"->", "→"}, {"=>", "→"}, {"...", "."}, {"--", "–"}, {"+/-", "±"}, {"+-", "±"}, {"…", "."}, {"<3", "♥"},
	} {
		if strings.HasPrefix(text[at:], long.written) && !(long.meant == "♥" && digitRun(text, at+1) > 1) {
			return token{kind: markToken, text: long.meant, start: at, end: at + len(long.written)}
		}
	}
	r, width := utf8.DecodeRuneInString(text[at:])
	if r == '–' && startsFigure(text, at, width) {
		r = '-'
	}
	return token{kind: markToken, text: string(plainRune(r)), start: at, end: at + width}
}

// startsFigure reports whether the dash at this byte is written as the minus of
// a figure: against it and against nothing before.
func startsFigure(text string, at, width int) bool {
	before, _ := utf8.DecodeLastRuneInString(text[:at])
	after, _ := utf8.DecodeRuneInString(text[at+width:])
	_, isFraction := vulgar[after]
	return (at == 0 || unicode.IsSpace(before)) && (isDigit(after) || isFraction)
}

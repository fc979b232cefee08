package jobs

import (
	"cmp"
	"fmt"
	"regexp"
	"slices"
	"strings"
)

// TracedOwner is somebody whose film a cause touched.
type TracedOwner struct {
	Name, Email, Phone string
	Rolls              []TracedRoll
}

// Owners lists whose the rolls are, by name. Orders of one e-mail address
// belong to one owner; without one, those of one name and telephone number.
func (t Trace) Owners() []TracedOwner {
	place := map[string]int{}
	var owners []TracedOwner
	for _, roll := range t.Rolls {
		key := strings.ToLower(strings.TrimSpace(roll.Email))
		if key == "" {
			key = roll.CustomerName + "\n" + roll.Phone
		}
		at, known := place[key]
		if !known {
			at, place[key] = len(owners), len(owners)
			owners = append(owners, TracedOwner{Name: roll.CustomerName, Email: strings.TrimSpace(roll.Email), Phone: roll.Phone})
		}
		owner := &owners[at]
		owner.Phone = cmp.Or(owner.Phone, roll.Phone)
		owner.Rolls = append(owner.Rolls, roll)
	}
	slices.SortStableFunc(owners, func(a, b TracedOwner) int { return cmp.Compare(strings.ToLower(a.Name), strings.ToLower(b.Name)) })
	return owners
}

// MaxLetter is the longest text of a message, in characters.
const MaxLetter = 2000

// LetterWords are what a message fills in for each owner.
var LetterWords = []string{"{name}", "{rolls}", "{lab}"}

var bracedWord = regexp.MustCompile(`\{[^{}\s]*\}`)

// CheckLetter refuses the text of a message that is empty, too long, or asks
// for a word that nothing is filled in for.
func CheckLetter(text string) error {
	var wrong fieldErrors
	if strings.TrimSpace(text) == "" {
		wrong.add("text", "the message is empty")
	}
	wrong.paragraph("text", text, MaxLetter)
	for _, word := range bracedWord.FindAllString(text, -1) {
		if !slices.Contains(LetterWords, word) {
			wrong.add("text", "%s is not filled in by anything; what is are %s", word, strings.Join(LetterWords, ", "))
			break
		}
	}
	return wrong.err("this message cannot be written")
}

// Letter writes the text of a message to one owner.
func (o TracedOwner) Letter(text, lab string) string {
	rolls := make([]string, len(o.Rolls))
	for i, roll := range o.Rolls {
		rolls[i] = fmt.Sprintf("roll %s (%s)", roll.Label(), roll.StockName)
	}
	return strings.NewReplacer("{name}", o.Name, "{rolls}", strings.Join(rolls, ", "), "{lab}", lab).Replace(text)
}

package jobs

import (
	"strings"
	"unicode/utf8"
)

// MaxName is the most characters a name in the records has.
const MaxName = 80

// CheckPerson checks what is said of a new person and returns the name as it
// is kept.
func CheckPerson(name string, role Role, password string) (string, error) {
	var wrong fieldErrors
	name = strings.TrimSpace(name)
	wrong.name("name", name)
	if role != Staff && role != Owner {
		wrong.add("role", "%q is no role, allowed are staff and owner", string(role))
	}
	if message := passwordFault(password); message != "" {
		wrong.add("password", "%s", message)
	}
	return name, wrong.err("this person cannot be added")
}

// CheckPassword refuses a password that is too short, too long or no text.
func CheckPassword(password string) error {
	if message := passwordFault(password); message != "" {
		return InvalidField("password", "%s", message)
	}
	return nil
}

// passwordFault says what is wrong with a password without repeating it.
func passwordFault(password string) string {
	switch {
	case len(password) < MinPassword:
		return "the password is too short: at least 10 characters"
	case len(password) > MaxPassword:
		return "the password is too long: at most 200 characters"
	case !utf8.ValidString(password):
		return "the password is not valid text"
	case strings.Trim(password, password[:1]) == "":
		return "the password is one character over and over"
	}
	return ""
}

// CheckSetActive decides whether a person may be let in or shut out. It is
// given that person and every active owner; the last owner stays, because
// nobody else could let anybody in again.
func CheckSetActive(id PersonID, active bool, people []Person) (Person, error) {
	var person Person
	owners := 0
	for _, p := range people {
		if p.ID == id {
			person = p
		} else if p.Role == Owner && p.Active {
			owners++
		}
	}
	if person.ID == 0 {
		return Person{}, Errorf(NotFound, "there is no such person")
	}
	if !active && person.Role == Owner && person.Active && owners == 0 {
		return Person{}, Errorf(Refused, "%s is the last owner who can sign in; add another owner first", person.Name)
	}
	return person, nil
}

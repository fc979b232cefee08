package jobs

import (
	"strings"
	"testing"
)

func TestCheckPerson(t *testing.T) {
	t.Parallel()
	const good = "a long enough one"
	for _, test := range []struct {
		name, person string
		role         Role
		password     string
		fields       []string
	}{
		{"nothing", "", "", "", []string{"name", "role", "password"}},
		{"blank name", "  ", Staff, good, []string{"name"}},
		{"long name", strings.Repeat("é", 81), Staff, good, []string{"name"}},
		{"line break", "Ada\nOwner", Staff, good, []string{"name"}},
		{"unknown role", "Ada", "boss", good, []string{"role"}},
		{"nine characters", "Ada", Staff, "123456789", []string{"password"}},
		{"one over and over", "Ada", Staff, "aaaaaaaaaaaaaa", []string{"password"}},
		{"endless", "Ada", Owner, strings.Repeat("ab", 101), []string{"password"}},
		{"no text", "Ada", Owner, "0123456789\xff", []string{"password"}},
	} {
		t.Run(test.name, func(t *testing.T) {
			_, err := CheckPerson(test.person, test.role, test.password)
			wantFields(t, err, test.fields...)
			if test.password != "" && strings.Contains(err.Error(), test.password) {
				t.Errorf("the password is repeated: %v", err)
			}
		})
	}
	for _, password := range []string{"0123456789", strings.Repeat("ab", 100), "schöne grüße"} {
		name, err := CheckPerson(" Ada ", Owner, password)
		if err != nil || name != "Ada" {
			t.Errorf("%q: %q, %v", password, name, err)
		}
	}
}

func TestTheLastOwnerStays(t *testing.T) {
	t.Parallel()
	owner, second := Person{ID: 1, Name: "Ada", Role: Owner, Active: true}, Person{ID: 2, Name: "Bea", Role: Owner, Active: true}
	staff, gone := Person{ID: 3, Role: Staff, Active: true}, Person{ID: 4, Role: Owner}
	for _, test := range []struct {
		name   string
		id     PersonID
		active bool
		people []Person
		want   Code
	}{
		{"the last owner", 1, false, []Person{owner}, Refused},
		{"the last owner beside one shut out before", 1, false, []Person{owner, gone}, Refused},
		{"one of two owners", 1, false, []Person{owner, second}, ""},
		{"staff", 3, false, []Person{owner, staff}, ""},
		{"an owner comes back", 4, true, []Person{owner, gone}, ""},
		{"an owner who is shut out already", 4, false, []Person{gone}, ""},
		{"nobody", 9, false, []Person{owner}, NotFound},
	} {
		_, err := CheckSetActive(test.id, test.active, test.people)
		if CodeOf(err) != test.want {
			t.Errorf("%s: %v, want %q", test.name, err, test.want)
		}
	}
}

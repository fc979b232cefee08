package postgres

import (
	"context"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"wetside/jobs"
)

const goodPassword = "correct horse battery"

func (l *testLab) person(name string, role jobs.Role) jobs.Person {
	l.t.Helper()
	person, err := l.people.AddPerson(context.Background(), jobs.Program, name, role, goodPassword)
	l.must(err)
	return person
}

func TestSignIn(t *testing.T) {
	t.Parallel()
	lab, ctx := newLab(t), context.Background()
	bea := lab.person(" Bea Rush ", jobs.Owner)
	if want := (jobs.Person{ID: bea.ID, Name: "Bea Rush", Role: jobs.Owner, Active: true, CreatedAt: fixtureStart}); cmp.Diff(want, bea) != "" {
		t.Error(cmp.Diff(want, bea))
	}
	gone := lab.person("Gone", jobs.Staff)
	lab.must(lab.people.SetActive(ctx, ada, gone.ID, false))
	for _, name := range []string{"Bea Rush", "bea rush", " BEA RUSH "} {
		in, err := lab.people.SignIn(ctx, name, goodPassword)
		if err != nil || in.ID != bea.ID {
			t.Errorf("%q: %+v, %v", name, in, err)
		}
	}
	var said []string
	for _, try := range [][2]string{
		{"Bea Rush", goodPassword + "!"}, {"Bea Rush", ""}, {"Bea Rush", strings.Repeat(goodPassword, 20)},
		{"Nobody", goodPassword}, {"", ""}, {"Bea\x00Rush", goodPassword}, {"\xff", "x"}, {"%", goodPassword},
		{"Gone", goodPassword},
	} {
		in, err := lab.people.SignIn(ctx, try[0], try[1])
		wantCode(t, err, jobs.Unauthorised)
		if err != nil {
			said = append(said, err.Error())
		}
		if in.ID != 0 {
			t.Errorf("%q gave %+v", try, in)
		}
	}
	for _, message := range said {
		if message != said[0] {
			t.Errorf("failures can be told apart: %q and %q", message, said[0])
		}
	}
}

// An unknown name costs one hash, as a wrong password does: what takes as long
// cannot be told apart.
func TestStrangersCostAHash(t *testing.T) {
	t.Parallel()
	lab := newLab(t)
	lab.person("Bea", jobs.Owner)
	for _, name := range []string{"Bea", "Nobody"} {
		places, hashed, done := make(chan struct{}), 0, make(chan error)
		lab.people.hasher = &hasher{places}
		go func() {
			_, err := lab.people.SignIn(context.Background(), name, "not the password")
			done <- err
		}()
		for waiting := true; waiting; {
			select {
			case <-places:
				hashed++
				places <- struct{}{}
			case err := <-done:
				wantCode(t, err, jobs.Unauthorised)
				waiting = false
			}
		}
		if hashed != 1 {
			t.Errorf("%s cost %d hashes, want 1", name, hashed)
		}
	}
}

func TestPasswordsAreHashed(t *testing.T) {
	t.Parallel()
	lab, ctx := newLab(t), context.Background()
	first, second := lab.person("Bea", jobs.Owner), lab.person("Cor", jobs.Staff)
	stored := func(id jobs.PersonID) (hash string) {
		lab.must(lab.db.pool.QueryRow(ctx, "SELECT password_hash FROM people WHERE id = $1", int64(id)).Scan(&hash))
		return hash
	}
	if hash := stored(first.ID); !strings.HasPrefix(hash, "$argon2id$v=19$m=19456,t=2,p=1$") || strings.Contains(hash, goodPassword) {
		t.Errorf("stored as %s", hash)
	}
	if stored(first.ID) == stored(second.ID) {
		t.Error("two people with one password have one hash: there is no salt")
	}
	lab.must(lab.people.SetPassword(ctx, ada, first.ID, "another good one"))
	_, err := lab.people.SignIn(ctx, "Bea", goodPassword)
	wantCode(t, err, jobs.Unauthorised)
	if _, err := lab.people.SignIn(ctx, "Bea", "another good one"); err != nil {
		t.Error(err)
	}
	wantCode(t, lab.people.SetPassword(ctx, ada, first.ID, "short"), jobs.Invalid)
	wantCode(t, lab.people.SetPassword(ctx, ada, 999, "another good one"), jobs.NotFound)
	lab.exec("UPDATE people SET password_hash = 'plain' WHERE id = $1", int64(first.ID))
	if _, err := lab.people.SignIn(ctx, "Bea", "plain"); err == nil || jobs.CodeOf(err) != "" {
		t.Errorf("a stored password that is no hash is a fault of ours, got %v", err)
	}
}

// An older, dearer or cheaper hash still opens the door: its costs are its own.
func TestHashesCarryTheirCosts(t *testing.T) {
	t.Parallel()
	ctx, h := context.Background(), newHasher()
	cheap := argonCost{memoryKiB: 64, passes: 1, lanes: 2}
	salt := []byte("sixteen bytes ok")
	encoded := encodeHash(cheap, salt, cheap.key("pass", salt))
	for password, want := range map[string]bool{"pass": true, "Pass": false, "": false} {
		if got, err := h.matches(ctx, password, encoded); got != want || err != nil {
			t.Errorf("%q matches: %v, %v", password, got, err)
		}
	}
	for _, bad := range []string{"", "$argon2i$v=19$m=64,t=1,p=1$c2FsdA$aGFzaA", encoded[:len(encoded)-4], strings.Replace(encoded, "t=1", "t=0", 1),
		strings.Replace(encoded, "v=19", "v=16", 1), strings.Replace(encoded, "m=64", "m=lots", 1)} {
		if got, err := h.matches(ctx, "pass", bad); got || err == nil {
			t.Errorf("%q: %v, %v", bad, got, err)
		}
	}
	if got, err := h.matches(ctx, "", strangersHash); got || err != nil {
		t.Errorf("the stranger's hash: %v, %v", got, err)
	}
}

func TestNamesAreUnique(t *testing.T) {
	t.Parallel()
	lab, ctx := newLab(t), context.Background()
	lab.person("Bea", jobs.Owner)
	_, err := lab.people.AddPerson(ctx, ada, "BEA", jobs.Staff, goodPassword)
	wantCode(t, err, jobs.Duplicate)
	lab.person("cor", jobs.Staff)
	lab.person("Ana", jobs.Staff)
	people, err := lab.people.People(ctx)
	lab.must(err)
	var names []string
	for _, p := range people {
		names = append(names, p.Name)
	}
	if diff := cmp.Diff([]string{"Ana", "Bea", "cor"}, names); diff != "" {
		t.Error(diff)
	}
	_, err = lab.people.Person(ctx, 999)
	wantCode(t, err, jobs.NotFound)
	if one, err := lab.people.Person(ctx, people[1].ID); err != nil || one.Name != "Bea" {
		t.Errorf("%+v, %v", one, err)
	}
}

func TestTwoOwnersShutEachOtherOut(t *testing.T) {
	t.Parallel()
	lab, ctx := newLab(t), context.Background()
	owners := []jobs.Person{lab.person("Bea", jobs.Owner), lab.person("Cor", jobs.Owner), lab.person("Dot", jobs.Owner)}
	lost := 0
	for _, err := range lab.race(3, func(ctx context.Context, i int) error {
		return lab.people.SetActive(ctx, owners[i].Actor(), owners[(i+1)%3].ID, false)
	}) {
		if err != nil {
			wantCode(t, err, jobs.Refused)
			lost++
		}
	}
	if left := lab.count("SELECT count(*) FROM people WHERE active AND role = 'owner'"); left != 1 || lost != 1 {
		t.Errorf("%d owners are left, %d of 3 were refused", left, lost)
	}
	wantCode(t, lab.people.SetActive(ctx, ada, 999, true), jobs.NotFound)
}

package jobs

import (
	"context"
	"time"
)

// Role decides what a signed-in person may do. An owner may do all that staff
// may.
type Role string

// The roles.
const (
	Staff Role = "staff"
	Owner Role = "owner"
)

// May reports whether a person in this role may do what asks for another one.
func (r Role) May(needed Role) bool { return r == needed || r == Owner && needed == Staff }

// PersonID is the key of a person who signs in.
type PersonID int64

// Person is somebody who works at the lab and signs in.
type Person struct {
	ID        PersonID
	Name      string
	Role      Role
	Active    bool
	CreatedAt time.Time
}

// Actor is who does something, for the record of events. The zero person is
// the customer or the program itself; the name says which.
type Actor struct {
	Person PersonID
	Name   string
}

// The actors that do not sign in.
var (
	Customer = Actor{Name: "customer"}
	Program  = Actor{Name: "wetside"}
)

// Actor returns the person as one who does something.
func (p Person) Actor() Actor { return Actor{Person: p.ID, Name: p.Name} }

// Password lengths, in bytes: short ones are guessed, and hashing an endless
// one would be a way to keep the program busy.
const (
	MinPassword = 10
	MaxPassword = 200
)

// PeopleService keeps the people who sign in.
type PeopleService interface {
	// SignIn returns the person with this name and password. Any mismatch, an
	// unknown name and an inactive person are all the same Unauthorised.
	SignIn(ctx context.Context, name, password string) (Person, error)
	// Person returns somebody by key: NotFound when there is none.
	Person(ctx context.Context, id PersonID) (Person, error)
	// People lists everybody by name.
	People(ctx context.Context) ([]Person, error)
	// AddPerson adds somebody: Invalid for a bad name, role or password,
	// Duplicate when the name is taken.
	AddPerson(ctx context.Context, by Actor, name string, role Role, password string) (Person, error)
	// SetPassword changes a password: Invalid when it is too short or long.
	SetPassword(ctx context.Context, by Actor, id PersonID, password string) error
	// SetActive lets somebody sign in or not: Refused for the last owner.
	SetActive(ctx context.Context, by Actor, id PersonID, active bool) error
}

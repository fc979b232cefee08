package postgres

import (
	"context"
	"errors"
	"fmt"
	"strings"

	"github.com/jackc/pgx/v5"

	"wetside/jobs"
)

// PeopleStore keeps the people who sign in.
type PeopleStore struct {
	db     *DB
	hasher *hasher
}

var _ jobs.PeopleService = (*PeopleStore)(nil)

// NewPeopleStore returns the people kept in db.
func NewPeopleStore(db *DB) *PeopleStore { return &PeopleStore{db, newHasher()} }

const personColumns = "id, name, role, active, created_at"

func scanPerson(row pgx.CollectableRow) (jobs.Person, error) {
	var p jobs.Person
	err := row.Scan(&p.ID, &p.Name, &p.Role, &p.Active, &p.CreatedAt)
	return p, err
}

// SignIn returns the person with this name and password.
func (s *PeopleStore) SignIn(ctx context.Context, name, password string) (jobs.Person, error) {
	hash := strangersHash
	var person jobs.Person
	name = strings.ToValidUTF8(strings.ReplaceAll(strings.TrimSpace(name), "\x00", "?"), "?")
	row := s.db.pool.QueryRow(ctx,
		"SELECT "+personColumns+", password_hash FROM people WHERE lower(name) = lower($1)", name)
	err := row.Scan(&person.ID, &person.Name, &person.Role, &person.Active, &person.CreatedAt, &hash)
	if err != nil && !errors.Is(err, pgx.ErrNoRows) {
		return jobs.Person{}, fmt.Errorf("sign in: %w", err)
	}
	if len(password) > jobs.MaxPassword {
		password = "" // no password is that long, and an endless one is not worth hashing
	}
	matches, err := s.hasher.matches(ctx, password, hash)
	if err != nil {
		return jobs.Person{}, fmt.Errorf("sign in: %w", err)
	}
	if !matches || !person.Active {
		return jobs.Person{}, jobs.Errorf(jobs.Unauthorised, "the name and the password do not belong together")
	}
	return person, nil
}

// Person returns somebody by key.
func (s *PeopleStore) Person(ctx context.Context, id jobs.PersonID) (jobs.Person, error) {
	rows, _ := s.db.pool.Query(ctx, "SELECT "+personColumns+" FROM people WHERE id = $1", id)
	return onePerson(rows)
}

func onePerson(rows pgx.Rows) (jobs.Person, error) {
	person, err := pgx.CollectExactlyOneRow(rows, scanPerson)
	if errors.Is(err, pgx.ErrNoRows) {
		return jobs.Person{}, jobs.Errorf(jobs.NotFound, "there is no such person")
	}
	return person, err
}

// People lists everybody by name.
func (s *PeopleStore) People(ctx context.Context) ([]jobs.Person, error) {
	rows, _ := s.db.pool.Query(ctx, "SELECT "+personColumns+" FROM people ORDER BY lower(name), id")
	return pgx.CollectRows(rows, scanPerson)
}

// AddPerson adds somebody.
func (s *PeopleStore) AddPerson(ctx context.Context, by jobs.Actor, name string, role jobs.Role, password string) (jobs.Person, error) {
	name, err := jobs.CheckPerson(name, role, password)
	if err != nil {
		return jobs.Person{}, err
	}
	hash, err := s.hasher.hash(ctx, password)
	if err != nil {
		return jobs.Person{}, fmt.Errorf("add person: %w", err)
	}
	var person jobs.Person
	err = s.db.withTx(ctx, func(t tx) error {
		rows, _ := t.Query(ctx, `INSERT INTO people (name, role, password_hash, created_at)
			VALUES ($1, $2, $3, $4) RETURNING `+personColumns, name, role, hash, t.now)
		if person, err = pgx.CollectExactlyOneRow(rows, scanPerson); err != nil {
			return err
		}
		return t.addEvents(ctx, jobs.Event{By: by, Kind: "add person", Why: name + " as " + string(role)})
	})
	return person, err
}

// SetPassword changes a password.
func (s *PeopleStore) SetPassword(ctx context.Context, by jobs.Actor, id jobs.PersonID, password string) error {
	if err := jobs.CheckPassword(password); err != nil {
		return err
	}
	hash, err := s.hasher.hash(ctx, password)
	if err != nil {
		return fmt.Errorf("set password: %w", err)
	}
	return s.db.withTx(ctx, func(t tx) error {
		rows, _ := t.Query(ctx, "UPDATE people SET password_hash = $2 WHERE id = $1 RETURNING "+personColumns, id, hash)
		person, err := onePerson(rows)
		if err != nil {
			return err
		}
		return t.addEvents(ctx, jobs.Event{By: by, Kind: "set password", Why: person.Name})
	})
}

// SetActive lets somebody sign in or not.
func (s *PeopleStore) SetActive(ctx context.Context, by jobs.Actor, id jobs.PersonID, active bool) error {
	return s.db.withTx(ctx, func(t tx) error {
		// Everybody who takes an owner away locks all of them first, in one
		// order: two who do so at once wait for each other, and the second sees
		// who is left.
		rows, _ := t.Query(ctx, "SELECT "+personColumns+
			" FROM people WHERE role = 'owner' AND active OR id = $1 ORDER BY id FOR UPDATE", id)
		locked, err := pgx.CollectRows(rows, scanPerson)
		if err != nil {
			return err
		}
		person, err := jobs.CheckSetActive(id, active, locked)
		if err != nil {
			return err
		}
		if _, err := t.Exec(ctx, "UPDATE people SET active = $2 WHERE id = $1", id, active); err != nil {
			return err
		}
		kind := "let in"
		if !active {
			kind = "shut out"
		}
		return t.addEvents(ctx, jobs.Event{By: by, Kind: kind, Why: person.Name})
	})
}

package main

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"strings"
	"time"

	"wetside/jobs"
	"wetside/jobs/postgres"
)

const userUsage = `user list
       wetside user add --role staff|owner NAME   (password on standard input)
       wetside user password NAME                 (password on standard input)
       wetside user on NAME
       wetside user off NAME`

// userCommand manages the people who sign in. It is how the first owner comes in.
func userCommand(ctx context.Context, args []string, io stdio) (err error) {
	flags := newFlags("user", userUsage, io)
	role := flags.String("role", string(jobs.Staff), "staff or owner, for add")
	setup := flags.Bool("setup", false, "install PostgreSQL when the machine has none")
	rest, err := parseFlags(flags, args)
	if err != nil {
		return err
	}
	action, name, err := userAction(rest)
	if err != nil {
		return err
	}
	r, err := openRecords(ctx, *setup, io.err)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, r.close()) }()
	people := postgres.NewPeopleStore(postgres.NewDB(r.pool, time.Now))
	return userError(manageUser(ctx, people, action, name, jobs.Role(*role), io))
}

// userAction reads what is to be done to whom.
func userAction(args []string) (action, name string, err error) {
	if len(args) == 0 {
		return "", "", badInput("say what to do: list, add, password, on or off")
	}
	switch action = args[0]; action {
	case "list":
		if len(args) > 1 {
			return "", "", badInput("unexpected %q; user list takes no name", args[1])
		}
		return action, "", nil
	case "add", "password", "on", "off":
		if len(args) != 2 {
			return "", "", badInput("user %s takes one name; put a name with spaces in quotes", action)
		}
		return action, args[1], nil
	}
	return "", "", badInput("there is no %q; allowed are list, add, password, on and off", action)
}

// userError marks what the person at the keyboard can mend as bad input.
func userError(err error) error {
	switch jobs.CodeOf(err) {
	case jobs.Invalid, jobs.Duplicate, jobs.NotFound, jobs.Refused:
		return usageError{err}
	}
	return err
}

func manageUser(ctx context.Context, people jobs.PeopleService, action, name string, role jobs.Role, io stdio) error {
	if action == "list" {
		return listUsers(ctx, people, io)
	}
	if action == "add" {
		password, err := readPassword(io)
		if err != nil {
			return err
		}
		person, err := people.AddPerson(ctx, jobs.Program, name, role, password)
		if err == nil {
			fmt.Fprintf(io.out, "%s (%s) can sign in now.\n", person.Name, person.Role)
		}
		return err
	}
	person, err := personByName(ctx, people, name)
	if err != nil {
		return err
	}
	if action == "password" {
		password, err := readPassword(io)
		if err != nil {
			return err
		}
		return people.SetPassword(ctx, jobs.Program, person.ID, password)
	}
	return people.SetActive(ctx, jobs.Program, person.ID, action == "on")
}

func listUsers(ctx context.Context, people jobs.PeopleService, io stdio) error {
	everybody, err := people.People(ctx)
	if err != nil {
		return err
	}
	if len(everybody) == 0 {
		fmt.Fprintln(io.out, "Nobody can sign in yet. Add somebody with: wetside user add --role owner NAME")
	}
	for _, p := range everybody {
		state := "on"
		if !p.Active {
			state = "off"
		}
		fmt.Fprintf(io.out, "%-6s %-4s %s\n", p.Role, state, p.Name)
	}
	return nil
}

func personByName(ctx context.Context, people jobs.PeopleService, name string) (jobs.Person, error) {
	everybody, err := people.People(ctx)
	if err != nil {
		return jobs.Person{}, err
	}
	for _, p := range everybody {
		if strings.EqualFold(p.Name, name) {
			return p, nil
		}
	}
	return jobs.Person{}, jobs.Errorf(jobs.NotFound, "nobody is called %q; wetside user list shows everybody", name)
}

// readPassword takes one line of standard input, so that a password is never
// an argument that other people on the machine could read.
func readPassword(io stdio) (string, error) {
	fmt.Fprintf(io.err, "Password (%d characters or more): ", jobs.MinPassword)
	line, err := bufio.NewReader(io.in).ReadString('\n')
	password := strings.TrimRight(line, "\r\n")
	if password == "" {
		return "", badInput("no password on standard input (%v)", err)
	}
	return password, nil
}

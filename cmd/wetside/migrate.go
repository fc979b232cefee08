package main

import (
	"context"
	"errors"
	"fmt"
)

// migrateCommand brings the schema up to date and says so.
func migrateCommand(ctx context.Context, args []string, io stdio) (err error) {
	flags := newFlags("migrate", "migrate [--setup]", io)
	setup := flags.Bool("setup", false, "install PostgreSQL when the machine has none")
	rest, err := parseFlags(flags, args)
	if err != nil {
		return err
	}
	if len(rest) > 0 {
		return badInput("unexpected %q; migrate takes no arguments", rest[0])
	}
	r, err := openRecords(ctx, *setup, io.err)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, r.close()) }()
	fmt.Fprintln(io.out, "The records are up to date.")
	return nil
}

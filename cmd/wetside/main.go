// Command wetside runs the wet side of a small film lab.
package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"os/signal"
	"strings"
	"syscall"
	_ "time/tzdata" // a bare machine knows no time zones
)

// stdio is where a command reads and writes, so that tests can stand in.
type stdio struct {
	in       io.Reader
	out, err io.Writer
}

// command is one word after the program's name.
type command struct {
	name, summary string
	run           func(ctx context.Context, args []string, io stdio) error
}

// commands lists every command in the order in which help shows them.
func commands() []command {
	return []command{
		{"serve", "serve the lab's pages and its API", serveCommand},
		{"demo", "serve an invented lab, with records of its own", demoCommand},
		{"devtime", "how long film stays in the developer, and why", devtimeCommand},
		{"bath", "how one fill of a solution stands and when it runs out", bathCommand},
		{"plan", "plan a day: which rolls go together, on which line, when", planCommand},
		{"note", "what a customer's push note asks for", noteCommand},
		{"user", "who may sign in", userCommand},
		{"migrate", "bring the records up to date", migrateCommand},
	}
}

// usageError is bad input: exit status 2, where any other failure is 1.
type usageError struct{ err error }

func (e usageError) Error() string { return e.err.Error() }
func (e usageError) Unwrap() error { return e.err }

// badInput marks an error as the caller's to mend.
func badInput(format string, args ...any) error {
	return usageError{fmt.Errorf(format, args...)}
}

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	status := run(ctx, os.Args[1:], stdio{os.Stdin, os.Stdout, os.Stderr})
	stop()
	os.Exit(status)
}

// run dispatches to a command and turns its error into one line and an exit
// status: 0 done, 1 failed, 2 bad input.
func run(ctx context.Context, args []string, io stdio) int {
	if len(args) == 0 {
		printHelp(io.err)
		return 2
	}
	if args[0] == "help" || args[0] == "-h" || args[0] == "--help" {
		printHelp(io.out)
		return 0
	}
	for _, c := range commands() {
		if c.name != args[0] {
			continue
		}
		err := c.run(ctx, args[1:], io)
		if err == nil || errors.Is(err, flag.ErrHelp) {
			return 0
		}
		fmt.Fprintf(io.err, "wetside %s: %s\n", c.name, oneLine(err.Error()))
		if errors.As(err, new(usageError)) {
			return 2
		}
		return 1
	}
	fmt.Fprintf(io.err, "wetside: there is no command %q; see wetside help\n", args[0])
	return 2
}

func oneLine(text string) string { return strings.Join(strings.Fields(text), " ") }

func printHelp(out io.Writer) {
	fmt.Fprintln(out, "wetside runs the wet side of a small film lab.\n\nUsage: wetside COMMAND [flags]")
	for _, c := range commands() {
		fmt.Fprintf(out, "  %-9s %s\n", c.name, c.summary)
	}
	fmt.Fprintln(out, "\nwetside COMMAND --help lists the flags of a command.")
}

// newFlags makes the flag set of a command; its own messages are silenced,
// because run prints the one line that is wanted.
func newFlags(name, usage string, io stdio) *flag.FlagSet {
	flags := flag.NewFlagSet(name, flag.ContinueOnError)
	flags.SetOutput(io.err)
	flags.Usage = func() {
		flags.SetOutput(io.out)
		fmt.Fprintf(io.out, "Usage: wetside %s\n", usage)
		flags.PrintDefaults()
	}
	return flags
}

// parseFlags reads the flags wherever they stand among the other arguments and
// returns the others; everything after "--" is an argument as it is.
func parseFlags(flags *flag.FlagSet, args []string) ([]string, error) {
	quiet := flags.Usage
	var rest []string
	for {
		flags.Usage = func() {}
		flags.SetOutput(io.Discard)
		err := flags.Parse(args)
		flags.Usage = quiet
		if errors.Is(err, flag.ErrHelp) {
			flags.Usage()
			return nil, err
		}
		if err != nil {
			return nil, usageError{err}
		}
		left := flags.Args()
		taken := len(args) - len(left)
		if taken > 0 && args[taken-1] == "--" {
			return append(rest, left...), nil
		}
		if len(left) == 0 {
			return rest, nil
		}
		rest, args = append(rest, left[0]), left[1:]
	}
}

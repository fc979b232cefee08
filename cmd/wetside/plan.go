package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"strings"
	"time"

	"wetside/jobs/plan"
)

// planCommand plans a day read from a file or standard input.
func planCommand(_ context.Context, args []string, stdio stdio) error {
	flags := newFlags("plan", "plan [--json] FILE|-", stdio)
	asJSON := flags.Bool("json", false, "print the plan as JSON")
	rest, err := parseFlags(flags, args)
	if err != nil {
		return err
	}
	if len(rest) != 1 {
		return badInput("one file with the day is wanted, or - for standard input")
	}
	in, err := readDay(rest[0], stdio.in)
	if err != nil {
		return err
	}
	out, err := plan.SolveThoroughly(in)
	if err != nil {
		return badInput("%w", err)
	}
	if *asJSON {
		encoder := json.NewEncoder(stdio.out)
		encoder.SetEscapeHTML(false)
		return encoder.Encode(out)
	}
	_, err = io.WriteString(stdio.out, timetable(in, out))
	return err
}

// readDay reads the day from the named file, or from standard input for "-".
func readDay(name string, stdin io.Reader) (plan.Input, error) {
	source := stdin
	if name != "-" {
		file, err := os.Open(name)
		if err != nil {
			return plan.Input{}, badInput("%w", err)
		}
		defer file.Close()
		source = file
	}
	in, err := plan.Read(source)
	if errors.Is(err, plan.ErrInput) {
		return in, badInput("%s: %w", name, err)
	}
	return in, err
}

// timetable writes a plan for people: the batches of each line in order, then
// whatever needs a word.
func timetable(in plan.Input, out plan.Plan) string {
	var text strings.Builder
	lines := []string{}
	ofLine := map[string][]plan.Batch{}
	for _, batch := range out.Batches {
		if ofLine[batch.Line] == nil {
			lines = append(lines, batch.Line)
		}
		ofLine[batch.Line] = append(ofLine[batch.Line], batch)
	}
	for _, line := range lines {
		fmt.Fprintf(&text, "%s\n", line)
		for _, batch := range ofLine[line] {
			fmt.Fprintf(&text, "  %s–%s  %s  %s\n", clock(in.Start, batch.Start), clock(in.Start, batch.End),
				batchName(batch), strings.Join(batch.Rolls, " "))
		}
	}
	for _, list := range []struct {
		name  string
		rolls []string
	}{{"late", out.Late}, {"due later, no room", out.Later}} {
		if len(list.rolls) > 0 {
			fmt.Fprintf(&text, "%s: %s\n", list.name, strings.Join(list.rolls, " "))
		}
	}
	for _, roll := range out.Unplaced {
		fmt.Fprintf(&text, "not planned: %s, %s\n", roll.Roll, roll.Reason)
	}
	fmt.Fprintln(&text, summary(out))
	return text.String()
}

// summary says in one line how good the plan is known to be.
func summary(out plan.Plan) string {
	verdict := "proven: no plan is better"
	if !out.Proven {
		verdict = fmt.Sprintf("not proven; the fewest batches possible are at least %d", out.Bound.Batches)
	}
	return fmt.Sprintf("batches: %d, late: %d; %s", len(out.Batches), len(out.Late), verdict)
}

// batchName says what a batch is: process, solution, push, development time.
func batchName(b plan.Batch) string {
	name := string(b.Process)
	if b.Solution != "" {
		name += " " + b.Solution
	}
	push := "several pushes"
	if b.Push != nil {
		push = "push " + b.Push.String()
	}
	return fmt.Sprintf("%s, %s, %d:%02d", name, push, b.DevelopS/60, b.DevelopS%60)
}

// clock writes a time of day, with the date where it is not the first day's.
func clock(start, at time.Time) string {
	if at.YearDay() == start.YearDay() && at.Year() == start.Year() {
		return at.Format("15:04:05")
	}
	return at.Format("2006-01-02 15:04:05")
}

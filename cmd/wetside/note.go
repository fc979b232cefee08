package main

import (
	"context"
	"encoding/json"
	"fmt"
	"strings"

	"wetside/chemistry"
	"wetside/jobs/note"
)

// noteCommand reads what a customer's push note asks for.
func noteCommand(_ context.Context, args []string, stdio stdio) error {
	flags := newFlags("note", `note [--json] --iso 400 -- "TEXT"`, stdio)
	iso := flags.Int("iso", 0, "the film's box speed")
	asJSON := flags.Bool("json", false, "print the reading as JSON")
	rest, err := parseFlags(flags, args)
	if err != nil {
		return err
	}
	if *iso < chemistry.MinSpeed || *iso > chemistry.MaxSpeed {
		return badInput("--iso %d is not a film speed, allowed are %d to %d", *iso, chemistry.MinSpeed, chemistry.MaxSpeed)
	}
	if len(rest) == 0 {
		return badInput(`the note is wanted, in quotes after "--"`)
	}
	reading := note.Read(strings.Join(rest, " "), *iso)
	if *asJSON {
		encoder := json.NewEncoder(stdio.out)
		encoder.SetEscapeHTML(false)
		return encoder.Encode(reading)
	}
	_, err = fmt.Fprintf(stdio.out, "push     %s\nEI       %s\nconfirm  %s\n%s\n",
		spokenPush(reading), spokenEI(reading), yesOrNo(reading.Confirm), reading.Because)
	return err
}

func spokenPush(reading note.Reading) string {
	if reading.Push == nil {
		return "not said"
	}
	return reading.Push.String()
}

func spokenEI(reading note.Reading) string {
	if reading.EI == nil {
		return "not said"
	}
	return fmt.Sprint(*reading.EI)
}

func yesOrNo(yes bool) string {
	if yes {
		return "yes"
	}
	return "no"
}

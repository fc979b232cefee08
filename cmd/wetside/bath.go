package main

import (
	"context"
	"encoding/json"
	"io"
	"os"
	"time"

	"wetside/chemistry"
)

// bathHelp documents the input and the output of the command.
const bathHelp = `bath [--json] FILE|-

Reads a solution, one fill of it and the film that went through, and says how
the fill stands and when it runs out. FILE holds one JSON object; - reads it
from standard input. Times are RFC 3339; the offset of "now" is the lab's clock.

{
  "solution": {
    "name": "MQ borax, stock",
    "family": "black-and-white developer",   what the bath does
    "use": "reused",                         one-shot, reused or replenished
    "capacity": {"rolls_per_l": 10},
    "time_percent_per_roll": 10,
    "keeps": [{"storage": "open tank", "days": 30}, {"months": 6}],
    "minimum_ml_per_roll": 250
  },
  "fill": {"volume_ml": 1000, "filled": "2026-03-02T08:00:00Z", "storage": "open tank"},
  "through": [
    {"at": "2026-03-02T10:00:00Z", "rolls": {"135": 2, "120": 1}},
    {"at": "2026-03-03T10:00:00Z", "rolls": 2, "push": 1}
  ],
  "next": {"rolls": 2},
  "now": "2026-03-04T09:00:00Z"
}

solution
  family     prebath, first developer, black-and-white developer, stop bath,
             reversal bath, colour developer, pre-bleach, bleach, fixer,
             bleach-fix, wash, final rinse
  capacity   one of m2_per_l, rolls_per_l (for each litre), m2, rolls (for the
             whole fill); of a replenished solution, what it takes without
             replenisher. Left out: not known.
  time_percent_per_roll
             reused only: the time grows by so many per cent of the fresh time
             for every roll of 80 in² that went through a litre before
  replenisher
             replenished only, and then wanted: one of ml_per_m2, ml_per_ft2,
             ml_per_roll, m2_per_l (film for each litre of replenisher), and
             push_factor: developers' rate times this for each stop (1)
  bromide    released_mg_per_roll, replenisher_g_per_l, start_g_per_l (as KBr)
  keeps      list of months and days from mixing; with storage (full bottle,
             part-full bottle, tank with a floating lid, open tank) for that
             storage only
  minimum_ml_per_roll
             working solution that a roll of 80 in² needs in the tank
fill
  volume_ml and filled are wanted; mixed (when the solution was mixed, if
  before it was filled); storage; of a fixer clearing {"fresh_s", "now_s"},
  seconds in which a scrap of film clears, and two_bath: true for bath 1 of 2
through
  what went through, each with at, and rolls or area_m2; push in stops (0);
  replenisher_ml, what was really added: left out, a replenished solution is
  taken to have got what the film calls for. A top-up has replenisher_ml alone.
recent
  what the lab runs through this solution, for the forecast, each with day
  (2026-03-02), and rolls or area_m2; left out, it is taken from through
next
  film about to run, with rolls or area_m2, and push: what it needs

rolls is a number of rolls of 80 in² (0.05161 m²), or counts by format: 135 (36
exposures), 135-24, 120, 220, 4x5 (sheets). Volumes are mL, areas m².

--json prints: verdict (fresh, in use, due soon, exhausted), reasons, area_m2,
rolls, capacity_m2, capacity_used_percent, area_left_m2, rolls_left (of 80 in²),
time_compensation_percent, turnovers, bromide_g_per_l, bromide_steady_g_per_l,
bromide_steady_percent (how much of the way there), keeps_until, fix_at_least_s,
replenish {called_for_ml, added_ml, due_ml, idle_top_up_ml, assumed}, low_use,
runs_out {date, earliest, latest} (the range holds at least eight times in ten),
next {replenish_ml, minimum_ml, enough_solution, fits}, cautions.
null stands for what is not known or does not apply.
`

// bathCommand tells how one fill of a solution stands.
func bathCommand(_ context.Context, args []string, stdio stdio) error {
	flags := newFlags("bath", bathHelp, stdio)
	asJSON := flags.Bool("json", false, "print the state as JSON")
	rest, err := parseFlags(flags, args)
	if err != nil {
		return err
	}
	if len(rest) != 1 {
		return badInput("one file with the bath is wanted, or - for standard input")
	}
	text, err := readNamed(rest[0], stdio.in)
	if err != nil {
		return err
	}
	bath, err := readBath(text)
	if err != nil {
		return badInput("%w", err)
	}
	state, err := chemistry.Assess(bath.solution, bath.fill, bath.now)
	if err != nil {
		return badInput("%w", err)
	}
	report := newBathReport(bath, state)
	if *asJSON {
		encoder := json.NewEncoder(stdio.out)
		encoder.SetEscapeHTML(false)
		return encoder.Encode(report)
	}
	_, err = io.WriteString(stdio.out, report.text(bath.solution.Name))
	return err
}

// readNamed reads the named file, or standard input for "-".
func readNamed(name string, stdin io.Reader) ([]byte, error) {
	if name == "-" {
		return io.ReadAll(stdin)
	}
	text, err := os.ReadFile(name)
	if err != nil {
		return nil, badInput("%w", err)
	}
	return text, nil
}

// bathQuestion is the input in the terms of the chemistry.
type bathQuestion struct {
	solution chemistry.Solution
	fill     chemistry.Fill
	next     *film // nil where nothing is about to run
	assumed  bool  // replenisher was not given for some film and taken as added
	now      time.Time
}

// film is an area of film at a push level.
type film struct {
	areaM2 float64
	push   chemistry.Stops
}

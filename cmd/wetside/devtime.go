package main

import (
	"context"
	"encoding/json"
	"flag"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"
	"text/tabwriter"

	"wetside/chemistry"
)

const devtimeUsage = `devtime --process PROCESS [--push STOPS] [flags]

For C-41, E-6 and ECN-2 the time comes from the process's table, the lab's own
times (--push-row) first. For BW give the stock's times with --row.
Example: wetside devtime --process BW --row 20=7:30 --push-row 1=10:30 --push 1
`

// devtimeInput is what the flags of devtime say, in chemistry's units.
type devtimeInput struct {
	process chemistry.Process
	push    chemistry.Stops
	temp    *float64 // °C; nil where it was not given
	recipe  chemistry.BWRecipe
	fresh   bool // --per-roll 0: reuse adds nothing
	json    bool
}

// devtimeCommand prints how long film stays in the developer, and why.
func devtimeCommand(_ context.Context, args []string, io stdio) error {
	input, err := readDevtime(args, io)
	if err != nil {
		return err
	}
	development, err := input.develop()
	if err != nil {
		return usageError{err}
	}
	if input.json {
		return printDevtimeJSON(io.out, development)
	}
	return printDevtime(io.out, input, development)
}

// readDevtime reads the flags.
func readDevtime(args []string, io stdio) (devtimeInput, error) {
	var in devtimeInput
	flags := newFlags("devtime", devtimeUsage, io)
	flags.BoolVar(&in.json, "json", false, "print JSON")
	flags.Func("process", "C-41, E-6, ECN-2 or BW", in.setProcess)
	flags.Func("push", "push or pull in `STOPS`: 1, -1, +1/2, 1⅓ (normal: 0)", in.setPush)
	flags.Func("temp", "measured `TEMPERATURE` of the developer: 20, 20.5C, 68F (the process's own)", in.setTemp)
	flags.Func("row", "BW: time without a push, `TEMPERATURE=TIME`: 20=7:30, 68F=7; repeatable", in.addRow)
	flags.Func("push-row", "tested time at a push, `STOPS=TIME`: 1=10:30; repeatable", in.addPushRow)
	flags.Func("b", "BW: temperature coefficient of the developer per °C (fitted to the rows)", numberFlag(&in.recipe.B, aboveZero))
	flags.Func("push-factor", "BW: what a stop multiplies the time by, without push rows", numberFlag(&in.recipe.PushFactor, aboveZero))
	flags.Func("reused", "`ROLLS` already through this developer", in.setReused)
	flags.Func("per-roll", "`PERCENT` more time for each of them", in.setPerRoll)
	flags.Var(rotaryFlag{&in.recipe}, "rotary", "BW: rotary agitation, 15 % shorter, or as many `PERCENT` as given")
	rest, err := parseFlags(flags, joinRotary(args))
	switch {
	case err != nil:
		return in, err
	case len(rest) > 0:
		return in, badInput("%q is not a flag; see wetside devtime --help", rest[0])
	case in.process == "":
		return in, badInput("--process is missing: C-41, E-6, ECN-2 or BW")
	}
	if in.process != chemistry.BW {
		if extra := firstSet(flags, "row", "b", "push-factor", "rotary"); extra != "" {
			return in, badInput("--%s is for BW only; a tested time of the lab's own for %s goes in --push-row, as in 0=3:20", extra, in.process)
		}
	}
	return in, nil
}

// develop asks chemistry.
func (in devtimeInput) develop() (chemistry.Development, error) {
	if in.fresh {
		in.recipe.Reused = 0
	}
	celsius, _, err := chemistry.DeveloperTemp(in.process)
	if err != nil {
		return chemistry.Development{}, err
	}
	if in.temp != nil {
		celsius = *in.temp
	}
	if in.process == chemistry.BW {
		return chemistry.BWTime(in.recipe, celsius, in.push)
	}
	if err := chemistry.CheckDeveloperTemp(in.process, celsius); err != nil {
		return chemistry.Development{}, err
	}
	development, err := chemistry.ColourTime(in.process, in.push, in.recipe.PushRows)
	if err != nil || in.recipe.Reused == 0 {
		return development, err
	}
	return development.WithReuse(in.recipe.Reused, in.recipe.PerRollPercent)
}

func (in *devtimeInput) setProcess(text string) (err error) {
	in.process, err = chemistry.ParseProcess(text)
	return err
}

func (in *devtimeInput) setPush(text string) (err error) {
	in.push, err = chemistry.ParseStops(text)
	return err
}

func (in *devtimeInput) setTemp(text string) error {
	celsius, err := chemistry.ParseTemperature(text)
	in.temp = &celsius
	return err
}

func (in *devtimeInput) addRow(text string) error {
	level, time, ok := strings.Cut(text, "=")
	if !ok {
		return fmt.Errorf("%q, write it like 20=7:30 (°C=time)", text)
	}
	celsius, err := chemistry.ParseTemperature(level)
	if err != nil {
		return err
	}
	seconds, err := chemistry.ParseClock(time)
	in.recipe.Rows = append(in.recipe.Rows, chemistry.BWRow{TempC: celsius, Seconds: seconds})
	return err
}

func (in *devtimeInput) addPushRow(text string) error {
	level, time, ok := strings.Cut(text, "=")
	if !ok {
		return fmt.Errorf("%q, write it like 1=10:30 (stops=time)", text)
	}
	push, err := chemistry.ParseStops(level)
	if err != nil {
		return err
	}
	seconds, err := chemistry.ParseClock(time)
	in.recipe.PushRows = append(in.recipe.PushRows, chemistry.PushTime{Push: push, Seconds: seconds})
	return err
}

func (in *devtimeInput) setReused(text string) error {
	rolls, err := strconv.Atoi(strings.TrimSpace(text))
	if err != nil || rolls < 0 {
		return fmt.Errorf("%q is not a number of rolls, 0 or more", text)
	}
	if rolls > chemistry.MaxReuse {
		return fmt.Errorf("%d rolls are more than go through a developer, allowed are 0 to %g", rolls, chemistry.MaxReuse)
	}
	in.recipe.Reused = float64(rolls)
	return nil
}

func (in *devtimeInput) setPerRoll(text string) error {
	err := numberFlag(&in.recipe.PerRollPercent, zeroOrMore)(text)
	in.fresh = err == nil && in.recipe.PerRollPercent == 0
	return err
}

// The bounds below which a number is no use; what is too much, chemistry says.
const (
	zeroOrMore = 0
	aboveZero  = math.SmallestNonzeroFloat64
)

// numberFlag reads a number as people type it: 0.09, 0,09, 10 %, ×1.3.
func numberFlag(into *float64, least float64) func(string) error {
	return func(text string) error {
		plain := strings.NewReplacer("%", "", "×", "", ",", ".", " ", "").Replace(text)
		value, err := strconv.ParseFloat(strings.TrimPrefix(plain, "x"), 64)
		if err != nil || math.IsNaN(value) || math.IsInf(value, 0) {
			return fmt.Errorf("%q is not a number", text)
		}
		if value < least {
			return fmt.Errorf("%q is too small, it must be %s", text, map[bool]string{true: "0 or more", false: "above 0"}[least == 0])
		}
		*into = value
		return nil
	}
}

// rotaryFlag is --rotary alone or with a percentage.
type rotaryFlag struct{ recipe *chemistry.BWRecipe }

func (rotaryFlag) IsBoolFlag() bool { return true }
func (rotaryFlag) String() string   { return "" }

func (r rotaryFlag) Set(text string) error {
	r.recipe.Rotary, r.recipe.RotaryPercent = true, 0
	if text == "true" {
		return nil
	}
	err := numberFlag(&r.recipe.RotaryPercent, zeroOrMore)(text)
	r.recipe.Rotary = r.recipe.RotaryPercent != 0
	return err
}

// joinRotary lets the percentage of --rotary stand apart from it, as that of
// any other flag may.
func joinRotary(args []string) []string {
	var joined []string
	for _, arg := range args {
		last := len(joined) - 1
		isNumber := numberFlag(new(float64), zeroOrMore)(arg) == nil
		if last >= 0 && isNumber && strings.TrimLeft(joined[last], "-") == "rotary" {
			joined[last] += "=" + arg
			continue
		}
		joined = append(joined, arg)
	}
	return joined
}

// firstSet returns the first of the flags that was given.
func firstSet(flags *flag.FlagSet, names ...string) string {
	given := map[string]bool{}
	flags.Visit(func(f *flag.Flag) { given[f.Name] = true })
	for _, name := range names {
		if given[name] {
			return name
		}
	}
	return ""
}

// devtimeFactor and devtimeAnswer are the JSON that devtime promises.
type devtimeFactor struct {
	Name   string  `json:"name"`
	Value  float64 `json:"value"`
	Source string  `json:"source"`
}

type devtimeAnswer struct {
	DevelopS int             `json:"develop_s"`
	TempC    float64         `json:"temp_c"`
	Factors  []devtimeFactor `json:"factors"`
	Cautions []string        `json:"cautions"`
}

func printDevtimeJSON(out io.Writer, d chemistry.Development) error {
	answer := devtimeAnswer{DevelopS: d.Seconds, TempC: d.TempC, Cautions: d.Cautions}
	for _, f := range d.Factors {
		answer.Factors = append(answer.Factors, devtimeFactor{f.Name, f.Value, f.Source})
	}
	encoder := json.NewEncoder(out)
	encoder.SetEscapeHTML(false)
	return encoder.Encode(answer)
}

// printDevtime prints the answer for people: the time, the sum, the cautions.
func printDevtime(out io.Writer, in devtimeInput, d chemistry.Development) error {
	temp := strconv.FormatFloat(math.Round(d.TempC*10)/10, 'f', -1, 64)
	if d.TempTolC != 0 {
		temp += " ± " + strconv.FormatFloat(d.TempTolC, 'f', -1, 64)
	}
	fmt.Fprintf(out, "%s, push %s: develop %s at %s °C\n\n", in.process, in.push, chemistry.FormatClock(d.Seconds), temp)
	table := tabwriter.NewWriter(out, 0, 0, 2, ' ', 0)
	for _, f := range d.Factors {
		value := fmt.Sprintf("× %.4g", f.Value)
		if f.Unit == "s" {
			value = fmt.Sprintf("%.4g s", f.Value)
		}
		fmt.Fprintf(table, "  %s\t%s\t%s\n", f.Name, value, f.Source)
	}
	if err := table.Flush(); err != nil {
		return err
	}
	if len(d.Cautions) > 0 {
		fmt.Fprintln(out, "\nCautions")
	}
	for _, caution := range d.Cautions {
		fmt.Fprintln(out, "  -", caution)
	}
	return nil
}

package server

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"

	"wetside/chemistry"
	"wetside/jobs"
)

// maxTimes is the most sets of times in one form.
const maxTimes = 20

// arrange adds or removes a set of times, and reports whether the pressed
// button asked for that.
func (f *stockForm) arrange() bool {
	if f.Do == "add-times" {
		if len(f.Times) < maxTimes {
			f.Times = append(f.Times, stockTimesForm{})
		}
		return true
	}
	index, ok := strings.CutPrefix(f.Do, "remove-times-")
	if !ok {
		return false
	}
	if i, err := strconv.Atoi(index); err == nil && i >= 0 && i < len(f.Times) {
		f.Times = append(f.Times[:i:i], f.Times[i+1:]...)
	}
	return true
}

// stockForm is a stock as it was typed.
type stockForm struct {
	Do          string           `form:"do"`
	Version     string           `form:"version"`
	Name        string           `form:"name"`
	Process     string           `form:"process"`
	Kind        string           `form:"kind"`
	Remjet      string           `form:"remjet"`
	Balance     string           `form:"balance"`
	ISODaylight string           `form:"iso_daylight"`
	ISOTungsten string           `form:"iso_tungsten"`
	MaxPush     string           `form:"max_push"`
	MaxPull     string           `form:"max_pull"`
	Unforgiving bool             `form:"unforgiving"`
	DX          string           `form:"dx"`
	Active      bool             `form:"active"`
	Solution    string           `form:"solution"`
	Times       []stockTimesForm `form:"times" most:"20"`
}

// stockTimesForm is a set of times: a line of each row is one time.
type stockTimesForm struct {
	Solution string `form:"solution"`
	Rows     string `form:"rows"`
	PushRows string `form:"push_rows"`
	Source   string `form:"source"`
}

func (t stockTimesForm) empty() bool {
	return t.Solution == "" && strings.TrimSpace(t.Rows+t.PushRows) == ""
}

func stockFormOf(s jobs.Stock) stockForm {
	form := stockForm{
		Version: fmt.Sprint(s.Version), Name: s.Name, Process: string(s.Film.Process), Kind: string(s.Film.Kind),
		Remjet: string(s.Film.Remjet), Balance: string(s.Film.Balance),
		ISODaylight: plainInt(s.Film.ISODaylight), ISOTungsten: plainInt(s.Film.ISOTungsten),
		MaxPush: unsigned(s.Film.MaxPush), MaxPull: unsigned(s.Film.MaxPull), Unforgiving: s.Film.Unforgiving,
		DX: s.DX, Active: s.Active, Solution: plainInt(s.Solution),
	}
	for _, times := range s.Times {
		var rows, pushes []string
		for _, row := range times.Rows {
			rows = append(rows, strconv.FormatFloat(row.TempC, 'f', -1, 64)+" = "+chemistry.FormatClock(row.Seconds))
		}
		for _, row := range times.PushRows {
			pushes = append(pushes, row.Push.String()+" = "+chemistry.FormatClock(row.Seconds))
		}
		form.Times = append(form.Times, stockTimesForm{Solution: plainInt(times.Solution), Source: times.Source,
			Rows: strings.Join(rows, "\n"), PushRows: strings.Join(pushes, "\n")})
	}
	return form
}

// unsigned writes stops that have no direction.
func unsigned(stops chemistry.Stops) string { return strings.TrimPrefix(stops.String(), "+") }

// stock turns what was typed into a stock, and returns how the form names the
// fields of the rules. Sets of times that nobody filled in are left out.
func (f stockForm) stock(wrong *faults) (jobs.Stock, func(string) string) {
	stock := jobs.Stock{
		Version: versionOf(f.Version), Name: f.Name, DX: f.DX, Active: f.Active,
		Solution: jobs.SolutionID(key(f.Solution, "solution", wrong)),
		Film: chemistry.Film{
			Process: chemistry.Process(f.Process), Kind: chemistry.Kind(f.Kind), Remjet: chemistry.Remjet(f.Remjet),
			Balance: chemistry.Balance(f.Balance), Unforgiving: f.Unforgiving,
			ISODaylight: count(f.ISODaylight, "iso_daylight", wrong), ISOTungsten: count(f.ISOTungsten, "iso_tungsten", wrong),
			MaxPush: stopsOrNone(f.MaxPush, "max_push", wrong), MaxPull: stopsOrNone(f.MaxPull, "max_pull", wrong),
		},
	}
	for _, one := range []struct{ field, value, what string }{
		{"process", f.Process, "the process"}, {"kind", f.Kind, "the kind of film"},
		{"remjet", f.Remjet, "what is known of remjet"}, {"balance", f.Balance, "the balance"},
	} {
		if one.value == "" {
			wrong.add(one.field, "choose %s", one.what)
		}
	}
	var places []int // where in the form each set of times stands
	for i, times := range f.Times {
		if !times.empty() {
			stock.Times = append(stock.Times, times.times(fmt.Sprintf("times[%d].", i), wrong))
			places = append(places, i)
		}
	}
	return stock, func(field string) string { return timesField(field, places) }
}

var timesInField = regexp.MustCompile(`^times\[(\d+)\](.*)$`)

// timesField names a field of the n-th filled-in set of times as the form does;
// what is wrong with the set as a whole stands at its rows.
func timesField(field string, places []int) string {
	found := timesInField.FindStringSubmatch(field)
	if found == nil {
		return field
	}
	n, err := strconv.Atoi(found[1])
	if err != nil || n >= len(places) {
		return field
	}
	rest := found[2]
	if rest == "" {
		rest = ".rows"
	}
	return fmt.Sprintf("times[%d]%s", places[n], rest)
}

// stopsOrNone reads stops that may be left out, which is none.
func stopsOrNone(text, field string, wrong *faults) chemistry.Stops {
	if strings.TrimSpace(text) == "" {
		return 0
	}
	stops, err := chemistry.ParseStops(text)
	if err != nil {
		wrong.add(field, "%q cannot be used; write 0 to 10 stops, whole ones, halves, thirds or sixths, as in 2 or 1½", text)
	}
	return stops
}

// times turns one set of times as typed into times.
func (t stockTimesForm) times(prefix string, wrong *faults) jobs.StockTimes {
	times := jobs.StockTimes{Solution: jobs.SolutionID(key(t.Solution, prefix+"solution", wrong)), Source: strings.TrimSpace(t.Source)}
	if t.Solution == "" {
		wrong.add(prefix+"solution", "choose the developer that these times are for")
	}
	for line, seconds := range timeLines(t.Rows, prefix+"rows", "20 = 7:30", wrong) {
		times.Rows = append(times.Rows, chemistry.BWRow{TempC: bathTemp(line, prefix+"rows", wrong), Seconds: seconds})
	}
	for line, seconds := range timeLines(t.PushRows, prefix+"push_rows", "1 = 10:30", wrong) {
		push, err := chemistry.ParseStops(line)
		if err != nil {
			wrong.add(prefix+"push_rows", "%v", err)
		}
		times.PushRows = append(times.PushRows, chemistry.PushTime{Push: push, Seconds: seconds,
			Source: chemistry.Source{Standing: chemistry.LabsOwn, Text: times.Source}})
	}
	return times
}

// maxRows is the most rows in one field.
const maxRows = 40

// timeLines goes through the lines of a field, such as "20 = 7:30", with what
// stands before the sign and the time behind it. It ends at the first line with
// something wrong: one thing at a time is enough for a field.
func timeLines(text, field, example string, wrong *faults) func(yield func(string, int) bool) {
	return func(yield func(string, int) bool) {
		rows := 0
		for line := range strings.Lines(text) {
			line = strings.TrimSpace(line)
			if line == "" {
				continue
			}
			if rows++; rows > maxRows {
				wrong.add(field, "these are too many rows: at most %d", maxRows)
				return
			}
			before, clock, ok := strings.Cut(line, "=")
			if !ok {
				wrong.add(field, "%q is no row; write one a line, like %s", line, example)
				return
			}
			seconds, err := chemistry.ParseClock(clock)
			if err != nil {
				wrong.add(field, "%v", err)
			}
			if !yield(strings.TrimSpace(before), seconds) || wrong.of(field) != "" {
				return
			}
		}
	}
}

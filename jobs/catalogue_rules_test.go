package jobs

import (
	"math"
	"strings"
	"testing"
	"time"

	"wetside/chemistry"
)

func TestCheckStock(t *testing.T) {
	t.Parallel()
	c := counter()
	times := func(seconds ...int) []StockTimes {
		rows := make([]chemistry.BWRow, len(seconds))
		for i, s := range seconds {
			rows[i] = chemistry.BWRow{TempC: 20 + float64(i), Seconds: s}
		}
		return []StockTimes{{Solution: mqBorax, Rows: rows}}
	}
	for _, test := range []struct {
		name   string
		from   StockID
		change func(*Stock)
		fields []string
	}{
		{"blank name", sedge160, func(s *Stock) { s.Name = " " }, []string{"name"}},
		{"unknown process", sedge160, func(s *Stock) { s.Film.Process = "C-22" }, []string{"process"}},
		{"reversal in C-41", sedge160, func(s *Stock) { s.Film.Kind = chemistry.Reversal }, []string{"kind"}},
		{"unknown remjet word", sedge160, func(s *Stock) { s.Film.Remjet = "" }, []string{"remjet"}},
		{"remjet in C-41", sedge160, func(s *Stock) { s.Film.Remjet = chemistry.RemjetPresent }, []string{"remjet"}},
		{"remjet in E-6", tealSlide, func(s *Stock) { s.Film.Remjet = chemistry.RemjetPresent }, []string{"remjet"}},
		{"remjet in black and white", marl400, func(s *Stock) { s.Film.Remjet = chemistry.RemjetPresent }, []string{"remjet"}},
		{"colour without a balance", sedge160, func(s *Stock) { s.Film.Balance = chemistry.Panchromatic }, []string{"balance"}},
		{"black and white with one", marl400, func(s *Stock) { s.Film.Balance = chemistry.Tungsten }, []string{"balance"}},
		{"no speed", sedge160, func(s *Stock) { s.Film.ISODaylight = 0 }, []string{"iso_daylight"}},
		{"negative speed", sedge160, func(s *Stock) { s.Film.ISOTungsten = -1 }, []string{"iso_tungsten"}},
		{"endless speed", sedge160, func(s *Stock) { s.Film.ISODaylight = 102401 }, []string{"iso_daylight"}},
		{"negative push", sedge160, func(s *Stock) { s.Film.MaxPush = -1 }, []string{"max_push"}},
		{"signed pull", sedge160, func(s *Stock) { s.Film.MaxPull = -6 }, []string{"max_pull"}},
		{"DX that is none", sedge160, func(s *Stock) { s.DX = "109-99" }, []string{"dx"}},
		{"developer for colour", sedge160, func(s *Stock) { s.Solution = mqBorax }, []string{"solution"}},
		{"times for colour", sedge160, func(s *Stock) { s.Times = times(450) }, []string{"times"}},
		{"fixer as developer", marl400, func(s *Stock) { s.Solution = bwFixer }, []string{"solution"}},
		{"unknown developer", marl400, func(s *Stock) { s.Solution = 99 }, []string{"solution"}},
		{"times in a fixer", marl400, func(s *Stock) { s.Times[0].Solution = bwFixer }, []string{"times[0].solution"}},
		{"no rows", marl400, func(s *Stock) { s.Times = times() }, []string{"times[0]"}},
		{"no time", marl400, func(s *Stock) { s.Times = times(0) }, []string{"times[0]"}},
		{"longer when warmer", marl400, func(s *Stock) { s.Times = times(450, 500) }, []string{"times[0]"}},
		{"two sets for a developer", marl400, func(s *Stock) { s.Times = append(s.Times, s.Times[0]) }, []string{"times[1].solution"}},
		{"a push that is shorter", marl400, func(s *Stock) { s.Times[0].PushRows = []chemistry.PushTime{{Push: 6, Seconds: 400}} }, []string{"times[0]"}},
		{"endless source", marl400, func(s *Stock) { s.Times[0].Source = strings.Repeat("x", 201) }, []string{"times[0].source"}},
	} {
		t.Run(test.name, func(t *testing.T) {
			stock := c.Stocks[test.from]
			stock.Times = append([]StockTimes(nil), stock.Times...)
			test.change(&stock)
			_, err := CheckStock(stock, c)
			wantFields(t, err, test.fields...)
		})
	}
	for id, stock := range c.Stocks {
		if _, err := CheckStock(stock, c); err != nil {
			t.Errorf("stock %d: %v", id, err)
		}
	}
	stock := c.Stocks[sedge160]
	stock.Name, stock.DX = " Sedge 160 ", "1756"
	if kept, err := CheckStock(stock, c); err != nil || kept.Name != "Sedge 160" || kept.DX != "109-12" {
		t.Errorf("kept %q %q, %v", kept.Name, kept.DX, err)
	}
}

func TestCheckSolution(t *testing.T) {
	t.Parallel()
	c := counter()
	for _, test := range []struct {
		name   string
		change func(*Solution)
		fields []string
	}{
		{"nothing", func(s *Solution) { *s = Solution{} }, []string{"name", "process", "family", "use", "temp_c"}},
		{"too warm", func(s *Solution) { s.TempC = 60.1 }, []string{"temp_c"}},
		{"no number", func(s *Solution) { s.TempC = math.NaN() }, []string{"temp_c"}},
		{"negative growth", func(s *Solution) { s.PerRollPercent = -1 }, []string{"per_roll_percent"}},
		{"endless capacity", func(s *Solution) { s.CapacityM2PerL = math.Inf(1) }, []string{"capacity_m2_per_l"}},
		{"steep b", func(s *Solution) { s.B = 0.31 }, []string{"b"}},
		{"push that shortens", func(s *Solution) { s.PushFactor = 0.9 }, []string{"push_factor"}},
		{"push that does nothing", func(s *Solution) { s.PushFactor = 1 }, []string{"push_factor"}},
		{"black-and-white developer for colour", func(s *Solution) { s.ID, s.Process = 0, chemistry.C41 }, []string{"family"}},
		{"a developer in use becomes a fixer", func(s *Solution) { s.Family = chemistry.Fixer }, []string{"process"}},
	} {
		t.Run(test.name, func(t *testing.T) {
			solution := c.Solutions[mqBorax]
			test.change(&solution)
			_, err := CheckSolution(solution, c)
			wantFields(t, err, test.fields...)
		})
	}
	for id, solution := range c.Solutions {
		if _, err := CheckSolution(solution, c); err != nil {
			t.Errorf("solution %d: %v", id, err)
		}
	}
}

func TestCheckLine(t *testing.T) {
	t.Parallel()
	c := counter()
	for _, test := range []struct {
		name   string
		change func(*Line)
		fields []string
	}{
		{"nothing", func(l *Line) { *l = Line{} }, []string{"name", "capacity", "runs", "takes"}},
		{"negative turnaround", func(l *Line) { l.Turnaround = -1 }, []string{"turnaround"}},
		{"unknown process", func(l *Line) { l.Runs = []LineProcess{{"C-22", ""}} }, []string{"runs[0]"}},
		{"unknown variant", func(l *Line) { l.Runs = []LineProcess{{chemistry.C41, "rapid as light"}} }, []string{"runs[0]"}},
		{"a process twice", func(l *Line) { l.Runs = []LineProcess{{chemistry.C41, ""}, {chemistry.C41, chemistry.VariantRapid}} }, []string{"runs[1]"}},
		{"unknown format", func(l *Line) { l.Takes = map[chemistry.Format]int{"110": 1} }, []string{"takes[110]"}},
		{"more than the line holds", func(l *Line) { l.Takes = map[chemistry.Format]int{chemistry.Format135: l.Capacity + 1} }, []string{"takes[135]"}},
		{"no room at all", func(l *Line) { l.Takes = map[chemistry.Format]int{chemistry.Format135: 0} }, []string{"takes[135]"}},
	} {
		t.Run(test.name, func(t *testing.T) {
			line := c.Lines[drum]
			test.change(&line)
			_, err := CheckLine(line, c)
			wantFields(t, err, test.fields...)
		})
	}
}

func TestCheckTested(t *testing.T) {
	t.Parallel()
	time := func(push chemistry.Stops, seconds int) chemistry.PushTime {
		return chemistry.PushTime{Push: push * chemistry.Stop, Seconds: seconds}
	}
	for _, process := range []chemistry.Process{chemistry.BW, "", "C-22"} {
		wantFields(t, CheckTested(process, nil), "process")
	}
	wantFields(t, CheckTested(chemistry.C41, []chemistry.PushTime{time(1, 225), time(1, 230)}), "times")
	wantFields(t, CheckTested(chemistry.C41, []chemistry.PushTime{time(1, 190)}), "times") // shorter than normal
	wantFields(t, CheckTested(chemistry.E6, []chemistry.PushTime{time(1, 0)}), "times")
	if err := CheckTested(chemistry.E6, []chemistry.PushTime{time(3, 900)}); err != nil {
		t.Error(err)
	}
}

func TestCheckLab(t *testing.T) {
	t.Parallel()
	good := Lab{Name: "Sallow Quay Film Lab", ReadyHours: 72, OpensAt: 8, ClosesAt: 18, TimeZone: "Europe/Lisbon"}
	if _, err := CheckLab(good); err != nil {
		t.Fatal(err)
	}
	for _, test := range []struct {
		name   string
		change func(*Lab)
		fields []string
	}{
		{"no name", func(l *Lab) { l.Name = "" }, []string{"name"}},
		{"ready before it came", func(l *Lab) { l.ReadyHours = 0 }, []string{"ready_hours"}},
		{"ready in a year", func(l *Lab) { l.ReadyHours = 2401 }, []string{"ready_hours"}},
		{"tolerance", func(l *Lab) { l.TolerancePercent = 15.1 }, []string{"tolerance_percent"}},
		{"closed all day", func(l *Lab) { l.ClosesAt = 8 }, []string{"closes_at"}},
		{"25 o'clock", func(l *Lab) { l.ClosesAt = 25 }, []string{"closes_at"}},
		{"never open", func(l *Lab) { l.ClosedOn = WeekdaysOf(Week...) }, []string{"open_on"}},
		{"open on Mondays, and those closed", func(l *Lab) {
			l.ClosedOn = WeekdaysOf(Week...) &^ WeekdaysOf(time.Monday)
			for from := monday; from.Before(monday.AddDate(0, 0, MostClosedDays)); from = from.AddDate(0, 0, 7) {
				l.Closures = append(l.Closures, Closure{From: dayOf(from), To: dayOf(from)})
			}
		}, []string{"open_on"}},
		{"no zone", func(l *Lab) { l.TimeZone = "" }, []string{"time_zone"}},
		{"the machine's zone", func(l *Lab) { l.TimeZone = "Local" }, []string{"time_zone"}},
		{"a path", func(l *Lab) { l.TimeZone = "../../etc/passwd" }, []string{"time_zone"}},
	} {
		t.Run(test.name, func(t *testing.T) {
			lab := good
			test.change(&lab)
			_, err := CheckLab(lab)
			wantFields(t, err, test.fields...)
		})
	}
}

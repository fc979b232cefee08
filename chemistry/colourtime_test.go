package chemistry

import (
	"errors"
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

func TestColourTimeIsTheTable(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		source    string
		process   Process
		push      Stops
		low, high int // seconds
	}{
		{"Kodak Z-131, table 2-1", C41, 0, 195, 195},
		{"Kodak TI-2420, push table; Z-131, table 2-7", C41, Stop, 225, 225},
		{"Kodak Z-131, table 2-7", C41, 2 * Stop, 255, 255},
		{"common practice, no source (30 s a stop)", C41, -Stop, 165, 165},
		{"common practice, no source (30 s a stop)", C41, 3 * Stop, 285, 285},
		{"encyclopaedia, six-bath table", E6, 0, 360, 360},
		{"Kodak H-24, module 7", ECN2, 0, 180, 180},
		{"Kennel and Sehlin, SMPTE Journal 1982: 40 to 60 s more than standard", ECN2, Stop, 220, 240},
	} {
		got, err := ColourTime(c.process, c.push, nil)
		if err != nil || got.Seconds < c.low || got.Seconds > c.high {
			t.Errorf("%s at %v: %d s, %v; %s has %d to %d", c.process, c.push, got.Seconds, err, c.source, c.low, c.high)
		}
	}
}

// Temperatures: Kodak Z-131 table 2-1, H-24 module 7.
func TestColourTimeSaysHowWarm(t *testing.T) {
	t.Parallel()
	for process, want := range map[Process][2]float64{C41: {37.8, 0.15}, ECN2: {41.1, 0.1}} {
		got, err := ColourTime(process, 0, nil)
		if err != nil || got.TempC != want[0] || got.TempTolC != want[1] {
			t.Errorf("%s: %v ± %v °C, %v; want %v", process, got.TempC, got.TempTolC, err, want)
		}
	}
}

func TestColourTimeHasItsChain(t *testing.T) {
	t.Parallel()
	own := []PushTime{{Push: 0, Seconds: 200, Source: Source{LabsOwn, "strip of 3 May"}}, {Push: -2 * Stop, Seconds: 150}}
	for _, c := range []struct {
		process  Process
		push     Stops
		own      []PushTime
		seconds  int
		factors  []Factor
		cautions int
	}{
		{C41, 0, nil, 195, []Factor{{"developer time, normal", 195, "s", "Kodak Z-131, table 2-1"}}, 0},
		{C41, 0, own, 200, []Factor{{"developer time, normal", 200, "s", "the lab's own: strip of 3 May, in place of 3:15 (Kodak Z-131, table 2-1)"}}, 0},
		{C41, -2 * Stop, own, 150, []Factor{{"developer time, pull −2", 150, "s", "the lab's own"}}, 1},
		{ECN2, 2 * Stop, nil, 280, []Factor{{"developer time, push +2", 280, "s", "from memory: a second stop of 50 s, as the first"}}, 2},
		{E6, Stop, nil, 480, []Factor{{"developer time, push +1", 480, "s", "from memory: push of a stop"}}, 2},
	} {
		got, err := ColourTime(c.process, c.push, c.own)
		if err != nil || got.Seconds != c.seconds || len(got.Cautions) != c.cautions {
			t.Errorf("%s at %v: %d s, %d cautions, %v; want %d s, %d cautions", c.process, c.push, got.Seconds, len(got.Cautions), err, c.seconds, c.cautions)
		}
		if diff := cmp.Diff(c.factors, got.Factors); diff != "" {
			t.Errorf("%s at %v: factors (−want +got)\n%s", c.process, c.push, diff)
		}
	}
}

func TestColourTimeBetweenLevels(t *testing.T) {
	t.Parallel()
	got, err := ColourTime(C41, Stop/2, nil)
	if err != nil || got.Seconds != 210 || len(got.Factors) != 2 {
		t.Fatalf("half a stop: %+v, %v", got, err)
	}
	for _, want := range []string{"3:15 at normal (Kodak Z-131, table 2-1)", "3:45 at push +1 (Kodak TI-2420"} {
		if !strings.Contains(got.Factors[0].Source, want) {
			t.Errorf("the source %q does not name %q", got.Factors[0].Source, want)
		}
	}
	// Levels 4 s apart: a time rounded to 5 s would leave them.
	close := []PushTime{{Push: 0, Seconds: 221}, {Push: Stop, Seconds: 224}}
	if got, err := ColourTime(C41, Stop/2, close); err != nil || got.Seconds < 222 || got.Seconds > 223 {
		t.Errorf("between 221 and 224 s: %d s, %v", got.Seconds, err)
	}
}

func TestColourTimeRefuses(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name    string
		process Process
		push    Stops
		own     []PushTime
		want    error
		words   string
	}{
		{"push beyond C-41", C41, 3*Stop + 1, nil, ErrPush, "allowed are −1 to +3"},
		{"pull beyond C-41", C41, -Stop - 1, nil, ErrPush, "allowed are −1 to +3"},
		{"E-6 push 3 without a tested time", E6, 3 * Stop, nil, ErrPush, "+3 in E-6, allowed are −1 to +2"},
		{"ECN-2 pull", ECN2, -Stop, nil, ErrPush, "allowed are 0 to +2"},
		{"black and white", BW, 0, nil, ErrProcess, "BW"},
		{"no process", "", 0, nil, ErrProcess, "allowed are C-41, E-6 and ECN-2"},
		{"own time of nothing", C41, 0, []PushTime{{Push: 0, Seconds: 0}}, ErrClock, "0 s for normal"},
		{"own time of a day", C41, 0, []PushTime{{Push: 0, Seconds: 86400}}, ErrClock, "86400 s"},
		{"own push of a dozen", C41, 0, []PushTime{{Push: 12 * Stop, Seconds: 600}}, ErrStops, "+12"},
		{"own pull of a dozen", C41, 0, []PushTime{{Push: -12 * Stop, Seconds: 600}}, ErrStops, "−12"},
		{"two own times for a level", C41, 0, []PushTime{{Push: Stop, Seconds: 230}, {Push: Stop, Seconds: 235}}, ErrTable, "push +1"},
		{"push shorter than normal", C41, 0, []PushTime{{Push: Stop, Seconds: 190}}, ErrTable, "push +1 takes 3:10"},
	} {
		got, err := ColourTime(c.process, c.push, c.own)
		if !errors.Is(err, c.want) || !strings.Contains(err.Error(), c.words) {
			t.Errorf("%s: %+v, %v; want %v saying %q", c.name, got, err, c.want, c.words)
		}
	}
	if got, err := ColourTime(E6, 3*Stop, []PushTime{{Push: 3 * Stop, Seconds: 900}}); err != nil || got.Seconds != 900 {
		t.Errorf("E-6 push 3 with a tested time: %d s, %v", got.Seconds, err)
	}
}

func TestPushRange(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		process   Process
		own       []PushTime
		low, high Stops
	}{
		{C41, nil, -Stop, 3 * Stop}, {E6, nil, -Stop, 2 * Stop}, {ECN2, nil, 0, 2 * Stop}, {BW, nil, -Stop, 3 * Stop}, {"", nil, 0, 0},
		{E6, []PushTime{{Push: 3 * Stop, Seconds: 900}, {Push: -2 * Stop, Seconds: 200}}, -2 * Stop, 3 * Stop},
	} {
		if low, high := PushRange(c.process, c.own); low != c.low || high != c.high {
			t.Errorf("%s: %v to %v, want %v to %v", c.process, low, high, c.low, c.high)
		}
	}
}

// ownTimes draws times of the lab's own that rise with the push, at every level
// that the process ships and at some between and beyond.
func ownTimes(t *rapid.T, process Process) []PushTime {
	levels := rapid.SliceOfN(rapid.IntRange(-12, 24), 0, 6).Draw(t, "levels")
	for _, shipped := range colourTimes[process] {
		levels = append(levels, int(shipped.Push))
	}
	slices.Sort(levels)
	seconds := rapid.IntRange(60, 400).Draw(t, "first")
	var own []PushTime
	for _, level := range slices.Compact(levels) {
		own = append(own, PushTime{Push: Stops(level), Seconds: seconds})
		seconds += rapid.IntRange(1, 300).Draw(t, "rise")
	}
	return own
}

func TestColourTimeLaws(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		process := rapid.SampledFrom([]Process{C41, E6, ECN2}).Draw(t, "process")
		own := ownTimes(t, process)
		low, high := PushRange(process, own)
		if low != own[0].Push || high != own[len(own)-1].Push {
			t.Fatalf("range %v to %v", low, high)
		}
		before := 0
		for push := low; push <= high; push++ {
			got, err := ColourTime(process, push, own)
			if err != nil || got.Seconds < before {
				t.Fatalf("%v takes %d s, a sixth less took %d s (%v)", push, got.Seconds, before, err)
			}
			before = got.Seconds
			if i := slices.IndexFunc(own, func(row PushTime) bool { return row.Push == push }); i >= 0 && got.Seconds != own[i].Seconds {
				t.Fatalf("%v takes %d s, the lab tested %d", push, got.Seconds, own[i].Seconds)
			}
			checkChain(t, got)
		}
		if _, err := ColourTime(process, high+1, own); !errors.Is(err, ErrPush) {
			t.Fatalf("a sixth beyond the table: %v", err)
		}
	})
}

// checkChain sees that the factors multiply to the time.
func checkChain(t interface{ Fatalf(string, ...any) }, d Development) {
	product := 1.0
	for _, factor := range d.Factors {
		product *= factor.Value
		if factor.Name == "" || factor.Source == "" {
			t.Fatalf("a factor without name or source: %+v", factor)
		}
	}
	if math.Abs(product-float64(d.Seconds)) > 1e-6 {
		t.Fatalf("the factors multiply to %v s, the time is %d s: %+v", product, d.Seconds, d.Factors)
	}
}

// About 2 % a roll in small kits: kit sheets, common practice, no source.
func TestColourTimeReused(t *testing.T) {
	t.Parallel()
	normal, err := ColourTime(C41, Stop/2, nil)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		rolls   float64
		percent float64
		seconds int
	}{{0, 2, 210}, {5, 2, 230}, {5, 0, 230}, {1, 50, 315}, {100, 0.1, 230}, {2.5, 2, 220}} {
		got, err := normal.WithReuse(c.rolls, c.percent)
		if err != nil || got.Seconds != c.seconds {
			t.Errorf("%v rolls at %v %%: %d s, %v; want %d", c.rolls, c.percent, got.Seconds, err, c.seconds)
		}
		checkChain(t, got)
	}
	for _, c := range []struct {
		rolls   float64
		percent float64
	}{{-1, 2}, {101, 2}, {math.NaN(), 2}, {1, -1}, {1, 51}, {1, math.NaN()}} {
		if _, err := normal.WithReuse(c.rolls, c.percent); !errors.Is(err, ErrRecipe) {
			t.Errorf("%v rolls at %v %%: %v, want ErrRecipe", c.rolls, c.percent, err)
		}
	}
	if len(normal.Factors) != 2 || normal.Seconds != 210 {
		t.Errorf("the fresh time was changed: %+v", normal)
	}
}

// Tolerances: Kodak Z-131 table 2-1 (100.0 ± 0.25 °F as well), H-24 module 7.
func TestCheckDeveloperTemp(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		process Process
		celsius float64
		ok      bool
	}{
		{C41, 37.8, true}, {C41, 37.65, true}, {C41, 37.95, true}, {C41, 37.64, false}, {C41, 37.96, false}, {C41, CelsiusOf(100), true}, {C41, CelsiusOf(101), false},
		{E6, 38.3, true}, {E6, 38.4, false}, {ECN2, 41.2, true}, {ECN2, 41.0, true}, {ECN2, 41.3, false}, {BW, 20, true}, {BW, 26, true},
	} {
		err := CheckDeveloperTemp(c.process, c.celsius)
		var out *OutOfTolerance
		if c.ok && err != nil || !c.ok && !errors.As(err, &out) {
			t.Errorf("%s at %v °C: %v, in tolerance %v", c.process, c.celsius, err, c.ok)
		}
	}
	for celsius, want := range map[float64]string{
		37: "the C-41 developer is at 37 °C, allowed are 37.8 ± 0.15 °C: warm it, measure again, and start no film before",
		39: "cool it",
	} {
		if err := CheckDeveloperTemp(C41, celsius); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%v °C: %v, want %q", celsius, err, want)
		}
	}
	if err := CheckDeveloperTemp(C41, 100); !errors.As(err, new(*SuspectFahrenheit)) {
		t.Errorf("100 °C: %v, want a suspicion of Fahrenheit", err)
	}
	if err := CheckDeveloperTemp("", 20); !errors.Is(err, ErrProcess) {
		t.Errorf("no process: %v", err)
	}
}

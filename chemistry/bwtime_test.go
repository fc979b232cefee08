package chemistry

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

// minutesAt makes rows from minutes at degrees Fahrenheit.
func minutesAt(first float64, step float64, minutes ...float64) []BWRow {
	var rows []BWRow
	for i, m := range minutes {
		rows = append(rows, BWRow{TempC: CelsiusOf(first + step*float64(i)), Seconds: int(math.Round(m * 60))})
	}
	return rows
}

// f32 are rows of Kodak F-32 part 2, rotary tube, rolls, at 68, 70, 72, 75 °F.
func f32(minutes ...float64) []BWRow {
	rows := minutesAt(68, 2, minutes...)
	rows[3].TempC = CelsiusOf(75)
	return rows
}

var f32Rows = []struct {
	name string
	rows []BWRow
	b    float64 // fitted, per °C
}{
	{"MQ borax, ISO 400 tabular", f32(7, 6.5, 6, 5.5), 0.062},
	{"MQ borax, ISO 100 tabular", f32(6.5, 6, 5.5, 5), 0.068},
	{"PQ syrup, dilution B, ISO 400 tabular", f32(6, 5.5, 5, 5), 0.048},
	{"ascorbate-PQ, ISO 400 tabular", f32(5.5, 5, 4.5, 4), 0.083},
	{"ascorbate-PQ, ISO 100 tabular", f32(6, 5.25, 4.75, 4), 0.103},
}

func TestFitB(t *testing.T) {
	t.Parallel()
	for _, c := range f32Rows {
		if b, err := FitB(c.rows); err != nil || math.Abs(b-c.b) > 0.0006 {
			t.Errorf("%s (Kodak F-32 part 2): b = %.4f, %v; want %.3f", c.name, b, err, c.b)
		}
	}
	// 70 s at 8 °C and 25 s at 20 °C are a coefficient of 2.36 per 10 °C (E. J.
	// Wall, Jahrbuch 24, 1910, p. 44).
	b, err := FitB([]BWRow{{8, 70}, {20, 25}})
	if got := math.Exp(10 * b); err != nil || math.Abs(got-2.36) > 0.005 {
		t.Errorf("coefficient per 10 °C %.3f, %v; Wall has 2.36", got, err)
	}
}

// xray is the X-ray manual developer of New Mexico Administrative Code
// 20.3.6.612 Appendix C, 60 to 80 °F in steps of 1 °F, minutes.
var xray = minutesAt(60, 1, 9.5, 8.5, 8.0, 7.0, 6.5, 6.0, 5.5, 5.5, 5.0, 4.5, 4.5, 4.0, 4.0, 3.5, 3.5, 3.0, 3.0, 3.0, 2.5, 2.5, 2.0)

func TestFitBReturnsXRayRows(t *testing.T) {
	t.Parallel()
	rows := xray[5:16] // 65 to 75 °F
	b, err := FitB(rows)
	if err != nil {
		t.Fatal(err)
	}
	var meanLog, meanC float64
	for _, row := range rows {
		meanLog += math.Log(float64(row.Seconds)) / float64(len(rows))
		meanC += row.TempC / float64(len(rows))
	}
	for _, row := range rows {
		fitted := math.Exp(meanLog - b*(row.TempC-meanC))
		if off := fitted/float64(row.Seconds) - 1; math.Abs(off) > 0.05 {
			t.Errorf("%.1f °C: fitted %.0f s, New Mexico code has %d s, %.1f %% off", row.TempC, fitted, row.Seconds, 100*off)
		}
	}
}

func TestBWTimeReturnsPublishedRows(t *testing.T) {
	t.Parallel()
	tables := map[string][]BWRow{"X-ray, New Mexico code": xray}
	for _, c := range f32Rows {
		tables[c.name+", Kodak F-32 part 2"] = c.rows
	}
	for name, rows := range tables {
		for _, row := range rows {
			got, err := BWTime(BWRecipe{Rows: rows}, row.TempC, 0)
			if err != nil || got.Seconds != row.Seconds {
				t.Errorf("%s at %.1f °C: %d s, %v; want %d", name, row.TempC, got.Seconds, err, row.Seconds)
			}
		}
	}
}

// Each row of the tables again, with that row left out and the developer's
// coefficient fitted to the others: the published time is rounded to half or a
// quarter of a minute, so half of that either way is as near as can be, and
// the rounding of the neighbours comes on top.
func TestBWTimeFindsRowsLeftOut(t *testing.T) {
	t.Parallel()
	for _, c := range f32Rows[:2] {
		for i, row := range c.rows {
			others := append(append([]BWRow{}, c.rows[:i]...), c.rows[i+1:]...)
			got, err := BWTime(BWRecipe{Rows: others}, row.TempC, 0)
			if err != nil || math.Abs(float64(got.Seconds-row.Seconds)) > 20 {
				t.Errorf("%s at %.1f °C from the other rows: %d s, %v; Kodak F-32 part 2 has %d", c.name, row.TempC, got.Seconds, err, row.Seconds)
			}
		}
	}
}

// harman are the push rows of HARMAN technology, technical information sheets,
// minutes at 20 °C; NaN is a level that the sheet does not give.
var none = math.NaN()

var harman = []struct {
	name    string
	mq      bool
	minutes [5]float64 // −1, 0, +1, +2, +3
}{
	{"ISO 400 conventional, MQ borax (July 2004, p. 3)", true, [5]float64{none, 7.5, 10.5, 14, none}},
	{"ISO 400 conventional, MQ borax, second make", true, [5]float64{none, 7.5, 9.5, 12.5, none}},
	{"ISO 400 conventional, MQ borax 1+1", true, [5]float64{none, 13, 16.5, none, none}},
	{"ISO 400 conventional, speed-enhancing PQ", false, [5]float64{none, 6.5, 8, 11, 16}},
	{"ISO 400 conventional, PQ liquid 1+4", false, [5]float64{none, 9, 10, 13, 20}},
	{"ISO 400 conventional, ascorbate-PQ", false, [5]float64{none, 8, 11, 14, 19}},
	{"ISO 400 core-shell, MQ borax (Sept 2002, p. 3)", true, [5]float64{7, 9.5, 11.5, 14.5, 19}},
	{"ISO 400 core-shell, speed-enhancing PQ", false, [5]float64{5, 6.5, 8.5, 10.5, 14}},
	{"ISO 100 core-shell, MQ borax", true, [5]float64{7, 8.5, 10.5, none, none}},
}

func TestBWTimeReturnsPublishedPushes(t *testing.T) {
	t.Parallel()
	logs, count := 0.0, 0.0
	for _, c := range harman {
		recipe := BWRecipe{Rows: []BWRow{{20, int(c.minutes[1] * 60)}}}
		for i, minutes := range c.minutes {
			if i != 1 && !math.IsNaN(minutes) {
				recipe.PushRows = append(recipe.PushRows, PushTime{Push: Stops(i-1) * Stop, Seconds: int(minutes * 60)})
			}
		}
		for i, minutes := range c.minutes {
			got, err := BWTime(recipe, 20, Stops(i-1)*Stop)
			if math.IsNaN(minutes) {
				if !errors.Is(err, ErrPush) {
					t.Errorf("%s at %v: %d s, %v; the sheet has no row, want ErrPush", c.name, Stops(i-1)*Stop, got.Seconds, err)
				}
				continue
			}
			if err != nil || got.Seconds != int(minutes*60) {
				t.Errorf("%s at %v: %d s, %v; want %v min", c.name, Stops(i-1)*Stop, got.Seconds, err, minutes)
			}
			if i > 0 && !math.IsNaN(c.minutes[i-1]) {
				factor := minutes / c.minutes[i-1]
				if factor < 1.105 || factor > 1.545 {
					t.Errorf("%s: a stop costs × %.3f, outside × 1.11 to × 1.54", c.name, factor)
				}
				if c.mq {
					logs, count = logs+math.Log(factor), count+1
				}
			}
		}
	}
	if mean := math.Exp(logs / count); math.Abs(mean-StartPushFactor) > 0.02 {
		t.Errorf("a stop in MQ costs × %.3f in the mean of the sheets, the starting point is × %.2f", mean, StartPushFactor)
	}
}

// The second film of the Sept 2002 sheet takes MQ borax 9½ minutes at 20 °C and
// 8 at 24 °C, speed-enhancing PQ 6½ and 5.
func TestBWTimeAtTwentyFour(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ cool, warm, push, pushed int }{{570, 480, 690, 580}, {390, 300, 510, 390}} {
		recipe := BWRecipe{Rows: []BWRow{{20, c.cool}, {24, c.warm}}, PushRows: []PushTime{{Push: Stop, Seconds: c.push}}}
		if got, err := BWTime(recipe, 24, 0); err != nil || got.Seconds != c.warm {
			t.Errorf("at 24 °C: %d s, %v; want %d", got.Seconds, err, c.warm)
		}
		// A push at another temperature multiplies: 480·690/570 and 300·510/390.
		if got, err := BWTime(recipe, 24, Stop); err != nil || got.Seconds != c.pushed {
			t.Errorf("push 1 at 24 °C: %d s, %v; want %d", got.Seconds, err, c.pushed)
		}
	}
}

// chain writes a sum as lines.
func chain(d Development) []string {
	var lines []string
	for _, f := range d.Factors {
		lines = append(lines, fmt.Sprintf("%s | %.4f%s | %s", f.Name, f.Value, f.Unit, f.Source))
	}
	return append(lines, d.Cautions...)
}

func TestBWTimeChain(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name    string
		recipe  BWRecipe
		temp    float64
		push    Stops
		seconds int
		want    []string
	}{
		{"everything the lab's own",
			BWRecipe{Rows: []BWRow{{20, 450}}, B: 0.08, PushRows: []PushTime{{Push: Stop, Seconds: 630}}, Reused: 2, PerRollPercent: 8, Rotary: true, RotaryPercent: 10},
			22, Stop, 560, []string{
				"time at 20 °C | 450.0000s | the lab's own: row of the recipe",
				"temperature, 22 °C for 20 °C | 0.8521 | the lab's own: b = 0.08 per °C",
				"push +1 | 1.4000 | push row: 10:30 at push +1, where normal is 7:30",
				"reuse | 1.1600 | 8 % a roll, 2 already through (the lab's own)",
				"rotary agitation | 0.9000 | the lab's own: 10 % shorter",
				"rounding | 0.9992 | to the nearest 5 s",
			}},
		{"everything a starting point",
			BWRecipe{Rows: []BWRow{{20, 360}}, Reused: 1, Rotary: true, Source: Source{CommonPractice, "a forum"}},
			26.5, Stop, 245, []string{
				"time at 20 °C | 360.0000s | common practice: a forum",
				"temperature, 26.5 °C for 20 °C | 0.5571 | from memory: b = 0.09 per °C, a starting point; developers have 0.05 to 0.12",
				"push +1 | 1.3000 | starting point: × 1.30 a stop, mean of published rows for MQ developers (HARMAN sheets)",
				"reuse | 1.1000 | 10 % a roll, 1 already through (common practice: starting point, MQ borax stock, one litre)",
				"rotary agitation | 0.8500 | HARMAN, processing chart, August 2004: up to 15 % shorter",
				"rounding | 1.0050 | to the nearest 5 s",
				"The time at 20 °C is a starting point (common practice: a forum): test it before customers' film goes in.",
				"The temperature coefficient is a starting point (b = 0.09 per °C): enter a second row, or test it.",
				"The push factor is a starting point (× 1.30 a stop; published rows have 1.11 to 1.54): test it, or enter push rows.",
				"The time added for reuse is a starting point (10 % a roll): test it.",
				"Rotary agitation shortens the time by up to 15 %, all of which is taken off here: test it.",
				"Under 5:00 development may be uneven (HARMAN, processing chart, August 2004).",
				"Above 26 °C unhardened emulsion softens: cool the developer (range 18 to 24 °C).",
			}},
		{"between and beyond rows",
			BWRecipe{Rows: []BWRow{{22, 400}, {18, 600}}, PushFactor: 1.4},
			20, -Stop, 350, []string{
				"time at 18 °C | 600.0000s | the lab's own: row of the recipe",
				"temperature, 20 °C for 18 °C | 0.8165 | computed: between the rows at 18 °C and 22 °C, by log time",
				"pull −1 | 0.7143 | the lab's own: × 1.4 a stop",
				"rounding | 1.0002 | to the nearest 5 s",
			}},
		{"beyond the rows",
			BWRecipe{Rows: []BWRow{{22, 400}, {18, 600}}}, 17, 0, 665, []string{
				"time at 18 °C | 600.0000s | the lab's own: row of the recipe",
				"temperature, 17 °C for 18 °C | 1.1067 | computed: b = 0.101 per °C, fitted to 2 rows",
				"rounding | 1.0015 | to the nearest 5 s",
				"17 °C is outside the range of 18 to 24 °C: the time is less certain.",
			}},
		{"between push rows",
			BWRecipe{Rows: []BWRow{{20, 450}}, Source: Source{Published, "a maker's sheet"},
				PushRows: []PushTime{{Push: 2 * Stop, Seconds: 900}, {Push: 0, Seconds: 450}}}, 20, Stop, 635, []string{
				"time at 20 °C | 450.0000s | a maker's sheet",
				"push +1 | 1.4142 | between the push rows 7:30 at normal (a maker's sheet) and 15:00 at push +2, by log time",
				"rounding | 0.9978 | to the nearest 5 s",
			}},
	} {
		got, err := BWTime(c.recipe, c.temp, c.push)
		if err != nil || got.Seconds != c.seconds || got.TempC != c.temp {
			t.Errorf("%s: %d s at %v °C, %v; want %d", c.name, got.Seconds, got.TempC, err, c.seconds)
		}
		if diff := cmp.Diff(c.want, chain(got)); diff != "" {
			t.Errorf("%s: (−want +got)\n%s", c.name, diff)
		}
	}
}

func TestBWTimeRefuses(t *testing.T) {
	t.Parallel()
	one := []BWRow{{20, 450}}
	nan := math.NaN()
	for _, c := range []struct {
		name   string
		recipe BWRecipe
		temp   float64
		push   Stops
		want   error
		words  string
	}{
		{"no rows", BWRecipe{}, 20, 0, ErrRows, "there is none"},
		{"two rows at one temperature", BWRecipe{Rows: []BWRow{{20, 450}, {20, 480}}}, 20, 0, ErrRows, "two rows at 20 °C (7:30 and 8:00)"},
		{"warmer takes longer", BWRecipe{Rows: []BWRow{{20, 450}, {22, 480}}}, 20, 0, ErrRows, "7:30 at 20 °C but 8:00 at 22 °C"},
		{"row of no time", BWRecipe{Rows: []BWRow{{20, 0}}}, 20, 0, ErrClock, "0 s at 20 °C"},
		{"row in Fahrenheit", BWRecipe{Rows: []BWRow{{68, 450}}}, 20, 0, ErrTemperature, "Fahrenheit"},
		{"row of NaN", BWRecipe{Rows: []BWRow{{nan, 450}}}, 20, 0, ErrTemperature, "NaN"},
		{"temperature in Fahrenheit", BWRecipe{Rows: one}, 68, 0, ErrTemperature, "68 °F is 20.0 °C"},
		{"temperature NaN", BWRecipe{Rows: one}, nan, 0, ErrTemperature, "NaN"},
		{"b negative", BWRecipe{Rows: one, B: -0.1}, 21, 0, ErrRecipe, "b of -0.1"},
		{"b too large", BWRecipe{Rows: one, B: 9}, 21, 0, ErrRecipe, "b of 9"},
		{"b NaN", BWRecipe{Rows: one, B: nan}, 21, 0, ErrRecipe, "NaN"},
		{"push factor below one", BWRecipe{Rows: one, PushFactor: 0.7}, 20, Stop, ErrRecipe, "0.7"},
		{"push factor infinite", BWRecipe{Rows: one, PushFactor: math.Inf(1)}, 20, Stop, ErrRecipe, "Inf"},
		{"push beyond the factor", BWRecipe{Rows: one}, 20, 4 * Stop, ErrPush, "allowed are −1 to +3"},
		{"pull beyond the factor", BWRecipe{Rows: one, PushFactor: 1.3}, 20, -2 * Stop, ErrPush, "−2 without push rows"},
		{"push beyond the rows", BWRecipe{Rows: one, PushRows: []PushTime{{Push: Stop, Seconds: 600}}}, 20, Stop + 1, ErrPush, "allowed are 0 to +1"},
		{"pull below the rows", BWRecipe{Rows: one, PushRows: []PushTime{{Push: Stop, Seconds: 600}}}, 20, -1, ErrPush, "allowed are 0 to +1"},
		{"push row shorter", BWRecipe{Rows: one, PushRows: []PushTime{{Push: Stop, Seconds: 400}}}, 20, 0, ErrTable, "more push takes longer"},
		{"two push rows for a level", BWRecipe{Rows: one, PushRows: []PushTime{{Push: Stop, Seconds: 600}, {Push: Stop, Seconds: 610}}}, 20, 0, ErrTable, "push +1 takes 10:00"},
		{"normal push row against the row", BWRecipe{Rows: one, PushRows: []PushTime{{Push: 0, Seconds: 600}}}, 20, 0, ErrTable, "normal takes 7:30 and normal takes 10:00"},
		{"push row of no time", BWRecipe{Rows: one, PushRows: []PushTime{{Push: Stop}}}, 20, 0, ErrClock, "0 s for push +1"},
		{"reused negative", BWRecipe{Rows: one, Reused: -1}, 20, 0, ErrRecipe, "-1 rolls"},
		{"per roll NaN", BWRecipe{Rows: one, Reused: 1, PerRollPercent: nan}, 20, 0, ErrRecipe, "NaN"},
		{"rotary too much", BWRecipe{Rows: one, Rotary: true, RotaryPercent: 16}, 20, 0, ErrRecipe, "0 to 15 %"},
		{"too long", BWRecipe{Rows: []BWRow{{20, 10000}}, Reused: 1}, 20, 0, ErrRecipe, "a developing time of 11000.0 s"},
		{"too short", BWRecipe{Rows: []BWRow{{20, 2}}}, 20, 0, ErrRecipe, "5 s to 180:00"},
	} {
		got, err := BWTime(c.recipe, c.temp, c.push)
		if !errors.Is(err, c.want) || !strings.Contains(err.Error(), c.words) {
			t.Errorf("%s: %+v, %v; want %v saying %q", c.name, got, err, c.want, c.words)
		}
	}
	if _, err := FitB(one); !errors.Is(err, ErrRows) {
		t.Errorf("b from one row: %v", err)
	}
	if _, err := FitB(nil); !errors.Is(err, ErrRows) {
		t.Errorf("b from no row: %v", err)
	}
}

func TestFitBRecovers(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		b := rapid.Float64Range(0.02, 0.15).Draw(t, "b")
		temps := rapid.SliceOfNDistinct(rapid.IntRange(16, 27), 2, 6, rapid.ID[int]).Draw(t, "temperatures")
		var rows []BWRow
		for _, temp := range temps {
			// Long times, so that whole seconds hardly round them.
			rows = append(rows, BWRow{float64(temp), int(math.Round(4000 * math.Exp(-b*float64(temp-20))))})
		}
		got, err := FitB(rows)
		if err != nil || math.Abs(got-b) > 0.0006 {
			t.Fatalf("b = %v, %v from rows made with %v", got, err, b)
		}
	})
}

func TestBWTimeLaws(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		recipe := BWRecipe{Rotary: rapid.Bool().Draw(t, "rotary"), Reused: rapid.Float64Range(0, 5).Draw(t, "reused")}
		seconds := rapid.IntRange(600, 1200).Draw(t, "coolest")
		for temp := range rapid.IntRange(1, 4).Draw(t, "rows") {
			recipe.Rows = append(recipe.Rows, BWRow{18 + 2*float64(temp), seconds})
			seconds -= rapid.IntRange(0, 150).Draw(t, "fall")
		}
		high := 3 * Stop
		if rapid.Bool().Draw(t, "push rows") {
			rise := rapid.IntRange(30, 200)
			one := recipe.Rows[0].Seconds + rise.Draw(t, "first stop")
			recipe.PushRows = []PushTime{{Push: Stop, Seconds: one}, {Push: 2 * Stop, Seconds: one + rise.Draw(t, "second stop")}}
			high = 2 * Stop
		}
		push := Stops(rapid.IntRange(0, int(high)-1).Draw(t, "push"))
		temp := rapid.Float64Range(16, 27).Draw(t, "temperature")
		here := mustBW(t, recipe, temp, push)
		if more := mustBW(t, recipe, temp, push+1); more.Seconds < here.Seconds {
			t.Fatalf("push %v takes %d s, %v takes %d s", push, here.Seconds, push+1, more.Seconds)
		}
		if warmer := mustBW(t, recipe, temp+0.5, push); warmer.Seconds > here.Seconds {
			t.Fatalf("%v °C takes %d s, %v °C takes %d s", temp, here.Seconds, temp+0.5, warmer.Seconds)
		}
		if here.Seconds%RoundingSeconds != 0 {
			t.Fatalf("%d s is not rounded", here.Seconds)
		}
		checkChain(t, here)
	})
}

func mustBW(t *rapid.T, recipe BWRecipe, temp float64, push Stops) Development {
	d, err := BWTime(recipe, temp, push)
	if err != nil {
		t.Fatalf("%+v at %v °C and %v: %v", recipe, temp, push, err)
	}
	return d
}

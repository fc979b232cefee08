package chemistry

import (
	"errors"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

// Degrees of nominal speeds: ISO 5800 / ISO 6 scale.
func TestSpeedsAreDegrees(t *testing.T) {
	t.Parallel()
	for speed, degrees := range map[int]int{
		25: 15, 50: 18, 100: 21, 125: 22, 160: 23, 200: 24, 250: 25, 320: 26, 400: 27, 500: 28, 640: 29, 800: 30, 1000: 31, 1250: 32, 1600: 33, 3200: 36,
	} {
		got, err := SpeedStops(100, speed)
		if want := Stops(degrees-21) * Stop / 3; err != nil || got != want {
			t.Errorf("ISO 100/21° at EI %d/%d°: %v, %v; want %v", speed, degrees, got, err, want)
		}
	}
}

// ISO 50 at 200 is two stops and 50 to 800 four; 250 and 200 are a third
// apart: common practice, no source.
func TestSpeedStops(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		iso, ei int
		want    Stops
	}{
		{50, 200, 2 * Stop}, {50, 800, 4 * Stop}, {250, 200, -Stop / 3}, {400, 400, 0}, {400, 1600, 2 * Stop}, {400, 250, -4}, {100, 102400, 10 * Stop},
		{1, 2, Stop}, {6, 12, Stop}, {3200, 100, -5 * Stop}, {400, 450, 2}, // between two nominal speeds, the nearer
	} {
		if got, err := SpeedStops(c.iso, c.ei); err != nil || got != c.want {
			t.Errorf("ISO %d at EI %d: %v, %v; want %v", c.iso, c.ei, got, err, c.want)
		}
	}
	for _, c := range []struct {
		iso, ei int
		value   string
	}{{0, 400, "ISO 0"}, {400, 0, "EI 0"}, {400, -100, "EI -100"}, {102401, 400, "ISO 102401"}, {400, 1000000, "EI 1000000"}} {
		_, err := SpeedStops(c.iso, c.ei)
		var out *RangeError
		if !errors.As(err, &out) || !errors.Is(err, ErrSpeed) || out.Value != c.value || out.Allowed != "1 to 102400" {
			t.Errorf("ISO %d at EI %d: %v, want a range error about %s", c.iso, c.ei, err, c.value)
		}
	}
}

func TestSpeedStopsAddUp(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		speed := rapid.IntRange(MinSpeed, MaxSpeed)
		a, b, c := speed.Draw(t, "a"), speed.Draw(t, "b"), speed.Draw(t, "c")
		ab, err1 := SpeedStops(a, b)
		bc, err2 := SpeedStops(b, c)
		ac, err3 := SpeedStops(a, c)
		if err := errors.Join(err1, err2, err3); err != nil || ab+bc != ac {
			t.Fatalf("%d→%d %v, %d→%d %v, but %d→%d %v (%v)", a, b, ab, b, c, bc, a, c, ac, err)
		}
		if b > a && ab < 0 || ab%(Stop/3) != 0 {
			t.Fatalf("%d→%d is %v: not thirds, or the wrong way", a, b, ab)
		}
	})
}

var (
	sedge    = Film{Kind: ColourNegative, Process: C41, Remjet: RemjetNone, Balance: Daylight, ISODaylight: 160, MaxPush: 2 * Stop, MaxPull: Stop}
	reedmace = Film{Kind: ColourNegative, Process: C41, Remjet: RemjetRemoved, Balance: Tungsten, ISODaylight: 200, ISOTungsten: 320, MaxPush: 2 * Stop}
	slide    = Film{Kind: Reversal, Process: E6, Remjet: RemjetNone, Balance: Daylight, ISODaylight: 100, MaxPush: 2 * Stop, MaxPull: Stop}
	marl     = Film{Kind: BlackAndWhite, Process: BW, Remjet: RemjetNone, Balance: Panchromatic, ISODaylight: 400, MaxPush: 3 * Stop, MaxPull: Stop}
	ortho    = Film{Kind: BlackAndWhite, Process: BW, Remjet: RemjetNone, Balance: Orthochromatic, ISODaylight: 80, ISOTungsten: 40, MaxPush: Stop, Unforgiving: true}
)

// said shortens advice to its codes and severities.
func said(request Request) []string {
	short := []string{}
	for _, advice := range request.Advice {
		short = append(short, advice.Code+" "+string(advice.Severity))
	}
	return short
}

func TestReadExposure(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name     string
		film     Film
		exposure Exposure
		want     Request
		advice   []string
	}{
		{"box speed", sedge, Exposure{Light: LightDaylight}, Request{ISO: 160, EI: 160}, []string{}},
		{"pushed as rated", marl, Exposure{EI: 1600, Push: 2 * Stop}, Request{ISO: 400, EI: 1600, Rated: 12, Asked: 12}, []string{}},
		{"negative left under", sedge, Exposure{Light: LightDaylight, EI: 320}, Request{ISO: 160, EI: 320, Rated: 6, Left: 6}, []string{"left-under warn"}},
		{"negative a third under", sedge, Exposure{Light: LightDaylight, EI: 200}, Request{ISO: 160, EI: 200, Rated: 2, Left: 2}, []string{"left-under note"}},
		{"negative two over", sedge, Exposure{Light: LightDaylight, EI: 40}, Request{ISO: 160, EI: 40, Rated: -12, Left: -12}, []string{"left-over note"}},
		{"negative more than two over", sedge, Exposure{Light: LightDaylight, EI: 32}, Request{ISO: 160, EI: 32, Rated: -14, Left: -14}, []string{"left-over warn"}},
		{"slide left over", slide, Exposure{Light: LightDaylight, EI: 50}, Request{ISO: 100, EI: 50, Rated: -6, Left: -6}, []string{"left-over warn"}},
		{"slide left under", slide, Exposure{Light: LightDaylight, EI: 400, Push: Stop}, Request{ISO: 100, EI: 400, Rated: 12, Asked: 6, Left: 6}, []string{"left-under warn"}},
		{"unforgiving", ortho, Exposure{Light: LightDaylight, EI: 40}, Request{ISO: 80, EI: 40, Rated: -6, Left: -6}, []string{"unforgiving warn"}},
		{"two speeds", ortho, Exposure{Light: LightTungsten, EI: 40}, Request{ISO: 40, EI: 40}, []string{}},
		{"two speeds, light unknown", ortho, Exposure{}, Request{ISO: 80, EI: 80}, []string{"speed-assumed note"}},
		{"push at box speed", sedge, Exposure{Light: LightDaylight, Push: Stop}, Request{ISO: 160, EI: 160, Asked: 6, Left: -6}, []string{"little-speed note", "left-over note"}},
		{"push beyond the stock", sedge, Exposure{Light: LightDaylight, EI: 1250, Push: 3 * Stop}, Request{ISO: 160, EI: 1250, Rated: 18, Asked: 18},
			[]string{"beyond-stock warn", "little-speed note"}},
		{"push beyond the process", slide, Exposure{Light: LightDaylight, EI: 800, Push: 3 * Stop}, Request{ISO: 100, EI: 800, Rated: 18, Asked: 18},
			[]string{"beyond-process refuse", "beyond-stock warn"}},
		{"pull beyond both", marl, Exposure{EI: 100, Push: -2 * Stop}, Request{ISO: 400, EI: 100, Rated: -12, Asked: -12}, []string{"beyond-process refuse", "beyond-stock warn"}},
		{"remjet removed, tungsten film in daylight", reedmace, Exposure{Light: LightDaylight}, Request{ISO: 200, EI: 200}, []string{"balance note", "halation note"}},
		{"the same through the right filter", reedmace, Exposure{Light: LightDaylight, Filter: "85b"}, Request{ISO: 200, EI: 200}, []string{"halation note"}},
		{"mixed light", reedmace, Exposure{Light: LightMixed}, Request{ISO: 320, EI: 320}, []string{"speed-assumed note", "mixed-light note", "halation note"}},
		{"slide in tungsten light", slide, Exposure{Light: LightTungsten}, Request{ISO: 100, EI: 100}, []string{"balance warn"}},
		{"chromogenic", Film{Kind: Chromogenic, Process: C41, ISODaylight: 400, MaxPush: Stop}, Exposure{EI: 800, Push: Stop},
			Request{ISO: 400, EI: 800, Rated: 6, Asked: 6}, []string{"chromogenic warn"}},
		{"chromogenic at box speed", Film{Kind: Chromogenic, Process: C41, ISODaylight: 400}, Exposure{}, Request{ISO: 400, EI: 400}, []string{}},
	} {
		got, err := ReadExposure(c.film, c.exposure, DefaultAdviceLimits())
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		if diff := cmp.Diff(c.advice, said(got)); diff != "" {
			t.Errorf("%s: advice (−want +got)\n%s", c.name, diff)
		}
		got.Advice = nil
		if diff := cmp.Diff(c.want, got); diff != "" {
			t.Errorf("%s: (−want +got)\n%s", c.name, diff)
		}
	}
}

func TestAdviceIsInWords(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		film     Film
		exposure Exposure
		want     string
	}{
		{sedge, Exposure{Light: LightDaylight, EI: 640}, "left underexposed by 2 stops: expect weak shadows and coarse grain"},
		{sedge, Exposure{Light: LightDaylight, EI: 320}, "left underexposed by 1 stop: "},
		{sedge, Exposure{Light: LightDaylight, EI: 200}, "left underexposed by ⅓ of a stop, little enough"},
		{slide, Exposure{Light: LightDaylight, Push: 3 * Stop}, "no time is known for +3 in E-6: −1 to +2 can be done"},
		{reedmace, Exposure{Light: LightDaylight}, "the light was 131 mired too cool (blue) for this film: warm the scan by as much"},
		{slide, Exposure{Light: LightTungsten}, "the light was 131 mired too warm (orange) for this film: cool the scan by as much"},
		{ortho, Exposure{}, "ISO 80 in daylight and ISO 40 in tungsten light; ISO 80 was assumed"},
	} {
		request, err := ReadExposure(c.film, c.exposure, DefaultAdviceLimits())
		found := false
		for _, advice := range request.Advice {
			found = found || strings.Contains(advice.Text, c.want)
		}
		if err != nil || !found {
			t.Errorf("%+v: %v; want %q in %+v", c.exposure, err, c.want, request.Advice)
		}
	}
}

func TestAdviceLimitsAreTheLabs(t *testing.T) {
	t.Parallel()
	limits := DefaultAdviceLimits()
	limits.Latitude[ColourNegative] = Latitude{Under: Stop, Over: 3 * Stop}
	limits.Push[E6] = PushLimits{-Stop, 3 * Stop}
	limits.Mired = 200
	for _, c := range []struct {
		film     Film
		exposure Exposure
		want     []string
	}{
		{sedge, Exposure{Light: LightDaylight, EI: 320}, []string{"left-under note"}},
		{slide, Exposure{Light: LightDaylight, EI: 800, Push: 3 * Stop}, []string{"beyond-stock warn"}},
		{slide, Exposure{Light: LightTungsten}, []string{}},
	} {
		request, err := ReadExposure(c.film, c.exposure, limits)
		if diff := cmp.Diff(c.want, said(request)); err != nil || diff != "" {
			t.Errorf("%+v: %v, advice (−want +got)\n%s", c.exposure, err, diff)
		}
	}
	if _, ok := DefaultAdviceLimits().Push[BW]; !ok || DefaultAdviceLimits().Push[E6].Max != 2*Stop {
		t.Error("one caller's limits changed the defaults")
	}
}

func TestReadExposureRefuses(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name     string
		film     Film
		exposure Exposure
		want     error
	}{
		{"no speed", Film{Kind: ColourNegative, Process: C41}, Exposure{}, ErrSpeed},
		{"negative speed", Film{ISODaylight: -100}, Exposure{}, ErrSpeed},
		{"negative EI", sedge, Exposure{EI: -400}, ErrSpeed},
		{"impossible EI", sedge, Exposure{EI: 200000}, ErrSpeed},
		{"no such light", sedge, Exposure{Light: "candle"}, ErrLight},
		{"no such filter", sedge, Exposure{Filter: "99"}, ErrFilter},
		{"push of a dozen", sedge, Exposure{Push: 12 * Stop}, ErrStops},
		{"pull of a dozen", sedge, Exposure{Push: -12 * Stop}, ErrStops},
	} {
		if got, err := ReadExposure(c.film, c.exposure, DefaultAdviceLimits()); !errors.Is(err, c.want) {
			t.Errorf("%s: %+v, %v; want %v", c.name, got, err, c.want)
		}
	}
}

func TestWhatIsLeft(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		film := rapid.SampledFrom([]Film{sedge, reedmace, slide, marl, ortho}).Draw(t, "film")
		exposure := Exposure{
			Light: rapid.SampledFrom(Lights).Draw(t, "light"),
			EI:    rapid.IntRange(0, MaxSpeed).Draw(t, "EI"),
			Push:  Stops(rapid.IntRange(int(-MaxStops), int(MaxStops)).Draw(t, "push")),
		}
		got, err := ReadExposure(film, exposure, DefaultAdviceLimits())
		if err != nil || got.Left+got.Asked != got.Rated || got.Asked != exposure.Push {
			t.Fatalf("%+v, %v", got, err)
		}
		// A roll pushed by exactly what it was rated away has nothing left.
		if exposure.Push = got.Rated; got.Rated >= -MaxStops && got.Rated <= MaxStops {
			if again, err := ReadExposure(film, exposure, DefaultAdviceLimits()); err != nil || again.Left != 0 {
				t.Fatalf("%+v, %v", again, err)
			}
		}
	})
}

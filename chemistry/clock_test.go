package chemistry

import (
	"errors"
	"testing"

	"pgregory.net/rapid"
)

func TestParseClock(t *testing.T) {
	t.Parallel()
	for text, want := range map[string]int{
		"7:30": 450, "07:30": 450, "7.5": 450, "7,5": 450, "7½": 450, "7 1/2": 450, "450s": 450, "450 s": 450, "450 sec": 450, "450 seconds": 450,
		"7m30s": 450, "7m 30s": 450, "7 min 30 s": 450, "7min30": 450, "7'30\"": 450, "7′30″": 450, "7": 420, "7 min": 420, "7m": 420, "7 minutes": 420,
		"5¼": 315, "4¾": 285, "4.75": 285, "6⅓": 380, "0:10": 10, "10s": 10, "1/2": 30, "0.5 min": 30, "180:00": 10800, "90:00": 5400, " 3:15 ": 195, "1S": 1,
	} {
		if got, err := ParseClock(text); err != nil || got != want {
			t.Errorf("ParseClock(%q) = %d, %v; want %d", text, got, err, want)
		}
	}
	for _, text := range []string{
		"", "s", "m", "min", ":", "7:", ":30", "7:5", "7:60", "7:300", "-7:30", "-7", "450", "0", "0:00", "0.001", "180:01", "1:00:00", "7:3x",
		"7m60", "7m5m", "NaN", "1e3", "m30", "seven", "7..5", "7½½", "999999999s", "7m½s", "7½m30", "7min30s30s", "3:15 s", "7ms",
	} {
		if got, err := ParseClock(text); !errors.Is(err, ErrClock) || got != 0 {
			t.Errorf("ParseClock(%q) = %d, %v; want ErrClock", text, got, err)
		}
	}
}

func TestFormatClock(t *testing.T) {
	t.Parallel()
	for seconds, want := range map[int]string{0: "0:00", 5: "0:05", 60: "1:00", 225: "3:45", 5405: "90:05", -65: "−1:05"} {
		if got := FormatClock(seconds); got != want {
			t.Errorf("FormatClock(%d) = %q, want %q", seconds, got, want)
		}
	}
}

func TestClockComesBack(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		seconds := rapid.IntRange(1, MaxClockSeconds).Draw(t, "seconds")
		if got, err := ParseClock(FormatClock(seconds)); err != nil || got != seconds {
			t.Fatalf("%d s written %s read back as %d, %v", seconds, FormatClock(seconds), got, err)
		}
	})
}

func FuzzParseClock(f *testing.F) {
	for _, text := range []string{"7:30", "7.5", "450s", "7½", "7m30s", "7'30\"", "1/2", ":", "7 min"} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		seconds, err := ParseClock(text)
		if err != nil {
			if !errors.Is(err, ErrClock) || seconds != 0 {
				t.Fatalf("ParseClock(%q) = %d, %v", text, seconds, err)
			}
			return
		}
		if seconds < 1 || seconds > MaxClockSeconds {
			t.Fatalf("ParseClock(%q) = %d s, beyond what is allowed", text, seconds)
		}
	})
}

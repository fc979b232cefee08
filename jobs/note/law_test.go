package note_test

import (
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"wetside/chemistry"
	"wetside/jobs/note"
)

var tables = []string{"everyday.txt", "blind.txt", "third.txt", "fourth.txt", "tried.txt", "fifth.txt", "examined.txt", "sixth.txt", "seventh.txt", "eighth.txt", "ninth.txt"}

// distractors are sentences with numbers that have nothing to do with exposure.
var distractors = []string{
	"My number is 07700 900123.",
	"Call me on +44 1632 960 960.",
	"Phone 555-0134.",
	"Scan at 300 dpi.",
	"Scans at 4000x6000 px please.",
	"I need them by 12/05/2024.",
	"Shipped on 3 March.",
	"Ready on 2024-06-01?",
	"Post to 14 Harbour Street.",
	"Send it to Flat 2, 800 Mill Road.",
	"Order no. 1042.",
	"Two 8x10 prints of frame 12.",
	"36 exp, 35mm.",
	"I have paid £16.00.",
	"Collection at 4:30 pm.",
	"2 rolls in the envelope.",
	"Expired in 2003.",
	"Process is C-41.",
}

func reading(text string, iso int) string {
	got := note.Read(text, iso)
	confirm := "sure"
	if got.Confirm {
		confirm = "ask"
	}
	return pushCell(got.Push) + " " + eiCell(got.EI) + " " + confirm
}

func TestDistractorsChangeNothing(t *testing.T) {
	t.Parallel()
	for _, table := range tables {
		t.Run(table, func(t *testing.T) {
			t.Parallel()
			for _, n := range readTable(t, table) {
				if strings.TrimSpace(n.text) != "" {
					distracted(t, n)
				}
			}
		})
	}
}

func distracted(t *testing.T, n written) {
	t.Helper()
	want := reading(n.text, n.iso)
	for _, extra := range distractors {
		for _, joined := range []string{extra + " " + n.text, n.text + "\n" + extra} {
			if got := reading(joined, n.iso); got != want {
				t.Errorf("%q: with the distractor %s, without %s", joined, got, want)
			}
		}
	}
}

func TestReadIgnoresCaseAndSpace(t *testing.T) {
	t.Parallel()
	var notes []written
	for _, table := range tables {
		notes = append(notes, readTable(t, table)...)
	}
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.SampledFrom(notes).Draw(t, "note")
		changed := "  " + strings.ReplaceAll(n.text, " ", rapid.SampledFrom([]string{"  ", "\t", "\u00a0"}).Draw(t, "space")) + " "
		if rapid.Bool().Draw(t, "lower case") {
			changed = strings.ToLower(changed)
		}
		if got, want := reading(changed, n.iso), reading(n.text, n.iso); got != want {
			t.Errorf("%q reads %s, %q reads %s", changed, got, n.text, want)
		}
	})
}

// TestWrittenAmounts writes an amount in one of the ways that mean it and wants
// it back.
func TestWrittenAmounts(t *testing.T) {
	t.Parallel()
	forms := []func(amount string) string{
		func(a string) string { return "push " + a },
		func(a string) string { return "push by " + a + " stops" },
		func(a string) string { return a + " stop push" },
		func(a string) string { return "Could you push this roll " + a + " stops please?" },
		func(a string) string { return "dev +" + a },
		func(a string) string { return "N+" + a },
	}
	amounts := map[chemistry.Stops][]string{
		2: {"1/3", "⅓"}, 3: {"1/2", "½", "0.5"}, 4: {"2/3", "⅔"}, 6: {"1"}, 8: {"1 1/3", "1⅓"}, 9: {"1.5", "1½", "1 1/2"},
		12: {"2"}, 15: {"2.5", "2½"}, 18: {"3"},
	}
	for want, writings := range amounts {
		for _, amount := range writings {
			for _, form := range forms {
				text := form(amount)
				got := note.Read(text, 400)
				if got.Push == nil || *got.Push != want || got.Confirm {
					t.Errorf("%q reads %s, want %v sure: %s", text, reading(text, 400), want, got.Because)
				}
			}
		}
	}
}

func TestTargetsAreTheDifferenceToBoxSpeed(t *testing.T) {
	t.Parallel()
	speeds := []int{50, 64, 80, 100, 125, 160, 200, 250, 320, 400, 500, 640, 800, 1000, 1250, 1600, 2000, 2500, 3200}
	rapid.Check(t, func(t *rapid.T) {
		iso := rapid.SampledFrom(speeds).Draw(t, "iso")
		ei := rapid.SampledFrom(speeds).Draw(t, "ei")
		want, err := chemistry.SpeedStops(iso, ei)
		if err != nil {
			t.Fatal(err)
		}
		got := note.Read("shot at "+eiCell(&ei)+", develop accordingly", iso)
		if want == 0 {
			return // nothing to suit
		}
		if got.Push == nil || *got.Push != want || got.EI == nil || *got.EI != ei || got.Confirm != (max(want, -want) > 3*chemistry.Stop) {
			t.Errorf("ISO %d at EI %d: want %v, got %+v", iso, ei, want, got)
		}
	})
}

func TestReadRefusesNothing(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name, text string
		iso        int
	}{
		{"no speed", "push 1", 0},
		{"negative speed", "push 1", -400},
		{"absurd speed", "push 1", 102401},
		{"too long", strings.Repeat("push 1 stop. ", 400), 400},
		{"too long, cut within a character", strings.Repeat("é", note.MaxLength) + "push 1", 400},
	} {
		if got := note.Read(c.text, c.iso); !got.Confirm || got.Because == "" {
			t.Errorf("%s: want a reading to confirm, got %+v", c.name, got)
		}
	}
}

func FuzzRead(f *testing.F) {
	for _, text := range []string{
		"", "shot at 1600, push 2", "N-1", "push 1-1/2", "don't push", "½", "1/0 stops", "push +-1 ± 2", "push push pull",
		"+", "push", "n", "p+", "@", "between 1 and", "box", "half", "one hundred thousand stops", "400/", "\xff push 1",
		"roll 1 roll 2", "push 99999999999999999999", "ISO ISO ISO 400", "push to to to 1600", "a stop and a half and a half",
	} {
		f.Add(text, 400)
	}
	f.Fuzz(func(t *testing.T, text string, iso int) {
		got := note.Read(text, iso)
		if diff := cmp.Diff(got, note.Read(text, iso)); diff != "" {
			t.Fatalf("two readings of %q differ: %s", text, diff)
		}
		if got.Push != nil && max(*got.Push, -*got.Push) > 3*chemistry.Stop && !got.Confirm {
			t.Fatalf("%q: %v without a question", text, *got.Push)
		}
		if got.EI != nil && (*got.EI < chemistry.MinSpeed || *got.EI > chemistry.MaxSpeed) {
			t.Fatalf("%q: EI %d", text, *got.EI)
		}
		if got.Because == "" || utf8.ValidString(text) && !utf8.ValidString(got.Because) {
			t.Fatalf("%q: because %q", text, got.Because)
		}
	})
}

func BenchmarkRead(b *testing.B) {
	const text = "Hi! I shot this roll at 1600 by accident, could you push it two stops? Scan at 3200 dpi, call 07700 900123."
	for b.Loop() {
		note.Read(text, 400)
	}
}

func BenchmarkReadLongest(b *testing.B) {
	text := strings.Repeat("push 1 or 2 stops, shot at 800 ", note.MaxLength/30)[:note.MaxLength]
	for b.Loop() {
		note.Read(text, 400)
	}
}
